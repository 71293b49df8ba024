package schedule

import (
	"fmt"
	"slices"
	"strings"
)

// A Reason is why no schedule exists: a set of facts that cannot all hold. The
// zero value gives no reason.
type Reason struct {
	// Facts stand in the order of the chain where there is one: from the task
	// that begins it to the limit it passes, or once round a circle of waits.
	Facts []Fact
	// Short is by how many minutes the chain misses, 0 where that is not a
	// number: what must be gained, at least, for this chain to fit.
	Short int
	// Least says that the set is minimal: without any one of its facts the
	// rest could not be refuted (in the effort spent).
	Least bool
}

// FactKind says what a Fact states and which of its fields count.
type FactKind int

const (
	FactStarts   FactKind = iota // Task starts no earlier than At
	FactFixed                    // Task began at At
	FactTakes                    // Task takes Minutes (of open hours, when it pauses)
	FactMin                      // To waits at least Minutes after Task (Form says from which end)
	FactMax                      // To waits at most Minutes after Task
	FactHours                    // Task, ready at At, must wait for its hours until Until; both 0: Task keeps to its hours
	FactPauses                   // Task, started at At, is finished at Until, since it pauses outside its hours
	FactNoHours                  // Task, ready at At, finds no hours long enough any more
	FactAgain                    // the round to Task repeats at all later hours until At
	FactDue                      // Task must finish by At
	FactDeadline                 // Task must finish by At, the deadline of all
	FactHorizon                  // Task must finish by At, the horizon of the problem
	FactNeeds                    // Task needs Amount of Resource
	FactCapacity                 // only Amount of Resource can be in use at once
	FactLoad                     // between At and Until, Tasks need Minutes of Resource more than it gives; without Resource: no two of Tasks can run at once
	FactSlots                    // between At and Until, Tasks must begin, each to hold Resource over the breaks, for which there is room for Amount too few
	FactSearch                   // no order of the tasks keeps all facts of the problem
)

// A Fact is one statement of a Reason.
type Fact struct {
	Kind     FactKind
	Task, To string // task IDs
	Form     Form
	Minutes  int
	At       int
	Until    int
	Resource string   // resource IDs, joined by " or " where one stands in for another
	Amount   int      // of the resource
	Tasks    []string // task IDs
}

func (f Fact) String() string {
	end := "finishes"
	if f.Form == StartToStart {
		end = "starts"
	}
	switch f.Kind {
	case FactStarts:
		return fmt.Sprintf("%s starts no earlier than %d", f.Task, f.At)
	case FactFixed:
		return fmt.Sprintf("%s began at %d", f.Task, f.At)
	case FactTakes:
		return fmt.Sprintf("%s takes %d", f.Task, f.Minutes)
	case FactMin:
		if f.Minutes < 0 {
			return fmt.Sprintf("%s starts at most %d before %s %s", f.To, -f.Minutes, f.Task, end)
		}
		return fmt.Sprintf("%s starts at least %d after %s %s", f.To, f.Minutes, f.Task, end)
	case FactMax:
		return fmt.Sprintf("%s starts at most %d after %s %s", f.To, f.Minutes, f.Task, end)
	case FactHours:
		if f.At == f.Until {
			return fmt.Sprintf("%s keeps to its hours", f.Task)
		}
		return fmt.Sprintf("%s waits for its hours from %d to %d", f.Task, f.At, f.Until)
	case FactPauses:
		return fmt.Sprintf("%s runs from %d to %d with its pauses", f.Task, f.At, f.Until)
	case FactNoHours:
		return fmt.Sprintf("%s finds no hours long enough from %d on", f.Task, f.At)
	case FactAgain:
		return fmt.Sprintf("and so at all later hours of %s until %d", f.Task, f.At)
	case FactDue:
		return fmt.Sprintf("%s must finish by %d", f.Task, f.At)
	case FactDeadline:
		return fmt.Sprintf("%s must finish by the deadline %d", f.Task, f.At)
	case FactHorizon:
		return fmt.Sprintf("%s must finish by the horizon %d", f.Task, f.At)
	case FactNeeds:
		return fmt.Sprintf("%s needs %d of %s", f.Task, f.Amount, f.Resource)
	case FactCapacity:
		return fmt.Sprintf("only %d of %s at once", f.Amount, f.Resource)
	case FactLoad:
		if f.Resource == "" {
			return fmt.Sprintf("between %d and %d %s, of which no two can run at once, need %d more than there is", f.At, f.Until, strings.Join(f.Tasks, ", "), f.Minutes)
		}
		return fmt.Sprintf("between %d and %d %s need %d of %s more than there is", f.At, f.Until, strings.Join(f.Tasks, ", "), f.Minutes, f.Resource)
	case FactSlots:
		return fmt.Sprintf("between %d and %d %s must begin and run on when the hours end: %d of %s too few", f.At, f.Until, strings.Join(f.Tasks, ", "), f.Amount, f.Resource)
	case FactSearch:
		return "no order of the tasks keeps all waits, hours and capacities"
	}
	return "no fact"
}

// String joins the facts and says by how much they miss.
func (r Reason) String() string {
	var parts []string
	for _, f := range r.Facts {
		parts = append(parts, f.String())
	}
	out := strings.Join(parts, "; ")
	if r.Short > 0 {
		out += fmt.Sprintf(": %d short", r.Short)
	}
	return out
}

// explain finds the reason of a problem that Fit has proven impossible. It
// deletes facts as long as the rest can still be refuted: by following waits
// and hours alone where that suffices, else with the orders and loads that
// capacities force, else by search.
func explain(p Problem, o Options) Reason {
	c := keepAll(p)
	if byChain(c) {
		r := Reason{Least: c.thin(byChain)}
		r.Facts, r.Short = c.chain()
		return r
	}
	for _, by := range []refuter{byLoad, bySearch(&effort{explainNodes, o.Stop})} {
		if c := keepAll(p); by(c) {
			r := Reason{Least: c.thin(by)}
			r.Facts, r.Short = c.list()
			return r
		}
	}
	return Reason{Facts: []Fact{{Kind: FactSearch}}}
}

// explainNodes bounds the search spent on a reason.
const explainNodes = 4_000

// A refuter reports whether it can prove that what a subset keeps of its
// problem is impossible.
type refuter func(*subset) bool

func byChain(c *subset) bool {
	m := c.model(false)
	e := newEngine(m)
	e.ub = max(m.limit, m.floor)
	return !e.begin() || !e.settle()
}

func byLoad(c *subset) bool {
	m := c.model(true)
	return !newEngine(m).root(max(m.limit, m.floor))
}

// effort is a number of nodes shared by many searches.
type effort struct {
	left int
	stop func() bool
}

func bySearch(f *effort) refuter {
	return func(c *subset) bool {
		m := c.model(true)
		e, ub := newEngine(m), max(m.limit, m.floor)
		if !e.root(ub) {
			return true
		}
		if f.left <= 0 {
			return false
		}
		l, ok := newLearner(e, ub)
		if !ok {
			return true
		}
		possible := false
		stop := func() bool { return possible || f.stop != nil && f.stop() }
		got := l.close(min(f.left, explainNodes/4), far, stop, func(plan) { possible = true })
		f.left -= l.nodes
		return got == exhausted && !possible
	}
}

// A subset says which facts of a problem are kept.
type subset struct {
	p          Problem
	tasks      []bool
	mins, maxs []bool // by lag
	hours      []bool // by task
	releases   []bool
	dues       []bool
	capacities []bool // by resource
	deadline   bool

	lags []int // of the last model: the lag of the problem behind each of its own
}

func keepAll(p Problem) *subset {
	all := func(n int) []bool {
		b := make([]bool, n)
		for i := range b {
			b[i] = true
		}
		return b
	}
	n, l := len(p.Tasks), len(p.Lags)
	c := &subset{p, all(n), all(l), all(l), all(n), all(n), all(n), all(len(p.Resources)), true, nil}
	for k, lag := range p.Lags {
		_, most := lag.Max.Get()
		c.mins[k], c.maxs[k] = lag.Min != NoMin, most
	}
	for i, t := range p.Tasks {
		_, c.releases[i] = t.Release.Get()
		_, c.dues[i] = t.Due.Get()
	}
	_, c.deadline = p.Deadline.Get()
	return c
}

// model compiles what is kept, with capacities or with waits and hours alone. A
// task left out stays as a milestone without
// any tie, so that numbers do not change.
func (c *subset) model(capacities bool) *model {
	p := c.p
	p.Tasks = make([]Task, len(c.p.Tasks))
	p.Lags, c.lags = nil, nil
	for i, t := range c.p.Tasks {
		if !c.tasks[i] {
			p.Tasks[i] = Task{ID: t.ID, Calendar: AnyTime}
			continue
		}
		if !c.releases[i] {
			t.Release = Limit{}
		}
		if !c.dues[i] {
			t.Due = Limit{}
		}
		p.Tasks[i] = t
	}
	for k, l := range c.p.Lags {
		if !c.tasks[l.From] || !c.tasks[l.To] {
			continue
		}
		if !c.mins[k] {
			l.Min = NoMin
		}
		if !c.maxs[k] {
			l.Max = Limit{}
		}
		p.Lags, c.lags = append(p.Lags, l), append(c.lags, k)
	}
	if !c.deadline {
		p.Deadline = Limit{}
	}
	p.Resources = append([]Resource(nil), p.Resources...)
	for r := range p.Resources {
		if !c.capacities[r] {
			p.Resources[r].Capacity = reach
		}
	}
	if capacities {
		p, _ = mergeCrews(p)
	}
	free := make([]bool, len(p.Tasks))
	for i := range free {
		free[i] = !c.hours[i]
	}
	m, err := prepare(p, free, capacities)
	if err != nil {
		panic("schedule: part of a sound problem does not compile: " + err.Error())
	}
	return m
}

// thin drops every fact the refuter can do without. It reports whether the rest
// is refuted still: then each that stays is needed, as far as the effort went.
func (c *subset) thin(by refuter) bool {
	for _, facts := range [][]bool{c.tasks, c.capacities, c.dues, c.hours, c.maxs, c.mins, c.releases} {
		for size := len(facts) / 2; size > 1; size /= 2 {
			for k := len(facts) - size; k > -size; k -= size {
				c.drop(facts[max(k, 0):k+size], by)
			}
		}
		for k := len(facts) - 1; k >= 0; k-- {
			c.drop(facts[k:k+1], by)
		}
	}
	if c.deadline {
		c.deadline = false
		c.deadline = !by(c)
	}
	for i, kept := range c.tasks {
		if !kept {
			c.hours[i], c.releases[i], c.dues[i] = false, false, false
		}
	}
	for k, l := range c.p.Lags {
		if !c.tasks[l.From] || !c.tasks[l.To] {
			c.mins[k], c.maxs[k] = false, false
		}
	}
	return by(c)
}

// drop leaves some facts out, if the rest is refuted still.
func (c *subset) drop(facts []bool, by refuter) {
	if !slices.Contains(facts, true) {
		return
	}
	kept := slices.Clone(facts)
	clear(facts)
	if !by(c) {
		copy(facts, kept)
	}
}

// list gives the load that breaks or the capacities that no order keeps, and
// then the kept facts task by task.
func (c *subset) list() (facts []Fact, short int) {
	if f, ok := c.loadFact(); ok {
		facts, short = append(facts, f), f.Minutes
	}
	for r, kept := range c.capacities {
		if kept {
			facts = append(facts, Fact{Kind: FactCapacity, Resource: c.p.Resources[r].ID, Amount: c.p.Resources[r].Capacity})
		}
	}
	for i, t := range c.p.Tasks {
		if !c.tasks[i] {
			continue
		}
		facts = append(facts, c.begins(i)...)
		facts = append(facts, Fact{Kind: FactTakes, Task: t.ID, Minutes: t.Duration})
		if c.hours[i] && c.keepsHours(i) {
			facts = append(facts, Fact{Kind: FactHours, Task: t.ID})
		}
		if d, ok := t.Due.Get(); ok && c.dues[i] {
			facts = append(facts, Fact{Kind: FactDue, Task: t.ID, At: d})
		}
		if d, ok := c.p.Deadline.Get(); ok && c.deadline && !c.followed(i) {
			facts = append(facts, Fact{Kind: FactDeadline, Task: t.ID, At: d})
		}
	}
	for k := range c.p.Lags {
		if c.mins[k] {
			facts = append(facts, c.lagFact(k, false))
		}
		if c.maxs[k] {
			facts = append(facts, c.lagFact(k, true))
		}
	}
	return facts, short
}

// begins states what task i starts from, if that is a fact of its own.
func (c *subset) begins(i int) []Fact {
	t := c.p.Tasks[i]
	if at, ok := t.Fixed.Get(); ok {
		return []Fact{{Kind: FactFixed, Task: t.ID, At: at}}
	}
	if at, ok := t.Release.Get(); ok && c.releases[i] {
		return []Fact{{Kind: FactStarts, Task: t.ID, At: at}}
	}
	return nil
}

// followed reports whether a kept wait leads on from task i, so that the
// deadline of the later task is the stricter one.
func (c *subset) followed(i int) bool {
	for k, l := range c.p.Lags {
		if l.From == i && c.mins[k] && l.Min >= 0 && l.Form == FinishToStart {
			return true
		}
	}
	return false
}

// keepsHours reports whether task i has hours to keep to in some choice.
func (c *subset) keepsHours(i int) bool {
	h := newHoursOf(c.p, nil)
	t := c.p.Tasks[i]
	if len(t.Choices) == 0 {
		return h.of(i, together(t.Uses, nil)) != nil
	}
	return slices.ContainsFunc(t.Choices, func(choice []Use) bool { return h.of(i, together(t.Uses, choice)) != nil })
}

func (c *subset) lagFact(k int, maximum bool) Fact {
	l := c.p.Lags[k]
	f := Fact{Kind: FactMin, Task: c.p.Tasks[l.From].ID, To: c.p.Tasks[l.To].ID, Form: l.Form, Minutes: l.Min}
	if maximum {
		f.Kind = FactMax
		f.Minutes, _ = l.Max.Get()
	}
	return f
}

// loadFact finds the load that breaks at the root, if one does.
func (c *subset) loadFact() (Fact, bool) {
	m := c.model(true)
	loads, e := m.loads, newEngine(m)
	m.loads = nil // the bounds come from orders alone
	if !e.root(max(m.limit, m.floor)) {
		return Fact{}, false
	}
	m.loads = loads
	for k := range loads {
		a, b, over := e.overload(k)
		if over == 0 {
			continue
		}
		ld := &loads[k]
		f := Fact{Kind: FactLoad, At: a, Until: b, Minutes: over}
		if ld.slots {
			f = Fact{Kind: FactSlots, At: a, Until: b, Amount: over}
		}
		var names []string
		for r, in := range ld.group {
			if in {
				names = append(names, c.p.Resources[r].ID)
			}
		}
		f.Resource = strings.Join(names, " or ")
		for _, i := range ld.tasks {
			if e.es[i] >= a && e.latest(ld, i) <= b && c.tasks[i] {
				f.Tasks = append(f.Tasks, c.p.Tasks[i].ID)
			}
		}
		return f, true
	}
	return Fact{}, false
}
