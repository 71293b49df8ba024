package palette

import (
	"bytes"
	"encoding/binary"
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"undercoat/palette/colour"
)

// iccBuilder writes a profile for the tests.
type iccBuilder struct {
	version byte // 2 or 4
	model   string
	name    string
	tags    []iccTag
}

type iccTag struct {
	signature string
	body      []byte
}

// bytes lays the profile out: header, tag table, tags.
func (b iccBuilder) bytes() []byte {
	tags := append([]iccTag{{"desc", b.description()}}, b.tags...)
	head := make([]byte, 128)
	head[8] = b.version
	copy(head[12:], "mntr")
	copy(head[16:], b.model)
	copy(head[20:], "XYZ ")
	copy(head[36:], "acsp")
	copy(head[68:], s15(pcsWhite[:]...))
	table := binary.BigEndian.AppendUint32(nil, uint32(len(tags)))
	var data []byte
	at := 128 + 4 + 12*len(tags)
	for _, t := range tags {
		table = append(table, t.signature...)
		table = binary.BigEndian.AppendUint32(table, uint32(at+len(data)))
		table = binary.BigEndian.AppendUint32(table, uint32(len(t.body)))
		data = append(data, t.body...)
		for len(data)%4 != 0 {
			data = append(data, 0)
		}
	}
	all := append(append(head, table...), data...)
	binary.BigEndian.PutUint32(all, uint32(len(all)))
	return all
}

func (b iccBuilder) description() []byte {
	if b.version == 2 {
		d := append([]byte("desc\x00\x00\x00\x00"), 0, 0, 0, byte(len(b.name)+1))
		return append(append(d, b.name...), make([]byte, 1+12+67)...)
	}
	d := append([]byte("mluc\x00\x00\x00\x00\x00\x00\x00\x01\x00\x00\x00\x0cenUS"), 0, 0, 0, byte(2*len(b.name)), 0, 0, 0, 28)
	for _, r := range b.name {
		d = append(d, 0, byte(r))
	}
	return d
}

// s15 writes s15Fixed16Numbers.
func s15(v ...float64) []byte {
	var b []byte
	for _, x := range v {
		b = binary.BigEndian.AppendUint32(b, uint32(int32(math.Round(x*65536))))
	}
	return b
}

func para(kind byte, v ...float64) []byte {
	return append([]byte{'p', 'a', 'r', 'a', 0, 0, 0, 0, 0, kind, 0, 0}, s15(v...)...)
}

func curv(v ...uint16) []byte {
	b := binary.BigEndian.AppendUint32([]byte("curv\x00\x00\x00\x00"), uint32(len(v)))
	for _, x := range v {
		b = binary.BigEndian.AppendUint16(b, x)
	}
	return b
}

// rgbProfile builds a matrix profile from chromaticities, adapted to D50.
func rgbProfile(version byte, name string, p primaries, curve []byte) []byte {
	m, ok := p.toXYZ()
	if !ok {
		panic("primaries")
	}
	m = adaptBradford(whiteOf(p.white), pcsWhite).mul(m)
	b := iccBuilder{version: version, model: "RGB ", name: name}
	for i, c := range []string{"r", "g", "b"} {
		b.tags = append(b.tags,
			iccTag{c + "XYZ", append([]byte("XYZ \x00\x00\x00\x00"), s15(m[i], m[3+i], m[6+i])...)},
			iccTag{c + "TRC", curve})
	}
	b.tags = append(b.tags, iccTag{"wtpt", append([]byte("XYZ \x00\x00\x00\x00"), s15(pcsWhite[:]...)...)})
	return b.bytes()
}

// sRGBTable is the sRGB curve as a table of n values.
func sRGBTable(n int) []byte {
	v := make([]uint16, n)
	for i := range v {
		v[i] = uint16(math.Round(65535 * sRGBTone().curve(float64(i)/float64(n-1))))
	}
	return curv(v...)
}

// testProfiles are the profiles of testdata/oracle/icc_transicc.csv.
//
// Primaries of the wide space with the D50 white: ISO 22028-2 (ROMM RGB).
func testProfiles() map[string][]byte {
	romm := primaries{[2]float64{0.3457, 0.3585}, [2]float64{0.7347, 0.2653}, [2]float64{0.1596, 0.8404}, [2]float64{0.0366, 0.0001}}
	return map[string][]byte{
		"p3-parametric": rgbProfile(4, "P3 parametric", p3Primaries, para(3, 2.4, 1/1.055, 0.055/1.055, 1/12.92, 0.04045)),
		"op-gamma":      rgbProfile(2, "opRGB gamma", opPrimaries, curv(563)),
		"romm-gamma":    rgbProfile(2, "ROMM gamma", romm, curv(461)),
		"2020-table":    rgbProfile(2, "BT.2020 table", bt2020, sRGBTable(1024)),
		"srgb-kind0":    rgbProfile(4, "sRGB gamma 2.2", sRGBPrimaries, para(0, 2.2)),
		"srgb-kind1":    rgbProfile(4, "sRGB kind 1", sRGBPrimaries, para(1, 2.2, 1.05, -0.05)),
		"srgb-kind2":    rgbProfile(4, "sRGB kind 2", sRGBPrimaries, para(2, 2.2, 0.95, 0.03, 0.01)),
		"srgb-kind4":    rgbProfile(4, "sRGB kind 4", sRGBPrimaries, para(4, 2.4, 0.94, 0.055, 0.07, 0.05, 0.004, 0.002)),
	}
}

// TestDumpProfiles writes the test profiles into the folder named by
// UNDERCOAT_DUMP, for a colour engine of another house to read.
func TestDumpProfiles(t *testing.T) {
	dir := os.Getenv("UNDERCOAT_DUMP")
	if dir == "" {
		t.Skip("only for making testdata/oracle/icc_transicc.csv")
	}
	for name, b := range testProfiles() {
		if err := os.WriteFile(filepath.Join(dir, name+".icc"), b, 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// readOracle reads a file of testdata/oracle without its comments.
func readOracle(t *testing.T, name string) [][]string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("..", "testdata", "oracle", name))
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(bytes.NewReader(b))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// labD50 takes linear sRGB back to the profile connection space.
func labD50(c colour.LinearRGB) colour.Lab {
	x := c.XYZ()
	v := adaptBradford(screenWhite, pcsWhite).times([3]float64{x.X, x.Y, x.Z})
	return colour.XYZ{X: v[0], Y: v[1], Z: v[2]}.Lab(colour.XYZ{X: pcsWhite[0], Y: pcsWhite[1], Z: pcsWhite[2]})
}

// Outside: LittleCMS through testdata/oracle/icc_transicc.csv.
func TestProfilesAgreeWithLittleCMS(t *testing.T) {
	profiles := testProfiles()
	worst := 0.0
	for _, row := range readOracle(t, "icc_transicc.csv")[1:] {
		p, err := parseICC(profiles[row[0]])
		if err != nil {
			t.Fatalf("%s: %v", row[0], err)
		}
		c := p.lens.at8(uint8(number(t, row[1])), uint8(number(t, row[2])), uint8(number(t, row[3])))
		got := labD50(c)
		for i, d := range []float64{got.L - number(t, row[4]), got.A - number(t, row[5]), got.B - number(t, row[6])} {
			worst = max(worst, math.Abs(d))
			tolerance := 0.002
			if strings.HasSuffix(row[0], "-table") {
				tolerance = 0.01
			}
			if math.Abs(d) > tolerance {
				t.Errorf("%s %v: coordinate %d is off by %.4f", row[0], row[1:4], i, d)
			}
		}
	}
	t.Logf("largest difference %.5f", worst)
}

// A profile that is sRGB but for rounding reads exactly as sRGB.
func TestProfileOfSRGBIsPlain(t *testing.T) {
	for name, curve := range map[string][]byte{
		"parametric": para(3, 2.4, 1/1.055, 0.055/1.055, 1/12.92, 0.04045),
		"table":      sRGBTable(1024),
	} {
		p, err := parseICC(rgbProfile(2, "sRGB", sRGBPrimaries, curve))
		if err != nil {
			t.Fatal(err)
		}
		if !p.lens.plain || p.lens.tone[0] != sRGBTone() || p.name != "sRGB" {
			t.Errorf("%s: not taken as sRGB", name)
		}
	}
	p, err := parseICC(rgbProfile(4, "P3", p3Primaries, sRGBTable(1024)))
	if err != nil || p.lens.plain {
		t.Errorf("P3 was taken as sRGB (%v)", err)
	}
}

// White stays white and grey stays grey through every matrix profile: their
// columns add up to D50 (ICC.1:2022, annex F). 0.001 is the rounding of
// s15Fixed16 and of the printed D50.
func TestProfilesKeepGrey(t *testing.T) {
	for name, b := range testProfiles() {
		p, err := parseICC(b)
		if err != nil {
			t.Fatal(err)
		}
		for _, v := range []uint8{0, 64, 128, 255} {
			c := p.lens.at8(v, v, v)
			if hi, lo := max(c.R, c.G, c.B), min(c.R, c.G, c.B); hi-lo > 0.001 {
				t.Errorf("%s: grey %d reads %v", name, v, c)
			}
		}
		// ROMM's small tables aside, full white is linear 1.
		if c := p.lens.at8(255, 255, 255); name != "srgb-kind2" && name != "srgb-kind4" && math.Abs(c.G-1) > 0.001 {
			t.Errorf("%s: white reads %v", name, c)
		}
	}
}

func TestGreyProfile(t *testing.T) {
	b := iccBuilder{version: 2, model: "GRAY", name: "dot gain no, gamma 1.8", tags: []iccTag{{"kTRC", curv(461)}}}
	p, err := parseICC(b.bytes())
	if err != nil {
		t.Fatal(err)
	}
	want := math.Pow(128.0/255, 461.0/256) // ICC.1:2022, 10.6: u8Fixed8 gamma
	if c := p.lens.at8(128, 128, 128); math.Abs(c.G-want) > 1e-12 || c.R != c.G || c.G != c.B {
		t.Errorf("grey 128 reads %v, want %v", c, want)
	}
}

// What cannot be read is refused in words that name the profile and the cause.
func TestProfilesRefused(t *testing.T) {
	good := rgbProfile(4, "Shop screen", p3Primaries, para(0, 2.2))
	cmyk := iccBuilder{version: 2, model: "CMYK", name: "Press"}.bytes()
	lut := iccBuilder{version: 4, model: "RGB ", name: "Table", tags: []iccTag{{"A2B0", make([]byte, 64)}}}.bytes()
	dark := rgbProfile(4, "Flat", p3Primaries, curv(9, 9, 9))
	line := iccBuilder{version: 4, model: "RGB ", name: "Line"}
	for _, c := range []string{"r", "g", "b"} {
		line.tags = append(line.tags, iccTag{c + "XYZ", append([]byte("XYZ \x00\x00\x00\x00"), s15(0.3214, 0.3333, 0.2750)...)}, iccTag{c + "TRC", para(0, 2.2)})
	}
	for name, row := range map[string]struct {
		data []byte
		want string
	}{
		"empty":          {nil, "damaged"},
		"not a profile":  {make([]byte, 300), "damaged"},
		"cut in a curve": {good[:len(good)-20-20], "incomplete"}, // wtpt, which is not read, and half a curve are gone
		"CMYK":           {cmyk, `"Press" is for the colour model "CMYK"`},
		"lookup table":   {lut, `"Table" works by lookup tables`},
		"flat curve":     {dark, `"Flat" has a tone curve that does not rise`},
		"one colour":     {line.bytes(), `"Line" has primaries that do not span`},
	} {
		_, err := parseICC(row.data)
		if err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: error %v, want %q", name, err, row.want)
		}
	}
}

// The pieces of a profile may come in any order (ICC.1:2022, annex B.4).
func TestProfileInPieces(t *testing.T) {
	var s iccSegments
	s.add([]byte{2, 3, 'b'})
	s.add([]byte{3, 3, 'c'})
	s.add([]byte{1, 3, 'a'})
	if got, err := s.join(); string(got) != "abc" || err != nil {
		t.Errorf("joined %q, %v", got, err)
	}
	var missing iccSegments
	missing.add([]byte{1, 2, 'a'})
	if _, err := missing.join(); err == nil {
		t.Error("a missing piece went unnoticed")
	}
	var none iccSegments
	if got, err := none.join(); got != nil || err != nil {
		t.Errorf("no profile: %q, %v", got, err)
	}
}

func FuzzParseICC(f *testing.F) {
	for _, b := range testProfiles() {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		p, err := parseICC(b)
		if err != nil {
			if strings.ContainsAny(err.Error(), "\n\x00") {
				t.Errorf("error of more than one line: %q", err)
			}
			return
		}
		for _, v := range []uint8{0, 1, 127, 255} {
			c := p.lens.at8(v, 255-v, v)
			if math.IsNaN(c.R+c.G+c.B) || math.IsInf(c.R+c.G+c.B, 0) {
				t.Fatalf("reads %v", c)
			}
		}
	})
}
