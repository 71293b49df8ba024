package rub

import (
	"cmp"
	"math"
	"slices"
)

// How light lies over a table: by how much it varies (standard deviation of its
// logarithm) and over what distance (shares of the picture's longer side), from a
// covered sky to a lamp close to the cloth. Which of them holds in a picture the
// readings tell. Amount and tint (red and blue against green) have their own;
// common practice, no source.
var (
	amountVaries = []float64{0.03, 0.1, 0.3, 1}
	tintVaries   = []float64{0.01, 0.03, 0.1, 0.3}
	distances    = []float64{0.5, 1, 2}
	stainVaries  = []float64{0.005, 0.03, 0.1} // how uneven a stain is by itself, over half its own size
)

const (
	// leastNoise is the least scatter taken for the mean of a part of a cloth,
	// as a share; an 8-bit picture is no better.
	leastNoise = 0.002
	// anyLevel is the prior standard deviation of the light's level about the
	// mean of the clean part: as good as nothing is known.
	anyLevel = 1
)

// point is a reading of one channel: where, its logarithm, and whether it is
// of the stain.
type point struct {
	x, y, v float64
	stain   bool
}

// lit is the light over a cloth in one channel, as the logarithm of what a
// clean cloth reads there: a smooth random surface (Gaussian process) through
// the clean readings. The stained readings lie lower by a step of any height, which
// is fitted with it, so that the slope of the light across the stain counts too; a
// stain may be uneven by itself. Several are fitted, one for each way that light
// and stain may vary, and weighted by how well each explains the readings; where
// they tell little, the prediction is wide.
//
// Source: Rasmussen, Williams (2006), Gaussian Processes for Machine Learning,
// chapter 2.
type lit struct {
	ways  []surfaceFit
	noise float64 // scatter of one reading about the light
}

// fitLight fits the light to clean and stained readings. Clean readings far off
// it (a thread, a speck) are left out once.
func fitLight(points []point, varies []float64) lit {
	clean, stain := byKind(points)
	l := weigh(points, varies, roughNoise(clean), roughNoise(stain))
	limit := max(4*l.noise, 0.02)
	near := slices.DeleteFunc(slices.Clone(clean), func(p point) bool { return math.Abs(p.v-l.at(p.x, p.y)) > limit })
	if len(near) < leastReadings || len(near) < len(clean)*3/4 {
		near = clean
	}
	return weigh(append(near[:len(near):len(near)], stain...), varies, l.scatter(near), roughNoise(stain))
}

func byKind(points []point) (clean, stain []point) {
	for _, p := range points {
		if p.stain {
			stain = append(stain, p)
		} else {
			clean = append(clean, p)
		}
	}
	return clean, stain
}

// roughNoise is the scatter of a reading about its two nearest neighbours; of
// fewer than three readings the least there is.
func roughNoise(points []point) float64 {
	if len(points) < 3 {
		return leastNoise
	}
	sum := 0.0
	for i, p := range points {
		others := slices.Delete(slices.Clone(points), i, i+1)
		slices.SortFunc(others, func(a, b point) int {
			return cmp.Compare(math.Hypot(a.x-p.x, a.y-p.y), math.Hypot(b.x-p.x, b.y-p.y))
		})
		sum += sq(p.v - (others[0].v+others[1].v)/2)
	}
	return max(leastNoise, math.Sqrt(sum/float64(len(points))/1.5)) // the mean of two adds half of its variance
}

// weigh fits every way light and stain may vary and gives each the share its
// evidence earns.
func weigh(points []point, varies []float64, noise, stainNoise float64) lit {
	var l lit
	best := math.Inf(-1)
	clean, stain := byKind(points)
	for _, by := range varies {
		for _, over := range distances {
			for _, own := range stainVaries {
				f := fitSurface(points, variation{by: by, over: over, own: own, size: reach(stain) / 2}, noise, stainNoise)
				best = max(best, f.weight)
				l.ways = append(l.ways, f)
			}
		}
	}
	sum := 0.0
	for i := range l.ways {
		l.ways[i].weight = math.Exp(l.ways[i].weight - best)
		sum += l.ways[i].weight
	}
	for i := range l.ways {
		l.ways[i].weight /= sum
	}
	l.noise = l.scatter(clean)
	return l
}

// reach is the longer side of what the points cover, not below a twentieth of
// the picture.
func reach(points []point) float64 {
	side := func(at func(point) float64) float64 {
		low, high := math.Inf(1), math.Inf(-1)
		for _, p := range points {
			low, high = min(low, at(p)), max(high, at(p))
		}
		return high - low
	}
	return max(0.05, side(func(p point) float64 { return p.x }), side(func(p point) float64 { return p.y }))
}

// at is the logarithm of what a clean cloth would read at a place.
func (l lit) at(x, y float64) float64 {
	sum := 0.0
	for _, f := range l.ways {
		sum += f.weight * f.at(x, y)
	}
	return sum
}

// doubt is the standard deviation of [lit.at]: within each way, and between
// them.
func (l lit) doubt(x, y float64) float64 {
	m, sum := l.at(x, y), 0.0
	for _, f := range l.ways {
		sum += f.weight * (f.variance(x, y) + sq(f.at(x, y)-m))
	}
	return math.Sqrt(sum)
}

// scatter is the root mean square distance of the readings from the light, not
// below what an 8-bit picture can tell.
func (l lit) scatter(points []point) float64 {
	sum := 0.0
	for _, p := range points {
		sum += sq(p.v - l.at(p.x, p.y))
	}
	return max(leastNoise, math.Sqrt(sum/float64(max(1, len(points)-3))))
}

// variation is one way light and stain may vary: the light by so much over such
// a distance, the stain by itself likewise.
type variation struct{ by, over, own, size float64 }

// surfaceFit is the fit for one way of varying.
type surfaceFit struct {
	variation
	points []point
	mean   float64
	chol   [][]float64 // lower triangle of the readings' covariance
	alpha  []float64   // covariance⁻¹ (readings − mean)
	weight float64     // first the logarithm of its evidence, then its share of all
}

// fitSurface solves for one way: algorithm 2.1 of the source.
func fitSurface(points []point, vary variation, noise, stainNoise float64) surfaceFit {
	f := surfaceFit{variation: vary, points: points}
	n := len(points)
	clean, _ := byKind(points)
	for _, p := range clean {
		f.mean += p.v / float64(len(clean))
	}
	f.chol = make([][]float64, n)
	v := make([]float64, n)
	logDet := 0.0
	for i := range n {
		f.chol[i] = make([]float64, i+1)
		v[i] = points[i].v - f.mean
		scatter := noise
		if points[i].stain {
			scatter = stainNoise
		}
		for j := range i + 1 {
			sum := f.between(points[i], points[j])
			for k := range j {
				sum -= f.chol[i][k] * f.chol[j][k]
			}
			if i > j {
				f.chol[i][j] = sum / f.chol[j][j]
				continue
			}
			f.chol[i][i] = math.Sqrt(sum + scatter*scatter)
			logDet += 2 * math.Log(f.chol[i][i])
		}
	}
	f.alpha = f.backward(f.forward(v))
	fits := 0.0
	for i := range n {
		fits += v[i] * f.alpha[i]
	}
	f.weight = -0.5 * (fits + logDet) // equation 2.30, without what is the same for all
	return f
}

// covariance is that of the light at a place and at a reading: the level, and
// a squared exponential (equation 2.31).
func (f surfaceFit) covariance(x, y float64, p point) float64 {
	return anyLevel*anyLevel + f.by*f.by*math.Exp(-(sq(x-p.x)+sq(y-p.y))/(2*f.over*f.over))
}

// between is the covariance of two readings: of the light, and where both are of
// the stain of its step and its own unevenness.
func (f surfaceFit) between(p, q point) float64 {
	c := f.covariance(p.x, p.y, q)
	if p.stain && q.stain {
		c += anyLevel*anyLevel + f.own*f.own*math.Exp(-(sq(p.x-q.x)+sq(p.y-q.y))/(2*f.size*f.size))
	}
	return c
}

// at is equation 2.25.
func (f surfaceFit) at(x, y float64) float64 {
	sum := f.mean
	for i, p := range f.points {
		sum += f.covariance(x, y, p) * f.alpha[i]
	}
	return sum
}

// variance is equation 2.26.
func (f surfaceFit) variance(x, y float64) float64 {
	k := make([]float64, len(f.points))
	for i, p := range f.points {
		k[i] = f.covariance(x, y, p)
	}
	sum := anyLevel*anyLevel + f.by*f.by
	for _, v := range f.forward(k) {
		sum -= v * v
	}
	return max(sum, 0)
}

// forward solves L z = v.
func (f surfaceFit) forward(v []float64) []float64 {
	z := make([]float64, len(v))
	for i := range v {
		z[i] = v[i]
		for k := range i {
			z[i] -= f.chol[i][k] * z[k]
		}
		z[i] /= f.chol[i][i]
	}
	return z
}

// backward solves Lᵀ z = v.
func (f surfaceFit) backward(v []float64) []float64 {
	z := make([]float64, len(v))
	for i := len(v) - 1; i >= 0; i-- {
		z[i] = v[i]
		for k := i + 1; k < len(v); k++ {
			z[i] -= f.chol[k][i] * z[k]
		}
		z[i] /= f.chol[i][i]
	}
	return z
}
