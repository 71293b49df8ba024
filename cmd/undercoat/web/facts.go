package web

import (
	"net/http"
	"slices"
	"strings"
)

// factTables are the job's tables that its page can change, with what they are.
var factTables = [][2]string{
	{"job", "The job: its dates, budget and zone"}, {"wearers", "Who wears it"}, {"areas", "Areas"}, {"contacts", "What touches what"}, {"lights", "Lights it is seen under"},
	{"hours", "Working hours"}, {"room", "The room"}, {"sewing", "Sewing and other handwork"},
}

// factsBody is one table of the job, every cell to be written in.
type factsBody struct {
	Table, What string
	Tables      [][2]string
	Head        []string
	Rows        [][]string // with empty rows to write into
	Fixed       int        // rows that stand: the job's name
}

// moreRows is how many empty rows a table offers.
const moreRows = 3

func (s *Server) facts(w http.ResponseWriter, r *http.Request) error {
	b, f, err := s.open(w, r)
	if err != nil {
		return err
	}
	body := factsBody{Table: r.PathValue("table"), Tables: factTables}
	i := slices.IndexFunc(factTables, func(t [2]string) bool { return t[0] == body.Table })
	if i < 0 {
		return errNoPage
	}
	body.What = factTables[i][1]
	rows, err := s.desk.Bench(b.Job.Name).JobTable(r.Context(), body.Table+".csv")
	if err != nil {
		return err
	}
	body.Head, body.Rows = rows[0], rows[1:]
	for range moreRows {
		body.Rows = append(body.Rows, make([]string, len(body.Head)))
	}
	f.Title, f.Body = body.What, body
	return s.ok(w, r, "facts", f)
}

// setFacts puts the cells of the form in the place of a table's rows.
func (s *Server) setFacts(w http.ResponseWriter, r *http.Request) error {
	version, err := seen(r.FormValue("version"))
	if err != nil {
		return err
	}
	table := r.PathValue("table")
	if !slices.ContainsFunc(factTables, func(t [2]string) bool { return t[0] == table }) {
		return errNoPage
	}
	head, cells := r.Form["column"], r.Form["cell"]
	if len(head) == 0 || len(cells)%len(head) != 0 {
		return errForm("cell", "", "a cell for every column")
	}
	var rows [][]string
	for row := range slices.Chunk(cells, len(head)) {
		row = slices.Clone(row)
		for i := range row {
			row[i] = strings.TrimSpace(row[i])
		}
		rows = append(rows, row)
	}
	bench := s.desk.Bench(r.PathValue("job"))
	before, err := bench.JobTable(r.Context(), table+".csv")
	if err != nil {
		return err
	}
	now, err := bench.SetJobTable(r.Context(), version, table+".csv", rows)
	if err != nil {
		return err
	}
	fields := [][2]string{}
	for _, c := range before[0] {
		fields = append(fields, [2]string{"column", c})
	}
	for _, row := range before[1:] {
		for _, c := range row {
			fields = append(fields, [2]string{"cell", c})
		}
	}
	n := note{Text: "Written. The plan is computed again."}
	if len(before) > 1 {
		n.Undo = newUndo(now, r.URL.EscapedPath(), "Put it back as it was", fields...)
	}
	return s.back(w, r, r.URL.EscapedPath(), n)
}
