package web

import (
	"fmt"
	"net/http"

	"undercoat/finish"
)

// contactsBody is what touches what, with the tests on record.
type contactsBody struct {
	finish.BoardAnswer
	Tests []finish.TestLine
	Map   contactMap
}

// Surface names one side of a contact.
func (c contactsBody) Surface(code string) string { return surface(c.BoardAnswer, code) }

// surface names an area with its piece; skin is skin.
func surface(b finish.BoardAnswer, code string) string {
	for _, st := range b.Strips {
		if st.Code == code {
			return code + " " + st.Piece
		}
	}
	return code
}

// contactMap is a table of surfaces against surfaces.
type contactMap struct {
	To   []string
	Rows []contactRow
}

type contactRow struct {
	From  string
	Cells [][]finish.ContactAnswer
}

func (s *Server) contacts(w http.ResponseWriter, r *http.Request) error {
	b, f, err := s.open(w, r)
	if err != nil {
		return err
	}
	tests, err := s.desk.Bench(b.Job.Name).Tests(r.Context())
	if err != nil {
		return err
	}
	f.Title, f.Here, f.Body = "Contacts", "contacts", contactsBody{BoardAnswer: b, Tests: tests, Map: newContactMap(b.Contacts)}
	return s.ok(w, r, "contacts", f)
}

func newContactMap(cs []finish.ContactAnswer) contactMap {
	var m contactMap
	at := func(list *[]string, v string) int {
		for i, o := range *list {
			if o == v {
				return i
			}
		}
		*list = append(*list, v)
		return len(*list) - 1
	}
	var from []string
	for _, c := range cs {
		at(&from, c.From)
		at(&m.To, c.To)
	}
	for _, f := range from {
		m.Rows = append(m.Rows, contactRow{From: f, Cells: make([][]finish.ContactAnswer, len(m.To))})
	}
	for _, c := range cs {
		cell := &m.Rows[at(&from, c.From)].Cells[at(&m.To, c.To)]
		*cell = append(*cell, c)
	}
	return m
}

// addTest puts a test on record.
func (s *Server) addTest(w http.ResponseWriter, r *http.Request) error {
	version, err := seen(r.FormValue("version"))
	if err != nil {
		return err
	}
	t, err := s.desk.AddTest(r.Context(), r.PathValue("job"), version, testEntry(r))
	if err != nil {
		return err
	}
	return s.back(w, r, backTo(r, "contacts"), testNote(t))
}

// testEntry is a test as its form states it.
func testEntry(r *http.Request) finish.TestEntry {
	v := r.FormValue
	return finish.TestEntry{
		Subject: v("subject"), Against: v("against"), How: v("how"), When: v("when"), Condition: v("condition"), Clean: v("clean"), Stained: v("stained"), Age: v("age"), Note: v("note"),
		Grade: v("grade"), Retests: v("retests"),
	}
}

func testNote(t finish.TestLine) note {
	n := note{Text: fmt.Sprintf("%s, the %s of %s, is on record: grade %s.", t.Code, t.How, t.Subject, t.Grade)}
	if t.GradeLow != "" && t.GradeLow != t.Grade {
		n.Text += " The photograph leaves a grade as low as " + t.GradeLow + " open."
	}
	return n
}
