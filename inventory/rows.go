package inventory

import (
	"context"
	"database/sql"
	"fmt"
	"runtime"
	"slices"
	"sync"
)

// each loads rows one after the other; r is only valid during the call.
func each[T any](ctx context.Context, t *tx, tab *table[T], query string, args []any, take func(r *T) error) error {
	rows, err := t.QueryContext(ctx, query, args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	values := make([]any, tab.width())
	into := pointers(values)
	var r, none T
	for n := 1; rows.Next(); n++ {
		if err := rows.Scan(into...); err != nil {
			return err
		}
		r = none
		if err := tab.load(&t.env, values, &r); err != nil {
			return fmt.Errorf("table %s: row %d: %w", tab.name, n, err)
		}
		if err := take(&r); err != nil {
			return err
		}
	}
	return rows.Err()
}

func pointers(values []any) []any {
	into := make([]any, len(values))
	for i := range values {
		into[i] = &values[i]
	}
	return into
}

// batchRows is how many rows one worker of eachWide loads at a time.
const batchRows = 256

// batch is some rows in a row: what SQL gave, and the facts made of it.
type batch[T any] struct {
	values []any
	facts  []T
	err    error
	done   chan struct{}
}

// eachWide is each for long tables: facts are made by several goroutines
// (recovering a reflectance takes longer than reading its row), and taken in
// the order of the rows by the caller's. r is only valid during the call.
func eachWide[T any](ctx context.Context, t *tx, tab *table[T], query string, take func(r *T) error) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	rows, err := t.QueryContext(ctx, query)
	if err != nil {
		return err
	}
	defer rows.Close()

	workers := min(runtime.GOMAXPROCS(0), 8)
	work := make(chan *batch[T], workers)    // to be loaded
	order := make(chan *batch[T], 2*workers) // the same, as the rows come
	var busy sync.WaitGroup
	defer busy.Wait()
	for range workers {
		busy.Go(func() { loadBatches(tab, env{zone: t.zone}, work) })
	}
	var scanErr error
	busy.Go(func() {
		defer close(order)
		defer close(work)
		scanErr = scanBatches(ctx, rows, tab.width(), work, order)
	})
	n := 0
	for b := range order {
		<-b.done
		if err == nil {
			err = takeBatch(tab, b, n, take)
		}
		if err != nil {
			stop() // the scanner ends; go on until order closes
		}
		n += len(b.values) / tab.width()
	}
	if err != nil {
		return err
	}
	return scanErr
}

func takeBatch[T any](tab *table[T], b *batch[T], before int, take func(r *T) error) error {
	for i := range b.facts {
		if err := take(&b.facts[i]); err != nil {
			return err
		}
	}
	if b.err != nil {
		return fmt.Errorf("table %s: row %d: %w", tab.name, before+len(b.facts)+1, b.err)
	}
	return nil
}

// loadBatches makes facts of batches until there are no more.
func loadBatches[T any](tab *table[T], e env, work <-chan *batch[T]) {
	width := tab.width()
	for b := range work {
		b.facts = make([]T, 0, len(b.values)/width)
		for at := 0; at < len(b.values) && b.err == nil; at += width {
			var r T
			if b.err = tab.load(&e, b.values[at:at+width], &r); b.err == nil {
				b.facts = append(b.facts, r)
			}
		}
		close(b.done)
	}
}

// scanBatches reads rows into batches and hands each to both channels.
func scanBatches[T any](ctx context.Context, rows *sql.Rows, width int, work, order chan<- *batch[T]) error {
	values := make([]any, width)
	into := pointers(values)
	for more := rows.Next(); more; {
		b := &batch[T]{values: make([]any, 0, batchRows*width), done: make(chan struct{})}
		for n := 0; n < batchRows && more; n++ {
			if err := rows.Scan(into...); err != nil {
				return err
			}
			b.values = append(b.values, values...)
			more = rows.Next()
		}
		select {
		case work <- b:
		case <-ctx.Done():
			return ctx.Err()
		}
		order <- b // read until it closes
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
	return t.exec(ctx, tab.insertSQL(head...), tab.values(r, values)...)
}

// insertRows stores many rows; head gives the values of the head columns of
// each.
func insertRows[T any](ctx context.Context, t *tx, tab *table[T], list []T, head []string, values func(i int) []any) error {
	if len(list) == 0 {
		return nil
	}
	s, err := t.prepared(ctx, tab.insertSQL(head...))
	if err != nil {
		return err
	}
	for i := range list {
		if _, err := s.ExecContext(ctx, tab.values(&list[i], values(i))...); err != nil {
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
