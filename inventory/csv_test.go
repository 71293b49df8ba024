package inventory

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

// readText reads one table from text.
func readText[T any](tab *table[T], text string) (rowsOf[T], []BadCell) {
	var c complaints
	got := readTable(tab, &env{}, strings.NewReader(text), &c)
	return got, c.cells
}

func printText[T any](t testing.TB, tab *table[T], rows []T) string {
	var b bytes.Buffer
	if err := writeTable(tab, &env{}, rows, &b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestReadHeaderInAnyOrder(t *testing.T) {
	for name, text := range map[string]string{
		"as written":        "code,name,size,area_factor,sensitivities\nP1,Ana,M,1.00,latex; nickel\n",
		"other order":       "size,sensitivities,code,area_factor,name\nM,latex;nickel,P1,1,Ana\n",
		"byte order mark":   "\ufeffcode,name,size,area_factor,sensitivities\r\nP1,Ana,M,1,latex;nickel\r\n",
		"capitals, blanks":  " Code ,NAME,Size,Area_Factor,Sensitivities\n P1 , Ana ,M,1,;latex;;nickel;\n",
		"trailing commas":   "code,name,size,area_factor,sensitivities,,\nP1,Ana,M,1,latex;nickel,,\n,,,,,,\n",
		"no line at end":    "code,name,size,area_factor,sensitivities\nP1,Ana,M,1,latex;nickel",
		"decimal comma":     "code,name,size,area_factor,sensitivities\nP1,Ana,M,\"1,0\",latex;nickel\n",
		"cells with quotes": "\"code\",\"name\",\"size\",\"area_factor\",\"sensitivities\"\n\"P1\",\"Ana\",\"M\",\"1\",\"latex;nickel\"\n",
	} {
		got, bad := readText(wearerTable(), text)
		if len(bad) > 0 || len(got.rows) != 1 {
			t.Errorf("%s: %d rows, %v", name, len(got.rows), bad)
			continue
		}
		r := got.rows[0]
		if f, ok := r.AreaFactor.Get(); r.Code != "P1" || r.Name != "Ana" || r.Size != "M" || f != 1 || !ok || fmt.Sprint(r.Sensitivities) != "[latex nickel]" {
			t.Errorf("%s: got %+v", name, r)
		}
	}
}

// Rows count as a spreadsheet shows them: the header is row 1, a blank line is
// a row, a cell of several lines is one.
func TestRowsCountAsInASpreadsheet(t *testing.T) {
	text := "code,name\n" + // 1
		"\n" + // 2
		"P1,\"two\nlines\"\n" + // 3
		",\n" + // 4
		"P2,\"three\r\nmore\r\nlines\"\r\n" + // 5
		"\r\n\r\n" + // 6, 7
		"bad code,x\n" + // 8
		"P2,again\n" // 9
	got, bad := readText(wearerTable(), text)
	if fmt.Sprint(got.at) != "[3 5 8 9]" {
		t.Errorf("rows at %v", got.at)
	}
	if len(bad) != 2 || bad[0].Row != 8 || bad[0].Column != "code" || bad[1].Row != 9 || !strings.Contains(bad[1].Expected, "row 5") {
		t.Errorf("bad cells %v", bad)
	}
	if got.rows[1].Name != "three\nmore\nlines" {
		t.Errorf("lines of a cell: %q", got.rows[1].Name)
	}
}

func TestUnknownColumnsAreKept(t *testing.T) {
	text := "code,locker,name,Größe\r\nP1,7,Ana,=1+1\r\nP2,,Bo,\r\n"
	got, bad := readText(wearerTable(), text)
	if len(bad) > 0 || fmt.Sprint(got.unknown) != "[Größe locker]" {
		t.Fatalf("unknown %v, bad %v", got.unknown, bad)
	}
	if fmt.Sprint(got.rows[0].Extra) != "map[Größe:=1+1 locker:7]" || got.rows[1].Extra != nil {
		t.Errorf("kept %v and %v", got.rows[0].Extra, got.rows[1].Extra)
	}
	want := "code,name,size,area_factor,sensitivities,Größe,locker\r\nP1,Ana,,,,'=1+1,7\r\nP2,Bo,,,,,\r\n"
	if s := printText(t, wearerTable(), got.rows); s != want {
		t.Errorf("printed\n%s, want\n%s", s, want)
	}
}

func TestTablesThatAreNone(t *testing.T) {
	for _, c := range []struct {
		name, text string
		row        int
		expected   string
	}{
		{"empty", "", 1, "a header row"},
		{"semicolons", "code;name\nP1;Ana\n", 1, "commas"},
		{"tabs", "code\tname\nP1\tAna\n", 1, "commas"},
		{"UTF-16", "\xff\xfec\x00o\x00", 0, "UTF-8"},
		{"a workbook", "PK\x03\x04rest", 0, "CSV text"},
		{"Latin-1", "code,name\nP1,J\xfcrgen\n", 2, "UTF-8"},
		{"no key", "name,size\nAna,M\n", 1, "a column code"},
		{"column twice", "code,name,Name\nP1,a,b\n", 1, "each column once"},
		{"open quote", "code,name\nP1,\"Ana\n", 2, "quotes at both ends"},
		{"quote inside", "code,name\nP1,Ana\nP2,B\"o\n", 3, "quotes at both ends"},
		{"too few cells", "code,name,size\nP1,Ana\n", 2, "3 cells"},
		{"too many cells", "code,name\nP1,Ana, M\n", 2, "2 cells"},
		{"a cell under no name", "code,\nP1,x\n", 2, "no name"},
		{"control character", "code,name\nP1,a\x00b\n", 2, "characters"},
	} {
		_, bad := readText(wearerTable(), c.text)
		if len(bad) != 1 || bad[0].Row != c.row || !strings.Contains(bad[0].Expected, c.expected) || bad[0].File != "wearers.csv" {
			t.Errorf("%s: got %v, want row %d, %q", c.name, bad, c.row, c.expected)
		}
	}
}

func TestEveryBadCellAtOnce(t *testing.T) {
	text := `code,name,kind,colour,hiding_black,spread_ml_m2,touch_h,base,fluorescent,on_hand,unit,pack,price,expires,recoat_from_h,recoat_until_h
W1,White,pant,#12345,1.5,-3,soon,oil,40,many,ml,,-1,1.2.2026,,
W1,,paint,,,,,,,,,0,,,3,1
`
	_, bad := readText(stockTable(), text)
	var got []string
	for _, b := range bad {
		got = append(got, fmt.Sprintf("%d %s", b.Row, b.Column))
	}
	want := "[2 kind 2 colour 2 hiding_black 2 spread_ml_m2 2 touch_h 2 base 2 fluorescent 2 on_hand 2 price 2 expires 3 name 3 code]"
	if fmt.Sprint(got) != want {
		t.Errorf("bad cells\n%v, want\n%s", got, want)
	}
	for _, b := range bad {
		if b.File != "stock.csv" || b.Expected == "" {
			t.Errorf("bad cell %+v does not say enough", b)
		}
	}
	if s := bad[0].String(); s != `stock.csv row 2 column kind: found "pant", expected one of paint, sealer, treatment, dye, cloth, trim` {
		t.Errorf("a bad cell reads %q", s)
	}
}

func TestManyBadCellsAreCounted(t *testing.T) {
	var b strings.Builder
	b.WriteString("code,area_factor\n")
	for i := range mostBad + 500 {
		fmt.Fprintf(&b, "P%d,x\n", i)
	}
	var c complaints
	readTable(wearerTable(), &env{}, strings.NewReader(b.String()), &c)
	if len(c.cells) != mostBad || c.more != 500 {
		t.Errorf("%d listed, %d more", len(c.cells), c.more)
	}
	if s := c.err().Error(); !strings.HasPrefix(s, "10500 bad cells: ") || !strings.HasSuffix(s, "and 10495 more") {
		t.Errorf("the error reads %.80q…", s)
	}
}

// Whatever text a cell holds, what is written never begins with a sign that a
// spreadsheet computes, unless it is a plain number, and reads back as it was.
func TestGuardedCellsReadBack(t *testing.T) {
	text := rapid.OneOf(
		rapid.StringOfN(rapid.RuneFrom([]rune("=+-@'\t\r\n;,\" 1e.aÄ＝＋－＠")), 0, 12, -1),
		rapid.String())
	rapid.Check(t, func(t *rapid.T) {
		s := text.Draw(t, "cell")
		for _, way := range []struct {
			name     string
			on, back func(string) string
		}{{"cell", guard, unguard}, {"list", guardList, unguardList}} {
			g := way.on(s)
			if way.back(g) != s {
				t.Fatalf("%s %q is written %q and read %q", way.name, s, g, way.back(g))
			}
			r, _ := utf8.DecodeRuneInString(g)
			if strings.ContainsRune(formulaSigns, r) && r != utf8.RuneError && !isPlainNumber(g) {
				t.Fatalf("%s %q is written %q, which a spreadsheet computes", way.name, s, g)
			}
		}
	})
}

func TestGuard(t *testing.T) {
	for s, want := range map[string]string{
		"=1+1": "'=1+1", "+cmd": "'+cmd", "-2+3": "'-2+3", "@SUM(A1)": "'@SUM(A1)", "\tx": "'\tx", "＝1": "'＝1",
		"-5": "-5", "+1.5e3": "+1.5e3", "-": "'-", "'=x": "''=x", "'tis": "'tis", "": "", "a=b": "a=b", "-5 °C": "'-5 °C",
	} {
		if got := guard(s); got != want {
			t.Errorf("%q is written %q, want %q", s, got, want)
		}
	}
	if got := guardList("a;=b;-1"); got != "a;'=b;'-1" {
		t.Errorf("a list is written %q", got)
	}
}

// After one reading and writing, reading and writing again changes no byte;
// and what SQL would store loads as the same row.
func fuzzTable[T any](f *testing.F, tab *table[T], seeds ...string) {
	for _, s := range seeds {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		got, bad := readText(tab, text)
		if len(bad) > 0 {
			return
		}
		first := printText(t, tab, got.rows)
		again, bad := readText(tab, first)
		if len(bad) > 0 {
			t.Fatalf("what was written is not read: %v\n%s", bad, first)
		}
		if second := printText(t, tab, again.rows); second != first {
			t.Fatalf("written first\n%q\nthen\n%q", first, second)
		}
		e := &env{}
		for i := range got.rows {
			var back T
			if err := tab.load(e, tab.values(&got.rows[i], nil), &back); err != nil {
				t.Fatalf("row %d does not load: %v", i, err)
			}
			hide(&back, &got.rows[i])
			if !sameRow(e, tab, &got.rows[i], &back) {
				t.Fatalf("row %d loads as another: %+v, was %+v", i, back, got.rows[i])
			}
		}
		if _, err := csv.NewReader(strings.NewReader(first)).ReadAll(); err != nil && err != io.EOF {
			t.Fatalf("not a CSV table: %v\n%s", err, first)
		}
	})
}

// hide gives both rows the figure that movements keep, not the stock table.
func hide(back, row any) {
	if b, ok := back.(*StockFact); ok {
		b.OnHand = row.(*StockFact).OnHand
	}
}

func FuzzStockTable(f *testing.F) {
	fuzzTable(f, stockTable(), string(small()["stock.csv"].Data), "code,name,kind,on_hand,unit,extra\nW1,White,paint,1E+05,l,=x\n")
}

func FuzzAreaTable(f *testing.F) {
	fuzzTable(f, areaTable(), string(small()["areas.csv"].Data), "code,recipe,note\nA1,W1: 2 ;F1,\"'=1\n\"\n")
}

func FuzzMeasureTable(f *testing.F) {
	bands := strings.Join(bandColumns(), ",")
	fuzzTable(f, measureTable(), string(small()["measures.csv"].Data), "code,"+bands+"\nW1"+strings.Repeat(",0.5", 36)+"\n")
}

func FuzzJobTable(f *testing.F) {
	fuzzTable(f, jobTable(), string(small()["job.csv"].Data), "name,x\nhands_off,2026-10-25T02:30:00+01:00\nmotto,-\n")
}

func FuzzTestTable(f *testing.F) {
	fuzzTable(f, testTable(), string(small()["tests.csv"].Data))
}
