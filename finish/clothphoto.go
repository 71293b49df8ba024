package finish

import (
	"fmt"

	"undercoat/finish/rub"
	"undercoat/inventory/unit"
	"undercoat/palette"
	"undercoat/palette/colour"
)

// PhotoGrade asks for the grade of a stained cloth from one photograph that
// shows it beside its own clean part.
type PhotoGrade struct {
	Scale   string // "staining" or "change"; "" is staining
	Picture PictureFile
	Clean   []palette.Rect // clean cloth: beside the stain, better on both sides of it
	Stained []palette.Rect // inside the stain
	// Known is what colour the clean part is known to have. For staining an
	// unknown one is taken as the usual white of rubbing cloth; for change it
	// must be stated.
	Known unit.Stated[colour.Lab]
}

// GradePhoto grades the stained part of a rub cloth against its own clean part
// in one photograph, with the range the photograph leaves open. It refuses a
// picture that cannot carry a grade; that error wraps [rub.ErrNoGrade].
func GradePhoto(q PhotoGrade) (GradeAnswer, error) {
	g, err := gradePhoto(q)
	if err != nil {
		return GradeAnswer{}, fmt.Errorf("grade %s: %w", q.Picture.Name, err)
	}
	return photoAnswer(g), nil
}

func gradePhoto(q PhotoGrade) (rub.Graded, error) {
	p := rub.ClothPhoto{Scale: rub.Scale(q.Scale)}
	if q.Scale == "" {
		p.Scale = rub.StainingScale
	}
	p.Known, p.KnownFor = q.Known.Or(rub.UsualWhite()), q.Known.Known()
	if p.Scale == rub.ChangeScale && !p.KnownFor {
		return rub.Graded{}, &Hinted{Err: fmt.Errorf("the change of a piece cannot be read without the colour of its untouched part"), Try: []string{"--white 'lab(47.4 -0.8 -3.4)', its measured colour"}}
	}
	ref, err := decode(q.Picture)
	if err != nil {
		return rub.Graded{}, err
	}
	if err := apart(ref, q.Clean, q.Stained); err != nil {
		return rub.Graded{}, err
	}
	if p.Clean, err = clothReadings(ref, q.Clean); err != nil {
		return rub.Graded{}, fmt.Errorf("clean part: %w", err)
	}
	if p.Stained, err = clothReadings(ref, q.Stained); err != nil {
		return rub.Graded{}, fmt.Errorf("stained part: %w", err)
	}
	if quality, jpeg := ref.Quality(); jpeg {
		p.Coarse = rub.CoarseOf(quality)
	}
	return rub.GradeCloth(p)
}

// apart refuses rectangles that are missing, reach outside the picture, or
// share pixels: a stain is compared with cloth that is clean.
func apart(ref palette.Reference, clean, stained []palette.Rect) error {
	if len(clean) == 0 || len(stained) == 0 {
		return fmt.Errorf("expected a rectangle of clean cloth and one of stained cloth")
	}
	w, h := ref.Size()
	for _, r := range append(append([]palette.Rect(nil), clean...), stained...) {
		if r.X+r.W > w || r.Y+r.H > h {
			return fmt.Errorf("rectangle %s reaches outside the picture of %d × %d pixels", r, w, h)
		}
	}
	for _, c := range clean {
		for _, s := range stained {
			if c.X < s.X+s.W && s.X < c.X+c.W && c.Y < s.Y+s.H && s.Y < c.Y+c.H {
				return fmt.Errorf("%w: the clean part %s and the stained part %s overlap", rub.ErrNoGrade, c, s)
			}
		}
	}
	return nil
}

// Parts of a rectangle: four across and four down where that leaves parts of
// 12 pixels a side, the least over which a weave is averaged; common practice,
// no source.
const (
	partsAcross = 4
	leastPart   = 12
)

// clothReadings reads a cloth part by part, so that uneven light can be told
// from unevenness of the cloth. Parts that hold nothing usable are left out.
func clothReadings(ref palette.Reference, rects []palette.Rect) ([]rub.Reading, error) {
	w, h := ref.Size()
	long := float64(max(w, h))
	var out []rub.Reading
	for _, rect := range rects {
		across, down := min(partsAcross, rect.W/leastPart), min(partsAcross, rect.H/leastPart)
		if across < 2 || down < 2 {
			return nil, fmt.Errorf("%w: rectangle %s is too small, at least %d × %d pixels are needed to average over the weave", rub.ErrNoGrade, rect, 2*leastPart, 2*leastPart)
		}
		for j := range down {
			for i := range across {
				part := palette.Rect{X: rect.X + rect.W*i/across, Y: rect.Y + rect.H*j/down}
				part.W, part.H = rect.X+rect.W*(i+1)/across-part.X, rect.Y+rect.H*(j+1)/down-part.Y
				patch, err := ref.Patch(part)
				if err != nil {
					continue // nothing of one colour in it; the others are counted
				}
				out = append(out, clothReading(part, patch, long))
			}
		}
	}
	return out, nil
}

func clothReading(at palette.Rect, p palette.Patch, long float64) rub.Reading {
	all := p.Count + p.Glare + p.Shadow + p.Edge + p.Clear
	return rub.Reading{
		X: (float64(at.X) + float64(at.W)/2) / long, Y: (float64(at.Y) + float64(at.H)/2) / long,
		RGB: p.RGB, ClippedHigh: p.ClippedHigh, ClippedLow: p.ClippedLow, Other: 1 - float64(p.Count)/float64(all),
	}
}

func photoAnswer(g rub.Graded) GradeAnswer {
	a := gradeAnswer(g.Rating)
	a.RatingLow, a.RatingHigh = round(g.RatingLow, 2), round(g.RatingHigh, 2)
	a.GradeLow, a.GradeHigh = g.Low.String(), g.High.String()
	a.Clean, a.Stained = swatch(g.Clean), swatch(g.Stained)
	a.LightPct = round(100*g.Light, 0)
	a.Doubts = append(a.Doubts, g.Doubts...)
	return a
}
