package finish

import (
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"image/jpeg"
	"image/png"
	"io"
	"net/http"
	"slices"

	"undercoat/finish/garment"
	"undercoat/inventory"
	"undercoat/palette"
)

// shownTypes are the pictures that browsers show as they are.
var shownTypes = []string{"image/jpeg", "image/png", "image/gif", "image/webp"}

// Longest sides of a picture as a page shows it, in pixels: one of many on a
// page, and alone.
const (
	ShownSmall = 720
	ShownWhole = 1600
)

// shownBytes is the largest file that is sent as it is.
const shownBytes = 400 << 10

// shownKey names a picture by its bytes and the size it is shown in.
type shownKey struct {
	sum  [sha256.Size]byte
	most int
}

type shownPicture struct {
	data []byte
	kind string
}

// mostShownKept bounds the shown pictures that are remembered.
const mostShownKept = 60

// PictureBytes returns a reference's picture as a browser can show it, upright,
// no side longer than most pixels, and its media type. It is for looking only:
// what is measured is read from the picture itself.
func (d *Desk) PictureBytes(ctx context.Context, job, code string, most int) (data []byte, mediaType string, err error) {
	s, ref, err := d.bench.ForJob(job).reference(ctx, code)
	if err != nil {
		return nil, "", err
	}
	i := slices.IndexFunc(s.facts.Pictures, func(p inventory.PictureFact) bool { return p.Name == ref.Picture })
	if i < 0 {
		return nil, "", fmt.Errorf("show picture %s: the workroom file holds no picture %s: %w", code, ref.Picture, inventory.ErrNotFound)
	}
	data = s.facts.Pictures[i].Bytes
	key := shownKey{d.sumOf(data), most}
	d.mu.Lock()
	k, ok := d.shown[key]
	d.mu.Unlock()
	if !ok {
		if k, err = showPicture(ref.Picture, data, most); err != nil {
			return nil, "", err
		}
		d.mu.Lock()
		if len(d.shown) >= mostShownKept {
			clear(d.shown)
		}
		d.shown[key] = k
		d.mu.Unlock()
	}
	return k.data, k.kind, nil
}

// ShowPicture makes a picture that a browser can show of any that can be read.
func ShowPicture(name string, data []byte, most int) (shown []byte, mediaType string, err error) {
	k, err := showPicture(name, data, most)
	return k.data, k.kind, err
}

func showPicture(name string, data []byte, most int) (shownPicture, error) {
	pic, err := decode(fileOf(name, data))
	if err != nil {
		return shownPicture{}, err
	}
	w, h := pic.Size()
	if t := http.DetectContentType(data); slices.Contains(shownTypes, t) && !pic.Upright() && max(w, h) <= most && len(data) <= shownBytes {
		return shownPicture{data, t}, nil
	}
	thumb := pic.Thumbnail(most, most)
	var out bytes.Buffer
	kind := "image/png"
	if thumb.Opaque() {
		kind = "image/jpeg"
		err = jpeg.Encode(&out, thumb, &jpeg.Options{Quality: 88})
	} else {
		err = png.Encode(&out, thumb)
	}
	if err != nil {
		return shownPicture{}, fmt.Errorf("show %s: %w", name, err)
	}
	return shownPicture{out.Bytes(), kind}, nil
}

// fileOf is a picture held in memory.
func fileOf(name string, data []byte) PictureFile {
	return PictureFile{Name: name, Open: func() (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(data)), nil }}
}

// Held is a picture held in memory, to be read.
func Held(name string, data []byte) PictureFile { return fileOf(name, data) }

// PictureSize is how many pixels an upright picture has.
func PictureSize(name string, data []byte) (w, h int, err error) {
	pic, err := decode(fileOf(name, data))
	if err != nil {
		return 0, 0, err
	}
	w, h = pic.Size()
	return w, h, nil
}

// reference finds a reference of the job.
func (b *Bench) reference(ctx context.Context, code string) (scene, garment.Reference, error) {
	s, err := b.scene(ctx)
	if err != nil {
		return s, garment.Reference{}, err
	}
	i := slices.IndexFunc(s.job.References, func(r garment.Reference) bool { return r.Code == code })
	if i < 0 {
		return s, garment.Reference{}, fmt.Errorf("find picture: %s: no reference of that code: %w", code, inventory.ErrNotFound)
	}
	return s, s.job.References[i], nil
}

// ReadSpot reads a spot of one picture, "x,y,w,h" or the corners of an outline,
// without keeping anything.
func (b *Bench) ReadSpot(ctx context.Context, code, spot string) (PatchAnswer, error) {
	at, err := inventory.ParseSpot(spot)
	if err != nil {
		return PatchAnswer{}, err
	}
	s, ref, err := b.reference(ctx, code)
	if err != nil {
		return PatchAnswer{}, err
	}
	r, err := s.readOne(ref, at)
	if err != nil {
		return PatchAnswer{}, fmt.Errorf("read spot of %s: %w", ref.Picture, err)
	}
	return patchAnswer("spot", []palette.Reading{r}), nil
}

func (s scene) readOne(ref garment.Reference, at inventory.Spot) (palette.Reading, error) {
	pic, _, err := s.openReference(ref)
	if err != nil {
		return palette.Reading{}, err
	}
	trust, err := palette.ParseTrust(ref.Trust)
	if err != nil {
		return palette.Reading{}, err
	}
	var o palette.Outline
	if len(at.Corners) > 0 {
		if o, err = palette.ParseOutline(at.String()); err != nil {
			return palette.Reading{}, err
		}
	}
	return readSpot(pic, ref.Code, palette.Rect(at.Rect), o, trust)
}

// PictureMaterials finds the materials of one picture; colours 0 lets the
// picture say how many.
func (b *Bench) PictureMaterials(ctx context.Context, code string, colours int) ([]MaterialAnswer, error) {
	s, ref, err := b.reference(ctx, code)
	if err != nil {
		return nil, err
	}
	pic, _, err := s.openReference(ref)
	if err != nil {
		return nil, err
	}
	found, err := pic.Materials(palette.MaterialOptions{Colours: colours})
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", ref.Picture, err)
	}
	out := []MaterialAnswer{}
	for _, m := range found.Materials {
		out = append(out, materialAnswer(ref.Code, m))
	}
	return out, nil
}
