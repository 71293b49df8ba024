package finish

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"io/fs"
	"maps"
	"path"
	"slices"
	"strings"

	"undercoat/finish/garment"
	"undercoat/inventory"
	"undercoat/palette"
)

// NamedFile is a file in memory: a slash-separated name and its bytes.
type NamedFile struct {
	Name  string
	Bytes []byte
}

// FolderOf makes files in memory a folder that can be imported. One zip file
// is opened; a folder that holds only one folder stands for that one.
func FolderOf(files []NamedFile) (fs.FS, error) {
	if len(files) == 1 && strings.EqualFold(path.Ext(files[0].Name), ".zip") {
		return openZip(files[0].Bytes)
	}
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, f := range files {
		if !fs.ValidPath(f.Name) || f.Name == "." {
			return nil, fmt.Errorf("read folder: %q: not a file name", f.Name)
		}
		w, err := z.CreateHeader(&zip.FileHeader{Name: f.Name, Method: zip.Store})
		if err == nil {
			_, err = w.Write(f.Bytes)
		}
		if err != nil {
			return nil, fmt.Errorf("read folder: %s: %w", f.Name, err)
		}
	}
	if err := z.Close(); err != nil {
		return nil, fmt.Errorf("read folder: %w", err)
	}
	return openZip(b.Bytes())
}

// mostUnpacked bounds what a zip file may unpack to, in bytes.
const mostUnpacked = 256 << 20

func openZip(data []byte) (fs.FS, error) {
	r, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, fmt.Errorf("open zip file: %w", err)
	}
	total := uint64(0)
	for _, f := range r.File {
		total += f.UncompressedSize64
	}
	if total > mostUnpacked {
		return nil, fmt.Errorf("open zip file: it unpacks to %d MB: expected at most %d MB", total>>20, mostUnpacked>>20)
	}
	entries, err := fs.ReadDir(r, ".")
	if err == nil && len(entries) == 1 && entries[0].IsDir() {
		return fs.Sub(r, entries[0].Name())
	}
	return r, err
}

// NewJob makes a job from what job.csv states, "name" at least.
func (b *Bench) NewJob(ctx context.Context, columns map[string]string) (inventory.Report, error) {
	names, err := b.file.Jobs(ctx)
	if err != nil {
		return inventory.Report{}, err
	}
	if slices.Contains(names, strings.TrimSpace(columns["name"])) {
		return inventory.Report{}, fmt.Errorf("make job: %s: there is a job of that name", columns["name"])
	}
	rows := [][]string{{"key", "value"}}
	for _, key := range slices.Sorted(maps.Keys(columns)) {
		if v := strings.TrimSpace(columns[key]); v != "" {
			rows = append(rows, []string{key, v})
		}
	}
	table, err := writeTable(rows)
	if err != nil {
		return inventory.Report{}, err
	}
	folder, err := FolderOf([]NamedFile{{"job.csv", table}})
	if err != nil {
		return inventory.Report{}, err
	}
	return b.file.ImportJob(ctx, folder)
}

// AddArea adds an area to the job: the columns of areas.csv as a maker writes
// them. The job must be at the version the maker saw.
func (b *Bench) AddArea(ctx context.Context, version int64, columns map[string]string) (int64, error) {
	return b.change(ctx, version, nil, func(tables map[string][][]string) error {
		return setRow(tables, "areas.csv", []string{"code"}, columns)
	})
}

// DropArea takes an area off the job's table again.
func (b *Bench) DropArea(ctx context.Context, version int64, code string) (int64, error) {
	return b.change(ctx, version, nil, func(tables map[string][][]string) error {
		return dropRow(tables, "areas.csv", map[string]string{"code": code})
	})
}

// DropPicture takes a reference off the job's table again, with its marks.
func (b *Bench) DropPicture(ctx context.Context, version int64, code string) (int64, error) {
	return b.change(ctx, version, nil, func(tables map[string][][]string) error {
		if err := dropRow(tables, "references.csv", map[string]string{"code": code}); err != nil {
			return err
		}
		if len(tables["patches.csv"]) == 0 {
			return nil
		}
		return dropRow(tables, "patches.csv", map[string]string{"reference": code})
	})
}

// MarkPatch marks where a picture shows an area, in the place of an earlier
// mark: "x,y,w,h", or the corners of an outline; "" takes the mark away.
func (b *Bench) MarkPatch(ctx context.Context, version int64, ref, area, spot string) (int64, error) {
	s, pic, err := b.reference(ctx, ref)
	if err != nil {
		return 0, err
	}
	if _, err := s.area(area); err != nil {
		return 0, err
	}
	if spot == "" {
		return b.change(ctx, version, nil, func(tables map[string][][]string) error {
			return dropRow(tables, "patches.csv", map[string]string{"reference": ref, "area": area})
		})
	}
	at, err := inventory.ParseSpot(spot)
	if err != nil {
		return 0, err
	}
	if _, err := s.readOne(pic, at); err != nil { // a mark that reads nothing is refused
		return 0, fmt.Errorf("mark %s in %s: %w", area, pic.Picture, err)
	}
	return b.change(ctx, version, nil, func(tables map[string][][]string) error {
		return setRow(tables, "patches.csv", []string{"reference", "area"}, map[string]string{"reference": ref, "area": area, "rectangle": at.String(), "colour": ""})
	})
}

// MarkAnchor marks a spot of known colour in a picture: "" is a neutral of
// whatever lightness; a width of 0 takes the anchor away.
func (b *Bench) MarkAnchor(ctx context.Context, version int64, ref string, at palette.Rect, known string) (int64, error) {
	s, pic, err := b.reference(ctx, ref)
	if err != nil {
		return 0, err
	}
	cells := map[string]string{"code": ref, "anchor": "", "anchor_colour": ""}
	if at.W > 0 {
		opened, err := s.picture(pic)
		if err != nil {
			return 0, err
		}
		if _, err := opened.Patch(at); err != nil {
			return 0, fmt.Errorf("mark the anchor in %s: %w", pic.Picture, err)
		}
		cells["anchor"], cells["anchor_colour"] = at.String(), known
	}
	return b.markReference(ctx, version, cells)
}

// MarkChart marks a chart of 24 patches in a picture; a width of 0 takes the
// mark away. A rectangle in which no chart is found is refused.
func (b *Bench) MarkChart(ctx context.Context, version int64, ref string, at palette.Rect) (int64, error) {
	s, pic, err := b.reference(ctx, ref)
	if err != nil {
		return 0, err
	}
	cells := map[string]string{"code": ref, "chart": ""}
	if at.W > 0 {
		opened, err := s.picture(pic)
		if err != nil {
			return 0, err
		}
		if _, _, err := opened.ByChart(at); err != nil {
			return 0, fmt.Errorf("mark the chart in %s: %w", pic.Picture, err)
		}
		cells["chart"] = at.String()
	}
	return b.markReference(ctx, version, cells)
}

func (b *Bench) markReference(ctx context.Context, version int64, cells map[string]string) (int64, error) {
	return b.change(ctx, version, nil, func(tables map[string][][]string) error {
		return setRow(tables, "references.csv", []string{"code"}, cells)
	})
}

// AddPicture adds a reference with its picture, which must be one that can be
// read. The code is the next free Rn.
func (b *Bench) AddPicture(ctx context.Context, version int64, f NamedFile, trust, note string) (code string, now int64, err error) {
	if _, err := decode(fileOf(f.Name, f.Bytes)); err != nil {
		return "", 0, err
	}
	s, err := b.scene(ctx)
	if err != nil {
		return "", 0, err
	}
	for n := 1; code == ""; n++ {
		try := fmt.Sprintf("R%d", n)
		if !slices.ContainsFunc(s.job.References, func(r garment.Reference) bool { return r.Code == try }) {
			code = try
		}
	}
	f.Name = code + strings.ToLower(path.Ext(f.Name))
	now, err = b.change(ctx, version, []NamedFile{f}, func(tables map[string][][]string) error {
		return setRow(tables, "references.csv", []string{"code"}, map[string]string{"code": code, "picture": f.Name, "trust": trust, "note": note})
	})
	return code, now, err
}

// changeable are the tables a page may change; what is recorded elsewhere (the
// shelf, tests, what is done) is not among them.
var changeable = []string{"job.csv", "wearers.csv", "areas.csv", "contacts.csv", "lights.csv", "hours.csv", "room.csv", "sewing.csv", "references.csv", "patches.csv"}

// JobTable returns one table of the job as a maker writes it, its header first.
func (b *Bench) JobTable(ctx context.Context, file string) ([][]string, error) {
	name, err := b.jobName(ctx)
	if err != nil {
		return nil, err
	}
	files, err := b.file.JobFolder(ctx, name)
	if err != nil {
		return nil, err
	}
	for _, f := range files {
		if f.Name == file && slices.Contains(changeable, file) {
			return readTable(f.Bytes)
		}
	}
	return nil, fmt.Errorf("open table: %s: the job has none of that name: %w", file, inventory.ErrNotFound)
}

// SetJobTable puts rows in the place of a table's; rows of nothing are left
// out. The columns stay, and so does the job's name. A bad cell is told by file,
// row and column, and nothing is changed then.
func (b *Bench) SetJobTable(ctx context.Context, version int64, file string, rows [][]string) (int64, error) {
	if !slices.Contains(changeable, file) {
		return 0, fmt.Errorf("change table: %s: the job has none of that name: %w", file, inventory.ErrNotFound)
	}
	return b.change(ctx, version, nil, func(tables map[string][][]string) error {
		old := tables[file]
		if len(old) == 0 {
			return fmt.Errorf("%s: the job has no such table", file)
		}
		kept := old[:1:1]
		for i, row := range rows {
			if len(row) != len(old[0]) {
				return fmt.Errorf("%s: row %d has %d cells: expected %d", file, i+1, len(row), len(old[0]))
			}
			if file == "job.csv" && row[0] == "name" && row[1] != b.job {
				return fmt.Errorf("job.csv: the name of a job stays: found %q, expected %q", row[1], b.job)
			}
			if strings.Join(row, "") != "" {
				kept = append(kept, row)
			}
		}
		tables[file] = kept
		return nil
	})
}

// change edits tables of the job and takes them in again as one import: all or
// nothing, onto the version the maker saw. Facts recorded since stay. It
// returns the version after it.
func (b *Bench) change(ctx context.Context, version int64, more []NamedFile, edit func(map[string][][]string) error) (int64, error) {
	name, err := b.jobName(ctx)
	if err != nil {
		return 0, err
	}
	files, err := b.file.JobFolder(ctx, name)
	if err != nil {
		return 0, err
	}
	tables := map[string][][]string{}
	for _, f := range files {
		if slices.Contains(changeable, f.Name) {
			if tables[f.Name], err = readTable(f.Bytes); err != nil {
				return 0, fmt.Errorf("change job: %s: %w", f.Name, err)
			}
		} else if !strings.EqualFold(path.Ext(f.Name), ".csv") {
			more = append(more, NamedFile{f.Name, f.Bytes})
		}
	}
	if err := edit(tables); err != nil {
		return 0, fmt.Errorf("change job: %w", err)
	}
	for _, file := range slices.Sorted(maps.Keys(tables)) {
		table, err := writeTable(tables[file])
		if err != nil {
			return 0, err
		}
		more = append(more, NamedFile{file, table})
	}
	folder, err := FolderOf(more)
	if err != nil {
		return 0, err
	}
	report, err := b.file.ImportJobOver(ctx, folder, version)
	return report.Version, err
}

func readTable(data []byte) ([][]string, error) {
	return csv.NewReader(bytes.NewReader(bytes.TrimPrefix(data, []byte("\ufeff")))).ReadAll()
}

func writeTable(rows [][]string) ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	if err := w.WriteAll(rows); err != nil {
		return nil, fmt.Errorf("write table: %w", err)
	}
	return b.Bytes(), nil
}

// setRow changes the cells of the row whose key columns agree, or adds a row.
func setRow(tables map[string][][]string, file string, keys []string, cells map[string]string) error {
	rows, ok := tables[file]
	if !ok || len(rows) == 0 {
		return fmt.Errorf("%s: the job has no such table", file)
	}
	head := rows[0]
	for c := range cells {
		if !slices.Contains(head, c) {
			return fmt.Errorf("%s: it has no column %s", file, c)
		}
	}
	at := slices.IndexFunc(rows[1:], func(row []string) bool { return agrees(head, row, keys, cells) }) + 1
	if at == 0 {
		rows = append(rows, make([]string, len(head)))
		at = len(rows) - 1
	}
	for i, c := range head {
		if v, ok := cells[c]; ok {
			rows[at][i] = strings.TrimSpace(v)
		}
	}
	tables[file] = rows
	return nil
}

// dropRow takes the row whose cells agree out of a table.
func dropRow(tables map[string][][]string, file string, cells map[string]string) error {
	rows := tables[file]
	if len(rows) == 0 {
		return fmt.Errorf("%s: the job has no such table", file)
	}
	keys := slices.Sorted(maps.Keys(cells))
	kept := slices.DeleteFunc(slices.Clone(rows[1:]), func(row []string) bool { return agrees(rows[0], row, keys, cells) })
	tables[file] = append(rows[:1:1], kept...)
	return nil
}

func agrees(head, row, keys []string, cells map[string]string) bool {
	for _, k := range keys {
		i := slices.Index(head, k)
		if i < 0 || i >= len(row) || row[i] != strings.TrimSpace(cells[k]) {
			return false
		}
	}
	return true
}
