package palette

import "fmt"

// space is what a file says about its colour space without a profile. The zero
// value says nothing.
type space struct {
	srgb      bool      // it says sRGB
	opRGB     bool      // it says the wide space of DCF 2.0 (opRGB, IEC 61966-2-5)
	gamma     float64   // encoding exponent, 0 for none: 0.45455 means a display gamma of 2.2
	primaries primaries // white and primaries; zero for those of sRGB
	code      [2]int    // primaries and transfer of ITU-T H.273
	isCoded   bool      // code was given
}

// coded notes the code points of ITU-T H.273.
func (s *space) coded(primaries, transfer int) {
	s.code, s.isCoded = [2]int{primaries, transfer}, true
}

// primaries are the chromaticities x, y of white, red, green and blue.
type primaries struct{ white, red, green, blue [2]float64 }

// Chromaticities of the spaces that are named by a code or a tag.
//
// Source: IEC 61966-2-1 (sRGB); SMPTE EG 432-1 (P3 with the D65 white); ITU-R
// BT.2020-2, table 3; IEC 61966-2-5 (opRGB); SMPTE RP 431-2 (P3, theatre white).
var (
	d65xy         = [2]float64{0.3127, 0.3290}
	sRGBPrimaries = primaries{d65xy, [2]float64{0.64, 0.33}, [2]float64{0.30, 0.60}, [2]float64{0.15, 0.06}}
	p3Primaries   = primaries{d65xy, [2]float64{0.680, 0.320}, [2]float64{0.265, 0.690}, [2]float64{0.150, 0.060}}
	dciPrimaries  = primaries{[2]float64{0.314, 0.351}, [2]float64{0.680, 0.320}, [2]float64{0.265, 0.690}, [2]float64{0.150, 0.060}}
	bt2020        = primaries{d65xy, [2]float64{0.708, 0.292}, [2]float64{0.170, 0.797}, [2]float64{0.131, 0.046}}
	opPrimaries   = primaries{d65xy, [2]float64{0.64, 0.33}, [2]float64{0.21, 0.71}, [2]float64{0.15, 0.06}}
)

// profileReading is how the pixels are to be read, the name of the profile and
// what was taken on trust.
type profileReading struct {
	lens     lens
	name     string
	warnings []string
}

// chooseProfile decides by what the pixels are read: an embedded profile first,
// then code points (a PNG whose code points outrank its profile has dropped the
// profile by now), then a named space, then sRGB.
func chooseProfile(h header) profileReading {
	plain := profileReading{lens: sRGBLens(), name: "sRGB"}
	switch {
	case len(h.icc) > 0:
		p, err := parseICC(h.icc)
		if err != nil {
			plain.warnings = []string{fmt.Sprintf("colour profile %s; read as sRGB", err)}
			return plain
		}
		return p
	case h.space.isCoded:
		return codedProfile(h.space.code)
	case h.space.srgb:
		return plain
	case h.space.opRGB:
		l, _ := opPrimaries.lens(newTone(power(563.0 / 256))) // IEC 61966-2-5: exponent 2 + 51/256
		return profileReading{lens: l, name: "opRGB"}
	case h.space.gamma > 0:
		return gammaProfile(h.space)
	}
	return plain
}

// codedProfile reads code points of ITU-T H.273, tables 2 and 3.
func codedProfile(code [2]int) profileReading {
	p := profileReading{name: "sRGB"}
	prim := sRGBPrimaries
	switch code[0] {
	case 1, 2: // BT.709; unspecified
	case 9:
		prim, p.name = bt2020, "BT.2020"
	case 11:
		prim, p.name = dciPrimaries, "P3 (theatre white)"
	case 12:
		prim, p.name = p3Primaries, "Display P3"
	default:
		p.warnings = append(p.warnings, fmt.Sprintf("colour primaries of code %d are not known here; read as sRGB", code[0]))
	}
	tone := sRGBTone()
	switch code[1] {
	case 1, 6, 14, 15, 2, 13:
		// Film transfers are meant for a display of the sRGB kind; the picture
		// was judged on one, so its own curve is not undone.
	case 4:
		tone = newTone(power(2.2))
	case 5:
		tone = newTone(power(2.8))
	case 8:
		tone = newTone(power(1))
	case 17:
		tone = newTone(power(2.6))
	case 16, 18:
		p.warnings = append(p.warnings, "high dynamic range picture: its lightness is a rough guess")
	default:
		p.warnings = append(p.warnings, fmt.Sprintf("transfer curve of code %d is not known here; read as sRGB", code[1]))
	}
	l, ok := prim.lens(tone)
	if !ok {
		panic("palette: primaries of a published space do not span it")
	}
	p.lens = l
	return p
}

// gammaProfile reads gAMA and cHRM of a PNG. An exponent of 1/2.2 is what most
// programs write for sRGB and is read as that.
func gammaProfile(s space) profileReading {
	p := profileReading{lens: sRGBLens(), name: "sRGB"}
	if s.gamma < 0.1 || s.gamma > 2 {
		p.warnings = []string{fmt.Sprintf("gamma value of %.5g makes no sense; read as sRGB", s.gamma)}
		return p
	}
	tone := sRGBTone()
	if s.gamma < 0.4540 || s.gamma > 0.4551 {
		tone, p.name = newTone(power(1/s.gamma)), fmt.Sprintf("gamma %.4g", 1/s.gamma)
	}
	prim := s.primaries
	if prim == (primaries{}) {
		prim = sRGBPrimaries
	}
	l, ok := prim.lens(tone)
	if !ok {
		p.warnings = []string{"primaries that do not span a colour space; read as sRGB"}
		p.name = "sRGB"
		return p
	}
	if p.name == "sRGB" && !l.plain {
		p.name = "own primaries"
	}
	p.lens = l
	return p
}
