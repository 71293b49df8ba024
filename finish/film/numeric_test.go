package film

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"undercoat/palette/colour"
)

// doubled solves a film another way than the code does: a slab thin enough for
// its series, laid on itself until it has its thickness by the adding formula,
// in 200 bits. Reflectance over a ground and over black, and transmittance;
// error about 1e-14.
func doubled(k, v, g float64) (over, r0, tr float64) {
	num := func(x float64) *big.Float { return new(big.Float).SetPrec(200).SetFloat64(x) }
	add := func(a, b *big.Float) *big.Float { return num(0).Add(a, b) }
	sub := func(a, b *big.Float) *big.Float { return num(0).Sub(a, b) }
	mul := func(a, b *big.Float) *big.Float { return num(0).Mul(a, b) }
	div := func(a, b *big.Float) *big.Float { return num(0).Quo(a, b) }
	one, h, n := num(1), 1.0, 0
	for (k+v)*h > 1e-7 {
		h /= 2
		n++
	}
	x, y := mul(num(k), num(h)), mul(num(v), num(h))
	u := add(x, y)
	r := sub(y, mul(u, y))                                        // vh − uv h²
	t := add(sub(one, u), div(add(mul(u, u), mul(y, y)), num(2))) // 1 − uh + (u²+v²)h²/2
	for range n {
		d := sub(one, mul(r, r))
		r, t = add(r, div(mul(mul(t, t), r), d)), div(mul(t, t), d)
	}
	seen := add(r, div(mul(mul(t, t), num(g)), sub(one, mul(r, num(g)))))
	over, _ = seen.Float64()
	r0, _ = r.Float64()
	tr, _ = t.Float64()
	return over, r0, tr
}

// extreme draws an absorption or scattering from nothing to what no paint
// has.
func extreme(rng *rand.Rand) float64 {
	if rng.IntN(6) == 0 {
		return 0
	}
	return math.Pow(10, -9+12*rng.Float64())
}

// Independent numeric solution of the two-flux equations: films of every
// thickness, clear, lossless and black, over black, white and any ground.
func TestFilmAgainstDoubling(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 4))
	worst := 0.0
	for range 3000 {
		k, v := extreme(rng), extreme(rng)
		g := [...]float64{0, 1, rng.Float64(), rng.Float64()}[rng.IntN(4)]
		want, r0, tr := doubled(k, v, g)
		a, b := pane(k, v)
		for _, d := range []float64{a - r0, b - tr, over(k, v, g) - want} {
			worst = math.Max(worst, math.Abs(d))
		}
		if worst > 1e-10 {
			t.Fatalf("K %g S %g over %g: R0 %.12g T %.12g R %.12g, want %.12g %.12g %.12g", k, v, g, a, b, over(k, v, g), r0, tr, want)
		}
	}
	t.Logf("worst error %.1e", worst)
}

// The equation of a film on a ground, dR/dx = S − 2(K+S)R + S·R², integrated
// step by step (Runge–Kutta of the fourth order).
func TestFilmAgainstIntegration(t *testing.T) {
	rng := rand.New(rand.NewPCG(22, 4))
	for range 300 {
		k, s, x := 3*rng.Float64(), 3*rng.Float64(), 3*rng.Float64()
		switch rng.IntN(5) {
		case 0:
			k = 0
		case 1:
			s = 0
		}
		slope := func(r float64) float64 { return s - 2*(k+s)*r + s*r*r }
		g := rng.Float64()
		r := g
		const steps = 4000
		h := x / steps
		for range steps {
			a := slope(r)
			b := slope(r + h/2*a)
			c := slope(r + h/2*b)
			d := slope(r + h*c)
			r += h / 6 * (a + 2*b + 2*c + d)
		}
		near(t, "film", over(k*x, s*x, g), r, 1e-10)
	}
}

// The fluorescent film on a base, dR/dx = B − A·R − R·A + R·B·R, integrated
// step by step on three bands: thin, thick, with and without scattering, yield
// and carrier.
func TestGlowAgainstIntegration(t *testing.T) {
	rng := rand.New(rand.NewPCG(23, 4))
	const n = 3
	type small [n][n]float64
	mul := func(a, b small) (c small) {
		for i := range n {
			for j := range n {
				for k := range n {
					c[i][j] += a[i][k] * b[k][j]
				}
			}
		}
		return c
	}
	for i := range 60 {
		var g Glow
		var base colour.FluorescentSpectrum
		sum := 0.0
		for b := range n {
			g.Host[b], g.Scatter[b] = rng.Float64(), 2*rng.Float64()
			g.Dye.Excitation[b], g.Dye.Emission[b] = rng.Float64(), rng.Float64()
			sum += g.Dye.Emission[b]
			base[b] = rng.Float64()
			if i%4 == 1 {
				g.Scatter[b] = 0
			}
			if i%4 == 2 {
				g.Host[b] = 0
			}
		}
		for b := range n {
			g.Dye.Emission[b] /= sum
		}
		g.Strength, g.Dye.Yield = 3*rng.Float64(), []float64{0, 0.5, 1}[i%3]
		x := []float64{1e-4, 0.3, 1, 6}[rng.IntN(4)]
		a, b, _ := g.flows()
		var sa, sb, r small
		for p := range n {
			for q := range n {
				sa[p][q], sb[p][q] = a[p][q], b[p][q]
			}
			r[p][p] = base[p]
		}
		slope := func(r small) (d small) {
			ar, ra, rbr := mul(sa, r), mul(r, sa), mul(mul(r, sb), r)
			for p := range n {
				for q := range n {
					d[p][q] = sb[p][q] - ar[p][q] - ra[p][q] + rbr[p][q]
				}
			}
			return d
		}
		step := func(r, d small, h float64) small {
			for p := range n {
				for q := range n {
					r[p][q] += h * d[p][q]
				}
			}
			return r
		}
		const steps = 3000
		h := x / steps
		for range steps {
			k1 := slope(r)
			k2 := slope(step(r, k1, h/2))
			k3 := slope(step(r, k2, h/2))
			k4 := slope(step(r, k3, h))
			r = step(step(step(step(r, k1, h/6), k2, h/3), k3, h/3), k4, h/6)
		}
		look := g.Coats(x).Over(base)
		for p := range n {
			for q := range n {
				near(t, "glow", look.r[p][q], r[p][q], 1e-6)
			}
		}
	}
}

// Ends of a fluorescent film: none of it is the base; so much of it that the
// base is gone no longer depends on the base.
func TestGlowThinAndThick(t *testing.T) {
	for _, d := range DyeClasses() {
		white := FluorescentWhite()
		none := d.Glow.Coats(0).Over(white)
		var black colour.FluorescentSpectrum
		deep, over := d.Glow.Coats(1e5).Over(black), d.Glow.Coats(1e5).Over(white)
		for i := range bands {
			for j := range bands {
				want := 0.0
				if i == j {
					want = white[i]
				}
				near(t, d.Name+" none", none.r[i][j], want, 1e-12)
				if !(deep.r[i][j] >= -1e-12) {
					t.Fatalf("%s: %g at %d from %d", d.Name, deep.r[i][j], i, j)
				}
				near(t, d.Name+" deep", deep.r[i][j], over.r[i][j], 1e-6)
			}
		}
	}
}

// Black and white readings of films that are clear, lossless, thin or nearly
// hiding give back K and S; the words are those of the check values.
func TestBlackWhiteEnds(t *testing.T) {
	rng := rand.New(rand.NewPCG(24, 4))
	for range 20000 {
		kx, sx := math.Pow(10, -3+4*rng.Float64()), math.Pow(10, -3+4*rng.Float64())
		dark, light := 0.1*rng.Float64(), 0.6+0.4*rng.Float64()
		kind := rng.IntN(3)
		switch kind {
		case 0:
			kx = 0
		case 1:
			sx = 0
		}
		b, w := over(kx, sx, dark), over(kx, sx, light)
		if w-b < 1e-3 {
			continue // sixteen digits no longer tell such a film well
		}
		k, s, status := OfBlackWhite(b, w, dark, light)
		want := Good
		if sx == 0 {
			want = NoScatter
		}
		if status != want {
			t.Fatalf("K %g S %g over %g and %g: status %v, want %v (found %g, %g)", kx, sx, dark, light, status, want, k, s)
		}
		tol := 1e-12 / (w - b) // of readings rounded to doubles
		near(t, "K", k, kx, tol*math.Max(1, kx+sx)*10)
		near(t, "S", s, sx, tol*math.Max(1, kx+sx)*10)
	}
	for s, want := range map[Status]string{Good: "ok", OnlyRatio: "opaque_only_K_over_S", NoScatter: "no_scatter", KHeld: "K_clamped_to_0"} {
		if s.String() != want {
			t.Errorf("status %q, want %q", s, want)
		}
	}
	if k, _, s := OfBlackWhite(0.5, 0.9, 0, 0.8); s != KHeld || k != 0 {
		t.Errorf("more light out than in: K %g, %v", k, s)
	}
}

// A surface on and off: what is seen inside out and back again; no surface is
// no change, and every sound reading stays within 0…1.
func TestSurfaceEnds(t *testing.T) {
	for _, s := range []Surface{{}, Resin(), {K1: 0.03, K2: 0.65}, {K2: 0.6}, {K1: 0.1}} {
		last := -1.0
		for r := 0.0; r <= 1; r += 1.0 / 64 {
			m := s.Outside(r)
			near(t, "back inside", s.Inside(m), r, 1e-12)
			if m <= last || m < s.K1-1e-15 || m > 1+1e-15 {
				t.Errorf("%+v: %g seen as %g after %g", s, r, m, last)
			}
			last = m
			if s == (Surface{}) && m != r {
				t.Errorf("no surface changed %g to %g", r, m)
			}
		}
		near(t, "white stays white", s.Outside(1), 1, 1e-15)
	}
}

// Mixtures: a part of nothing changes nothing, one paint with itself is
// itself, and no parts at all are no film.
func TestMixEnds(t *testing.T) {
	rng := rand.New(rand.NewPCG(25, 4))
	for range 100 {
		a, b := randomFilm(rng), randomFilm(rng)
		a.X, b.X = 1, 1
		if Mix([]Film{a, b}, []float64{1, 0}) != Mix([]Film{a}, []float64{1}) {
			t.Fatal("no part of a paint changed a mixture")
		}
		same := Mix([]Film{a, a}, []float64{0.3, 0.7})
		m := Mix([]Film{a, b}, []float64{0.4, 0.6}).Masstone()
		for i := range m {
			near(t, "with itself", same.K[i], a.K[i], 1e-12*(1+a.K[i]))
			lo, hi := math.Min(a.Masstone()[i], b.Masstone()[i]), math.Max(a.Masstone()[i], b.Masstone()[i])
			if a.S[i] > 0 && b.S[i] > 0 && (m[i] < lo-1e-12 || m[i] > hi+1e-12) {
				t.Fatalf("a mixture at %g of paints at %g and %g", m[i], lo, hi)
			}
		}
	}
	g := Even(0.3)
	if got := Mix(nil, nil).Over(g); got != g {
		t.Errorf("no parts changed the ground to %v", got[0])
	}
}
