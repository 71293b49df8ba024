package finish

import (
	"crypto/sha256"
	"fmt"
	"slices"

	"undercoat/finish/garment"
	"undercoat/inventory"
	"undercoat/palette"
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
	Patches  []PagePatch `json:"patches"`           // in the order of their table
	Trouble  string      `json:"trouble,omitempty"` // why the picture cannot be read
}

// PagePatch is a marked spot.
type PagePatch struct {
	Area   string       `json:"area"` // "" for an anchor
	Rect   palette.Rect `json:"rect"`
	Known  string       `json:"known,omitempty"` // an anchor's known colour
	Swatch *Swatch      `json:"colour"`          // as read; null where it could not be read
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
		key := pictureKey(s, ref)
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
func pictureKey(s scene, ref garment.Reference) string {
	h := sha256.New()
	fmt.Fprintf(h, "%+v", ref)
	if i := slices.IndexFunc(s.facts.Pictures, func(p inventory.PictureFact) bool { return p.Name == ref.Picture }); i >= 0 {
		h.Write(s.facts.Pictures[i].Bytes)
	}
	return string(h.Sum(nil))
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
	pic, err := s.openReference(ref)
	if err != nil {
		k.ref.Trouble = err.Error()
	}
	opened := err == nil
	if opened {
		k.ref.Width, k.ref.Height = pic.Size()
		k.ref.Format, k.ref.Profile, k.ref.Warnings = pic.Format(), pic.Profile(), list(pic.Warnings())
		if !pic.Anchored() {
			k.ref.Cast = pic.GuessCast().Question()
		}
	}
	if a, ok := ref.Anchor.Get(); ok {
		k.ref.Anchor = &PagePatch{Rect: a.Rect}
		if a.Colour.L > 0 {
			k.ref.Anchor.Known = writtenLab(a.Colour).Text
		}
	}
	for _, p := range ref.Patches {
		k.addPatch(ref, p, pic, opened, trust)
	}
	return k
}

// addPatch reads one mark.
func (k *keptPicture) addPatch(ref garment.Reference, p garment.Patch, pic palette.Reference, opened bool, trust palette.Trust) {
	mark := PagePatch{Area: p.Area}
	var r palette.Reading
	c, stated := p.Colour.Get()
	rect, marked := p.Rect.Get()
	switch {
	case stated:
		mark.Stated = true
		r = palette.StatedReading(ref.Code, c.Lab(), trust, ref.Anchor.Known())
	case marked && opened:
		mark.Rect = rect
		var err error
		if r, err = pic.Reading(ref.Code, rect, trust); err != nil {
			k.ref.Warnings = append(k.ref.Warnings, fmt.Sprintf("%s: %v", p.Area, err))
			k.ref.Patches = append(k.ref.Patches, mark)
			return
		}
	default:
		mark.Rect = rect
		k.ref.Patches = append(k.ref.Patches, mark)
		return
	}
	sw := swatch(r.Patch.Lab)
	mark.Swatch, mark.Words = &sw, nameOf(r.Patch.Lab)
	k.ref.Patches = append(k.ref.Patches, mark)
	k.readings[p.Area] = append(k.readings[p.Area], r)
}

// targetFrom is an area's target beside what the pictures say.
func (s scene) targetFrom(area garment.Area, pics []keptPicture) TargetAnswer {
	readings := readingsOf(area.Code, pics)
	return targetAnswer(s, area, readings, palette.Weigh(readings))
}

// readingsOf are an area's readings in all pictures.
func readingsOf(area string, pics []keptPicture) []palette.Reading {
	var readings []palette.Reading
	for _, k := range pics {
		readings = append(readings, k.readings[area]...)
	}
	return readings
}
