package rub

import (
	"cmp"
	"math"
	"slices"
)

// How light lies over a table: by how much it varies (standard deviation of its
// logarithm) and over what distance (shares of the picture's longer side), from a
// covered sky to a lamp close to the cloth. Which of them holds in a picture the
// clean part tells. Amount and tint (red and blue against green) have their own;
// common practice, no source.
var (
	amountVaries = []float64{0.03, 0.1, 0.3, 1}
	tintVaries   = []float64{0.01, 0.03, 0.1, 0.3}
	distances    = []float64{0.5, 1, 2}
)

const (
	// leastNoise is the least scatter taken for the mean of a part of a cloth,
	// as a share; an 8-bit picture is no better.
	leastNoise = 0.002
	// anyLevel is the prior standard deviation of the light's level about the
	// mean of the clean part: as good as nothing is known.
	anyLevel = 1
)

// point is a reading of one channel: where, and its logarithm.
type point struct{ x, y, v float64 }

// lit is the light over a cloth in one channel, as the logarithm of what a
// clean cloth reads there: a smooth random surface (Gaussian process) through
// the clean readings. Several are fitted, one for each way that light may vary,
// and weighted by how well each explains the clean part; where the clean part
// tells little, the prediction is wide.
//
// Source: Rasmussen, Williams (2006), Gaussian Processes for Machine Learning,
// chapter 2.
type lit struct {
	ways  []surfaceFit
	noise float64 // scatter of one reading about the light
}

// fitLight fits the light to clean readings. Readings far off it (a thread, a
// speck) are left out once.
func fitLight(points []point, varies []float64) lit {
	l := weigh(points, varies, roughNoise(points))
	limit := max(4*l.noise, 0.02)
	near := slices.DeleteFunc(slices.Clone(points), func(p point) bool { return math.Abs(p.v-l.at(p.x, p.y)) > limit })
	if len(near) < leastReadings || len(near) < len(points)*3/4 {
		near = points
	}
	return weigh(near, varies, l.scatter(near))
}

// roughNoise is the scatter of a reading about its two nearest neighbours.
func roughNoise(points []point) float64 {
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

// weigh fits every way light may vary and gives each the share its evidence
// earns.
func weigh(points []point, varies []float64, noise float64) lit {
	var l lit
	best := math.Inf(-1)
	for _, by := range varies {
		for _, over := range distances {
			f := fitSurface(points, by, over, noise)
			best = max(best, f.weight)
			l.ways = append(l.ways, f)
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
	l.noise = l.scatter(points)
	return l
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

// surfaceFit is the fit for one way of varying.
type surfaceFit struct {
	by, over float64
	points   []point
	mean     float64
	chol     [][]float64 // lower triangle of the readings' covariance
	alpha    []float64   // covariance⁻¹ (readings − mean)
	weight   float64     // first the logarithm of its evidence, then its share of all
}

// fitSurface solves for one way: algorithm 2.1 of the source.
func fitSurface(points []point, by, over, noise float64) surfaceFit {
	f := surfaceFit{by: by, over: over, points: points}
	n := len(points)
	for _, p := range points {
		f.mean += p.v / float64(n)
	}
	f.chol = make([][]float64, n)
	v := make([]float64, n)
	logDet := 0.0
	for i := range n {
		f.chol[i] = make([]float64, i+1)
		v[i] = points[i].v - f.mean
		for j := range i + 1 {
			sum := f.covariance(points[i].x, points[i].y, points[j])
			for k := range j {
				sum -= f.chol[i][k] * f.chol[j][k]
			}
			if i > j {
				f.chol[i][j] = sum / f.chol[j][j]
				continue
			}
			f.chol[i][i] = math.Sqrt(sum + noise*noise)
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
