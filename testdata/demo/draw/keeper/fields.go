package keeper

import (
	"image"
	"math"
)

// blurred smooths a field by three running means, close to a Gaussian of the
// given standard deviation in pixels. Outside counts as 0 where dark, else as
// the edge's own value.
func (f field) blurred(sigma float64, dark bool) field {
	r := int(math.Round((math.Sqrt(4*sigma*sigma+1) - 1) / 2)) // three boxes of 2r+1
	if r < 1 || len(f.v) == 0 {
		return f
	}
	a, b := append([]float32(nil), f.v...), make([]float32, len(f.v))
	w, h := f.r.Dx(), f.r.Dy()
	for range 3 {
		for y := 0; y < h; y++ {
			box(b[y*w:], a[y*w:], w, 1, r, dark)
		}
		for x := 0; x < w; x++ {
			box(a[x:], b[x:], h, w, r, dark)
		}
	}
	return field{f.r, a}
}

// box is one running mean of n values a stride apart.
func box(dst, src []float32, n, stride, r int, dark bool) {
	get := func(i int) float64 {
		if dark && (i < 0 || i >= n) {
			return 0
		}
		return float64(src[min(max(i, 0), n-1)*stride])
	}
	sum := 0.0
	for i := -r; i <= r; i++ {
		sum += get(i)
	}
	k := 1 / float64(2*r+1)
	for i := 0; i < n; i++ {
		dst[i*stride] = float32(sum * k)
		sum += get(i+r+1) - get(i-r)
	}
}

// grown gives the field in a larger rectangle, 0 around it.
func (f field) grown(r image.Rectangle) field {
	out := newField(r)
	in := f.r.Intersect(r)
	for y := in.Min.Y; y < in.Max.Y; y++ {
		copy(out.row(y)[in.Min.X-r.Min.X:in.Max.X-r.Min.X], f.row(y)[in.Min.X-f.r.Min.X:])
	}
	return out
}

// depth gives each pixel's distance to the nearest pixel outside the mask
// (coverage below a half), by the lower envelope of parabolas
// (Felzenszwalb and Huttenlocher 2012).
func depth(mask field) field {
	w, h := mask.r.Dx(), mask.r.Dy()
	const far = 1e9
	d := make([]float64, w*h)
	for i, v := range mask.v {
		if v >= 0.5 {
			d[i] = far
		}
	}
	n := max(w, h)
	e := envelope{make([]float64, n), make([]float64, n), make([]int, n), make([]float64, n+1)}
	for x := 0; x < w; x++ {
		e.pass(d[x:], h, w)
	}
	for y := 0; y < h; y++ {
		e.pass(d[y*w:], w, 1)
	}
	out := newField(mask.r)
	for i, v := range d {
		out.v[i] = float32(math.Sqrt(math.Min(v, far)))
	}
	return out
}

type envelope struct {
	f, out []float64
	at     []int
	from   []float64
}

func (e envelope) pass(d []float64, n, stride int) {
	for i := 0; i < n; i++ {
		e.f[i] = d[i*stride]
	}
	k := 0
	e.at[0], e.from[0], e.from[1] = 0, math.Inf(-1), math.Inf(1)
	for q := 1; q < n; q++ {
		s := e.meet(q, e.at[k])
		for s <= e.from[k] {
			k--
			s = e.meet(q, e.at[k])
		}
		k++
		e.at[k], e.from[k], e.from[k+1] = q, s, math.Inf(1)
	}
	k = 0
	for q := 0; q < n; q++ {
		for e.from[k+1] < float64(q) {
			k++
		}
		c := float64(q - e.at[k])
		d[q*stride] = c*c + e.f[e.at[k]]
	}
}

func (e envelope) meet(q, p int) float64 {
	return (e.f[q] - e.f[p] + float64(q*q-p*p)) / float64(2*(q-p))
}

// noise is smooth value noise in −1…1, the same for the same place and seed.
func noise(x, y float64, seed uint32) float64 {
	fx, fy := math.Floor(x), math.Floor(y)
	u, v := fade(x-fx), fade(y-fy)
	ix, iy := int32(fx), int32(fy)
	a := lerp(speck(ix, iy, seed), speck(ix+1, iy, seed), u)
	b := lerp(speck(ix, iy+1, seed), speck(ix+1, iy+1, seed), u)
	return lerp(a, b, v)
}

// cloud sums noise over octaves, about −1…1.
func cloud(x, y float64, octaves int, seed uint32) float64 {
	sum, amp, all := 0.0, 1.0, 0.0
	for i := range octaves {
		sum += amp * noise(x, y, seed+uint32(i)*101)
		all += amp
		x, y, amp = x*2.03+17.1, y*2.03-9.7, amp*0.5
	}
	return sum / all
}

// speck is white noise in −1…1, one value a cell.
func speck(x, y int32, seed uint32) float64 {
	h := uint32(x)*0x8da6b343 ^ uint32(y)*0xd8163841 ^ seed*0xcb1ab31f
	h ^= h >> 15
	h *= 0x2c1b3c6d
	h ^= h >> 12
	h *= 0x297a2d39
	h ^= h >> 15
	return float64(h)/float64(math.MaxUint32)*2 - 1
}

func fade(t float64) float64       { return t * t * (3 - 2*t) }
func lerp(a, b, t float64) float64 { return a + (b-a)*t }

// smooth rises from 0 at a to 1 at b (or falls, where b < a).
func smooth(a, b, x float64) float64 { return fade(math.Min(math.Max((x-a)/(b-a), 0), 1)) }

func sqrt32(v float32) float32 { return float32(math.Sqrt(float64(v))) }
