package schedule

import "slices"

// A tracer follows waits and hours from the earliest starts, remembering what
// pushed every task last, until a limit is passed or a circle of waits closes.
type tracer struct {
	c      *subset
	m      *model
	start  []int
	ready  []int // what the wait asked for, before hours
	before []int // the start before the last push
	by     []int // the arc that pushed the task, -1 none

	rounds     bool // the chain stated came round to a task again
	firstRound bool // stop at the first round, hours and all
}

// chain states the facts along the chain that cannot hold, and by how much it
// misses. What is kept must be refutable by waits and hours alone.
//
// Where hours keep pushing the tasks of a circle of waits on until the horizon,
// the first round is stated.
func (c *subset) chain() (facts []Fact, short int) {
	t := newTracer(c)
	facts, short = t.run()
	if !t.rounds {
		return facts, short
	}
	t = newTracer(c)
	t.firstRound = true
	return t.run()
}

func newTracer(c *subset) *tracer {
	m := c.model(false)
	n := len(m.jobs)
	return &tracer{c: c, m: m, start: make([]int, n), ready: make([]int, n), before: make([]int, n), by: make([]int, n)}
}

// run pushes until something breaks.
func (t *tracer) run() (facts []Fact, short int) {
	m := t.m
	for i := range m.jobs {
		t.by[i] = -1
		t.ready[i] = m.jobs[i].release
		t.start[i] = m.jobs[i].earliest(t.ready[i])
		if facts, short, broken := t.broken(i); broken {
			return facts, short
		}
	}
	for moved := true; moved; {
		moved = false
		for k, l := range m.arcs {
			to := int(l.to)
			ready := t.asked(l)
			if ready <= t.start[to] {
				continue
			}
			moved = true
			t.by[to], t.ready[to], t.before[to] = k, ready, t.start[to]
			t.start[to] = m.jobs[to].earliest(ready)
			if facts, short, broken := t.broken(to); broken {
				return facts, short
			}
		}
	}
	panic("schedule: a refuted chain of waits and hours holds")
}

// earliest returns the first start at or after s that some mode allows.
func (j *job) earliest(s int) int {
	best := far
	for k := range j.modes {
		best = min(best, j.modes[k].at.next(s))
	}
	return best
}

// finish returns the earliest finish of a task that starts at s or later.
func (j *job) finish(s int) int {
	best := far
	for k := range j.modes {
		if at := j.modes[k].at; at.next(s) < far {
			best = min(best, at.finish(at.next(s)))
		}
	}
	return best
}

// startFor returns the first start with which some mode finishes at f or later.
func (j *job) startFor(f int) int {
	best := far
	for k := range j.modes {
		best = min(best, j.modes[k].at.startFor(f))
	}
	return best
}

// asked is the start that an arc asks of its target.
func (t *tracer) asked(l link) int {
	v := t.start[l.from]
	if l.ends&fromFinish != 0 {
		v = t.m.jobs[l.from].finish(v)
	}
	if l.ends&toFinish != 0 {
		return t.m.jobs[l.to].startFor(v + l.w)
	}
	return v + l.w
}

// broken reports whether task i, just moved, passes a limit or closes a circle
// of waits; then it states the chain.
func (t *tracer) broken(i int) ([]Fact, int, bool) {
	j := &t.m.jobs[i]
	id := t.c.p.Tasks[i].ID
	if facts, sum, ok := t.circle(i); ok {
		return facts, sum, true
	}
	if t.firstRound && t.comesRound(i) {
		facts := append(t.upTo(i), Fact{Kind: FactAgain, Task: id, At: j.due})
		return facts, t.ready[i] - t.before[i], true
	}
	if facts, ok := t.tooMuch(i); ok {
		return facts, 0, true
	}
	if t.start[i] >= far && j.fixed {
		return append(t.upTo(i), t.limit(i)), t.ready[i] - j.release, true
	}
	if t.start[i] >= far {
		return append(t.upTo(i), Fact{Kind: FactNoHours, Task: id, At: t.ready[i]}), 0, true
	}
	finish := j.finish(t.start[i])
	if finish <= j.due {
		return nil, 0, false
	}
	facts := t.upTo(i)
	if !j.fixed {
		facts = append(facts, t.takes(i)...)
	}
	return append(once(facts), t.limit(i)), finish - j.due, true
}

// tooMuch states what task i needs, if that is more than there is in every mode.
func (t *tracer) tooMuch(i int) ([]Fact, bool) {
	var facts []Fact
	task, j := t.c.p.Tasks[i], &t.m.jobs[i]
	for k := range j.modes {
		r := t.m.tooMuch(&j.modes[k], task.Duration)
		if r < 0 || j.fixed {
			return nil, false
		}
		res := t.c.p.Resources[r]
		facts = append(facts,
			Fact{Kind: FactNeeds, Task: task.ID, Resource: res.ID, Amount: j.modes[k].amount(r)},
			Fact{Kind: FactCapacity, Resource: res.ID, Amount: res.Capacity})
	}
	return facts, true
}

// comesRound reports whether the pushes lead back from task i to itself.
func (t *tracer) comesRound(i int) bool {
	k := i
	for range t.by {
		if t.by[k] < 0 {
			return false
		}
		if k = int(t.m.arcs[t.by[k]].from); k == i {
			return true
		}
	}
	return false
}

// limit states which limit binds task i.
func (t *tracer) limit(i int) Fact {
	task, j := t.c.p.Tasks[i], &t.m.jobs[i]
	f := Fact{Kind: FactHorizon, Task: task.ID, At: j.due}
	if d, ok := t.c.p.Deadline.Get(); ok && t.c.deadline && d == j.due {
		f.Kind = FactDeadline
	}
	if d, ok := task.Due.Get(); ok && t.c.dues[i] && d == j.due {
		f.Kind = FactDue
	}
	if j.fixed {
		f.Kind, f.At = FactFixed, j.release
	}
	return f
}

// upTo states the chain of pushes that ends with the start of task i. A chain
// that comes round to a task again is cut there.
func (t *tracer) upTo(i int) []Fact {
	var path []int
	seen := map[int]bool{}
	for {
		path = append(path, i)
		seen[i] = true
		if t.by[i] < 0 {
			break
		}
		i = int(t.m.arcs[t.by[i]].from)
		if seen[i] {
			t.rounds = true
			break
		}
	}
	var facts []Fact
	for k := len(path) - 1; k >= 0; k-- {
		facts = append(facts, t.push(path[k])...)
	}
	return once(facts)
}

// once drops a duration that was stated before.
func once(facts []Fact) []Fact {
	said := map[string]bool{}
	return slices.DeleteFunc(facts, func(f Fact) bool {
		if f.Kind != FactTakes {
			return false
		}
		was := said[f.Task]
		said[f.Task] = true
		return was
	})
}

// push states what made task i start when it does.
func (t *tracer) push(i int) []Fact {
	task := t.c.p.Tasks[i]
	var facts []Fact
	switch at, fixed := task.Fixed.Get(); {
	case t.by[i] >= 0:
		facts = t.wait(t.by[i])
	case fixed:
		facts = []Fact{{Kind: FactFixed, Task: task.ID, At: at}}
	default:
		facts = []Fact{{Kind: FactStarts, Task: task.ID, At: t.ready[i]}}
	}
	if t.start[i] > t.ready[i] && t.start[i] < far {
		facts = append(facts, Fact{Kind: FactHours, Task: task.ID, At: t.ready[i], Until: t.start[i]})
	}
	return facts
}

// wait states the lag behind an arc and, where it is counted from a finish,
// how long that task takes.
func (t *tracer) wait(arc int) []Fact {
	o := t.m.origin[arc]
	k := t.c.lags[o.lag]
	l := t.c.p.Lags[k]
	var facts []Fact
	if l.Form == FinishToStart {
		facts = t.takes(l.From)
	}
	return append(facts, t.c.lagFact(k, o.maximum))
}

// takes states how long task i takes, and how long with its pauses.
func (t *tracer) takes(i int) []Fact {
	task := t.c.p.Tasks[i]
	facts := []Fact{{Kind: FactTakes, Task: task.ID, Minutes: task.Duration}}
	if f := t.m.jobs[i].finish(t.start[i]); f < far && f-t.start[i] > task.Duration {
		facts = append(facts, Fact{Kind: FactPauses, Task: task.ID, At: t.start[i], Until: f})
	}
	return facts
}

// circle walks back from task i along the pushes and reports whether they come
// round to it with waits alone, without a push by hours: then no time is late
// enough. The sum is what one round demands.
func (t *tracer) circle(i int) (facts []Fact, sum int, found bool) {
	var path []int
	for k := i; ; {
		if t.by[k] < 0 || t.start[k] != t.ready[k] || len(path) > len(t.by) {
			return nil, 0, false
		}
		l := t.m.arcs[t.by[k]]
		if l.ends != 0 {
			return nil, 0, false // pauses may stretch
		}
		path = append(path, k)
		sum += l.w
		if k = int(l.from); k == i {
			break
		}
	}
	if sum <= 0 {
		return nil, 0, false
	}
	for k := len(path) - 1; k >= 0; k-- {
		facts = append(facts, t.wait(t.by[path[k]])...)
	}
	return once(facts), sum, true
}
