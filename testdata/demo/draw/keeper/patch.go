package keeper

import (
	"image"
	"math"
)

// Patch is a clean rectangle of one area, in pixels of the upright picture.
type Patch struct {
	Area string
	Rect image.Rectangle
	Hex  string // the colour its linear-light mean must have
}

// readings are the colours a clean patch of each area has in each picture.
var readings = map[string]wardrobe{
	"R1": {"A1": "#303A4C", "A2": "#75839D", "A3": "#091022", "A4": "#104154", "A5": "#7C2E34", "A6": "#5A6372", "A7": "#31281F", "A8": "#211217", "A9": "#104154"},
	"R2": {"A1": "#685A42", "A2": "#EAC389", "A3": "#1D1D1C", "A4": "#2A6349", "A5": "#F6482C", "A6": "#B69464", "A7": "#6A401A", "A8": "#4B2013"},
	"R3": {"A1": "#646A71", "A2": "#FAF9F6", "A3": "#141821", "A4": "#2A7A80", "A5": "#FF6A5C", "A6": "#C4BFB5", "A7": "#745638", "A8": "#4A2624", "A9": "#2A7A80"},
	"R4": {"A1": "#606664", "A2": "#DADAC9", "A3": "#23283A", "A5": "#BD4641", "A7": "#62492B", "A9": "#26706E"},
}

// spot is where an area may be sampled, in figure units.
type spot struct {
	area string
	at   point
	w, h float64
}

// spots lie where the surface faces the eye and nothing casts a shadow.
func spots(p pose) []spot {
	cuffWrist, cuffElbow := p.leftWrist, p.leftElbow
	if p.left == lantern { // too near the flame
		cuffWrist, cuffElbow = p.rightWrist, p.rightElbow
	}
	out := []spot{
		{"A1", point{-146, 884}, 30, 56},
		{"A2", point{-44, 272}, 46, 38},
		{"A3", point{-170, 470}, 24, 46},
		{"A4", point{18, 737}, 46, 44},
		{"A5", point{-37, 500}, 22, 22},
		{"A6", along(cuffWrist, cuffElbow, 0.562, 0), 18, 16},
		{"A7", point{-46, 388}, 30, 22},
		{"A8", point{-84, 1238}, 38, 58},
	}
	if p.left == nothing && p.right == nothing { // to the hips only: no skirts
		out[0] = spot{"A1", point{74, 500}, 42, 40}
	}
	if !p.hoodLow {
		out = append(out, spot{"A9", point{78, 268}, 18, 32})
	}
	return out
}

// patches places the spots on a canvas: one patch for each area the picture
// has a reading for.
func patches(picture string, all []spot, m affine) []Patch {
	var out []Patch
	for _, s := range all {
		want, ok := readings[picture][s.area]
		if !ok {
			continue
		}
		c := m.at(s.at)
		w, h := s.w*m.size()/2, s.h*m.size()/2
		out = append(out, Patch{s.area, image.Rect(int(math.Round(c.X-w)), int(math.Round(c.Y-h)), int(math.Round(c.X+w)), int(math.Round(c.Y+h))), want})
	}
	return out
}

// even is 1 on a patch and falls off around it, but only on its own area:
// where the light is held even.
func even(r image.Rectangle, p Patch, area []int8, stride int, feather float64) field {
	f := newField(r)
	want := areaIndex(p.Area)
	inner := p.Rect.Inset(-2)
	eachPixel(r, func(x, y, i int) {
		if area != nil && area[y*stride+x] != want {
			return
		}
		dx := math.Max(0, math.Max(float64(inner.Min.X-x), float64(x-inner.Max.X+1)))
		dy := math.Max(0, math.Max(float64(inner.Min.Y-y), float64(y-inner.Max.Y+1)))
		f.v[i] = float32(smooth(feather, 0, math.Hypot(dx, dy)))
	})
	return f
}
