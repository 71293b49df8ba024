package colour

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// Light is a light as a standard observer sees by it: what it takes to turn a
// reflectance into tristimulus values is one dot product. Immutable and cheap
// to copy; two lights of one name and observer are equal under ==. The zero
// value is not a light: its Name is empty and it can light nothing.
type Light struct{ d *lightData }

// lightData is shared by every Light of one name and observer.
type lightData struct {
	name     string
	observer Observer
	white    XYZ
	weights  [Bands][3]float64            // of X, Y, Z; the sum over the bands is white
	power    FluorescentSpectrum          // relative power × nm in each band
	seen     [FluorescentBands][3]float64 // XYZ of one unit of power in each band
}

// D65 returns CIE standard illuminant D65, average daylight: the light of the
// house, meant wherever no other is named. Its weights are turned so that the
// perfect white has exactly the white of IEC 61966-2-1 (x = 0.3127,
// y = 0.3290), hence a* = b* = 0 for white and the same Lab for a hex and for
// the reflectance recovered from it; the plain integral gives (0.95047, 1,
// 1.08883) and differs from this by 2e-4.
func D65() Light { return lightD65() }

// D50 returns CIE illuminant D50, the daylight of the printing trade.
func D50() Light { return lightD50() }

// A returns CIE standard illuminant A, a tungsten lamp at 2856 K.
func A() Light { return lightA() }

var (
	lightD65 = sync.OnceValue(func() Light { return internLight(lightKey{name: "D65"}) })
	lightD50 = sync.OnceValue(func() Light { return internLight(lightKey{name: "D50"}) })
	lightA   = sync.OnceValue(func() Light { return internLight(lightKey{name: "A"}) })
	lightC   = sync.OnceValue(func() Light { return internLight(lightKey{name: "C"}) })
)

// The range of colour temperatures accepted as a light's name, in kelvin.
const (
	coolestLamp     = 1000
	warmestDaylight = 4000
	bluestDaylight  = 25000
)

// LightNamed returns a light by its CIE name ("D65", "FL2", "LED-B3", case
// and surrounding blanks ignored; see LightNames) or by colour temperature in
// whole kelvin ("2900", "2900 K"): below 4000 K a Planckian radiator, as
// tungsten and halogen lamps are, from there to 25000 K a phase of CIE
// daylight. The observer is the 1931 one. An unknown name is an error that
// lists what is known.
//
// Source: CIE 015:2018.
func LightNamed(name string) (Light, error) {
	key := strings.ToUpper(strings.TrimSpace(name))
	if slices.Contains(LightNames(), key) {
		return internLight(lightKey{name: key}), nil
	}
	if k, err := strconv.Atoi(strings.TrimSpace(strings.TrimSuffix(key, "K"))); err == nil {
		if k < coolestLamp || k > bluestDaylight {
			return Light{}, fmt.Errorf("find light: %q: expected %d to %d kelvin", name, coolestLamp, bluestDaylight)
		}
		return internLight(lightKey{name: fmt.Sprintf("%d K", k), kelvin: k}), nil
	}
	return Light{}, fmt.Errorf("find light: %q: expected one of %s, or kelvin such as \"2900 K\"", name, strings.Join(LightNames(), ", "))
}

// LightNames returns the CIE names known to LightNamed, in a fixed order.
func LightNames() []string {
	return append([]string{"A"}, lightTable().header[1:]...)
}

// Name returns the light's name as LightNamed reads it: "D65", "2900 K";
// empty for the zero Light.
func (l Light) Name() string {
	if l.d == nil {
		return ""
	}
	return l.d.name
}

// Observer returns the standard observer who sees by the light.
func (l Light) Observer() Observer { return l.data().observer }

// WithObserver10 returns the same light for the CIE 1964 10° observer, as the
// textile standards use it.
func (l Light) WithObserver10() Light {
	d := l.data()
	return internLight(lightKey{name: d.name, kelvin: kelvinOf(d.name), observer: Observer1964})
}

// White returns the tristimulus values of the perfect white, Y = 1.
func (l Light) White() XYZ { return l.data().white }

// XYZ returns the tristimulus values of a reflectance under the light, scaled
// so that the perfect white has Y = 1.
func (l Light) XYZ(r Reflectance) XYZ {
	d := l.data()
	var x, y, z float64
	for i := range d.weights {
		w := &d.weights[i]
		x += r[i] * w[0]
		y += r[i] * w[1]
		z += r[i] * w[2]
	}
	return XYZ{x, y, z}
}

// Lab returns the CIELAB colour of a reflectance under the light, against the
// light's own white. No adaptation is involved.
func (l Light) Lab(r Reflectance) Lab { return l.XYZ(r).Lab(l.data().white) }

// Weights returns the numbers by which XYZ multiplies a reflectance, band by
// band; each sums to the white. A mixture search can apply them itself.
func (l Light) Weights() (x, y, z Spectrum) {
	for i, w := range l.data().weights {
		x[i], y[i], z[i] = w[0], w[1], w[2]
	}
	return x, y, z
}

// Power returns the light's relative power × nm in each band of the
// fluorescent grid, each band weighted by its triangle. Below 380 nm it is
// computed for A, Planckian lights and daylight and 0 for the others, whose
// tables begin there: the ultraviolet lines of a fluorescent tube are missing.
func (l Light) Power() FluorescentSpectrum { return l.data().power }

// Seen returns the tristimulus values of power leaving a surface, in the unit
// of Power, reflected and emitted together: a band is weighed like a
// reflectance of leaving over arriving power, and where the light itself has
// no power, by the observer directly. Power leaving below 380 nm is unseen.
// Seen(Power()) is the white; a fluorescent surface may have Y above 1.
func (l Light) Seen(leaving FluorescentSpectrum) XYZ {
	d := l.data()
	var t XYZ
	for i, p := range leaving {
		t.X += p * d.seen[i][0]
		t.Y += p * d.seen[i][1]
		t.Z += p * d.seen[i][2]
	}
	return t
}

func (l Light) data() *lightData {
	if l.d == nil {
		panic("colour: the zero Light lights nothing; use D65() or LightNamed")
	}
	return l.d
}

// lightKey names a light and observer; kelvin is 0 for the CIE's named ones.
type lightKey struct {
	name     string
	kelvin   int
	observer Observer
}

// lightsMade keeps every light made so far, so that each is computed once and
// one name gives one value. What it holds follows from the key alone.
var lightsMade sync.Map // lightKey → Light

func internLight(k lightKey) Light {
	if l, ok := lightsMade.Load(k); ok {
		return l.(Light)
	}
	l, _ := lightsMade.LoadOrStore(k, Light{computeLight(k)})
	return l.(Light)
}

func kelvinOf(name string) int {
	k, _ := strconv.Atoi(strings.TrimSuffix(name, " K"))
	return k
}

// screenWeights are the D65 weights in linear RGB: each sums to 1.
var screenWeights = sync.OnceValue(func() *[Bands][3]float64 {
	w := new([Bands][3]float64)
	for i, v := range D65().data().weights {
		c := XYZ{v[0], v[1], v[2]}.LinearRGB()
		w[i] = [3]float64{c.R, c.G, c.B}
	}
	return w
})
