package inventory

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"
	"time"
)

// Limits of a job's folder: house limits against a wrong folder.
const (
	mostFiles        = 5000
	mostPictureBytes = 64 << 20
	mostFolderBytes  = 1 << 30
	mostPaperBytes   = 16 << 20
)

// folder is a job's folder as it was read: no table of it has been held
// against another yet.
type folder struct {
	job        rowsOf[JobFact]
	wearers    rowsOf[WearerFact]
	areas      rowsOf[AreaFact]
	contacts   rowsOf[ContactFact]
	references rowsOf[ReferenceFact]
	patches    rowsOf[PatchFact]
	lights     rowsOf[LightFact]
	stock      rowsOf[StockFact]
	measures   rowsOf[Measure]
	tests      rowsOf[TestFact]
	hours      rowsOf[HoursFact]
	room       rowsOf[RoomFact]
	sewing     rowsOf[SewingFact]
	done       rowsOf[DoneFact]
	targets    rowsOf[TargetFact]
	choices    rowsOf[ChoiceFact]
	pictures   []PictureFact
	papers     []PictureFact
	zone       *time.Location

	report Report
}

// reader reads the tables of one folder.
type reader struct {
	from   fs.FS
	tables map[string]string // "areas.csv" -> the name it has in the folder
	others []string          // other files, slash-separated, sorted
	env    env
	c      *complaints
	out    *folder
}

// readFolder reads every table of a job's folder and the pictures they name.
// Bad cells go to c; the error is for a folder that cannot be read.
func readFolder(from fs.FS, c *complaints) (*folder, error) {
	r := &reader{from: from, tables: map[string]string{}, c: c, out: &folder{}}
	if err := r.list(); err != nil {
		return nil, err
	}
	if err := r.readZone(); err != nil {
		return nil, err
	}
	if err := r.readTables(); err != nil {
		return nil, err
	}
	if err := r.readPictures(); err != nil {
		return nil, err
	}
	return r.out, r.readPapers()
}

// list walks the folder. Names that begin with "." or "~$" belong to the
// system or to a program that has a table open, and are passed over.
func (r *reader) list() error {
	count := 0
	err := fs.WalkDir(r.from, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		base := path.Base(name)
		if name != "." && (strings.HasPrefix(base, ".") || strings.HasPrefix(base, "~$")) {
			if d.IsDir() {
				return fs.SkipDir
			}
			return nil
		}
		if count++; count > mostFiles {
			return fmt.Errorf("more than %d files: not a job's folder", mostFiles)
		}
		if !d.IsDir() {
			r.note(name)
		}
		return nil
	})
	slices.Sort(r.others)
	return err
}

// note sorts a file into the tables of a job and the rest; case does not matter.
func (r *reader) note(name string) {
	low := strings.ToLower(name)
	if !slices.Contains(tableOrder[:], low) {
		r.others = append(r.others, name)
		return
	}
	if first, ok := r.tables[low]; ok {
		r.c.add(low, 0, "", first+" and "+name, "one file of that name")
		return
	}
	r.tables[low] = name
}

// readZone reads the job's table once to learn its time zone.
func (r *reader) readZone() error {
	var quiet complaints
	first := &reader{from: r.from, tables: r.tables, c: &quiet, out: r.out}
	job, err := readOne(first, jobTable())
	if err != nil {
		return err
	}
	if !job.found {
		r.c.add("job.csv", 0, "", "", "a table job.csv with at least the job's name: two lines, key,value and name,My costume (undercoat job new writes the tables)")
		return nil
	}
	name := ""
	if len(job.rows) == 1 {
		name = job.rows[0].Timezone
	}
	r.env.zone, err = loadZone(name)
	if name == "" {
		r.out.report.Warnings = append(r.out.report.Warnings,
			"job.csv: timezone is empty: times without an offset are read as UTC; name one such as Europe/Berlin")
	}
	r.out.zone = r.env.zone
	return err
}

func (r *reader) readTables() error {
	f := r.out
	return errors.Join(
		read(r, jobTable(), &f.job), read(r, wearerTable(), &f.wearers), read(r, areaTable(), &f.areas), read(r, contactTable(), &f.contacts),
		read(r, referenceTable(), &f.references), read(r, patchTable(), &f.patches), read(r, lightTable(), &f.lights), read(r, stockTable(), &f.stock),
		read(r, measureTable(), &f.measures), read(r, testTable(), &f.tests), read(r, hoursTable(), &f.hours), read(r, roomTable(), &f.room),
		read(r, sewingTable(), &f.sewing), read(r, doneTable(), &f.done), read(r, targetTable(), &f.targets), read(r, choiceTable(), &f.choices))
}

// read reads one table into its place and into the report.
func read[T any](r *reader, t *table[T], into *rowsOf[T]) error {
	got, err := readOne(r, t)
	if err != nil || !got.found {
		return err
	}
	*into = got
	r.out.report.Rows = append(r.out.report.Rows, Count{t.file, len(got.rows)})
	for _, name := range got.unknown {
		r.out.report.Unknown = append(r.out.report.Unknown, t.file+": column "+name+" is not known here; it is kept")
	}
	return nil
}

func readOne[T any](r *reader, t *table[T]) (rowsOf[T], error) {
	name, ok := r.tables[t.file]
	if !ok {
		return rowsOf[T]{}, nil
	}
	in, err := r.from.Open(name)
	if err != nil {
		return rowsOf[T]{}, err
	}
	defer in.Close()
	return readTable(t, &r.env, in, r.c), nil
}

// readPictures takes the files that references.csv names.
func (r *reader) readPictures() error {
	refs, taken, total := r.out.references, map[string]bool{}, int64(0)
	for i, ref := range refs.rows {
		if ref.Picture == "" || taken[ref.Picture] {
			continue
		}
		taken[ref.Picture] = true
		b, bad, err := r.whole(ref.Picture, mostPictureBytes)
		if err != nil {
			return err
		}
		if bad == "" {
			if total += int64(len(b)); total > mostFolderBytes {
				bad = "pictures of at most 1 GB together"
			}
		}
		if bad != "" {
			r.c.add("references.csv", refs.at[i], "picture", ref.Picture, bad)
			continue
		}
		r.out.pictures = append(r.out.pictures, PictureFact{ref.Picture, b})
	}
	slices.SortFunc(r.out.pictures, func(a, b PictureFact) int { return strings.Compare(a.Name, b.Name) })
	r.others = slices.DeleteFunc(r.others, func(name string) bool { return taken[name] })
	return nil
}

// whole reads one file of limited size; bad says what was expected instead.
func (r *reader) whole(name string, most int64) (b []byte, bad string, err error) {
	in, err := r.from.Open(name)
	if errors.Is(err, fs.ErrNotExist) || errors.Is(err, fs.ErrInvalid) {
		return nil, "a file of that name in the folder", nil
	}
	if err != nil {
		return nil, "", err
	}
	defer in.Close()
	info, err := in.Stat()
	if err != nil {
		return nil, "", err
	}
	if !info.Mode().IsRegular() {
		return nil, "a file, not a folder", nil
	}
	size := fmt.Sprintf("a file of 1 byte to %d MB", most>>20)
	if info.Size() > most {
		return nil, size, nil
	}
	buf := bytes.NewBuffer(make([]byte, 0, min(max(info.Size(), 0), most)+bytes.MinRead))
	if _, err := io.Copy(buf, io.LimitReader(in, most+1)); err != nil {
		return nil, "", err
	}
	if n := int64(buf.Len()); n == 0 || n > most {
		return nil, size, nil
	}
	return buf.Bytes(), "", nil
}

// readPapers keeps tables this program does not know, and reports every other
// file that is not part of the job.
func (r *reader) readPapers() error {
	rep := &r.out.report
	for _, name := range r.others {
		if !strings.HasSuffix(strings.ToLower(name), ".csv") || strings.Contains(name, "/") || !isPath(name) {
			rep.leave(name)
			continue
		}
		b, bad, err := r.whole(name, mostPaperBytes)
		if err != nil {
			return err
		}
		if bad != "" {
			rep.leave(name)
			continue
		}
		r.out.papers = append(r.out.papers, PictureFact{name, b})
		rep.Unknown = append(rep.Unknown, name+": the table is not known here; it is kept as it is")
	}
	return nil
}

// leave reports a file that was left, those of a subfolder by their number.
// Names come sorted.
func (r *Report) leave(name string) {
	dir, _, sub := strings.Cut(name, "/")
	if !sub {
		r.Left = append(r.Left, name)
		return
	}
	last, n := "", 0
	if len(r.Left) > 0 {
		last = r.Left[len(r.Left)-1]
	}
	if _, err := fmt.Sscanf(strings.TrimPrefix(last, dir+"/"), " (%d files)", &n); err == nil && strings.HasPrefix(last, dir+"/") {
		r.Left = r.Left[:len(r.Left)-1]
	}
	r.Left = append(r.Left, fmt.Sprintf("%s/ (%d files)", dir, n+1))
}
