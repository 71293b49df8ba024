package film

import (
	"math"
	"testing"

	"undercoat/palette/colour"
)

// toy lays the two or three bands of a published-by-hand case into the first
// bands of the grid; the rest neither absorb nor scatter.
func toy(r row) (Glow, colour.FluorescentSpectrum, int) {
	var g Glow
	var base colour.FluorescentSpectrum
	host, s, kf, e, rg := r.list("K_host"), r.list("S"), r.list("K_fluor"), r.list("emission_photon_fractions"), r.list("Rg")
	for i := range host {
		g.Host[i], g.Scatter[i] = host[i], s[i]
		g.Dye.Excitation[i], g.Dye.Emission[i] = kf[i], e[i]
		base[i] = rg[i]
	}
	g.Strength, g.Dye.Yield = 1, r.num("phi")
	return g, base, len(host)
}

// Exact: 60-digit matrix exponentials of two- and three-band layers.
// Tolerance 1e-6.
func TestGlowToyExact(t *testing.T) {
	for _, r := range reference(t, "optics/fluor_toy_exact.csv") {
		g, base, n := toy(r)
		look := g.Coats(r.num("X")).Over(base)
		want := r.list("R_matrix_row_major_photon_units")
		for i := range n {
			for j := range n {
				near(t, r.cell["case"], look.r[i][j], want[i*n+j], 1e-6)
			}
		}
	}
}

// Printed spectra of the dye table (a separate program): 1e-7.
func TestDyeSpectra(t *testing.T) {
	rows := reference(t, "optics/fluor_default_spectra_44band.csv")
	white := FluorescentWhite()
	for i, r := range rows {
		near(t, "white", white[i], r.num("white_base"), 1e-7)
		for _, d := range DyeClasses() {
			near(t, d.Name+" absorption", d.Glow.Dye.Excitation[i], r.num(d.Name+"_absorption"), 1e-7)
			near(t, d.Name+" emission", d.Glow.Dye.Emission[i], r.num(d.Name+"_emission"), 1e-7)
		}
	}
}

// tabulated is a light of the 44-band table with the weights that belong to
// it: what the check values of the stacks were computed with.
type tabulated struct {
	power   colour.FluorescentSpectrum
	x, y, z colour.Spectrum
}

func tabulatedLight(t testing.TB, name string) (l tabulated) {
	for i, r := range reference(t, "optics/illuminants_44band.csv") {
		l.power[i] = r.num(name)
	}
	for i, r := range reference(t, "optics/weights_36band.csv")[:colour.Bands] {
		l.x[i], l.y[i], l.z[i] = r.num(name+"_X"), r.num(name+"_Y"), r.num(name+"_Z")
	}
	return l
}

func (l tabulated) white() (w colour.XYZ) {
	for i := range l.x {
		w.X += l.x[i]
		w.Y += l.y[i]
		w.Z += l.z[i]
	}
	return w
}

func (l tabulated) see(g GlowLook) (x colour.XYZ, peak float64) {
	out := g.radiance(l.power)
	for i := range l.x {
		j := i + bands - colour.Bands
		if l.power[j] == 0 {
			continue
		}
		f := out[j] / l.power[j]
		x.X += f * l.x[i]
		x.Y += f * l.y[i]
		x.Z += f * l.z[i]
		peak = math.Max(peak, f)
	}
	return x, peak
}

func fluorescentBase(name string) colour.FluorescentSpectrum {
	if name == "white" {
		return FluorescentWhite()
	}
	v := map[string]float64{"grey20": 0.20, "black4": 0.04}[name]
	var b colour.FluorescentSpectrum
	for i := range b {
		b[i] = v
	}
	return b
}

// Prototype values, re-computed by a second program; 1e-3 on x, y, Y. L*, a*
// and b* follow from them with derivatives up to 500, hence 0.05.
func TestGlowStacks(t *testing.T) {
	d65, led := tabulatedLight(t, "D65"), tabulatedLight(t, "LED-B3")
	classes := map[string]Glow{}
	for _, d := range DyeClasses() {
		classes[d.Name] = d.Glow
	}
	for _, r := range reference(t, "optics/fluor_stack_results.csv") {
		name := r.cell["class"] + " " + r.cell["base"] + " " + r.cell["coats"]
		g, ok := classes[r.cell["class"]]
		if !ok {
			t.Fatalf("no class %q", r.cell["class"])
		}
		base := fluorescentBase(r.cell["base"])
		look := g.Coats(r.num("coats")).Over(base)
		x, peak := d65.see(look)
		sum := x.X + x.Y + x.Z
		near(t, name+" x", x.X/sum, r.num("x_D65"), 1e-3)
		near(t, name+" y", x.Y/sum, r.num("y_D65"), 1e-3)
		near(t, name+" Y", x.Y, r.num("Y_D65"), 1e-3)
		near(t, name+" peak", peak, r.num("max_total_radiance_factor"), 1e-3)
		lab := x.Lab(d65.white())
		near(t, name+" L", lab.L, r.num("L"), 0.05)
		near(t, name+" a", lab.A, r.num("a"), 0.05)
		near(t, name+" b", lab.B, r.num("b"), 0.05)
		y, _ := led.see(look)
		near(t, name+" Y LED", y.Y, r.num("Y_LED-B3"), 1e-3)
		g.Dye.Yield = 0
		dark, _ := d65.see(g.Coats(r.num("coats")).Over(base))
		near(t, name+" Y without glow", dark.Y, r.num("Y_D65_if_phi_0"), 1e-3)
	}
}
