package inventory

import (
	"context"
	"slices"
)

// replace puts a table's rows in the place of those of the last import.
func replace[T any](ctx context.Context, m *importer, tab *table[T], in rowsOf[T]) error {
	if !in.found {
		return nil
	}
	if _, err := m.ExecContext(ctx, `DELETE FROM `+tab.name+` WHERE job = ?`, m.id); err != nil {
		return err
	}
	return insertRows(ctx, m.tx, tab, in.rows, []string{"job", "seq"}, func(i int) []any { return []any{m.id, int64(i + 1)} })
}

// renewal is a table of recorded facts (tests, finished steps) being brought up
// to date.
type renewal[T any] struct {
	*importer
	tab  *table[T]
	key  func(*T) string
	live string          // condition that leaves out what was taken back
	have map[string]*T   // what the file holds
	kept map[string]bool // keys that commands recorded and that are not placed yet
	gone []T             // what commands took back
}

// renew replaces the rows that came from a table and keeps those that commands
// recorded, in the order of the new table and after it.
func renew[T any](ctx context.Context, m *importer, tab *table[T], in rowsOf[T], now []T, key func(*T) string) error {
	if !in.found {
		return nil
	}
	r := renewal[T]{importer: m, tab: tab, key: key, have: map[string]*T{}}
	for i := range now {
		r.have[key(&now[i])] = &now[i]
	}
	if tab.name == "done" {
		r.live = " AND withdrawn IS NULL"
	}
	var err error
	if r.kept, err = r.recorded(ctx); err != nil {
		return err
	}
	if r.gone, err = r.withdrawn(ctx); err != nil {
		return err
	}
	if _, err := r.ExecContext(ctx, `DELETE FROM `+tab.name+` WHERE job = ? AND origin = 'table'`+r.live, r.id); err != nil {
		return err
	}
	for i := range in.rows {
		if err := r.place(ctx, &in.rows[i], i+1); err != nil {
			return err
		}
	}
	return r.placeRest(ctx, now, len(in.rows))
}

// place puts a row of the table where it stands there, unless a command has
// recorded or taken back the same fact.
func (r *renewal[T]) place(ctx context.Context, row *T, seq int) error {
	key := r.key(row)
	switch {
	case r.kept[key]:
		delete(r.kept, key)
		if !sameRow(&r.env, r.tab, row, r.have[key]) {
			r.keep(key, "recorded here with other words; it stays as recorded")
		}
		return r.moveTo(ctx, key, seq)
	case slices.ContainsFunc(r.gone, func(old T) bool { return sameRow(&r.env, r.tab, &old, row) }):
		r.keep(key, "taken back here; it stays taken back")
		return nil
	}
	return insertRow(ctx, r.tx, r.tab, row, factHead, r.id, int64(seq), "table")
}

// placeRest moves recorded facts that the folder does not have behind its rows.
func (r *renewal[T]) placeRest(ctx context.Context, now []T, seq int) error {
	for i := range now {
		key := r.key(&now[i])
		if !r.kept[key] {
			continue
		}
		seq++
		if err := r.moveTo(ctx, key, seq); err != nil {
			return err
		}
		r.keep(key, "recorded here and not in the folder; it is kept")
	}
	return nil
}

func (r *renewal[T]) keep(key, why string) {
	r.report.Kept = append(r.report.Kept, r.tab.file+": "+key+": "+why)
}

// keyColumn is the SQL column of the fact's key, its first.
func (r *renewal[T]) keyColumn() string { return `"` + r.tab.columns[0].sql[0] + `"` }

func (r *renewal[T]) moveTo(ctx context.Context, key string, seq int) error {
	_, err := r.ExecContext(ctx, `UPDATE `+r.tab.name+` SET seq = ? WHERE job = ? AND `+r.keyColumn()+` = ?`+r.live, seq, r.id, key)
	return err
}

// recorded are the keys of rows that commands recorded.
func (r *renewal[T]) recorded(ctx context.Context) (map[string]bool, error) {
	list, err := r.texts(ctx, `SELECT `+r.keyColumn()+` FROM `+r.tab.name+` WHERE job = ? AND origin = 'command'`+r.live, r.id)
	keys := map[string]bool{}
	for _, k := range list {
		keys[k] = true
	}
	return keys, err
}

// withdrawn are the rows that commands took back.
func (r *renewal[T]) withdrawn(ctx context.Context) ([]T, error) {
	if r.live == "" {
		return nil, nil
	}
	return rowsWhere(ctx, r.tx, r.tab, "WHERE job = ? AND withdrawn IS NOT NULL", r.id)
}

// extend appends the rows of a history (approvals, choices) that carry on from
// what the file holds for their area.
func extend[T any](ctx context.Context, m *importer, tab *table[T], in rowsOf[T], now []T, area func(*T) string) error {
	if !in.found {
		return nil
	}
	passed, bad := map[string]int{}, map[string]bool{}
	held := map[string][]*T{}
	for i := range now {
		held[area(&now[i])] = append(held[area(&now[i])], &now[i])
	}
	var fresh []T
	for i := range in.rows {
		r := &in.rows[i]
		a := area(r)
		if n := passed[a]; n < len(held[a]) {
			bad[a] = bad[a] || !sameRow(&m.env, tab, r, held[a][n])
		} else if !bad[a] {
			fresh = append(fresh, *r)
		}
		passed[a]++
	}
	reportHistories(m, tab.file, now, area, passed, bad, held)
	return insertRows(ctx, m.tx, tab, fresh, factHead, func(i int) []any { return []any{m.id, int64(len(now) + i + 1), "table"} })
}

func reportHistories[T any](m *importer, file string, now []T, area func(*T) string, passed map[string]int, bad map[string]bool, held map[string][]*T) {
	said := map[string]bool{}
	for i := range now {
		a := area(&now[i])
		switch {
		case said[a]:
		case bad[a]:
			m.report.Kept = append(m.report.Kept, file+": "+a+": recorded here otherwise; what is recorded stays")
		case passed[a] < len(held[a]):
			m.report.Kept = append(m.report.Kept, file+": "+a+": recorded here and not in the folder; it is kept")
		}
		said[a] = true
	}
}
