package colour

import "math"

// Difference76 returns ΔE*ab, the straight distance of two CIELAB colours, as
// the grey scales of ISO 105 use it. NaN gives NaN.
//
// Source: ISO/CIE 11664-4.
func Difference76(a, b Lab) float64 {
	l, x, y := a.L-b.L, a.A-b.A, a.B-b.B
	return math.Sqrt(l*l + x*x + y*y)
}

// Difference returns the CIEDE2000 colour difference ΔE00 of two CIELAB
// colours under the same light and observer (L* 0…100), with kL = kC = kH = 1:
// about 1 is just seen side by side, 2 to 3 an ordinary commercial limit
// (common practice, no source). The order of the arguments does not matter;
// equal colours give 0; NaN gives NaN. It is no metric: the way round by a
// third colour may be shorter.
//
// Source: ISO/CIE 11664-6; checked with all 34 pairs of Sharma, Wu and Dalal
// (2005), table 1, to 5e-5, and with the textbook form to 1e-12.
func Difference(a, b Lab) float64 { return math.Sqrt(differenceSquared(a, b)) }

const sevenfold25 = 25.0 * 25 * 25 * 25 * 25 * 25 * 25 // 25⁷

// The constant angles of T, eq. 15: cosines and sines of 30°, 6°, 63°.
const (
	cos30, sin30 = 0.86602540378443864676, 0.5
	cos6, sin6   = 0.99452189536827333692, 0.10452846326765347140
	cos63, sin63 = 0.45399049973954679156, 0.89100652418836786236
)

// differenceSquared is ΔE00², equations as numbered by Sharma, Wu and Dalal
// (2005). Angles are kept as vectors: only the rotation term needs one, and
// only where it is not nought in double precision.
func differenceSquared(p, q Lab) float64 {
	c1, c2 := math.Sqrt(p.A*p.A+p.B*p.B), math.Sqrt(q.A*q.A+q.B*q.B) // eq. 2
	stretch := 1.5 - 0.5*chromaShare((c1+c2)/2)                      // 1+G, eq. 3, 4
	a1, a2 := stretch*p.A, stretch*q.A                               // eq. 5
	b1, b2 := p.B, q.B
	c1, c2 = math.Sqrt(a1*a1+b1*b1), math.Sqrt(a2*a2+b2*b2) // eq. 6
	cos, sin, dh := meanHue(a1, b1, c1, a2, b2, c2)

	cm := (c1 + c2) / 2                                // eq. 13
	cos2, sin2 := cos*cos-sin*sin, 2*cos*sin           // of twice the mean hue
	cos3, sin3 := cos2*cos-sin2*sin, sin2*cos+cos2*sin // thrice
	cos4, sin4 := cos2*cos2-sin2*sin2, 2*cos2*sin2     // four times
	t := 1 - 0.17*(cos*cos30+sin*sin30) + 0.24*cos2 +  // eq. 15
		0.32*(cos3*cos6-sin3*sin6) - 0.20*(cos4*cos63+sin4*sin63)

	l := (p.L+q.L)/2 - 50
	l *= l
	dl := (q.L - p.L) / (1 + 0.015*l/math.Sqrt(20+l))           // ΔL′/SL, eq. 8, 18
	dc := (c2 - c1) / (1 + 0.045*cm)                            // ΔC′/SC, eq. 9, 19
	dh /= 1 + 0.015*cm*t                                        // ΔH′/SH, eq. 20
	return dl*dl + dc*dc + dh*dh + rotation(cos, sin, cm)*dc*dh // eq. 22
}

// chromaShare is √(C⁷/(C⁷+25⁷)).
func chromaShare(c float64) float64 {
	c2 := c * c
	c7 := c2 * c2 * c2 * c
	return math.Sqrt(c7 / (c7 + sevenfold25))
}

// meanHue returns cosine and sine of the mean hue h̄′ (eq. 14) and ΔH′
// (eq. 10, 11) of two vectors (a, b) of length c.
//
// The mean hue is the direction of the sum of the two unit vectors; beyond
// 90° apart it is taken from their difference, turned by 90°, where the sum
// grows short. Multiplying both by c1·c2 saves dividing. Exactly opposite
// hues have no shorter side: there the rule |h1′−h2′| ≤ 180° takes the plain
// mean of the two angles in [0, 360).
func meanHue(a1, b1, c1, a2, b2, c2 float64) (cos, sin, dh float64) {
	if c1 == 0 || c2 == 0 { // no hue: the other's counts, eq. 7, 14
		c := c1 + c2
		if c == 0 {
			return 1, 0, 0
		}
		return (a1 + a2) / c, (b1 + b2) / c, 0
	}
	dot := a1*a2 + b1*b2
	// The conversions forbid a fused multiply-add, so that exactly opposite
	// vectors have exactly no cross product on every machine.
	cross := float64(a1*b2) - float64(a2*b1)
	cc := c1 * c2
	if dot >= 0 {
		x, y := a1*c2+a2*c1, b1*c2+b2*c1
		n := 1 / math.Sqrt(2*cc*(cc+dot))
		return x * n, y * n, cross * math.Sqrt(2/(cc+dot))
	}
	side := math.Copysign(1, cross)
	if cross == 0 {
		side = oppositeSide(a1, b1)
	}
	x, y := side*(b2*c1-b1*c2), side*(a1*c2-a2*c1)
	n := 1 / math.Sqrt(2*cc*(cc-dot))
	return x * n, y * n, side * math.Sqrt(2*(cc-dot))
}

// oppositeSide returns +1 where of two opposite hues the first has the
// smaller angle in [0, 360), and −1 where the second has.
func oppositeSide(a1, b1 float64) float64 {
	if b1 > 0 || b1 == 0 && a1 > 0 {
		return 1
	}
	return -1
}

// rotation is R_T, eq. 16, 17, 21. From 0° up to 119° the exponential is below
// 2e-17 and the term nought in double precision. The distance from 275° is
// not wrapped: hue is in [0, 360) for it.
func rotation(cos, sin, cm float64) float64 {
	if sin >= 0 && cos > -0.484 {
		return 0
	}
	u := (degrees(cos, sin) - 275) / 25
	return -2 * chromaShare(cm) * math.Sin(math.Pi/3*math.Exp(-u*u))
}
