package inventory

import (
	"context"
	"fmt"
	"slices"
)

// each loads rows one after the other; r is only valid during the call.
func each[T any](ctx context.Context, t *tx, tab *table[T], query string, args []any, take func(r *T) error) error {
	rows, err := t.QueryContext(ctx, query, args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	values := make([]any, tab.width())
	into := make([]any, len(values))
	for i := range values {
		into[i] = &values[i]
	}
	for n := 1; rows.Next(); n++ {
		if err := rows.Scan(into...); err != nil {
			return err
		}
		var r T
		if err := tab.load(&t.env, values, &r); err != nil {
			return fmt.Errorf("table %s: row %d: %w", tab.name, n, err)
		}
		if err := take(&r); err != nil {
			return err
		}
	}
	return rows.Err()
}

// rowsWhere loads the rows of a table that a condition picks, in its order.
func rowsWhere[T any](ctx context.Context, t *tx, tab *table[T], where string, args ...any) ([]T, error) {
	var list []T
	err := each(ctx, t, tab, tab.selectSQL(where), args, func(r *T) error {
		list = append(list, *r)
		return nil
	})
	return list, err
}

// insertRow stores one row behind the values of its head columns.
func insertRow[T any](ctx context.Context, t *tx, tab *table[T], r *T, head []string, values ...any) error {
	_, err := t.ExecContext(ctx, tab.insertSQL(head...), tab.values(r, values)...)
	return err
}

// insertRows stores many rows; head gives the values of the head columns of
// each.
func insertRows[T any](ctx context.Context, t *tx, tab *table[T], list []T, head []string, values func(i int) []any) error {
	if len(list) == 0 {
		return nil
	}
	stmt, err := t.PrepareContext(ctx, tab.insertSQL(head...))
	if err != nil {
		return err
	}
	defer stmt.Close()
	for i := range list {
		if _, err := stmt.ExecContext(ctx, tab.values(&list[i], values(i))...); err != nil {
			return err
		}
	}
	return nil
}

// sameRow says whether a table would show two rows alike.
func sameRow[T any](e *env, tab *table[T], a, b *T) bool {
	ca, cb := make([]string, len(tab.csv)), make([]string, len(tab.csv))
	tab.print(e, a, ca)
	tab.print(e, b, cb)
	for i := range ca {
		if ca[i] != cb[i] {
			return false
		}
	}
	return encodeExtra(*tab.extraOf(a)) == encodeExtra(*tab.extraOf(b))
}

// changedColumns names the columns in which two rows differ.
func changedColumns[T any](e *env, tab *table[T], a, b *T, except ...string) []string {
	ca, cb := make([]string, len(tab.csv)), make([]string, len(tab.csv))
	tab.print(e, a, ca)
	tab.print(e, b, cb)
	var names []string
	for i, n := range tab.csv {
		if ca[i] != cb[i] && !slices.Contains(except, n) {
			names = append(names, n)
		}
	}
	if encodeExtra(*tab.extraOf(a)) != encodeExtra(*tab.extraOf(b)) {
		names = append(names, "other columns")
	}
	return names
}
