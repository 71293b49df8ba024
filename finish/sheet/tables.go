package sheet

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"time"
)

// Table is one paper as a table for a spreadsheet: its file's name and how it
// is written (RFC 4180, UTF-8, header row).
type Table struct {
	File string
	rows func(Data) [][]string
}

// Write writes the table.
func (t Table) Write(w io.Writer, d Data) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	if err := out.WriteAll(t.rows(d)); err != nil {
		return fmt.Errorf("write %s: %w", t.File, err)
	}
	return nil
}

// Tables lists the tables in the order they are written.
func Tables() []Table {
	return []Table{{"shopping.csv", shoppingRows}, {"steps.csv", stepRows}, {"cloth.csv", clothRows}, {"contacts.csv", contactRows}}
}

func shoppingRows(d Data) [][]string {
	rows := [][]string{{"code", "name", "unit", "need", "on_hand", "reserved", "buy_packs", "bought", "cost", "note"}}
	for _, s := range d.Plan.Shopping {
		cost, note := "", ""
		if c, ok := s.Cost.Get(); ok {
			cost = c.String()
		}
		if s.Thin {
			note = "thin margin"
		}
		rows = append(rows, []string{s.Code, plain(s.Name), s.Unit, num(s.Need), num(s.OnHand), num(s.Reserved), strconv.Itoa(s.Buy), num(s.Bought), cost, note})
	}
	return rows
}

func stepRows(d Data) [][]string {
	at := func(t time.Time) string { return t.In(d.Plan.Zone).Format(time.RFC3339) }
	rows := [][]string{{"step", "area", "verb", "code", "coat", "what", "who", "hands_min", "start", "end", "next_from", "last_safe_start", "spare_min", "volume_ml", "done"}}
	for _, s := range d.Plan.Steps {
		done := "no"
		if s.Done {
			done = "yes"
		}
		rows = append(rows, []string{
			s.ID, s.Area, string(s.Verb), s.Code, strconv.Itoa(s.Coat), plain(s.Text), s.Who, strconv.Itoa(int(s.Hands / time.Minute)), at(s.Start), at(s.End),
			at(s.Ready), at(s.LatestStart), strconv.Itoa(int(s.Spare / time.Minute)), num(float64(s.Volume)), done,
		})
	}
	return rows
}

func clothRows(d Data) [][]string {
	rows := [][]string{{"code", "need_m", "with_reserve_m", "on_hand_m", "short_m", "prewash"}}
	for _, c := range d.Plan.Cloth {
		wash := "no"
		if c.Prewash {
			wash = "yes"
		}
		need, _ := c.Need.Get()
		with, _ := c.WithReserve.Get()
		have, _ := c.OnHand.Get()
		rows = append(rows, []string{c.Code, num(need.Amount), num(with.Amount), num(have.Amount), num(c.Short.Amount), wash})
	}
	return rows
}

func contactRows(d Data) [][]string {
	rows := [][]string{{"code", "from", "to", "verdict", "because", "test"}}
	for _, v := range d.Verdicts {
		rows = append(rows, []string{v.Contact.Code, v.Contact.From, v.Contact.To, string(v.Word), plain(because(v)), v.Test})
	}
	return rows
}

// num writes a number as short as it is exact to a hundredth.
func num(v float64) string { return strconv.FormatFloat(float64(int64(v*100+0.5))/100, 'f', -1, 64) }

// plain keeps a spreadsheet from running a text as a formula: a cell that
// begins like one gets an apostrophe in front.
func plain(s string) string {
	if s != "" && (s[0] == '=' || s[0] == '+' || s[0] == '-' || s[0] == '@' || s[0] == '\t' || s[0] == '\r') {
		return "'" + s
	}
	return s
}
