package sheet

// face is a square of colour with its words, or a blank one for the real
// swatch where hex is "".
type face struct {
	hex  string
	runs []run
}

// faceOf is a swatch as a face.
func faceOf(s swatch) face {
	return face{s.Hex, []run{boldSmall(s.Label), belowRun(s.Words), belowRun(glued(s.Numbers))}}
}

// blankFace is a square to be filled by hand.
func blankFace(label, below string) face {
	return face{"", []run{boldSmall(label), belowRun(below)}}
}

// faces are squares side by side on neutral grey, by which an eye judges
// colours truly.
type faces struct {
	high   float64 // of the colour, in mm
	across int     // in a row; 0 takes all
	all    []face
}

func (f faces) perRow() int {
	if f.across > 0 {
		return f.across
	}
	return max(1, len(f.all))
}

func (f faces) draw(p *printer, x, y, w float64) float64 {
	const edge = 2.0
	n := f.perRow()
	each := (w - edge*float64(n+1)) / float64(n)
	var heights []float64
	total := edge
	for i := 0; i < len(f.all); i += n {
		h := 0.0
		for _, one := range f.all[i:min(i+n, len(f.all))] {
			h = max(h, p.captionHeight(one, each))
		}
		heights = append(heights, f.high+h+1.2)
		total += f.high + h + 1.2 + edge
	}
	if p.measuring {
		return total
	}
	p.fill("#808080")
	p.pdf.Rect(x, y, w, total, "F")
	top := y + edge
	for i, one := range f.all {
		p.face(one, x+edge+float64(i%n)*(each+edge), top, each, f.high, heights[i/n])
		if i%n == n-1 {
			top += heights[i/n] + edge
		}
	}
	return total
}

func (p *printer) captionHeight(f face, w float64) float64 {
	quiet := p.measuring
	p.measuring = true
	defer func() { p.measuring = quiet }()
	return p.flow(0, 0, w-2, false, f.runs...)
}

// face draws one square, its colour above its words; a blank one has its words
// at the foot, out of the swatch's way.
func (p *printer) face(f face, x, y, w, high, total float64) {
	p.fill("#ffffff")
	p.pdf.Rect(x, y, w, total, "F")
	if f.hex == "" {
		p.pdf.SetDashPattern([]float64{1, 1}, 0)
		p.pdf.Rect(x, y, w, total, "D")
		p.pdf.SetDashPattern(nil, 0)
	} else {
		p.fill(f.hex)
		p.pdf.Rect(x, y, w, high, "F")
	}
	p.flow(x+1, y+high+0.3, w-2, false, f.runs...)
}

// card is a frame around bits, never cut by the end of a page. One with a
// dashed frame is to be cut out.
type card struct {
	head, aside []run
	bits        []bit
	cut         bool
}

const cardPad = 2.5

func (c card) draw(p *printer, x, y, w float64) float64 {
	h := c.inside(p, x, y, w)
	c.frame(p, x, y, w, h)
	return h
}

// inside draws what stands in the frame and returns the height with the frame.
func (c card) inside(p *printer, x, y, w float64) float64 {
	top, in := y, w-2*cardPad
	y += 1.4
	if len(c.aside) == 0 {
		y += p.flow(x+cardPad, y, in, false, c.head...)
	} else {
		y += max(p.flow(x+cardPad, y, in*0.6, false, c.head...), p.flow(x+cardPad+in*0.62, y, in*0.38, true, c.aside...))
	}
	y += 0.6
	y += drawAll(p, c.bits, x+cardPad, y, in)
	return y + 1.6 - top
}

func (c card) frame(p *printer, x, y, w, h float64) {
	if p.measuring {
		return
	}
	if c.cut {
		p.pdf.SetDashPattern([]float64{2, 1.5}, 0)
		p.pdf.SetLineWidth(0.25)
	} else {
		p.pdf.SetLineWidth(0.45)
	}
	p.pdf.Rect(x, y, w, h, "D")
	p.pdf.SetDashPattern(nil, 0)
	p.pdf.SetLineWidth(0.2)
}

// cards are cards in rows of equal height.
type cards struct {
	across int
	all    []card
}

func (c cards) pieces() (bit, []bit) {
	var rows []bit
	for i := 0; i < len(c.all); i += c.across {
		rows = append(rows, cardRow{c.across, c.all[i:min(i+c.across, len(c.all))]})
	}
	return nil, rows
}

func (c cards) draw(p *printer, x, y, w float64) float64 {
	_, rows := c.pieces()
	return drawAll(p, rows, x, y, w)
}

type cardRow struct {
	across int
	all    []card
}

func (c cardRow) draw(p *printer, x, y, w float64) float64 {
	const apart = 3.0
	each := (w - apart*float64(c.across-1)) / float64(c.across)
	quiet, h := p.measuring, 0.0
	p.measuring = true
	for _, one := range c.all {
		h = max(h, one.inside(p, x, y, each))
	}
	p.measuring = quiet
	for i, one := range c.all {
		left := x + float64(i)*(each+apart)
		if !p.measuring {
			one.inside(p, left, y, each)
		}
		one.frame(p, left, y, each, h)
	}
	return h + apart
}
