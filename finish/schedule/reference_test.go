package schedule

import (
	"bufio"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// referenceDir returns the folder of scheduling check data, which lies beside
// the repository, or skips the test.
func referenceDir(t testing.TB) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		try := filepath.Join(dir, "..", "shared", "reference", "scheduling")
		if st, err := os.Stat(try); err == nil && st.IsDir() {
			return try
		}
		up := filepath.Dir(dir)
		if up == dir {
			t.Skip("reference data ../shared/reference/scheduling is not here")
		}
		dir = up
	}
}

// A known instance is a file with its published result.
type known struct {
	set, file  string
	optimum    int
	infeasible bool
	problem    Problem
}

// knownInstances reads the result tables and the instances they name.
func knownInstances(t testing.TB, sets ...string) []known {
	t.Helper()
	dir := referenceDir(t)
	var out []known
	for _, set := range sets {
		table, setColumn := filepath.Join(dir, "optimum.csv"), true
		if set == "calendar" {
			table, setColumn = filepath.Join(dir, "calendar", "optimum.csv"), false
		}
		for _, row := range readTable(t, table) {
			if setColumn && row["set"] != set {
				continue
			}
			k := known{set: set, file: row["file"], infeasible: row["status"] == "infeasible"}
			if !k.infeasible {
				value := row["optimum"] + row["optimum_slots"]
				v, err := strconv.Atoi(value)
				if err != nil {
					t.Fatalf("%s: %s: optimum %q", table, k.file, value)
				}
				k.optimum = v
			}
			p, err := readInstance(filepath.Join(dir, set, k.file))
			if err != nil {
				t.Fatal(err)
			}
			k.problem = p
			out = append(out, k)
		}
	}
	if len(out) == 0 {
		t.Fatalf("no instances for %v", sets)
	}
	return out
}

func readTable(t testing.TB, path string) []map[string]string {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, row := range rows[1:] {
		m := map[string]string{}
		for k, name := range rows[0] {
			m[name] = row[k]
		}
		out = append(out, m)
	}
	return out
}

func readInstance(path string) (Problem, error) {
	switch filepath.Ext(path) {
	case ".sm":
		return readSM(path)
	case ".sch":
		return readSCH(path)
	case ".json":
		return readCalendar(path)
	}
	return Problem{}, fmt.Errorf("%s: unknown format", path)
}

// numbers returns the lines of a file as lists of fields.
func fieldLines(path string) ([][]string, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	var out [][]string
	for sc := bufio.NewScanner(f); sc.Scan(); {
		out = append(out, strings.Fields(sc.Text()))
	}
	return out, nil
}

func ints(fields []string) []int {
	var out []int
	for _, f := range fields {
		v, err := strconv.Atoi(strings.Trim(f, "[]"))
		if err != nil {
			panic(fmt.Sprintf("not a number: %q", f))
		}
		out = append(out, v)
	}
	return out
}

// readSM reads a PSPLIB single-mode file (format: README of the data).
func readSM(path string) (Problem, error) {
	lines, err := fieldLines(path)
	if err != nil {
		return Problem{}, err
	}
	find := func(word string) int {
		for i, l := range lines {
			if len(l) > 0 && strings.HasPrefix(strings.Join(l, " "), word) {
				return i
			}
		}
		panic(path + ": no " + word)
	}
	jobs := lines[find("jobs")]
	n, _ := strconv.Atoi(jobs[len(jobs)-1])
	var p Problem
	at := find("PRECEDENCE RELATIONS:") + 2
	for _, l := range lines[at : at+n] {
		v := ints(l)
		for _, s := range v[3:] {
			p.Lags = append(p.Lags, Lag{From: v[0] - 1, To: s - 1})
		}
	}
	at = find("REQUESTS/DURATIONS:") + 3
	for _, l := range lines[at : at+n] {
		v := ints(l)
		t := Task{ID: l[0], Duration: v[2], Calendar: AnyTime}
		for r, a := range v[3:] {
			t.Uses = append(t.Uses, Use{r, a})
		}
		p.Tasks = append(p.Tasks, t)
		p.Horizon += v[2]
	}
	for r, c := range ints(lines[find("RESOURCEAVAILABILITIES:")+2]) {
		p.Resources = append(p.Resources, Resource{ID: fmt.Sprint("R", r+1), Capacity: c, Calendar: AnyTime})
	}
	return p, nil
}

// readSCH reads a ProGen/max file (format: README of the data).
func readSCH(path string) (Problem, error) {
	lines, err := fieldLines(path)
	if err != nil {
		return Problem{}, err
	}
	head := ints(lines[0])
	n := head[0] + 2
	var p Problem
	p.Tasks = make([]Task, n)
	for _, l := range lines[1 : 1+n] {
		v := ints(l)
		m := v[2]
		for k := 0; k < m; k++ {
			p.Lags = append(p.Lags, Lag{From: v[0], To: v[3+k], Form: StartToStart, Min: v[3+m+k]})
			p.Horizon += max(v[3+m+k], 0)
		}
	}
	for _, l := range lines[1+n : 1+2*n] {
		v := ints(l)
		t := Task{ID: l[0], Duration: v[2], Calendar: AnyTime}
		for r, a := range v[3:] {
			t.Uses = append(t.Uses, Use{r, a})
		}
		p.Tasks[v[0]] = t
		p.Horizon += v[2]
		if v[0] != n-1 {
			p.Lags = append(p.Lags, Lag{From: v[0], To: n - 1})
		}
	}
	p.Tasks[0].Fixed = At(0)
	for r, c := range ints(lines[1+2*n]) {
		p.Resources = append(p.Resources, Resource{ID: fmt.Sprint("R", r+1), Capacity: c, Calendar: AnyTime})
	}
	return p, nil
}

// readCalendar reads one of the finishing plans with working hours. The slot
// is kept as the unit of time.
func readCalendar(path string) (Problem, error) {
	b, err := os.ReadFile(path)
	if err != nil {
		return Problem{}, err
	}
	var f struct {
		Horizon  int
		Windows  [][2]int
		Capacity map[string]int
		Tasks    []struct {
			ID       string
			Dur      int
			Hands    int
			Space    int
			Iron     int
			Calendar bool
		}
		Lags []struct {
			From, To, Type string
			Min            int
			Max            *int
		}
	}
	if err := json.Unmarshal(b, &f); err != nil {
		return Problem{}, fmt.Errorf("%s: %w", path, err)
	}
	p := Problem{Horizon: f.Horizon}
	var hours []Window
	for _, w := range f.Windows {
		hours = append(hours, Window{w[0], w[1]})
	}
	p.Calendars = [][]Window{hours}
	for _, name := range []string{"hands", "space", "iron"} {
		p.Resources = append(p.Resources, Resource{ID: name, Capacity: f.Capacity[name], Calendar: AnyTime, Person: name == "hands"})
	}
	p.Resources[0].Calendar = 0
	index := map[string]int{}
	for i, t := range f.Tasks {
		index[t.ID] = i
		task := Task{ID: t.ID, Duration: t.Dur, Uses: []Use{{0, t.Hands}, {1, t.Space}, {2, t.Iron}}, Calendar: AnyTime}
		if t.Calendar {
			task.Calendar = 0
		}
		p.Tasks = append(p.Tasks, task)
	}
	for _, l := range f.Lags {
		lag := Lag{From: index[l.From], To: index[l.To], Min: l.Min}
		if l.Max != nil {
			lag.Max = At(*l.Max)
		}
		if l.Type != "FS" {
			return p, fmt.Errorf("%s: lag type %q", path, l.Type)
		}
		p.Lags = append(p.Lags, lag)
	}
	return p, nil
}
