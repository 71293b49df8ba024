package inventory

import (
	"context"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// shape is what a test wants to know of a table, whatever its fact.
type shape struct {
	file, name string
	csv, sql   []string
}

func shapeOf[T any](t *table[T]) shape {
	sql := t.sqlNames()
	for i := range sql {
		sql[i] = strings.Trim(sql[i], `"`)
	}
	return shape{t.file, t.name, t.csv, sql}
}

func shapes() []shape {
	return []shape{
		shapeOf(jobTable()), shapeOf(wearerTable()), shapeOf(areaTable()), shapeOf(contactTable()), shapeOf(referenceTable()), shapeOf(patchTable()),
		shapeOf(lightTable()), shapeOf(stockTable()), shapeOf(measureTable()), shapeOf(testTable()), shapeOf(hoursTable()), shapeOf(roomTable()),
		shapeOf(sewingTable()), shapeOf(doneTable()), shapeOf(targetTable()), shapeOf(choiceTable()), shapeOf(recipeTable()), shapeOf(batchTable()),
		shapeOf(weighingTable()),
	}
}

// The tags of the facts and the script that makes the tables name the same
// columns.
func TestTagsAgreeWithTheSchema(t *testing.T) {
	f := newFile(t)
	own := []string{"id", "job", "seq", "origin", "version", "withdrawn"}
	for _, s := range shapes() {
		var names []string
		rows, err := f.db.QueryContext(context.Background(), `SELECT name FROM pragma_table_info(?) ORDER BY cid`, s.name)
		if err != nil {
			t.Fatal(err)
		}
		for rows.Next() {
			var n string
			if err := rows.Scan(&n); err != nil {
				t.Fatal(err)
			}
			if !slices.Contains(own, n) || slices.Contains(s.sql, n) {
				names = append(names, n)
			}
		}
		rows.Close()
		slices.Sort(names)
		want := slices.Sorted(slices.Values(s.sql))
		if !slices.Equal(names, want) {
			t.Errorf("table %s has the columns\n%v, the fact has\n%v", s.name, names, want)
		}
	}
}

// Source: ../shared/design/tables.md, the contract of the tables. Words in
// brackets explain; a cell that offers "a or b" is one of our columns or both.
func TestColumnsOfTheContract(t *testing.T) {
	text, err := os.ReadFile("../../shared/design/tables.md")
	if err != nil {
		t.Skip("the design papers are not beside the repository")
	}
	ours := map[string]shape{}
	for _, s := range shapes() {
		ours[s.file] = s
	}
	aside := regexp.MustCompile(`\([^)]*\)`)
	rename := map[string][]string{"weekday or date": {"day"}, "rectangle or colour": {"rectangle", "colour"},
		"kind or spectrum columns `r380`…`r730`": {"kind", "r380", "r730"}, "drying_factor and drying_factor_fan": {"drying_factor", "drying_factor_fan"}}
	files := 0
	for line := range strings.Lines(string(text)) {
		cells := strings.Split(line, "|")
		if len(cells) < 4 || !strings.Contains(cells[1], ".csv") {
			continue
		}
		files++
		file := strings.Trim(strings.TrimSpace(cells[1]), "`")
		s, ok := ours[file]
		if !ok {
			t.Errorf("no table for %s", file)
			continue
		}
		list := strings.TrimPrefix(strings.TrimSpace(aside.ReplaceAllString(strings.TrimSpace(cells[2]), "")), "`key,value`:")
		for name := range strings.SplitSeq(list, ",") {
			name = strings.Join(strings.Fields(name), " ")
			names, ok := rename[name]
			if !ok {
				names = []string{name}
			}
			for _, n := range names {
				if !slices.Contains(s.csv, n) {
					t.Errorf("%s: no column %q", file, n)
				}
			}
		}
	}
	if files != 14 {
		t.Errorf("found %d tables in the contract, want 14", files)
	}
}
