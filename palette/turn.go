package palette

// turn is an EXIF orientation, 1…8: how the stored picture must be turned and
// mirrored to stand upright. The zero value means upright, as 1 does.
//
// Source: Exif 2.32 (CIPA DC-008-2019), tag 0112 "Orientation".
type turn uint8

// turns says whether anything has to be moved.
func (t turn) turns() bool { return t > 1 && t <= 8 }

// swaps says whether width and height change places.
func (t turn) swaps() bool { return t >= 5 && t <= 8 }

// size returns the upright size of a stored picture of w × h.
func (t turn) size(w, h int) (int, int) {
	if t.swaps() {
		return h, w
	}
	return w, h
}

// stored returns the place, in a stored picture of w × h, of the pixel that
// stands at x, y when upright.
func (t turn) stored(x, y, w, h int) (sx, sy int) {
	switch t {
	case 2: // mirrored left to right
		return w - 1 - x, y
	case 3: // upside down
		return w - 1 - x, h - 1 - y
	case 4: // mirrored top to bottom
		return x, h - 1 - y
	case 5: // mirrored about the falling diagonal
		return y, x
	case 6: // needs a quarter turn clockwise
		return y, h - 1 - x
	case 7: // mirrored about the rising diagonal
		return w - 1 - y, h - 1 - x
	case 8: // needs a quarter turn anticlockwise
		return w - 1 - y, x
	}
	return x, y
}

// step returns how the stored place moves when the upright place moves one
// column to the right.
func (t turn) step() (dx, dy int) {
	switch t {
	case 2, 3:
		return -1, 0
	case 5, 8:
		return 0, 1
	case 6, 7:
		return 0, -1
	}
	return 1, 0
}
