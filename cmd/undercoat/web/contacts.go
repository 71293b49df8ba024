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
	b, f, err := s.open(r)
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
	bench, _, err := s.seen(r)
	if err != nil {
		return err
	}
	v := r.FormValue
	t, err := bench.AddTest(r.Context(), finish.TestEntry{
		Subject: v("subject"), Against: v("against"), How: v("how"), When: v("when"), Condition: v("condition"), Clean: v("clean"), Stained: v("stained"), Age: v("age"), Note: v("note"),
	})
	if err != nil {
		return err
	}
	return s.back(w, r, backTo(r, "contacts"), note{Text: fmt.Sprintf("The %s of %s is on record: grade %s.", t.How, t.Subject, t.Grade)})
}
