package inventory

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
)

// checkFolder holds the tables of a folder against each other and against the
// shelf. A table that the folder leaves out is taken as the file holds it.
func (m *importer) checkFolder(ctx context.Context) error {
	areas := codes(m.in.areas, m.now.Areas, func(r *AreaFact) string { return r.Code })
	references := codes(m.in.references, m.now.References, func(r *ReferenceFact) string { return r.Code })
	lights := codes(m.in.lights, m.now.Lights, func(r *LightFact) string { return r.Name })
	sewing := codes(m.in.sewing, m.now.Sewing, func(r *SewingFact) string { return r.Code })
	stock := m.stockCodes(ctx)
	m.checkAreas(stock)
	m.checkContacts(areas)
	m.checkPatches(references, areas)
	m.checkMeasures(areas, stock, lights)
	m.checkTests(areas, stock)
	m.checkSewing(areas, sewing)
	for i := range m.in.hours.rows {
		checkHoursRow(&m.in.hours.rows[i], m.in.hours.at[i], m.c)
	}
	m.checkFacts(areas, stock)
	return errors.Join(m.trouble, m.checkStock(ctx, &m.in.stock, m.id, m.c))
}

// codes is a lookup over a table's keys: those of the folder when the table is
// in it, else those of the file.
func codes[T any](in rowsOf[T], now []T, key func(*T) string) func(string) bool {
	rows := now
	if in.found {
		rows = in.rows
	}
	set := make(map[string]bool, len(rows))
	for i := range rows {
		set[key(&rows[i])] = true
	}
	return func(s string) bool { return set[s] }
}

// stockCodes is a lookup over the shelf with the folder's lines put on it.
func (m *importer) stockCodes(ctx context.Context) func(string) bool {
	set := map[string]bool{}
	for i := range m.in.stock.rows {
		set[m.in.stock.rows[i].Code] = true
	}
	return func(s string) bool {
		known, ok := set[s]
		if !ok {
			var err error
			known, err = m.tx.known(ctx, s)
			m.trouble = errors.Join(m.trouble, err)
			set[s] = known
		}
		return known
	}
}

const (
	wantStock = "the code of a stock line"
	wantArea  = "the code of an area"
)

func (m *importer) checkAreas(stock func(string) bool) {
	for i, r := range m.in.areas.rows {
		row := m.in.areas.at[i]
		if r.Ground != "" && !stock(r.Ground) {
			m.c.add("areas.csv", row, "ground", r.Ground, wantStock)
		}
		if r.Code == skin {
			m.c.add("areas.csv", row, "code", r.Code, "another code: skin is the wearer's skin")
		}
		m.checkLayers("areas.csv", row, r.Recipe, stock)
	}
}

func (m *importer) checkLayers(file string, row int, layers []RecipeLayer, stock func(string) bool) {
	for _, l := range layers {
		if !stock(l.Code) {
			m.c.add(file, row, "recipe", l.Code, "the codes of stock lines")
		}
	}
}

func (m *importer) checkContacts(areas func(string) bool) {
	for i, r := range m.in.contacts.rows {
		row := m.in.contacts.at[i]
		for _, end := range [...]struct{ column, code string }{{"from", r.From}, {"to", r.To}} {
			if end.code != "" && end.code != skin && !areas(end.code) {
				m.c.add("contacts.csv", row, end.column, end.code, wantArea+" or skin")
			}
		}
		if r.From == skin && r.To == skin {
			m.c.add("contacts.csv", row, "to", r.To, wantArea+", because from is skin")
		}
	}
}

func (m *importer) checkPatches(references, areas func(string) bool) {
	for i, r := range m.in.patches.rows {
		row := m.in.patches.at[i]
		if r.Reference != "" && !references(r.Reference) {
			m.c.add("patches.csv", row, "reference", r.Reference, "a code from references.csv")
		}
		if r.Area != "" && !areas(r.Area) {
			m.c.add("patches.csv", row, "area", r.Area, wantArea)
		}
		if !r.Rectangle.Known() && !r.Colour.Known() && !m.c.bad("patches.csv", row) {
			m.c.add("patches.csv", row, "rectangle", "", "a rectangle x,y,w,h, or a colour in the column colour")
		}
	}
}

func (m *importer) checkMeasures(areas, stock, lights func(string) bool) {
	owner := func(code string) bool { return stock(code) || areas(code) }
	for i := range m.in.measures.rows {
		checkMeasureRow(&m.in.measures.rows[i], m.in.measures.at[i], owner, stock, lights, m.c)
	}
}

func (m *importer) checkTests(areas, stock func(string) bool) {
	code := func(r *TestFact) string { return r.Code }
	there := codes(m.in.tests, nil, code)
	before := codes(rowsOf[TestFact]{}, m.now.Tests, code) // what a command recorded stays
	for i, r := range m.in.tests.rows {
		if r.Retests != "" && (r.Retests == r.Code || !there(r.Retests) && !before(r.Retests)) {
			m.c.add("tests.csv", m.in.tests.at[i], "retests", r.Retests, "the code of another test")
		}
		if r.Subject != "" && !stock(r.Subject) && !areas(r.Subject) {
			m.c.add("tests.csv", m.in.tests.at[i], "subject", r.Subject, wantStock+" or of an area")
		}
	}
}

func (m *importer) checkSewing(areas, sewing func(string) bool) {
	for i, r := range m.in.sewing.rows {
		row := m.in.sewing.at[i]
		if r.Area != "" && !areas(r.Area) {
			m.c.add("sewing.csv", row, "area", r.Area, wantArea)
		}
		checkAfter("after", r.After, row, sewing, areas, m.c)
		checkAfter("before", r.Before, row, sewing, areas, m.c)
	}
}

// checkFacts holds recorded facts against the rest. A fact about an area that
// the job no longer has is kept and warned about: the fact is still true.
func (m *importer) checkFacts(areas, stock func(string) bool) {
	for i, r := range m.in.done.rows {
		if r.Code != "" && !stock(r.Code) {
			m.c.add("done.csv", m.in.done.at[i], "code", r.Code, wantStock)
		}
	}
	for i, r := range m.in.choices.rows {
		m.checkLayers("choices.csv", m.in.choices.at[i], r.Layers, stock)
		m.warnArea("choices.csv", r.Area, areas)
	}
	for _, r := range m.in.targets.rows {
		m.warnArea("targets.csv", r.Area, areas)
	}
	if m.in.areas.found {
		for _, r := range m.now.Targets {
			m.warnArea("approved target", r.Area, areas)
		}
		for _, r := range m.now.Choices {
			m.warnArea("choice", r.Area, areas)
		}
	}
}

func (m *importer) warnArea(what, area string, areas func(string) bool) {
	text := what + ": " + area + ": areas.csv has no such area; the fact is kept"
	if area != "" && !areas(area) && !slices.Contains(m.report.Warnings, text) {
		m.report.Warnings = append(m.report.Warnings, text)
	}
}

// checkStock refuses a line that would give a code in use another meaning, or
// count an amount in another unit than its movements. Job 0 is the shelf's own
// table, which may rename what jobs use.
func (t *tx) checkStock(ctx context.Context, in *rowsOf[StockFact], job int64, c *complaints) error {
	stmt, err := t.PrepareContext(ctx, `SELECT s.name, s.kind, coalesce(s.unit, ''),
		EXISTS (SELECT 1 FROM movement m WHERE m.code = s.code),
		coalesce((SELECT j.name FROM job_stock u JOIN job j ON j.id = u.job WHERE u.code = s.code AND u.job <> ?1 AND ?1 <> 0 LIMIT 1), '')
		FROM stock s WHERE s.code = ?2`)
	if err != nil {
		return err
	}
	defer stmt.Close()
	for i := range in.rows {
		r, row := &in.rows[i], in.at[i]
		checkStockRow(r, row, c)
		var name, word, other string
		var kind Kind
		var moved bool
		err := stmt.QueryRowContext(ctx, job, r.Code).Scan(&name, &kind, &word, &moved, &other)
		if errors.Is(err, sql.ErrNoRows) {
			continue
		}
		if err != nil {
			return err
		}
		if other != "" && (name != r.Name || kind != r.Kind) {
			c.add("stock.csv", row, "code", r.Code, fmt.Sprintf("a code of its own: here it is %q (%s), which the job %q uses", name, kind, other))
		}
		if moved && word != "" && word != r.Unit {
			c.add("stock.csv", row, "unit", r.Unit, "the unit "+word+" that the movements of "+r.Code+" are counted in")
		}
	}
	return nil
}
