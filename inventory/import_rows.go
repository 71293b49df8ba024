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

// renew replaces the rows that came from a table and keeps those that commands
// recorded, in the order of the new table and after it.
func renew[T any](ctx context.Context, m *importer, tab *table[T], in rowsOf[T], now []T, key func(*T) string) error {
	if !in.found {
		return nil
	}
	live := ""
	if tab.name == "done" {
		live = " AND withdrawn IS NULL"
	}
	kept, err := m.recordedKeys(ctx, tab.name, tab.columns[0].sql[0], live)
	if err != nil {
		return err
	}
	if _, err := m.ExecContext(ctx, `DELETE FROM `+tab.name+` WHERE job = ? AND origin = 'table'`+live, m.id); err != nil {
		return err
	}
	have := map[string]*T{}
	for i := range now {
		have[key(&now[i])] = &now[i]
	}
	move := func(code string, seq int) error {
		_, err := m.ExecContext(ctx, `UPDATE `+tab.name+` SET seq = ? WHERE job = ? AND "`+tab.columns[0].sql[0]+`" = ?`+live, seq, m.id, code)
		return err
	}
	gone, err := withdrawn(ctx, m, tab)
	if err != nil {
		return err
	}
	stmt, err := m.PrepareContext(ctx, tab.insertSQL(factHead...))
	if err != nil {
		return err
	}
	defer stmt.Close()
	for i := range in.rows {
		r := &in.rows[i]
		code := key(r)
		switch {
		case kept[code]:
			delete(kept, code)
			if !sameRow(&m.env, tab, r, have[code]) {
				m.report.Kept = append(m.report.Kept, tab.file+": "+code+": recorded here with other words; it stays as recorded")
			}
			err = move(code, i+1)
		case slices.ContainsFunc(gone, func(old T) bool { return sameRow(&m.env, tab, &old, r) }):
			m.report.Kept = append(m.report.Kept, tab.file+": "+code+": taken back here; it stays taken back")
		default:
			_, err = stmt.ExecContext(ctx, tab.values(r, []any{m.id, int64(i + 1), "table"})...)
		}
		if err != nil {
			return err
		}
	}
	return keepRest(m, tab.file, now, key, kept, len(in.rows), move)
}

// withdrawn are the rows that a command has taken back.
func withdrawn[T any](ctx context.Context, m *importer, tab *table[T]) ([]T, error) {
	if tab.name != "done" {
		return nil, nil
	}
	return rowsWhere(ctx, m.tx, tab, "WHERE job = ? AND withdrawn IS NOT NULL", m.id)
}

// keepRest moves recorded facts that the folder does not have behind its rows.
func keepRest[T any](m *importer, file string, now []T, key func(*T) string, kept map[string]bool, seq int, move func(string, int) error) error {
	for i := range now {
		code := key(&now[i])
		if !kept[code] {
			continue
		}
		seq++
		if err := move(code, seq); err != nil {
			return err
		}
		m.report.Kept = append(m.report.Kept, file+": "+code+": recorded here and not in the folder; it is kept")
	}
	return nil
}

// recordedKeys are the keys of rows that commands recorded.
func (m *importer) recordedKeys(ctx context.Context, name, column, live string) (map[string]bool, error) {
	list, err := m.texts(ctx, `SELECT "`+column+`" FROM `+name+` WHERE job = ? AND origin = 'command'`+live, m.id)
	keys := map[string]bool{}
	for _, k := range list {
		keys[k] = true
	}
	return keys, err
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
