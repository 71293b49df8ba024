package finish

import (
	"crypto/sha256"
	"fmt"
	"slices"

	"undercoat/finish/garment"
	"undercoat/inventory"
	"undercoat/palette"
	"undercoat/palette/colour"
)

// PageReference is one picture of a job as a page shows it.
type PageReference struct {
	Code     string      `json:"code"`
	Picture  string      `json:"picture"`
	Trust    string      `json:"trust"`
	Note     string      `json:"note"`
	Width    int         `json:"width"`  // pixels, upright
	Height   int         `json:"height"` // pixels, upright
	Format   string      `json:"format"`
	Profile  string      `json:"profile"`
	Warnings []string    `json:"warnings"`
	Cast     string      `json:"cast_question,omitempty"`
	Anchor   *PagePatch  `json:"anchor"`            // null where none is marked
	Chart    *PagePatch  `json:"chart"`             // null where none is marked
	Patches  []PagePatch `json:"patches"`           // in the order of their table
	Trouble  string      `json:"trouble,omitempty"` // why the picture cannot be read
}

// PagePatch is a marked spot.
type PagePatch struct {
	Area   string       `json:"area"`              // "" for an anchor
	Rect   palette.Rect `json:"rect"`              // round the outline where there is one
	Spot   string       `json:"spot"`              // "x,y,w,h", or the corners of an outline
	Corner string       `json:"corners,omitempty"` // of an outline, "x,y x,y x,y"
	Known  string       `json:"known,omitempty"`   // an anchor's known colour
	Swatch *Swatch      `json:"colour"`            // as read; null where it could not be read
	Words  string       `json:"words"`
	Stated bool         `json:"stated"` // a colour typed in, no spot
}

// keptPicture is a picture read once: what it is, and every marked spot.
type keptPicture struct {
	ref      PageReference
	readings map[string][]palette.Reading // by area
}

// pictures reads every picture of a job with all its marks, from memory where
// neither picture nor marks have changed.
func (d *Desk) pictures(s scene) []keptPicture {
	out := make([]keptPicture, 0, len(s.job.References))
	for _, ref := range s.job.References {
		key := d.pictureKey(s, ref)
		d.mu.Lock()
		k, ok := d.seen[key]
		d.mu.Unlock()
		if !ok {
			k = s.readPicture(ref)
			d.mu.Lock()
			if len(d.seen) > mostKept {
				clear(d.seen)
			}
			d.seen[key] = k
			d.mu.Unlock()
		}
		out = append(out, k)
	}
	return out
}

// mostKept bounds the pictures whose readings are remembered; each is a few
// kilobytes.
const mostKept = 500

// pictureKey changes with the picture's bytes and with every mark on it.
func (d *Desk) pictureKey(s scene, ref garment.Reference) string {
	key := fmt.Sprintf("%+v", ref)
	if i := slices.IndexFunc(s.facts.Pictures, func(p inventory.PictureFact) bool { return p.Name == ref.Picture }); i >= 0 {
		sum := d.sumOf(s.facts.Pictures[i].Bytes)
		key += string(sum[:])
	}
	return key
}

// bytesAt names bytes by where they lie in memory: the file hands out the same
// bytes as long as the job has not changed, so they are added up once.
type bytesAt struct {
	first *byte
	n     int
}

func (d *Desk) sumOf(b []byte) [sha256.Size]byte {
	if len(b) == 0 {
		return [sha256.Size]byte{}
	}
	at := bytesAt{&b[0], len(b)}
	d.mu.Lock()
	sum, ok := d.sums[at]
	d.mu.Unlock()
	if ok {
		return sum
	}
	sum = sha256.Sum256(b)
	d.mu.Lock()
	defer d.mu.Unlock()
	if len(d.sums) > mostKept {
		clear(d.sums)
	}
	d.sums[at] = sum // the key holds the bytes, so their place is not used again
	return sum
}

// readPicture reads one picture with all its marks. A picture or a spot that
// cannot be read says why and bears nothing.
func (s scene) readPicture(ref garment.Reference) keptPicture {
	k := keptPicture{
		ref:      PageReference{Code: ref.Code, Picture: ref.Picture, Trust: ref.Trust, Note: ref.Note, Warnings: []string{}, Patches: []PagePatch{}},
		readings: map[string][]palette.Reading{},
	}
	trust, err := palette.ParseTrust(ref.Trust)
	if err != nil {
		k.ref.Trouble = err.Error()
	}
	pic, warnings, err := s.openReference(ref)
	if err != nil {
		k.ref.Trouble = err.Error()
	}
	opened := err == nil
	if opened {
		k.ref.Width, k.ref.Height = pic.Size()
		k.ref.Format, k.ref.Profile, k.ref.Warnings = pic.Format(), pic.Profile(), list(warnings)
		if !pic.Anchored() {
			k.ref.Cast = pic.GuessCast().Question()
		}
	}
	if at, ok := ref.Chart.Get(); ok {
		k.ref.Chart = &PagePatch{Rect: at, Spot: at.String()}
	}
	if a, ok := ref.Anchor.Get(); ok {
		k.ref.Anchor = &PagePatch{Rect: a.Rect, Spot: a.Rect.String()}
		if a.Colour.L > 0 {
			k.ref.Anchor.Known = writtenLab(a.Colour).Text
		}
	}
	for _, p := range ref.Patches {
		s.addPatch(&k, ref, p, pic, opened, trust)
	}
	return k
}

// addPatch reads one mark.
func (s scene) addPatch(k *keptPicture, ref garment.Reference, p garment.Patch, pic palette.Reference, opened bool, trust palette.Trust) {
	mark := PagePatch{Area: p.Area}
	rect, marked := p.Rect.Get()
	if marked {
		mark.Rect, mark.Spot, mark.Corner = rect, rect.String(), p.Outline.String()
		if len(p.Outline) > 0 {
			mark.Spot = mark.Corner
		}
	}
	var r palette.Reading
	var err error
	switch c, stated := p.Colour.Get(); {
	case stated:
		mark.Stated = true
		var lab colour.Lab
		var anchored bool
		if lab, anchored, err = s.withoutCast(ref, c.Lab()); err == nil {
			r = palette.StatedReading(ref.Code, lab, trust, anchored)
		}
	case marked && opened:
		r, err = readSpot(pic, ref.Code, rect, p.Outline, trust)
	default:
		k.ref.Patches = append(k.ref.Patches, mark)
		return
	}
	if err != nil {
		k.ref.Warnings = append(k.ref.Warnings, fmt.Sprintf("%s: %v", p.Area, err))
	} else {
		sw := swatch(r.Patch.Lab)
		mark.Swatch, mark.Words = &sw, nameOf(r.Patch.Lab)
		k.readings[p.Area] = append(k.readings[p.Area], r)
	}
	k.ref.Patches = append(k.ref.Patches, mark)
}

// targetFrom is an area's target beside what the pictures say.
func (s scene) targetFrom(area garment.Area, pics []keptPicture) TargetAnswer {
	readings := readingsOf(area.Code, pics)
	return targetAnswer(s, area, readings, warningsOf(area.Code, pics), palette.Weigh(readings))
}

// warningsOf are the warnings of the pictures an area is read in, each with its
// picture's code.
func warningsOf(area string, pics []keptPicture) (warnings []string) {
	for _, k := range pics {
		if len(k.readings[area]) == 0 {
			continue
		}
		for _, w := range k.ref.Warnings {
			warnings = append(warnings, k.ref.Code+": "+w)
		}
	}
	return warnings
}

// readingsOf are an area's readings in all pictures.
func readingsOf(area string, pics []keptPicture) []palette.Reading {
	var readings []palette.Reading
	for _, k := range pics {
		readings = append(readings, k.readings[area]...)
	}
	return readings
}
