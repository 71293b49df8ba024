package inventory

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"slices"
	"strings"
)

// JobFolder returns a job as the files of its folder, by name: every table (an
// empty one has its header), its pictures, and the tables it came with that are
// not known here. targets.csv and choices.csv are there when there are any.
// Importing the folder and exporting it again gives the same bytes.
func (f *File) JobFolder(ctx context.Context, name string) ([]PictureFact, error) {
	var files []PictureFact
	err := f.read(ctx, "export job "+name, func(t *tx) error {
		id, _, err := t.jobID(ctx, name)
		if err != nil {
			return err
		}
		job, err := t.loadJob(ctx, id)
		if err != nil {
			return err
		}
		files, err = t.printJob(ctx, id, &job)
		return err
	})
	return files, err
}

// printJob prints the tables of a job. t.zone is the job's, see loadTables.
func (t *tx) printJob(ctx context.Context, id int64, j *JobFacts) ([]PictureFact, error) {
	stock, err := t.jobStock(ctx, id, j)
	if err != nil {
		return nil, err
	}
	measures, err := t.measuresOf(ctx, j, stock)
	if err != nil {
		return nil, err
	}
	e, files := &t.env, slices.Concat(j.Pictures, j.Papers)
	err = errors.Join(
		printTable(&files, jobTable(), e, []JobFact{j.Job}), printTable(&files, wearerTable(), e, j.Wearers), printTable(&files, areaTable(), e, j.Areas),
		printTable(&files, contactTable(), e, j.Contacts), printTable(&files, referenceTable(), e, j.References), printTable(&files, patchTable(), e, j.Patches),
		printTable(&files, lightTable(), e, j.Lights), printTable(&files, stockTable(), e, stock), printTable(&files, measureTable(), e, measures),
		printTable(&files, testTable(), e, j.Tests), printTable(&files, hoursTable(), e, j.Hours), printTable(&files, roomTable(), e, []RoomFact{j.Room}),
		printTable(&files, sewingTable(), e, j.Sewing), printTable(&files, doneTable(), e, j.Done))
	if len(j.Targets) > 0 {
		err = errors.Join(err, printTable(&files, targetTable(), e, j.Targets))
	}
	if len(j.Choices) > 0 {
		err = errors.Join(err, printTable(&files, choiceTable(), e, j.Choices))
	}
	slices.SortFunc(files, func(a, b PictureFact) int { return strings.Compare(a.Name, b.Name) })
	return files, err
}

func printTable[T any](files *[]PictureFact, tab *table[T], e *env, rows []T) error {
	var b bytes.Buffer
	if err := writeTable(tab, e, rows, &b); err != nil {
		return fmt.Errorf("%s: %w", tab.file, err)
	}
	*files = append(*files, PictureFact{tab.file, b.Bytes()})
	return nil
}

// jobStock loads the stock lines that came with the job, in the order of its
// table, then others its tables name, by code.
func (t *tx) jobStock(ctx context.Context, id int64, j *JobFacts) ([]StockFact, error) {
	list, err := t.texts(ctx, `SELECT code FROM job_stock WHERE job = ? ORDER BY seq`, id)
	if err != nil {
		return nil, err
	}
	have := map[string]bool{}
	for _, c := range list {
		have[c] = true
	}
	var more []string
	for _, c := range stockNamed(j) {
		if c != "" && !have[c] && t.stockExists(ctx, c) == nil {
			have[c] = true
			more = append(more, c)
		}
	}
	slices.Sort(more)
	rows := make([]StockFact, 0, len(list)+len(more))
	for _, c := range append(list, more...) {
		l, err := t.line(ctx, c)
		if err != nil {
			return nil, err
		}
		rows = append(rows, l.StockFact)
	}
	return rows, nil
}

// stockNamed lists the codes a job's tables may mean stock lines by.
func stockNamed(j *JobFacts) []string {
	var names []string
	layers := func(list []RecipeLayer) {
		for _, l := range list {
			names = append(names, l.Code)
		}
	}
	for _, r := range j.Areas {
		names = append(names, r.Ground)
		layers(r.Recipe)
	}
	for _, r := range j.Choices {
		layers(r.Layers)
	}
	for _, r := range j.Tests {
		names = append(names, r.Subject, r.Against)
	}
	for _, r := range j.Done {
		names = append(names, r.Code)
	}
	for _, r := range j.Measures {
		names = append(names, r.Over)
	}
	return names
}

// measuresOf joins the job's own measures and those of its stock lines.
func (t *tx) measuresOf(ctx context.Context, j *JobFacts, stock []StockFact) ([]Measure, error) {
	all := slices.Clone(j.Measures)
	for i := range stock {
		list, err := rowsWhere(ctx, t, measureTable(), "WHERE job IS NULL AND code = ? ORDER BY id", stock[i].Code)
		if err != nil {
			return nil, err
		}
		all = append(all, list...)
	}
	return all, nil
}

// ExportJob writes a job's folder, see [File.JobFolder], making the folder where
// there is none. A file that is there with other content is never written over:
// [ErrExists] then names it, and nothing is written.
func (f *File) ExportJob(ctx context.Context, name, dir string) error {
	files, err := f.JobFolder(ctx, name)
	if err != nil {
		return err
	}
	return explain("export job "+name, dir, writeFolder(dir, files))
}

// writeFolder writes files below dir, through a root that no name can leave.
func writeFolder(dir string, files []PictureFact) error {
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return err
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return err
	}
	defer root.Close()
	var fresh []PictureFact
	for _, p := range files {
		old, err := root.ReadFile(p.Name)
		switch {
		case err == nil && bytes.Equal(old, p.Bytes):
		case err == nil:
			return fmt.Errorf("%s: %w with other content: export into an empty folder", p.Name, ErrExists)
		case errors.Is(err, fs.ErrNotExist):
			fresh = append(fresh, p)
		default:
			return err
		}
	}
	for _, p := range fresh {
		if err := writeOne(root, p); err != nil {
			return fmt.Errorf("%s: %w", p.Name, err)
		}
	}
	return nil
}

// writeOne writes a file under another name and renames it, so that half a file
// never stands under its name.
func writeOne(root *os.Root, p PictureFact) error {
	if d := path.Dir(p.Name); d != "." {
		if err := root.MkdirAll(d, 0o777); err != nil {
			return err
		}
	}
	part := path.Join(path.Dir(p.Name), ".part-"+path.Base(p.Name))
	out, err := root.Create(part)
	if err != nil {
		return err
	}
	_, err = out.Write(p.Bytes)
	if err = errors.Join(err, out.Sync(), out.Close()); err != nil {
		root.Remove(part)
		return err
	}
	return root.Rename(part, p.Name)
}

// StockFolder returns the whole shelf as files: stock.csv and measures.csv,
// which [File.ImportStock] reads, and movements.csv, recipes.csv, batches.csv
// and weighings.csv, which explain it.
func (f *File) StockFolder(ctx context.Context) ([]PictureFact, error) {
	var files []PictureFact
	err := f.read(ctx, "export stock", func(t *tx) error {
		stock, err := t.wholeStock(ctx)
		if err != nil {
			return err
		}
		measures, err := rowsWhere(ctx, t, measureTable(), "WHERE job IS NULL ORDER BY code, id")
		if err != nil {
			return err
		}
		movements, err := t.movements(ctx, `ORDER BY m.code, m.id`)
		if err != nil {
			return err
		}
		e := &t.env
		return errors.Join(
			printTable(&files, stockTable(), e, stock), printTable(&files, measureTable(), e, measures),
			printTable(&files, movementTable(), e, movements), t.printBench(ctx, &files))
	})
	return files, err
}

// wholeStock loads every stock line by code, on hand as its movements add up.
func (t *tx) wholeStock(ctx context.Context) ([]StockFact, error) {
	balances, err := t.balances(ctx)
	if err != nil {
		return nil, err
	}
	list, err := rowsWhere(ctx, t, stockTable(), "ORDER BY code")
	for i := range list {
		list[i].OnHand = onHand(balances[list[i].Code])
	}
	return list, err
}

// ExportStock writes the shelf's files, see [File.StockFolder], into a folder;
// like [File.ExportJob] it never writes over a file of other content.
func (f *File) ExportStock(ctx context.Context, dir string) error {
	files, err := f.StockFolder(ctx)
	if err != nil {
		return err
	}
	return explain("export stock", dir, writeFolder(dir, files))
}

// ImportStock reads stock.csv and measures.csv of a folder onto the shelf, all
// or nothing; either may be missing. Lines that are not in the table stay.
// on_hand figures are taken as [File.ImportJob] takes them.
func (f *File) ImportStock(ctx context.Context, from fs.FS) (Report, error) {
	var c complaints
	r := &reader{from: from, tables: map[string]string{}, c: &c, out: &folder{}}
	if err := r.list(); err != nil {
		return Report{}, explain("import stock", "", err)
	}
	if err := errors.Join(read(r, stockTable(), &r.out.stock), read(r, measureTable(), &r.out.measures)); err != nil {
		return Report{}, explain("import stock", "", err)
	}
	if !r.out.stock.found && !r.out.measures.found {
		c.add("stock.csv", 0, "", "", "a table stock.csv or measures.csv in the folder")
	}
	report := r.out.report
	report.Left = r.others
	err := f.write(ctx, "import stock", func(t *tx) error { return t.importStock(ctx, r.out, &report, &c) })
	if err != nil {
		return Report{}, err
	}
	return report, nil
}

func (t *tx) importStock(ctx context.Context, in *folder, report *Report, c *complaints) error {
	m := &importer{tx: t, in: in, c: c}
	stock := m.stockCodes(ctx)
	none := func(string) bool { return false }
	m.checkMeasures(none, stock, none)
	if err := errors.Join(m.trouble, t.checkStock(ctx, &in.stock, 0, c)); err != nil {
		return err
	}
	if err := c.err(); err != nil {
		return err
	}
	if err := t.storeLines(ctx, &in.stock, report); err != nil {
		return err
	}
	if err := t.storeMeasures(ctx, &in.measures, sql.NullInt64{}); err != nil {
		return err
	}
	return t.shelfChanged(ctx)
}

// printBench prints recipes, batches and weighings as tables.
func (t *tx) printBench(ctx context.Context, files *[]PictureFact) error {
	recipes, err := rowsWhere(ctx, t, recipeTable(), "ORDER BY number")
	if err != nil {
		return err
	}
	batches, err := t.batches(ctx, "ORDER BY number")
	if err != nil {
		return err
	}
	weighings, err := rowsWhere(ctx, t, weighingTable(), "ORDER BY code, id")
	if err != nil {
		return err
	}
	return errors.Join(printTable(files, recipeTable(), &t.env, recipes), printTable(files, batchTable(), &t.env, batches),
		printTable(files, weighingTable(), &t.env, weighings))
}
