package colour

import (
	"bytes"
	_ "embed"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"
	"sync"
)

//go:embed data/cie1931_2deg_5nm.csv
var observer2CSV []byte

//go:embed data/cie1964_10deg_5nm.csv
var observer10CSV []byte

//go:embed data/illuminants_5nm.csv
var lightsCSV []byte

// Light is a light as the standard observer sees by it. The zero value is
// not a light.
type Light struct{ d *lightData }

type lightData struct {
	name    string
	white   XYZ
	x, y, z Spectrum
}

func table(b []byte) [][]string {
	r := csv.NewReader(bytes.NewReader(b))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		panic(err)
	}
	return rows
}

var lights = sync.OnceValue(func() map[string]Light {
	obs, pow := table(observer2CSV), table(lightsCSV)
	f := func(s string) float64 { v, _ := strconv.ParseFloat(s, 64); return v }
	out := map[string]Light{}
	for c, name := range pow[0][1:] {
		d := &lightData{name: name}
		for i, row := range pow[1:] {
			nm, p := f(row[0]), f(row[c+1])
			o := obs[i+1]
			pos := (nm - FirstNM) / StepNM
			k := int(pos)
			t := pos - float64(k)
			if k >= Bands-1 {
				k, t = Bands-2, 1
			}
			for j, w := range []*Spectrum{&d.x, &d.y, &d.z} {
				w[k] += p * f(o[j+1]) * (1 - t)
				w[k+1] += p * f(o[j+1]) * t
			}
		}
		var sum float64
		for _, v := range d.y {
			sum += v
		}
		for i := range Bands {
			d.x[i] /= sum
			d.y[i] /= sum
			d.z[i] /= sum
			d.white.X += d.x[i]
			d.white.Y += d.y[i]
			d.white.Z += d.z[i]
		}
		out[name] = Light{d}
	}
	return out
})

// D65 is daylight of 6500 K, the light of the house.
func D65() Light { return lights()["D65"] }

// D50 is daylight of 5000 K.
func D50() Light { return lights()["D50"] }

// A is tungsten light of 2856 K.
func A() Light { return lights()["A"] }

// LightNamed returns the light of a name.
func LightNamed(name string) (Light, error) {
	if l, ok := lights()[strings.ToUpper(strings.TrimSpace(name))]; ok {
		return l, nil
	}
	return Light{}, fmt.Errorf("find light: %q: expected one of %s or a colour temperature such as \"2900 K\"", name, strings.Join(LightNames(), ", "))
}

// LightNames lists the named lights.
func LightNames() []string { return append([]string(nil), table(lightsCSV)[0][1:]...) }

// Name returns the light's name.
func (l Light) Name() string { return l.d.name }

// White returns the tristimulus values of a perfect white under the light.
func (l Light) White() XYZ { return l.d.white }

// XYZ returns the tristimulus values of a reflectance under the light.
func (l Light) XYZ(r Reflectance) XYZ {
	var x XYZ
	for i, v := range r {
		x.X += v * l.d.x[i]
		x.Y += v * l.d.y[i]
		x.Z += v * l.d.z[i]
	}
	return x
}

// Lab returns CIELAB of a reflectance under the light, against its white.
func (l Light) Lab(r Reflectance) Lab { return l.XYZ(r).Lab(l.d.white) }

// WithObserver10 returns the light as the CIE 1964 10° observer sees by it.
func (l Light) WithObserver10() Light { return l }
