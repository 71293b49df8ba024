package inventory

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"undercoat/palette/colour"
)

// Written is a colour and the text a maker wrote for it. The zero value is no
// colour.
type Written struct {
	Text   string
	Colour colour.Colour
}

// Write reads a colour ("#rrggbb" or "lab(L a b)") and keeps its text.
func Write(text string) (Written, error) {
	text = strings.TrimSpace(text)
	c, err := colour.Parse(text)
	if err != nil {
		return Written{}, err
	}
	return Written{text, c}, nil
}

// String returns the text as it was written.
func (w Written) String() string { return w.Text }

// MarshalText writes the text.
func (w Written) MarshalText() ([]byte, error) { return []byte(w.Text), nil }

// UnmarshalText reads a colour, see [Write].
func (w *Written) UnmarshalText(b []byte) error {
	got, err := Write(string(b))
	if err == nil {
		*w = got
	}
	return err
}

// Rect is a rectangle of pixels of the upright picture, from its upper left
// corner. The zero value is empty and not valid.
type Rect struct{ X, Y, W, H int }

// ParseRect reads "x,y,w,h": whole numbers, w and h at least 1.
func ParseRect(s string) (Rect, error) {
	f := strings.FieldsFunc(s, func(r rune) bool { return r == ',' || r == ' ' || r == ';' })
	var v [4]int
	ok := len(f) == 4
	for i := range min(len(f), 4) {
		n, err := strconv.Atoi(f[i])
		v[i], ok = n, ok && err == nil && n >= 0 && n < math.MaxInt32
	}
	if !ok || v[2] < 1 || v[3] < 1 {
		return Rect{}, fmt.Errorf("read rectangle: %q: expected x,y,w,h in pixels, such as 120,80,40,40", s)
	}
	return Rect{v[0], v[1], v[2], v[3]}, nil
}

// String prints "x,y,w,h". [ParseRect] reads it back.
func (r Rect) String() string { return fmt.Sprintf("%d,%d,%d,%d", r.X, r.Y, r.W, r.H) }

// Spot is where something is seen in a picture: a rectangle, or an outline of
// three corners or more with the least rectangle round it. The zero value is
// empty and not valid.
type Spot struct {
	Rect
	Corners [][2]int // of an outline; nil for a rectangle
}

// ParseSpot reads a rectangle "x,y,w,h" or an outline "x,y x,y x,y …" in whole
// pixels.
func ParseSpot(s string) (Spot, error) {
	fields := strings.Fields(s)
	if len(fields) < 2 || strings.HasSuffix(fields[0], ",") || !strings.Contains(fields[0], ",") {
		r, err := ParseRect(s)
		return Spot{Rect: r}, err
	}
	if len(fields) < 3 {
		return Spot{}, fmt.Errorf("read outline: %q: expected three corners or more", s)
	}
	var corners [][2]int
	x0, y0, x1, y1 := math.MaxInt32, math.MaxInt32, 0, 0
	for _, f := range fields {
		xs, ys, ok := strings.Cut(f, ",")
		x, err1 := strconv.Atoi(xs)
		y, err2 := strconv.Atoi(ys)
		if !ok || err1 != nil || err2 != nil || x < 0 || y < 0 || x >= math.MaxInt32 || y >= math.MaxInt32 {
			return Spot{}, fmt.Errorf("read outline: %q: expected corners x,y in pixels, such as 120,80 160,80 140,120", s)
		}
		corners = append(corners, [2]int{x, y})
		x0, y0, x1, y1 = min(x0, x), min(y0, y), max(x1, x), max(y1, y)
	}
	if x1 == x0 || y1 == y0 {
		return Spot{}, fmt.Errorf("read outline: %q: it goes round nothing", s)
	}
	return Spot{Rect{x0, y0, x1 - x0, y1 - y0}, corners}, nil
}

// String prints "x,y,w,h", or the corners. [ParseSpot] reads it back.
func (p Spot) String() string {
	if len(p.Corners) == 0 {
		return p.Rect.String()
	}
	var b strings.Builder
	for i, c := range p.Corners {
		if i > 0 {
			b.WriteByte(' ')
		}
		fmt.Fprintf(&b, "%d,%d", c[0], c[1])
	}
	return b.String()
}

// Clock is a time of day in minutes after midnight, 0…1440.
type Clock int

// ParseClock reads "19:00", "9:30" or "24:00".
func ParseClock(s string) (Clock, error) {
	h, m, ok := strings.Cut(strings.TrimSpace(s), ":")
	hours, err1 := strconv.ParseUint(h, 10, 8)
	minutes, err2 := strconv.ParseUint(m, 10, 8)
	if !ok || err1 != nil || err2 != nil || len(m) != 2 || minutes > 59 || hours*60+minutes > 1440 {
		return 0, fmt.Errorf("read time of day: %q: expected a time such as 19:00", s)
	}
	return Clock(hours*60 + minutes), nil
}

// String prints "19:00". [ParseClock] reads it back.
func (c Clock) String() string { return fmt.Sprintf("%02d:%02d", int(c)/60, int(c)%60) }
