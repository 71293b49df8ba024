package palette

import "image"

// blocking says that a stored picture is pixelated: made of equal squares of
// side × side pixels, the first whole one at x0, y0. Side is 1 for an ordinary
// picture.
type blocking struct{ side, x0, y0 int }

// blocksOf finds the blocks of a pixelated picture by where brightness changes:
// in such a picture only at every side-th column and row.
func blocksOf(img image.Image) blocking {
	b := img.Bounds()
	w, h := b.Dx(), b.Dy()
	cols := columnChanges(img, w, h)
	var rows []int
	for side := min(64, w/8, h/8); side >= 2; side-- {
		x0, ok := everyNth(cols, side)
		if !ok {
			continue
		}
		if rows == nil {
			rows = rowChanges(img, w, h)
		}
		if y0, ok := everyNth(rows, side); ok {
			return blocking{side, x0, y0}
		}
	}
	return blocking{side: 1}
}

// columnChanges adds up the change of brightness from each column to the next,
// over about 48 rows.
func columnChanges(img image.Image, w, h int) []int {
	cols := make([]int, w)
	for y := 0; y < h; y += h/48 | 1 {
		last := storedLuma(img, 0, y)
		for x := 1; x < w; x++ {
			v := storedLuma(img, x, y)
			cols[x] += max(v-last, last-v)
			last = v
		}
	}
	return cols
}

// rowChanges does the same from each row to the next, over about 48 columns.
func rowChanges(img image.Image, w, h int) []int {
	rows := make([]int, h)
	for x := 0; x < w; x += w/48 | 1 {
		last := storedLuma(img, x, 0)
		for y := 1; y < h; y++ {
			v := storedLuma(img, x, y)
			rows[y] += max(v-last, last-v)
			last = v
		}
	}
	return rows
}

// blocksLeast is how many edges of blocks must show in each direction: a drawing
// of a few flat areas is not pixelated.
const blocksLeast = 12

// everyNth says whether at least two thirds of all change falls on one of n
// phases, and on which. In an ordinary picture each phase has one nth.
func everyNth(change []int, n int) (phase int, ok bool) {
	var sum, places [65]int
	total := 0
	for i, v := range change {
		sum[i%n] += v
		total += v
		if v > 0 {
			places[i%n]++
		}
	}
	for p := range n {
		if sum[p] > sum[phase] {
			phase = p
		}
	}
	return phase, places[phase] >= blocksLeast && 3*sum[phase] > 2*total
}

// storedLuma is about the stored brightness of a pixel, 0…255; 0 where clear.
func storedLuma(img image.Image, x, y int) int {
	switch m := img.(type) {
	case *image.YCbCr:
		return int(m.Y[y*m.YStride+x])
	case *image.Gray:
		return int(m.Pix[y*m.Stride+x])
	case *image.NRGBA:
		p := m.Pix[y*m.Stride+4*x:]
		if p[3] < opaqueFrom {
			return 0
		}
		return (2*int(p[0]) + 5*int(p[1]) + int(p[2])) / 8
	case *image.NRGBA64:
		p := m.Pix[y*m.Stride+8*x:]
		if p[6] < opaqueFrom {
			return 0
		}
		return (2*int(p[0]) + 5*int(p[2]) + int(p[4])) / 8
	}
	return 0
}
