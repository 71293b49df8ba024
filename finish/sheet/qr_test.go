package sheet

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// modules is a square as it was drawn: dark modules, border cut off.
type modules [][]bool

// fromLines reads a terminal's half blocks back.
func fromLines(t *testing.T, lines []string, light rune) modules {
	t.Helper()
	var all modules
	for _, l := range lines {
		var up, down []bool
		for _, r := range strings.TrimSuffix(strings.TrimPrefix(l, "\x1b[30;107m"), "\x1b[0m") {
			up = append(up, strings.ContainsRune("▀█", r) != (light == '█'))
			down = append(down, strings.ContainsRune("▄█", r) != (light == '█'))
		}
		all = append(all, up, down)
	}
	return all.inner(t)
}

// fromSVG reads the path of a picture back.
func fromSVG(t *testing.T, svg string) modules {
	t.Helper()
	side := number(t, regexp.MustCompile(`viewBox="0 0 (\d+)`).FindStringSubmatch(svg)[1])
	all := make(modules, side)
	for i := range all {
		all[i] = make([]bool, side)
	}
	for _, m := range regexp.MustCompile(`M(\d+) (\d+)h(\d+)v1h-(\d+)z`).FindAllStringSubmatch(svg, -1) {
		if m[3] != m[4] {
			t.Fatalf("a bar goes %s there and %s back", m[3], m[4])
		}
		for i := range number(t, m[3]) {
			all[number(t, m[2])][number(t, m[1])+i] = true
		}
	}
	return all.inner(t)
}

func number(t *testing.T, s string) int {
	t.Helper()
	n, err := strconv.Atoi(s)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// inner cuts the border of four modules off, which must be light.
func (m modules) inner(t *testing.T) modules {
	t.Helper()
	side := len(m[0]) - 8
	var in modules
	for y, row := range m {
		for x, dark := range row {
			if dark && (y < 4 || x < 4 || y >= side+4 || x >= side+4) {
				t.Fatalf("the border is dark at %d, %d", x, y)
			}
		}
		if y >= 4 && y < side+4 {
			in = append(in, row[4:side+4])
		}
	}
	return in
}

// read decodes a code of versions 2 to 4 at level M or L, whose data stand in
// one or two blocks, by ISO/IEC 18004: format information (7.9), masks (7.8.2),
// placement (7.7.3), byte mode (7.4.5). Nothing is corrected: a wrong module is
// a wrong letter.
func (m modules) read(t *testing.T) string {
	t.Helper()
	side := len(m)
	version := (side - 17) / 4
	if version < 2 || version > 4 {
		t.Fatalf("version %d: the reader of this test knows 2 to 4", version)
	}
	format := 0
	for _, at := range [][2]int{{0, 8}, {1, 8}, {2, 8}, {3, 8}, {4, 8}} { // level and mask, x before y
		format <<= 1
		if m[at[1]][at[0]] {
			format |= 1
		}
	}
	format ^= 0b10101
	mask := []func(y, x int) bool{
		func(y, x int) bool { return (y+x)%2 == 0 }, func(y, x int) bool { return y%2 == 0 },
		func(y, x int) bool { return x%3 == 0 }, func(y, x int) bool { return (y+x)%3 == 0 },
		func(y, x int) bool { return (y/2+x/3)%2 == 0 }, func(y, x int) bool { return y*x%2+y*x%3 == 0 },
		func(y, x int) bool { return (y*x%2+y*x%3)%2 == 0 }, func(y, x int) bool { return ((y+x)%2+y*x%3)%2 == 0 },
	}[format&7]
	if level := format >> 3; level != 0b00 { // M
		t.Fatalf("error correction level %02b, want 00, which is M", level)
	}
	pattern := 4*version + 10 // centre of the one alignment pattern
	fixed := func(x, y int) bool {
		return x < 9 && y < 9 || x < 9 && y >= side-8 || x >= side-8 && y < 9 || x == 6 || y == 6 || abs(x-pattern) <= 2 && abs(y-pattern) <= 2
	}
	var bits []bool
	up := true
	for right := side - 1; right > 0; right -= 2 {
		if right == 6 {
			right--
		}
		for i := range side {
			y := i
			if up {
				y = side - 1 - i
			}
			for _, x := range []int{right, right - 1} {
				if !fixed(x, y) {
					bits = append(bits, m[y][x] != mask(y, x))
				}
			}
		}
		up = !up
	}
	var words []byte
	for i := 0; i+8 <= len(bits); i += 8 {
		w := byte(0)
		for _, b := range bits[i : i+8] {
			w <<= 1
			if b {
				w |= 1
			}
		}
		words = append(words, w)
	}
	words = unwoven(words, version)
	if words[0]>>4 != 0b0100 {
		t.Fatalf("mode %04b, want 0100, which is bytes", words[0]>>4)
	}
	nibble := func(i int) byte { // i-th half byte
		if i%2 == 0 {
			return words[i/2] >> 4
		}
		return words[i/2] & 15
	}
	length := int(nibble(1))<<4 | int(nibble(2))
	var text []byte
	for i := range length {
		text = append(text, nibble(3+2*i)<<4|nibble(4+2*i))
	}
	return string(text)
}

// unwoven puts data words of two blocks one after the other: version 4-M has
// two of 32, versions 2 and 3 have one (ISO/IEC 18004, table 9).
func unwoven(words []byte, version int) []byte {
	if version < 4 {
		return words
	}
	var first, second []byte
	for i := 0; i < 64; i += 2 {
		first, second = append(first, words[i]), append(second, words[i+1])
	}
	return append(first, second...)
}

func abs(v int) int { return max(v, -v) }

func TestQRIsReadByTheStandard(t *testing.T) {
	for _, text := range []string{"http://192.168.1.20:8417/", "http://[fd00::1234:5678]:8417/", "http://192.168.100.200:8417/?code=AB"} {
		q, err := NewQR(text)
		if err != nil {
			t.Fatal(err)
		}
		for way, m := range map[string]modules{
			"plain": fromLines(t, q.Lines(), '█'), "coloured": fromLines(t, q.Coloured(), ' '), "picture": fromSVG(t, q.SVG()),
		} {
			if got := m.read(t); got != text {
				t.Errorf("%s: reads %q, want %q", way, got, text)
			}
		}
	}
}

func TestQROfTooMuchAndOfNothing(t *testing.T) {
	if _, err := NewQR(strings.Repeat("x", 4000)); err == nil || !strings.Contains(err.Error(), "4000 bytes") {
		t.Errorf("4000 bytes: %v", err)
	}
	if q := (QR{}); q.Side() != 0 || q.Dark(0, 0) {
		t.Error("the zero value is dark somewhere")
	}
}

func ExampleNewQR() {
	q, err := NewQR("http://192.168.1.20:8417/")
	if err != nil {
		panic(err)
	}
	fmt.Println(q.Side(), "modules a side,", len(q.Lines()), "lines of a terminal")
	// Output: 25 modules a side, 17 lines of a terminal
}
