package inventory

import (
	"fmt"
	"iter"
	"slices"
	"strings"
	"time"
)

// Stock is a snapshot of the shelf: immutable, sorted by code, with
// reservations taken off. The zero value is an empty shelf. Copying it is
// cheap, and many goroutines may read it.
type Stock struct{ in *shelf }

type shelf struct {
	paints  []Paint
	dyes    []Dye
	cloths  []Cloth
	trims   []Trim
	lines   []line
	nearest nearestIndex
}

// line says where the article of a code is: which list and at which place.
type line struct {
	code string
	list byte // 'p', 'd', 'c', 't'
	at   int32
}

// NewStock builds a snapshot of copies of the lists, in any order. It refuses
// an empty code, a code that stands twice, and a kind that is not its list's.
func NewStock(paints []Paint, dyes []Dye, cloths []Cloth, trims []Trim) (Stock, error) {
	return newStock(slices.Clone(paints), slices.Clone(dyes), slices.Clone(cloths), slices.Clone(trims))
}

// newStock is [NewStock] on lists it may keep.
func newStock(paints []Paint, dyes []Dye, cloths []Cloth, trims []Trim) (Stock, error) {
	s := &shelf{paints: paints, dyes: dyes, cloths: cloths, trims: trims,
		lines: make([]line, 0, len(paints)+len(dyes)+len(cloths)+len(trims))}
	take(s, 'p', s.paints, func(p *Paint) *Article { return &p.Article })
	take(s, 'd', s.dyes, func(d *Dye) *Article { return &d.Article })
	take(s, 'c', s.cloths, func(c *Cloth) *Article { return &c.Article })
	take(s, 't', s.trims, func(t *Trim) *Article { return &t.Article })
	slices.SortFunc(s.lines, func(a, b line) int { return strings.Compare(a.code, b.code) })
	for i, l := range s.lines {
		a := s.article(l)
		switch {
		case l.code == "":
			return Stock{}, fmt.Errorf("build stock: %q: an article needs a code", a.Name)
		case i > 0 && s.lines[i-1].code == l.code:
			return Stock{}, fmt.Errorf("build stock: %s: the code stands twice", l.code)
		case listOf(a.Kind) != l.list:
			return Stock{}, fmt.Errorf("build stock: %s: kind %q does not belong into its list", l.code, a.Kind)
		}
	}
	return Stock{s}, nil
}

// take brings a list into the order of its codes and notes its lines.
func take[T any](s *shelf, list byte, items []T, article func(*T) *Article) {
	first := len(s.lines)
	sorted := true
	for i := range items {
		s.lines = append(s.lines, line{article(&items[i]).Code, list, int32(i)})
		sorted = sorted && (i == 0 || s.lines[first+i-1].code <= s.lines[first+i].code)
	}
	if sorted {
		return
	}
	lines := s.lines[first:]
	slices.SortStableFunc(lines, func(a, b line) int { return strings.Compare(a.code, b.code) })
	old := slices.Clone(items)
	for i := range lines {
		items[i] = old[lines[i].at]
		lines[i].at = int32(i)
	}
}

func listOf(k Kind) byte {
	switch k {
	case KindPaint, KindSealer, KindTreatment:
		return 'p'
	case KindDye:
		return 'd'
	case KindCloth:
		return 'c'
	case KindTrim:
		return 't'
	}
	return 0
}

func (s *shelf) article(l line) *Article {
	switch l.list {
	case 'p':
		return &s.paints[l.at].Article
	case 'd':
		return &s.dyes[l.at].Article
	case 'c':
		return &s.cloths[l.at].Article
	}
	return &s.trims[l.at].Article
}

func (s Stock) find(code string) (line, bool) {
	if s.in == nil {
		return line{}, false
	}
	i, ok := slices.BinarySearchFunc(s.in.lines, code, func(l line, code string) int { return strings.Compare(l.code, code) })
	if !ok {
		return line{}, false
	}
	return s.in.lines[i], true
}

// Len returns the number of lines.
func (s Stock) Len() int {
	if s.in == nil {
		return 0
	}
	return len(s.in.lines)
}

// Article returns what the line of that code has in common with every other.
func (s Stock) Article(code string) (Article, bool) {
	l, ok := s.find(code)
	if !ok {
		return Article{}, false
	}
	return *s.in.article(l), true
}

// Paint returns the paint, sealer or treatment of that code.
func (s Stock) Paint(code string) (Paint, bool) {
	if l, ok := s.find(code); ok && l.list == 'p' {
		return s.in.paints[l.at], true
	}
	return Paint{}, false
}

// Dye returns the dye of that code.
func (s Stock) Dye(code string) (Dye, bool) {
	if l, ok := s.find(code); ok && l.list == 'd' {
		return s.in.dyes[l.at], true
	}
	return Dye{}, false
}

// Cloth returns the cloth of that code.
func (s Stock) Cloth(code string) (Cloth, bool) {
	if l, ok := s.find(code); ok && l.list == 'c' {
		return s.in.cloths[l.at], true
	}
	return Cloth{}, false
}

// Trim returns the trim of that code.
func (s Stock) Trim(code string) (Trim, bool) {
	if l, ok := s.find(code); ok && l.list == 't' {
		return s.in.trims[l.at], true
	}
	return Trim{}, false
}

// Paints returns a copy of the list of paints, sealers and treatments, by code.
func (s Stock) Paints() []Paint {
	if s.in == nil {
		return nil
	}
	return slices.Clone(s.in.paints)
}

// Dyes returns a copy of the list of dyes, by code.
func (s Stock) Dyes() []Dye {
	if s.in == nil {
		return nil
	}
	return slices.Clone(s.in.dyes)
}

// Cloths returns a copy of the list of cloths, by code.
func (s Stock) Cloths() []Cloth {
	if s.in == nil {
		return nil
	}
	return slices.Clone(s.in.cloths)
}

// Trims returns a copy of the list of trims, by code.
func (s Stock) Trims() []Trim {
	if s.in == nil {
		return nil
	}
	return slices.Clone(s.in.trims)
}

// All runs over every line by code, without copying the shelf.
func (s Stock) All() iter.Seq[Article] {
	return func(yield func(Article) bool) {
		if s.in == nil {
			return
		}
		for _, l := range s.in.lines {
			if !yield(*s.in.article(l)) {
				return
			}
		}
	}
}

// Articles returns every line by code.
func (s Stock) Articles() []Article { return slices.AppendSeq(make([]Article, 0, s.Len()), s.All()) }

// Expired returns the articles whose last day of use lies before the day on,
// by code.
func (s Stock) Expired(on time.Time) []Article {
	var late []Article
	for a := range s.All() {
		if a.Expired(on) {
			late = append(late, a)
		}
	}
	return late
}
