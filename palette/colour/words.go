package colour

import (
	"cmp"
	"math"
	"slices"
	"strings"
)

// The steps of InWords, in ΔE00: a difference below unseen is called none at
// all, and each part of a greater one by its own size.
const (
	unseen = 1.0   // the whole difference: not seen side by side
	little = 0.5   // a part: from here "a little darker"
	plain  = 2.0   // a part: from here "darker"
	strong = 6.0   // a part: from here "much darker"
	slight = 0.125 // a part: left out below this share of the largest
)

// InWords says how a sample differs from its target, largest part first:
// "darker, a little greener". The parts are lightness, vividness and hue, each
// by its share of ΔE00: from 0.5 on it is mentioned as "a little", from 2 on
// plainly, from 6 on as "much", and not at all where it is less than an eighth
// of the largest part; below a ΔE00 of 1 in all the answer is "no
// difference you would see side by side". Where the target or the sample is a
// near neutral (C* below 8) the two are compared by the cast between them and
// not by vividness and hue. The steps are common practice, no source; 1 as the
// just visible difference is too. A Lab that is no number gives "cannot be
// compared".
func InWords(target, sample Lab) string {
	if !target.finite() || !sample.finite() {
		return "cannot be compared"
	}
	if Difference(target, sample) < unseen {
		return "no difference you would see side by side"
	}
	parts := differenceParts(target, sample)
	slices.SortStableFunc(parts, func(a, b part) int { return cmp.Compare(b.size, a.size) })
	var words []string
	for i, p := range parts {
		if i == 0 || p.size >= little && p.size >= slight*parts[0].size {
			words = append(words, p.words())
		}
	}
	return strings.Join(words, ", ")
}

// part is one part of a difference: its size in ΔE00 and the word for it.
type part struct {
	size float64
	word string
}

func (p part) words() string {
	switch {
	case p.size >= strong:
		return "much " + p.word
	case p.size >= plain:
		return p.word
	default:
		return "a little " + p.word
	}
}

// nearNeutral is the C* below which a colour is a tinted grey.
const nearNeutral = 8

func differenceParts(target, sample Lab) []part {
	t, s := target.LCh(), sample.LCh()
	l := (t.L+s.L)/2 - 50
	l *= l
	lightness := (s.L - t.L) / (1 + 0.015*l/math.Sqrt(20+l))
	parts := []part{{math.Abs(lightness), choose(lightness > 0, "lighter", "darker")}}
	same := target
	same.L = sample.L
	if t.C < nearNeutral || s.C < nearNeutral {
		cast := degrees(sample.A-target.A, sample.B-target.B)
		return append(parts, part{Difference(same, sample), castWord(cast)})
	}
	chroma := (s.C - t.C) / (1 + 0.045*(t.C+s.C)/2)
	shift := turn(s.H - t.H)
	hue := Difference(LCh{s.L, (t.C + s.C) / 2, t.H}.Lab(), LCh{s.L, (t.C + s.C) / 2, s.H}.Lab())
	return append(parts,
		part{math.Abs(chroma), choose(chroma > 0, "more vivid", "duller")},
		part{hue, shiftWord(t.H+shift/2, shift)})
}

func choose(b bool, yes, no string) string {
	if b {
		return yes
	}
	return no
}

// The unique hues as CIELAB hue angles, rounded from the CIECAM02 angles 20.14,
// 90, 164.25 and 237.53 (CIE 159:2004, recalled), which lie near them.
var uniqueHues = [4]struct {
	angle float64
	word  string
}{{20, "redder"}, {90, "yellower"}, {164, "greener"}, {238, "bluer"}}

// castWord names the unique hue nearest to a direction in the a*, b* plane, or
// two where it lies about midway.
func castWord(angle float64) string {
	const midway = 15 // degrees either side of the middle
	first := 0
	for i, u := range uniqueHues {
		if math.Abs(turn(angle-u.angle)) < math.Abs(turn(angle-uniqueHues[first].angle)) {
			first = i
		}
	}
	off := turn(angle - uniqueHues[first].angle)
	step := 1
	if off < 0 {
		step = 3
	}
	second := (first + step) % 4
	if math.Abs(turn(angle-uniqueHues[second].angle))-math.Abs(off) < 2*midway {
		return uniqueHues[first].word + " and " + uniqueHues[second].word
	}
	return uniqueHues[first].word
}

// shiftWord names the unique hue that lies ahead of the middle of a hue shift,
// upwards or downwards as the sign of shift says.
func shiftWord(middle, shift float64) string {
	best, word := math.Inf(1), ""
	for _, u := range uniqueHues {
		ahead := u.angle - middle
		if shift < 0 {
			ahead = -ahead
		}
		ahead = math.Mod(ahead+720, 360)
		if ahead < best {
			best, word = ahead, u.word
		}
	}
	return word
}
