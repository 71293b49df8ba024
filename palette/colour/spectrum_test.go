package colour

import (
	"math"
	"strings"
	"testing"
)

func TestNewReflectance(t *testing.T) {
	var s Spectrum
	for i := range s {
		s[i] = float64(i) / (Bands - 1)
	}
	r, err := NewReflectance(s)
	if err != nil || Spectrum(r) != s {
		t.Fatalf("a ramp: %v, %v", r, err)
	}
	for _, v := range []float64{-1e-9, 1 + 1e-9, math.NaN(), math.Inf(1)} {
		bad := s
		bad[17] = v
		if _, err := NewReflectance(bad); err == nil || !strings.Contains(err.Error(), "550 nm") {
			t.Errorf("%v at 550 nm: found %v", v, err)
		}
	}
	if Wavelength(0) != 380 || Wavelength(Bands-1) != LastNM || LastNM != 730 {
		t.Error("the grid is not 380…730 nm")
	}
}

func TestResample(t *testing.T) {
	var nm, v []float64
	for w := 400.0; w <= 700; w += 20 {
		nm, v = append(nm, w), append(v, w/1000)
	}
	s, err := Resample(nm, v)
	if err != nil {
		t.Fatal(err)
	}
	for i, got := range s {
		want := math.Min(math.Max(float64(Wavelength(i)), 400), 700) / 1000
		near(t, "straight line, level beyond its ends", got, want, 1e-12)
	}
	for _, c := range []struct {
		name  string
		nm, v []float64
		says  string
	}{
		{"nothing", nil, nil, "at least 2"},
		{"one value short", nm, v[1:], "as many"},
		{"too short", nm[:10], v[:10], "400…700"},
		{"not rising", append([]float64{400}, nm...), append([]float64{0}, v...), "rise"},
		{"a gap", []float64{380, 400, 450, 700}, []float64{0, 0, 0, 0}, "20 nm"},
		{"no number", nm, append([]float64{math.NaN()}, v[1:]...), "number"},
	} {
		if _, err := Resample(c.nm, c.v); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: found %v, expected %q in it", c.name, err, c.says)
		}
	}
}

// Sprague's formula keeps the tabulated points and gives back a polynomial of
// the fourth degree exactly inside the table (away from the end points, which
// it makes up itself).
func TestSprague(t *testing.T) {
	f := func(x float64) float64 { return 1 + x*(2+x*(-0.3+x*(0.04-x*0.002))) }
	var y []float64
	for i := range 12 {
		y = append(y, f(float64(5*i)))
	}
	fine := sprague5(y)
	if len(fine) != 56 {
		t.Fatalf("found %d values, expected 56", len(fine))
	}
	for i, got := range fine {
		if i%5 == 0 {
			near(t, "a tabulated point", got, y[i/5], 1e-9)
		} else if i > 10 && i < 45 {
			near(t, "between the points", got, f(float64(i)), 1e-9)
		}
	}
}

func TestNewFluorescence(t *testing.T) {
	var up, down FluorescentSpectrum
	up[15], up[16] = 2, 4     // 450, 460 nm
	down[21], down[22] = 3, 1 // 510, 520 nm
	f, err := NewFluorescence(up, down, 0.5)
	if err != nil {
		t.Fatal(err)
	}
	if f.Excitation[16] != 1 || f.Excitation[15] != 0.5 || f.Emission[21] != 0.75 || f.Peak() != 510 || f.Yield != 0.5 {
		t.Errorf("found %+v", f)
	}
	if (Fluorescence{}).Peak() != 0 {
		t.Error("the zero value has a peak")
	}
	if got := down.Visible(); got[13] != 3 || got[14] != 1 {
		t.Errorf("visible bands: found %v", got)
	}
	negative := up
	negative[3] = -1
	for name, c := range map[string]struct {
		up, down FluorescentSpectrum
		yield    float64
		says     string
	}{
		"yield above 1":  {up, down, 1.1, "yield"},
		"yield NaN":      {up, down, math.NaN(), "yield"},
		"negative":       {negative, down, 0.5, "330 nm"},
		"nothing taken":  {FluorescentSpectrum{}, down, 0.5, "noughts"},
		"nothing given":  {up, FluorescentSpectrum{}, 0.5, "noughts"},
		"endless, given": {up, FluorescentSpectrum{2: math.Inf(1)}, 0.5, "320 nm"},
	} {
		if _, err := NewFluorescence(c.up, c.down, c.yield); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: found %v, expected %q in it", name, err, c.says)
		}
	}
}
