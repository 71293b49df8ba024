package schedule

import (
	"fmt"
	"slices"
)

// A model is a Problem compiled for the search. It is not changed after
// compile, so several engines may share it.
type model struct {
	jobs   []job
	arcs   []link   // from the lags
	origin []origin // of every arc
	caps   []int
	pairs  [][2]int32 // pairs of tasks that may have to follow one another
	loads  []load     // what the energy bound looks at
	limit  int        // latest finish of any free task
	floor  int        // no End is smaller: the largest fixed finish
}

// A job is a task with its modes, at least one.
type job struct {
	modes    []mode
	fixed    bool
	steady   bool // the same duration in every mode, without pauses
	release  int
	due      int
	shortest int // smallest duration of the modes
}

// A mode is one way of doing a task: its uses (ascending by resource, amounts
// above 0) and its starts.
type mode struct {
	uses   []Use
	at     *starts
	choice int // index into Task.Choices, or -1
}

// amount returns how much of resource r the mode holds.
func (m *mode) amount(r int) int {
	for _, u := range m.uses {
		if u.Resource == r {
			return u.Amount
		}
	}
	return 0
}

// An arc demands value(to) >= value(from) + w, where the value is the start of
// a task or, where a bit of ends is set, its finish.
type arc struct {
	to   int32
	ends uint8
	w    int
}

type link struct {
	from int32
	arc
}

// An origin is the side of a lag that an arc stands for.
type origin struct {
	lag     int
	maximum bool
}

const (
	fromFinish uint8 = 1 << iota
	toFinish
)

// normal turns finishes of steady jobs into starts.
func (m *model) normal(l link) link {
	if l.ends&fromFinish != 0 && m.jobs[l.from].steady {
		l.w += m.jobs[l.from].shortest
		l.ends &^= fromFinish
	}
	if l.ends&toFinish != 0 && m.jobs[l.to].steady {
		l.w -= m.jobs[l.to].shortest
		l.ends &^= toFinish
	}
	return l
}

// follow is the demand that j starts no earlier than i finishes.
func (m *model) follow(i, j int) link {
	return m.normal(link{int32(i), arc{int32(j), fromFinish, 0}})
}

// overtake is the opposite of follow(i, j): j starts before i finishes.
func (m *model) overtake(i, j int) link {
	return m.normal(link{int32(j), arc{int32(i), toFinish, 1}})
}

// compile checks that p is well formed and prepares it.
func compile(p Problem) (*model, error) {
	if err := wellFormed(p); err != nil {
		return nil, err
	}
	return prepare(p, nil, true)
}

// prepare turns a well-formed problem into a model. The tasks in anyTime keep
// no hours; without capacities the model knows waits and hours only.
func prepare(p Problem, anyTime []bool, capacities bool) (*model, error) {
	m := &model{limit: p.Horizon, floor: p.Start}
	if d, ok := p.Deadline.Get(); ok {
		m.limit = min(m.limit, d)
	}
	for _, r := range p.Resources {
		m.caps = append(m.caps, r.Capacity)
	}
	hours := newHoursOf(p, anyTime)
	for i := range p.Tasks {
		j, err := m.job(p, i, hours)
		if err != nil {
			return nil, err
		}
		m.jobs = append(m.jobs, j)
	}
	m.lagArcs(p)
	if capacities {
		m.pairs = m.findPairs()
		m.loads = m.findLoads(hours)
	}
	return m, nil
}

func (m *model) job(p Problem, i int, hours *hoursOf) (job, error) {
	t := p.Tasks[i]
	j := job{release: p.Start, due: m.limit}
	if r, ok := t.Release.Get(); ok {
		j.release = max(j.release, r)
	}
	if d, ok := t.Due.Get(); ok {
		j.due = min(j.due, d)
	}
	choices := t.Choices
	if len(choices) == 0 {
		choices = [][]Use{nil}
	}
	at, fixed := t.Fixed.Get()
	for c, extra := range choices {
		md := mode{uses: together(t.Uses, extra), choice: c}
		if len(t.Choices) == 0 {
			md.choice = -1
		}
		switch {
		case fixed:
			end, ok := fixedFinish(t, at, hours.of(i, md.uses))
			if !ok {
				return j, fmt.Errorf("%w: task %q: fixed start %d: its hours end before it is finished", ErrProblem, t.ID, at)
			}
			md.at = oneStart(at, end-at)
			j.fixed, j.release, j.due = true, at, end
			m.floor = max(m.floor, end)
			if end <= p.Start {
				md.uses = nil // over before anything free begins
			}
		case m.tooMuch(&md, t.Duration) >= 0:
			md.at = &starts{dur: t.Duration} // never
		default:
			md.at = hours.starts(i, md.uses)
		}
		j.modes = append(j.modes, md)
	}
	j.shortest, j.steady = j.modes[0].at.dur, true
	for _, md := range j.modes {
		j.shortest = min(j.shortest, md.at.dur)
		j.steady = j.steady && !md.at.pausing && md.at.dur == j.modes[0].at.dur
	}
	return j, nil
}

// tooMuch returns a resource of which a mode needs more than there is, or -1.
func (m *model) tooMuch(md *mode, duration int) int {
	for _, u := range md.uses {
		if duration > 0 && u.Amount > m.caps[u.Resource] {
			return u.Resource
		}
	}
	return -1
}

// fixedFinish is when a task that began at the given minute is finished; not
// ok when it pauses and its hours end first.
func fixedFinish(t Task, at int, open []Window) (end int, ok bool) {
	if !t.Pausing || open == nil || t.Duration == 0 {
		return at + t.Duration, true
	}
	left := t.Duration
	for _, w := range open {
		from := max(w.From, at)
		if from >= w.To {
			continue
		}
		if w.To-from >= left {
			return from + left, true
		}
		left -= w.To - from
	}
	return 0, false
}

// together adds up two lists of uses: ascending by resource, no zero amounts.
func together(a, b []Use) []Use {
	var out []Use
	for _, u := range slices.Concat(a, b) {
		if u.Amount == 0 {
			continue
		}
		k := slices.IndexFunc(out, func(o Use) bool { return o.Resource == u.Resource })
		if k < 0 {
			out = append(out, u)
			continue
		}
		out[k].Amount += u.Amount
	}
	slices.SortFunc(out, func(x, y Use) int { return x.Resource - y.Resource })
	return out
}

// lagArcs turns lags into arcs. A lag between two fixed tasks is a fact about
// the past and is left out.
func (m *model) lagArcs(p Problem) {
	for k, l := range p.Lags {
		if m.jobs[l.From].fixed && m.jobs[l.To].fixed {
			continue
		}
		var from, to uint8
		if l.Form == FinishToStart {
			from, to = fromFinish, toFinish
		}
		if l.Min > NoMin {
			m.arcs = append(m.arcs, m.normal(link{int32(l.From), arc{int32(l.To), from, l.Min}}))
			m.origin = append(m.origin, origin{k, false})
		}
		if most, ok := l.Max.Get(); ok {
			m.arcs = append(m.arcs, m.normal(link{int32(l.To), arc{int32(l.From), to, -most}}))
			m.origin = append(m.origin, origin{k, true})
		}
	}
}

// findPairs lists the pairs that cannot run at once in some choice of modes.
func (m *model) findPairs() [][2]int32 {
	var out [][2]int32
	for i := range m.jobs {
		for j := i + 1; j < len(m.jobs); j++ {
			if m.jobs[i].fixed && m.jobs[j].fixed {
				continue
			}
			if m.mayClash(i, j) {
				out = append(out, [2]int32{int32(i), int32(j)})
			}
		}
	}
	return out
}

func (m *model) mayClash(i, j int) bool {
	for a := range m.jobs[i].modes {
		for b := range m.jobs[j].modes {
			if m.clash(&m.jobs[i].modes[a], &m.jobs[j].modes[b]) {
				return true
			}
		}
	}
	return false
}

// mustClash reports whether i and j cannot run at once in any choice of modes.
func (m *model) mustClash(i, j int) bool {
	for a := range m.jobs[i].modes {
		for b := range m.jobs[j].modes {
			if !m.clash(&m.jobs[i].modes[a], &m.jobs[j].modes[b]) {
				return false
			}
		}
	}
	return true
}

// clash reports whether two modes cannot run at once.
func (m *model) clash(a, b *mode) bool {
	if a.at.dur == 0 || b.at.dur == 0 {
		return false
	}
	for x, y := 0, 0; x < len(a.uses) && y < len(b.uses); {
		switch u, v := a.uses[x], b.uses[y]; {
		case u.Resource < v.Resource:
			x++
		case u.Resource > v.Resource:
			y++
		default:
			if u.Amount+v.Amount > m.caps[u.Resource] {
				return true
			}
			x++
			y++
		}
	}
	return false
}

// wellFormed reports the first thing in p that makes no sense.
func wellFormed(p Problem) error {
	bad := func(format string, args ...any) error {
		return fmt.Errorf("%w: %s", ErrProblem, fmt.Sprintf(format, args...))
	}
	if p.Start >= p.Horizon {
		return bad("horizon %d: must be after the start %d", p.Horizon, p.Start)
	}
	if p.Start < -reach || p.Horizon > reach {
		return bad("start %d and horizon %d: must lie within ±%d", p.Start, p.Horizon, reach)
	}
	for i, c := range p.Calendars {
		if err := ordered(c); err != nil {
			return bad("calendar %d: %v", i, err)
		}
		if k := len(c); k > 0 && (c[0].From < -reach || c[k-1].To > reach) {
			return bad("calendar %d: must lie within ±%d", i, reach)
		}
	}
	if d, _ := p.Deadline.Get(); d < -reach || d > reach {
		return bad("deadline %d: must lie within ±%d", d, reach)
	}
	calendar := func(c int) bool { return c >= AnyTime && c < len(p.Calendars) }
	for i, r := range p.Resources {
		if r.Capacity < 0 {
			return bad("resource %d %q: capacity %d: must not be negative", i, r.ID, r.Capacity)
		}
		if !calendar(r.Calendar) {
			return bad("resource %d %q: no calendar %d", i, r.ID, r.Calendar)
		}
	}
	for i, t := range p.Tasks {
		if t.Duration < 0 || t.Duration > reach {
			return bad("task %d %q: duration %d: must be 0 to %d", i, t.ID, t.Duration, reach)
		}
		if !calendar(t.Calendar) {
			return bad("task %d %q: no calendar %d", i, t.ID, t.Calendar)
		}
		if len(t.Choices) > maxChoices {
			return bad("task %d %q: %d choices: at most %d", i, t.ID, len(t.Choices), maxChoices)
		}
		release, _ := t.Release.Get()
		due, _ := t.Due.Get()
		if min(release, due) < -reach || max(release, due) > reach {
			return bad("task %d %q: release %d and due %d: must lie within ±%d", i, t.ID, release, due, reach)
		}
		at, fixed := t.Fixed.Get()
		if fixed && len(t.Choices) > 1 {
			return bad("task %d %q: a fixed task has at most one choice", i, t.ID)
		}
		if fixed && (at < -reach || at > reach) {
			return bad("task %d %q: fixed start %d: must lie within ±%d", i, t.ID, at, reach)
		}
		for _, u := range slices.Concat(append([][]Use{t.Uses}, t.Choices...)...) {
			if u.Resource < 0 || u.Resource >= len(p.Resources) {
				return bad("task %d %q: no resource %d", i, t.ID, u.Resource)
			}
			if u.Amount < 0 || u.Amount > reach {
				return bad("task %d %q: amount %d of resource %d: must be 0 to %d", i, t.ID, u.Amount, u.Resource, reach)
			}
		}
	}
	for i, l := range p.Lags {
		if l.From < 0 || l.From >= len(p.Tasks) || l.To < 0 || l.To >= len(p.Tasks) {
			return bad("lag %d: from %d to %d: no such task", i, l.From, l.To)
		}
		if l.From == l.To {
			return bad("lag %d: task %q waits for itself", i, p.Tasks[l.From].ID)
		}
		if l.Form != FinishToStart && l.Form != StartToStart {
			return bad("lag %d: unknown form %d", i, l.Form)
		}
		most, ok := l.Max.Get()
		if l.Min > reach || l.Min < -reach && l.Min != NoMin || ok && (most > reach || most < -reach) {
			return bad("lag %d: must lie within ±%d", i, reach)
		}
	}
	return nil
}

const (
	reach      = 1 << 30 // minutes; two thousand years
	maxChoices = 63
)

// hoursOf finds and remembers the open hours and starts of tasks.
type hoursOf struct {
	p       Problem
	anyTime []bool              // tasks that keep no hours; may be nil
	open    map[string][]Window // by the key of the calendars
	at      map[startsKey]*starts
}

type startsKey struct {
	hours   string
	dur     int
	pausing bool
}

func newHoursOf(p Problem, anyTime []bool) *hoursOf {
	return &hoursOf{p, anyTime, map[string][]Window{}, map[startsKey]*starts{}}
}

// calendars returns the calendars task i keeps to with the given uses, in
// ascending order; none is any time.
func (h *hoursOf) calendars(i int, uses []Use) []int {
	if h.anyTime != nil && h.anyTime[i] {
		return nil
	}
	cals := []int{h.p.Tasks[i].Calendar}
	for _, u := range uses {
		cals = append(cals, h.p.Resources[u.Resource].Calendar)
	}
	slices.Sort(cals)
	cals = slices.Compact(cals)
	return slices.DeleteFunc(cals, func(c int) bool { return c == AnyTime })
}

// of returns the open hours of task i with the given uses: nil is any time, an
// empty list never.
func (h *hoursOf) of(i int, uses []Use) []Window {
	cals := h.calendars(i, uses)
	if len(cals) == 0 {
		return nil
	}
	key := fmt.Sprint(cals)
	if w, ok := h.open[key]; ok {
		return w
	}
	w := Union(h.p.Calendars[cals[0]])
	for _, c := range cals[1:] {
		w = Intersect(w, h.p.Calendars[c])
	}
	if w == nil {
		w = []Window{}
	}
	h.open[key] = w
	return w
}

// starts returns the allowed starts of task i with the given uses.
func (h *hoursOf) starts(i int, uses []Use) *starts {
	t := h.p.Tasks[i]
	key := startsKey{fmt.Sprint(h.calendars(i, uses)), t.Duration, t.Pausing}
	if a, ok := h.at[key]; ok {
		return a
	}
	var a *starts
	switch open := h.of(i, uses); {
	case open == nil:
		a = anyStart(t.Duration)
	case t.Pausing:
		a = pausingStarts(open, t.Duration)
	default:
		a = wholeStarts(open, t.Duration)
	}
	h.at[key] = a
	return a
}
