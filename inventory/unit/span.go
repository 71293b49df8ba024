package unit

import (
	"math"
	"strings"
	"time"
)

// Span is a length of time that prints and parses as people write it. The zero
// value is no time.
type Span time.Duration

const (
	spanExample = `a time span such as "1 h 20 min", "90 min" or "3 d"`
	// mostSpan is 100 years of 365 days: house limit, no source.
	mostSpan = 100 * 365 * 24 * time.Hour
)

var spanWords = []struct {
	words string // space separated
	size  time.Duration
}{
	{"w week weeks", 7 * 24 * time.Hour},
	{"d day days", 24 * time.Hour},
	{"h hr hrs hour hours", time.Hour},
	{"min mins minute minutes m", time.Minute},
	{"s sec secs second seconds", time.Second},
}

// ParseSpan reads "1 h 20 min", "90 min", "0.75 h", "1h20m", "3 d", "2 d 4 h".
// A day is 24 hours. Units go from large to small, each once; it refuses a
// bare number other than 0, since minutes and hours are both meant often.
func ParseSpan(s string) (time.Duration, error) {
	t := tidy(s)
	if t == "" {
		return 0, refuse(s, "nothing is written", spanExample)
	}
	total, last := time.Duration(0), -1
	for t != "" {
		d, i, rest, why := spanPart(t)
		switch {
		case why != "":
			return 0, refuse(s, why, spanExample)
		case i < 0 && last < 0 && rest == "":
			return 0, nil // "0"
		case i < 0:
			return 0, refuse(s, "the unit is missing or not known", spanExample)
		case i <= last:
			return 0, refuse(s, "units go from large to small, each once", spanExample)
		}
		total, last, t = total+d, i, rest
	}
	if total > mostSpan {
		return 0, refuse(s, "too long", spanExample)
	}
	return total, nil
}

// spanPart reads one number with its unit; i is the unit's index in spanWords,
// -1 for a zero without one. A part is at most mostSpan, so that five of them
// do not overflow.
func spanPart(t string) (d time.Duration, i int, rest, why string) {
	number, after := splitNumber(t)
	v, why := decimal(number)
	if why != "" {
		return 0, 0, "", why
	}
	if strings.HasPrefix(number, "-") {
		return 0, 0, "", "a span is not negative"
	}
	word, rest := splitWord(after)
	i = spanUnit(word)
	if i < 0 {
		if word == "" && v == 0 {
			return 0, -1, rest, ""
		}
		return 0, 0, "", "the unit is missing or not known"
	}
	size := spanWords[i].size
	if v*float64(size) > float64(mostSpan) {
		return 0, 0, "", "too long"
	}
	if v == math.Trunc(v) {
		return time.Duration(v) * size, i, rest, "" // exact
	}
	return time.Duration(math.Round(v * float64(size))), i, rest, ""
}

// splitWord cuts the letters at the start of s from what follows them.
func splitWord(s string) (word, rest string) {
	i := strings.IndexFunc(s, func(r rune) bool { return r < 'a' || r > 'z' })
	if i < 0 {
		return s, ""
	}
	return s[:i], strings.TrimSpace(s[i:])
}

// spanUnit returns the index in spanWords of a unit's word, -1 for none.
func spanUnit(word string) int {
	for i, u := range spanWords {
		for w := range strings.FieldsSeq(u.words) {
			if w == word {
				return i
			}
		}
	}
	return -1
}

// FormatSpan prints hours, minutes and seconds: "1 h 20 min", "96 h", "0 min".
// [ParseSpan] reads it back exactly. A negative span is printed with a minus in
// front and is not read back.
func FormatSpan(d time.Duration) string {
	if d < 0 {
		return "-" + FormatSpan(-max(d, -math.MaxInt64))
	}
	var parts []string
	if h := d / time.Hour; h > 0 {
		parts = append(parts, FormatNumber(float64(h))+" h")
	}
	if m := d % time.Hour / time.Minute; m > 0 {
		parts = append(parts, FormatNumber(float64(m))+" min")
	}
	if s := d % time.Minute; s > 0 {
		parts = append(parts, FormatNumber(s.Seconds())+" s")
	}
	if parts == nil {
		return "0 min"
	}
	return strings.Join(parts, " ")
}

// Duration returns the span as Go's duration.
func (s Span) Duration() time.Duration { return time.Duration(s) }

// String is [FormatSpan].
func (s Span) String() string { return FormatSpan(time.Duration(s)) }

// Set is [ParseSpan] for a flag; on an error the value stays.
func (s *Span) Set(text string) error {
	d, err := ParseSpan(text)
	if err != nil {
		return err
	}
	*s = Span(d)
	return nil
}
