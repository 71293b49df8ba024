package inventory

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
)

// Setting returns a setting of the workroom; ok says whether it was ever set.
func (f *File) Setting(ctx context.Context, name string) (value string, ok bool, err error) {
	err = f.read(ctx, "read setting "+name, func(t *tx) error {
		err := t.QueryRowContext(ctx, `SELECT value FROM setting WHERE name = ?`, name).Scan(&value)
		if errors.Is(err, sql.ErrNoRows) {
			return nil
		}
		ok = err == nil
		return err
	})
	return value, ok, err
}

// Settings returns every setting by name.
func (f *File) Settings(ctx context.Context) (map[string]string, error) {
	all := map[string]string{}
	err := f.read(ctx, "read settings", func(t *tx) error {
		rows, err := t.QueryContext(ctx, `SELECT name, value FROM setting`)
		if err != nil {
			return err
		}
		defer rows.Close()
		for rows.Next() {
			var name, value string
			if err := rows.Scan(&name, &value); err != nil {
				return err
			}
			all[name] = value
		}
		return rows.Err()
	})
	return all, err
}

// SetSetting sets a setting of the workroom.
func (f *File) SetSetting(ctx context.Context, name, value string) error {
	return f.write(ctx, "set "+name, func(t *tx) error {
		if name == "" || !isText(mostName)(name) || !isText(mostText)(value) {
			return fmt.Errorf("%q: expected a name and text without control characters", name)
		}
		_, err := t.ExecContext(ctx, `INSERT INTO setting VALUES (?1, ?2) ON CONFLICT (name) DO UPDATE SET value = ?2`, name, value)
		return err
	})
}
