package schedule

import (
	"fmt"
	"math/rand/v2"
	"time"
)

// threePeople is a plan of five steps an area for three people in whole
// minutes: two coats with drying and a heat set each; one press, a rail with
// four places; some steps only one person can do. Invented data, seeded.
func threePeople(seed uint64, areas int, sameHours bool) Problem {
	rng := rand.New(rand.NewPCG(seed, 1))
	evening := func(days ...time.Weekday) (h Hours) {
		for _, d := range days {
			h.Weekly[d] = []Span{{19 * 60, 21*60 + 30}}
		}
		return h
	}
	lead := evening(time.Monday, time.Tuesday, time.Thursday, time.Friday)
	lead.Weekly[time.Saturday] = []Span{{600, 1020}}
	lead.Weekly[time.Sunday] = []Span{{780, 1020}}
	second := evening(time.Tuesday, time.Wednesday)
	second.Weekly[time.Saturday] = []Span{{540, 780}}
	third := Hours{}
	third.Weekly[time.Saturday] = []Span{{600, 720}, {780, 960}}
	third.Weekly[time.Sunday] = []Span{{600, 960}}
	if sameHours {
		second, third = lead, lead
	}
	start := MinuteOf(time.Date(2026, 10, 19, 8, 0, 0, 0, time.UTC))
	p := Problem{Start: start, Horizon: start + 7*areas/2*1440}
	for _, h := range []Hours{lead, second, third} {
		w, err := h.Windows(time.UTC, start, p.Horizon)
		if err != nil {
			panic(err)
		}
		p.Calendars = append(p.Calendars, w)
	}
	for i, id := range []string{"ada", "ben", "cleo"} {
		p.Resources = append(p.Resources, Resource{ID: id, Capacity: 1, Calendar: i, Person: true})
	}
	p.Resources = append(p.Resources,
		Resource{ID: "rail", Capacity: 4, Calendar: AnyTime},
		Resource{ID: "press", Capacity: 1, Calendar: AnyTime})
	anyone := [][]Use{{{0, 1}}, {{1, 1}}, {{2, 1}}}
	add := func(t Task) int {
		p.Tasks = append(p.Tasks, t)
		return len(p.Tasks) - 1
	}
	for a := range areas {
		id := func(step string) string { return fmt.Sprintf("A%02d %s", a+1, step) }
		hand := func(step string, min int) Task {
			t := Task{ID: id(step), Duration: min, Calendar: AnyTime, Choices: anyone}
			if rng.IntN(6) == 0 {
				t.Choices = anyone[:1]
			}
			return t
		}
		last := -1
		for c := range 2 {
			coat := add(hand(fmt.Sprint("coat ", c+1), 20+5*rng.IntN(9)))
			dry := add(Task{ID: id(fmt.Sprint("dry ", c+1)), Duration: 60 + 15*rng.IntN(24), Calendar: AnyTime, Uses: []Use{{3, 1}}})
			p.Lags = append(p.Lags, Lag{From: coat, To: dry, Max: At(0)})
			if last >= 0 {
				l := Lag{From: last, To: coat}
				if rng.IntN(4) == 0 {
					l.Max = At(48 * 60)
				}
				p.Lags = append(p.Lags, l)
			}
			last = dry
		}
		set := hand("heat set", 10+5*rng.IntN(4))
		set.Uses = []Use{{4, 1}}
		k := add(set)
		p.Lags = append(p.Lags, Lag{From: last, To: k, Min: 60 * rng.IntN(24)})
	}
	return p
}
