package sheet

import (
	"fmt"
	"io"
)

// Leaf is one of the papers of a job. The zero value is none; [Leaves] lists
// them all.
type Leaf struct {
	Word  string // for a command and a file's name: "rub-tests"
	Title string // as it stands at the head: "Rub tests"
	What  string // what it is for, in words
	bits  func(Data) []bit
}

// Leaves lists the papers in the order a job needs them.
func Leaves() []Leaf {
	return []Leaf{
		{"bench-sheet", "Bench sheet", "the days, every area as a block, what to mind", nil},
		{"calendar", "Calendar", "the weeks as a picture: hands, drying, last safe starts", calendarBits},
		{"swatches", "Swatch page", "target and prediction beside blank squares for the real swatch", swatchBits},
		{"recipe-cards", "Recipe cards", "what goes on, how often, how much, with room for corrections", recipeBits},
		{"pot-labels", "Pot labels", "one to cut out for each pot and each repair pot", labelBits},
		{"rub-tests", "Rub tests", "what to test and how, with both grey scales and a record", rubBits},
		{"contact-map", "Contact map", "who touches whom, and what may", contactBits},
		{"shopping-list", "Shopping list", "what to buy, what it is for, what it costs", shoppingBits},
		{"dressing-list", "Dressing list and repair kit", "the order of putting on, the bag, and what goes along", dressingBits},
	}
}

// LeafNamed returns the paper of a word; the error lists the words.
func LeafNamed(word string) (Leaf, error) {
	words := ""
	for i, l := range Leaves() {
		if l.Word == word {
			return l, nil
		}
		if i > 0 {
			words += ", "
		}
		words += l.Word
	}
	return Leaf{}, fmt.Errorf("find paper %q: expected one of %s", word, words)
}

// HTML writes the paper as a page that stands alone, prints on A4 and on
// Letter and is the form for screen readers.
func (l Leaf) HTML(w io.Writer, d Data) error {
	if l.bits == nil {
		return HTML(w, d)
	}
	if _, err := io.WriteString(w, l.markup(d)); err != nil {
		return fmt.Errorf("print %s: %w", l.Word, err)
	}
	return nil
}

// PDF writes the paper as pages of one size; see [PDF] for what holds of all
// of them.
func (l Leaf) PDF(w io.Writer, d Data, on Paper) error {
	if l.bits == nil {
		return PDF(w, d, on)
	}
	p := newPrinter(d, l.Title, on)
	p.para(run{text: d.Job.Name, bold: true, size: title})
	p.para(boldRun(l.Title), plainRun(asOf(d)))
	p.document(l.bits(d))
	p.confess()
	if err := p.pdf.Output(w); err != nil {
		return fmt.Errorf("print %s: %w", l.Word, err)
	}
	return nil
}

// asOf says what moment a paper speaks of, and the date that does not move.
func asOf(d Data) string {
	if d.Plan.Now.IsZero() {
		return "nothing is planned yet"
	}
	text := "as of " + d.at(d.Plan.Now)
	if h := d.Plan.HandsOff; h.Known {
		text += "; hands off " + d.at(h.At)
	}
	return text
}
