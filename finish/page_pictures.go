package finish

import (
	"bytes"
	"context"
	"fmt"
	"image/png"
	"io"
	"net/http"
	"slices"

	"undercoat/finish/garment"
	"undercoat/palette"
)

// shownTypes are the pictures that browsers show as they are.
var shownTypes = []string{"image/jpeg", "image/png", "image/gif", "image/webp"}

// mostShown is the longest side of a picture that has to be converted to be
// shown, in pixels.
const mostShown = 1600

// PictureBytes returns a reference's picture as a browser can show it, and its
// media type. One that browsers do not show comes as a smaller PNG.
func (b *Bench) PictureBytes(ctx context.Context, code string) (data []byte, mediaType string, err error) {
	s, ref, err := b.reference(ctx, code)
	if err != nil {
		return nil, "", err
	}
	data, err = b.file.Picture(ctx, s.facts.Name, ref.Picture)
	if err != nil {
		return nil, "", err
	}
	if t := http.DetectContentType(data); slices.Contains(shownTypes, t) {
		return data, t, nil
	}
	pic, err := decode(PictureFile{Name: ref.Picture, Open: func() (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(data)), nil }})
	if err != nil {
		return nil, "", err
	}
	var out bytes.Buffer
	if err := png.Encode(&out, pic.Thumbnail(mostShown, mostShown)); err != nil {
		return nil, "", fmt.Errorf("show %s: %w", ref.Picture, err)
	}
	return out.Bytes(), "image/png", nil
}

// reference finds a reference of the job.
func (b *Bench) reference(ctx context.Context, code string) (scene, garment.Reference, error) {
	s, err := b.scene(ctx)
	if err != nil {
		return s, garment.Reference{}, err
	}
	i := slices.IndexFunc(s.job.References, func(r garment.Reference) bool { return r.Code == code })
	if i < 0 {
		return s, garment.Reference{}, fmt.Errorf("find picture: %s: no reference of that code", code)
	}
	return s, s.job.References[i], nil
}

// ReadSpot reads a spot of one picture, without keeping anything.
func (b *Bench) ReadSpot(ctx context.Context, code string, at palette.Rect) (PatchAnswer, error) {
	s, ref, err := b.reference(ctx, code)
	if err != nil {
		return PatchAnswer{}, err
	}
	pic, err := s.openReference(ref)
	if err != nil {
		return PatchAnswer{}, err
	}
	trust, err := palette.ParseTrust(ref.Trust)
	if err != nil {
		return PatchAnswer{}, err
	}
	r, err := pic.Reading(ref.Code, at, trust)
	if err != nil {
		return PatchAnswer{}, fmt.Errorf("read spot of %s: %w", ref.Picture, err)
	}
	return patchAnswer("spot", []palette.Reading{r}), nil
}
