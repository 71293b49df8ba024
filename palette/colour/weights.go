package colour

// computeLight sums a light's power and an observer over the bands.
//
// A reflectance is a broken line through its bands, so each band's share is
// the integral under its triangle (hat function), and the first and last band
// also carry what lies beyond the grid. The weights follow once, exactly, and
// a reflectance costs one dot product; the idea is that of ASTM E2022.
func computeLight(k lightKey) *lightData {
	d := &lightData{name: k.name, observer: k.observer}
	m := matchingFunctions()[k.observer]
	p := powerOf(k)
	step := 1
	if p.how == lined {
		step = 5
	}
	d.sumPower(p, step)
	luminance := d.sumWeights(p, m, step)
	switch {
	case p.how == banded:
		coarse := new(lightData)
		coarse.sumWeights(p, m, 5)
		d.scaleTo(coarse.white)
	case k.name == "D65" && k.observer == Observer1931:
		d.turnToScreenWhite()
	}
	d.sumSeen(m, luminance)
	return d
}

func powerOf(k lightKey) lampPower {
	switch {
	case k.kelvin == 0:
		return standardPower(k.name)
	case k.kelvin < warmestDaylight:
		return lampPower{planckPower(float64(k.kelvin)), smooth}
	default:
		return lampPower{daylightPower(float64(k.kelvin)), smooth}
	}
}

// sumWeights fills weights and white and returns the unscaled luminance.
func (d *lightData) sumWeights(p lampPower, m *matching, step int) float64 {
	luminance := 0.0
	for nm := observerFirst; nm <= observerLast; nm += step {
		x, y, z := m.at(nm)
		power := p.at(nm) * float64(step)
		band, t := bandOf(nm)
		for c, v := range [3]float64{power * x, power * y, power * z} {
			d.weights[band][c] += v * (1 - t)
			d.weights[band+1][c] += v * t
		}
		luminance += power * y
	}
	for i := range d.weights {
		for c := range 3 {
			d.weights[i][c] /= luminance
		}
	}
	d.sumWhite()
	return luminance
}

func (d *lightData) sumWhite() {
	d.white = XYZ{}
	for _, w := range d.weights {
		d.white.X += w[0]
		d.white.Y += w[1]
		d.white.Z += w[2]
	}
}

// bandOf returns the band at or left of a wavelength, never the last, and how
// far towards the next one it lies (0…1); beyond the grid, its end.
func bandOf(nm int) (band int, t float64) {
	nm = min(max(nm, FirstNM), LastNM)
	band = min((nm-FirstNM)/StepNM, Bands-2)
	return band, float64(nm-Wavelength(band)) / StepNM
}

// sumPower fills power on the fluorescent grid; its ends carry nothing from
// outside at 300 nm and all that follows at 730 nm, as the weights do.
func (d *lightData) sumPower(p lampPower, step int) {
	for nm := FluorescentFirstNM; nm <= observerLast; nm += step {
		at := min(nm, LastNM)
		band := min((at-FluorescentFirstNM)/StepNM, FluorescentBands-2)
		t := float64(at-FluorescentFirstNM-band*StepNM) / StepNM
		power := p.at(nm) * float64(step)
		d.power[band] += power * (1 - t)
		d.power[band+1] += power * t
	}
}

// scaleTo multiplies X, Y and Z each so that white becomes the given one; Lab
// does not change by it.
func (d *lightData) scaleTo(white XYZ) {
	for i := range d.weights {
		d.weights[i][0] *= white.X / d.white.X
		d.weights[i][1] *= white.Y / d.white.Y
		d.weights[i][2] *= white.Z / d.white.Z
	}
	d.white = white
}

// turnToScreenWhite multiplies each linear-RGB row of the weights so that
// white is (1, 1, 1) there; see D65.
func (d *lightData) turnToScreenWhite() {
	white := d.white.LinearRGB()
	for i, w := range d.weights {
		t := turnedTo(XYZ{w[0], w[1], w[2]}, white)
		d.weights[i] = [3]float64{t.X, t.Y, t.Z}
	}
	d.white = screenWhite
}

// turnedTo divides t by a white, channel by channel in linear RGB: the white
// itself becomes screenWhite.
func turnedTo(t XYZ, white LinearRGB) XYZ {
	c := t.LinearRGB()
	return LinearRGB{c.R / white.R, c.G / white.G, c.B / white.B}.XYZ()
}

// sumSeen fills seen; see Light.Seen.
func (d *lightData) sumSeen(m *matching, luminance float64) {
	const unlit = FluorescentBands - Bands // bands below 380 nm
	for i := unlit; i < FluorescentBands; i++ {
		if p := d.power[i]; p > 0 {
			for c := range 3 {
				d.seen[i][c] = d.weights[i-unlit][c] / p
			}
			continue
		}
		d.seen[i] = observerMean(m, Wavelength(i-unlit))
		for c := range 3 {
			d.seen[i][c] /= luminance
		}
	}
}

// observerMean returns x̄, ȳ, z̄ averaged over the triangle of a band.
func observerMean(m *matching, centre int) [3]float64 {
	var sum [3]float64
	for off := 1 - StepNM; off < StepNM; off++ {
		x, y, z := m.at(centre + off)
		t := (1 - float64(max(off, -off))/StepNM) / StepNM
		sum[0] += t * x
		sum[1] += t * y
		sum[2] += t * z
	}
	return sum
}
