package inventory

import "testing"

// A spot is a rectangle or an outline; both come back as they were written.
func TestParseSpot(t *testing.T) {
	for text, want := range map[string]Rect{
		"120,80,40,40": {120, 80, 40, 40}, "120,80 160,80 140,120": {120, 80, 40, 40}, "0,0 9,0 9,9 0,9": {0, 0, 9, 9},
	} {
		s, err := ParseSpot(text)
		if err != nil || s.Rect != want || s.String() != text {
			t.Errorf("%q: %v %q, %v; want %v", text, s.Rect, s, err, want)
		}
	}
	for _, bad := range []string{"", "1,2", "1,2 3,4", "1,1 2,1 3,1", "1,1 2,x 3,3", "1,1 -2,2 3,3", "0,0,0,9"} {
		if s, err := ParseSpot(bad); err == nil {
			t.Errorf("%q is read as %+v", bad, s)
		}
	}
}
