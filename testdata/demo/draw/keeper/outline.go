package keeper

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// point is a place on the figure or the canvas, y downwards.
type point struct{ X, Y float64 }

func (p point) add(q point) point     { return point{p.X + q.X, p.Y + q.Y} }
func (p point) sub(q point) point     { return point{p.X - q.X, p.Y - q.Y} }
func (p point) scale(k float64) point { return point{p.X * k, p.Y * k} }
func (p point) length() float64       { return math.Hypot(p.X, p.Y) }
func mix(p, q point, t float64) point { return p.scale(1 - t).add(q.scale(t)) }
func (p point) turned() point         { return point{-p.Y, p.X} }
func (p point) unit() point           { return p.scale(1 / math.Max(p.length(), 1e-12)) }
func along(p, q point, u, v float64) point {
	return mix(p, q, u).add(q.sub(p).unit().turned().scale(v))
}

// outline is a set of flattened lines; filled, each closes on itself.
type outline [][]point

// affine maps figure units to the canvas.
type affine struct{ XX, XY, YX, YY, DX, DY float64 }

func place(scale, dx, dy float64) affine { return affine{XX: scale, YY: scale, DX: dx, DY: dy} }

// mirrored flips the figure left to right before it is placed.
func (m affine) mirrored() affine { m.XX, m.YX = -m.XX, -m.YX; return m }

func (m affine) at(p point) point {
	return point{m.XX*p.X + m.XY*p.Y + m.DX, m.YX*p.X + m.YY*p.Y + m.DY}
}

func (m affine) size() float64 { return math.Sqrt(math.Abs(m.XX*m.YY - m.XY*m.YX)) }

func (o outline) placed(m affine) outline {
	out := make(outline, len(o))
	for i, l := range o {
		out[i] = make([]point, len(l))
		for j, p := range l {
			out[i][j] = m.at(p)
		}
	}
	return out
}

// trace reads an outline in a small language of absolute points:
//
//	M x y       begin a line
//	L x y …     straight on
//	C six…      cubic curve
//	R x y …     a smooth curve from here through the points (Catmull–Rom)
//	O x y …     a smooth closed loop through the points
//
// The texts are constants of this package, so a bad one panics.
func trace(d string) outline {
	var out outline
	var cur []point
	flush := func() {
		if len(cur) > 0 {
			out = append(out, cur)
		}
		cur = nil
	}
	for _, cmd := range commands(d) {
		pts := cmd.points
		switch cmd.verb {
		case 'M':
			flush()
			cur = append(cur, pts...)
		case 'L':
			cur = append(cur, pts...)
		case 'C':
			for i := 0; i+2 < len(pts); i += 3 {
				cur = append(cur, bezier(cur[len(cur)-1], pts[i], pts[i+1], pts[i+2])...)
			}
		case 'R':
			cur = append(cur, through(append([]point{cur[len(cur)-1]}, pts...))...)
		case 'O':
			flush()
			cur = loop(pts)
			flush()
		}
	}
	flush()
	return out
}

type command struct {
	verb   byte
	points []point
}

func commands(d string) []command {
	var out []command
	var nums []float64
	end := func() {
		if len(out) == 0 {
			return
		}
		last := &out[len(out)-1]
		for i := 0; i+1 < len(nums); i += 2 {
			last.points = append(last.points, point{nums[i], nums[i+1]})
		}
		nums = nil
	}
	for _, word := range strings.Fields(strings.ReplaceAll(d, ",", " ")) {
		if strings.Contains("MLCRO", word) {
			end()
			out = append(out, command{verb: word[0]})
			continue
		}
		v, err := strconv.ParseFloat(word, 64)
		if err != nil {
			panic(fmt.Sprintf("outline %q: %v", d, err))
		}
		nums = append(nums, v)
	}
	end()
	return out
}

const flat = 14 // straight pieces a curved piece becomes

func bezier(a, b, c, d point) []point {
	out := make([]point, 0, flat)
	for i := 1; i <= flat; i++ {
		t := float64(i) / flat
		s := 1 - t
		out = append(out, a.scale(s*s*s).add(b.scale(3*s*s*t)).add(c.scale(3*s*t*t)).add(d.scale(t*t*t)))
	}
	return out
}

// through gives a smooth line through the points, without the first.
func through(p []point) []point {
	var out []point
	for i := 0; i+1 < len(p); i++ {
		before, after := p[max(i-1, 0)], p[min(i+2, len(p)-1)]
		out = append(out, bezier(p[i], p[i].add(p[i+1].sub(before).scale(1.0/6)), p[i+1].sub(after.sub(p[i]).scale(1.0/6)), p[i+1])...)
	}
	return out
}

func loop(p []point) []point {
	n := len(p)
	var out []point
	for i := range p {
		a, b, c, d := p[(i+n-1)%n], p[i], p[(i+1)%n], p[(i+2)%n]
		out = append(out, bezier(b, b.add(c.sub(a).scale(1.0/6)), c.sub(d.sub(b).scale(1.0/6)), c)...)
	}
	return out
}

// ellipse is a closed ellipse turned by an angle in radians.
func ellipse(c point, rx, ry, turn float64) outline {
	const n = 48
	l := make([]point, n)
	sin, cos := math.Sincos(turn)
	for i := range l {
		s, k := math.Sincos(2 * math.Pi * float64(i) / n)
		x, y := rx*k, ry*s
		l[i] = point{c.X + x*cos - y*sin, c.Y + x*sin + y*cos}
	}
	return outline{l}
}

// ribbon is the outline of a line drawn with a width at each of its points.
func ribbon(mid []point, width func(t float64) float64) outline {
	n := len(mid)
	left, right := make([]point, n), make([]point, n)
	for i, p := range mid {
		d := mid[min(i+1, n-1)].sub(mid[max(i-1, 0)]).unit().turned().scale(width(float64(i)/float64(n-1)) / 2)
		left[i], right[n-1-i] = p.add(d), p.sub(d)
	}
	return outline{append(left, right...)}
}
