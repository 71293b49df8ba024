package finish

import (
	"undercoat/finish/garment"
	"undercoat/finish/match"
	"undercoat/finish/plan"
	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// Section is an area cut through: its coats from the ground up, each with the
// share it has of what the eye sees from above. Light that a coat does not
// stop goes on to the one below; what all coats let pass is the ground's share.
// The shares of the coats and of the ground add up to 1.
//
// Shares are plain show-through by the labels' hiding, for a picture of which
// coat does what; the colours come from the layer model.
type Section struct {
	Ground      string        `json:"ground"` // stock code; "" where nothing lies under
	GroundName  string        `json:"ground_name"`
	GroundFace  *Swatch       `json:"ground_colour"` // null where not known
	GroundWords string        `json:"ground_words"`
	GroundShare float64       `json:"ground_share"`
	Coats       []SectionCoat `json:"coats"`
	Faces       bool          `json:"faces"`             // the coats carry the colour after each
	Trouble     string        `json:"trouble,omitempty"` // why they do not
}

// SectionCoat is one coat of a section.
type SectionCoat struct {
	Code   string   `json:"code"`
	Name   string   `json:"name"`
	Role   string   `json:"role"`
	Coat   int      `json:"coat"` // of its product, from 1
	Coats  int      `json:"coats"`
	Face   *Swatch  `json:"colour"` // of the product itself; null where it has none
	Hiding *float64 `json:"hiding"` // share of what is below that one coat hides; null where not known
	Share  float64  `json:"share"`  // of what is seen from above
	Done   bool     `json:"done"`

	After *PredictedAnswer `json:"after"` // the colour once it is dry; null where not predicted
	Words string           `json:"words"` // its name
	Away  *float64         `json:"away"`  // ΔE00 to the target; null where that is no measure
	Lies  string           `json:"lies"`  // how it differs from the target, in words
}

// section cuts an area of a planned job through.
func (w work) section(area garment.Area, a plan.Area) Section {
	sec := Section{Ground: a.Ground, GroundShare: 1, Coats: []SectionCoat{}}
	if g, ok := w.stock.Article(a.Ground); ok {
		sec.GroundName = g.Name
		if c, ok := g.Colour.Get(); ok {
			sw := swatch(c.Lab())
			sec.GroundFace, sec.GroundWords = &sw, colour.Name(c.Lab())
		}
	}
	var layers []match.Layer
	for _, y := range a.Layers {
		if y.Coats < 1 || y.Role == plan.RoleInk || y.Role == plan.RoleTreatment || y.Role == plan.RoleFixer {
			continue
		}
		layers = append(layers, match.Layer{Code: y.Code, Coats: y.Coats})
		for n := 1; n <= y.Coats; n++ {
			sec.Coats = append(sec.Coats, w.sectionCoat(a.Code, y, n))
		}
	}
	sec.share()
	if len(layers) > 0 {
		sec.predict(area.Target, match.Ground{Code: a.Ground, Stretch: area.Stretch}, layers, w.stock)
	}
	return sec
}

func (w work) sectionCoat(area string, y plan.Layer, n int) SectionCoat {
	c := SectionCoat{Code: y.Code, Role: string(y.Role), Coat: n, Coats: y.Coats}
	if art, ok := w.stock.Article(y.Code); ok {
		c.Name = art.Name
		if col, ok := art.Colour.Get(); ok {
			sw := swatch(col.Lab())
			c.Face = &sw
		}
	}
	if p, ok := w.stock.Paint(y.Code); ok {
		c.Hiding = stated(hidingOf(p), 3)
	}
	for _, st := range w.plan.Steps {
		if st.Area == area && st.Code == y.Code && st.Coat == n && st.Done {
			c.Done = true
		}
	}
	return c
}

// hidingOf is what one coat hides: the mean of what it hides over black and
// over white. A sealer hides nothing.
func hidingOf(p inventory.Paint) unit.Stated[float64] {
	black, ok1 := p.HidingBlack.Get()
	white, ok2 := p.HidingWhite.Get()
	switch {
	case ok1 && ok2:
		return unit.State((black + white) / 2)
	case ok1:
		return unit.State(black)
	case ok2:
		return unit.State(white)
	case p.Kind == inventory.KindSealer:
		return unit.State(0.0)
	}
	return unit.Stated[float64]{}
}

// unknownHiding is what a coat of unknown hiding is drawn with; the coat says
// that it is not known.
const unknownHiding = 0.5

// share gives every coat its part of what is seen, from the top down.
func (s *Section) share() {
	left := 1.0
	for i := len(s.Coats) - 1; i >= 0; i-- {
		h := unknownHiding
		if s.Coats[i].Hiding != nil {
			h = *s.Coats[i].Hiding
		}
		s.Coats[i].Share = round(left*h, 4)
		left *= 1 - h
	}
	s.GroundShare = round(left, 4)
}

// predict adds the colour after every coat, in daylight.
func (s *Section) predict(target garment.Target, ground match.Ground, layers []match.Layer, stock inventory.Stock) {
	steps, err := match.Build(ground, layers, match.Light{}, stock)
	if err != nil || len(steps) != len(s.Coats)+1 {
		if err != nil {
			s.Trouble = err.Error()
		}
		return
	}
	s.Faces = true
	for i := range s.Coats {
		lab := steps[i+1].Predicted.Lab
		after := predicted(steps[i+1].Predicted)
		s.Coats[i].After, s.Coats[i].Words = &after, colour.Name(lab)
		if target.Known() && !target.Fluorescent {
			d := round(colour.Difference(target.Colour.Lab(), lab), 2)
			s.Coats[i].Away, s.Coats[i].Lies = &d, colour.InWords(target.Colour.Lab(), lab)
		}
	}
}
