package rub

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"
)

// testsOf finds the graded tests of a source done in one of the ways, the
// first way first, its own article first; tests of what lies below count only
// where there is none.
func testsOf(tests []Test, s source, hows ...string) []Test {
	for _, code := range s.codes {
		for _, how := range hows {
			var found []Test
			for _, t := range tests {
				if t.Subject == code && t.How == how && t.Rating.Known() {
					found = append(found, t)
				}
			}
			if len(found) > 0 {
				return found
			}
		}
	}
	return nil
}

// oldest prefers the test of the longest cured piece, then the latest.
func oldest(tests []Test) Test {
	best := tests[0]
	for _, t := range tests[1:] {
		if t.Age.Or(0) > best.Age.Or(0) || (t.Age.Or(0) == best.Age.Or(0) && t.When.Or(time.Time{}).After(best.When.Or(time.Time{}))) {
			best = t
		}
	}
	return best
}

// latest is the test done last; of undated ones the last in the table.
func latest(tests []Test) Test {
	best := tests[0]
	for _, t := range tests[1:] {
		if !t.When.Or(time.Time{}).Before(best.When.Or(time.Time{})) {
			best = t
		}
	}
	return best
}

// bestTreated is the best test of a treated piece; of equal ones the latest.
func bestTreated(tests []Test) (Test, bool) {
	var best Test
	for _, t := range tests {
		if t.Treated() && (best.Code == "" || t.grade() > best.grade() || (t.grade() == best.grade() && t.When.Or(time.Time{}).After(best.When.Or(time.Time{})))) {
			best = t
		}
	}
	return best, best.Code != ""
}

// byState parts the tests of the piece as bought from those of the treated piece.
// Where the piece was washed since, and was tested so, what passed before can no
// longer clear it; what failed before is still told.
func (p pairing) byState(s source, tests []Test) (plain, treated []Test) {
	for _, t := range tests {
		if t.Treated() {
			treated = append(treated, t)
		} else {
			plain = append(plain, t)
		}
	}
	washed := p.in.Washed[s.area]
	if len(treated) > 0 {
		left := func(t Test) bool {
			at, dated := t.When.Get()
			return dated && washed.After(at) && t.grade() >= p.needed
		}
		plain = slices.DeleteFunc(plain, left)
	}
	return plain, treated
}

// fresh reports whether a paint was tested before it had cured.
func (p pairing) fresh(s source, t Test) bool {
	paint, ok := p.in.Stock.Paint(s.article.Code)
	age, known := t.Age.Get()
	cure, stated := paint.Cure.Get()
	return ok && known && stated && age < cure
}

// doubtStale takes back a verdict that rests on a test which no longer speaks
// for the piece: of another batch, or of a state the piece has left.
func (p pairing) doubtStale(s source, v Verdict) Verdict {
	i := -1
	for k, t := range p.in.Tests {
		if t.Code == v.Test {
			i = k
		}
	}
	if i < 0 {
		return v
	}
	t := p.in.Tests[i]
	done, dated := t.When.Get()
	if !dated {
		return v
	}
	on := func(at time.Time) string { return at.In(done.Location()).Format("2 January 2006") }
	switch washed, bought := p.in.Washed[s.area], p.in.Bought[t.Subject]; {
	case bought.After(done):
		v.Stale = fmt.Sprintf("more of %s was bought on %s, after that test: another batch may differ", t.Subject, on(bought))
	case washed.After(done) && !t.Treated():
		v.Stale = fmt.Sprintf("%s was washed or treated on %s, after that test of it as bought", s.area, on(washed))
	default:
		return v
	}
	if v.Word == NoObjection || v.Word == WithBarrier {
		v.Word, v.Wanted = NotTested, p.wanted(s)
		v.Because = fmt.Sprintf("stale: %s; %s: test it again", t, v.Stale)
		return v
	}
	v.Because += "; stale: " + v.Stale
	return v
}

// names reports whether a text holds a code as a word of its own: "fixed with
// Z1" names Z1 and not Z.
func names(text, code string) bool {
	words := strings.FieldsFunc(text, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '-' && r != '_' })
	for _, w := range words {
		if w == code {
			return true
		}
	}
	return false
}
