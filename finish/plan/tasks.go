package plan

import (
	"fmt"
	"math"
	"time"

	"undercoat/finish/schedule"
)

// problem is the plan's work as tasks, and the way back from tasks to steps.
type problem struct {
	schedule.Problem
	shifts []shift
	early  int        // first minute the shifts are known from
	task   []int      // by work: its task
	dry    []int      // by work: the task that holds its place; -1 none
	people [][]string // by work: who each choice is; one entry where there is no choice
}

// beyond is how long after the date that does not move a plan is still looked
// for, so that a missed date can be told in days.
const beyond = 60 * 24 * time.Hour

// tasks builds the problem: hands, places, calendars, waits. Deadlines are the
// caller's.
func (d *draft) tasks() (problem, error) {
	p := problem{Problem: schedule.Problem{Start: minute(d.now)}}
	p.Horizon = max(p.Start, schedule.MinuteOf(d.job.HandsOff.Or(d.now))) + int(beyond/time.Minute)
	var err error
	p.early = p.Start - int(beyond/time.Minute) // last safe starts may lie before now
	if p.shifts, err = d.shifts(p.early, p.Horizon); err != nil {
		return p, err
	}
	b := builder{d: d, p: &p, people: map[string]int{}, calendars: map[duty]int{}, skills: map[duty]int{}}
	b.places()
	for _, w := range d.work {
		b.step(w)
	}
	for _, w := range d.waits {
		b.wait(w)
	}
	return p, nil
}

// duty is a kind of work a person does.
type duty struct {
	who string
	kind
}

// builder fills a problem.
type builder struct {
	d          *draft
	p          *problem
	people     map[string]int // resource of each person
	calendars  map[duty]int
	skills     map[duty]int // resource that holds a person's hours for a kind
	rail, rack int          // resources; -1 where the room states none
}

func (b *builder) resource(r schedule.Resource) int {
	b.p.Resources = append(b.p.Resources, r)
	return len(b.p.Resources) - 1
}

// places makes rail and rack resources where the room states how much there
// is.
func (b *builder) places() {
	b.rail, b.rack = -1, -1
	if l, ok := b.d.job.Room.Rail.Get(); ok {
		b.rail = b.resource(schedule.Resource{ID: "rail", Capacity: int(math.Round(float64(l) * 100)), Calendar: schedule.AnyTime})
	}
	if e, ok := b.d.job.Room.Rack.Get(); ok {
		b.rack = b.resource(schedule.Resource{ID: "rack", Capacity: int(math.Round(float64(e) * 1e4)), Calendar: schedule.AnyTime})
	}
}

// person returns the resource of a pair of hands.
func (b *builder) person(who string) int {
	r, ok := b.people[who]
	if !ok {
		r = b.resource(schedule.Resource{ID: personName(who), Capacity: 1, Calendar: schedule.AnyTime, Person: true})
		b.people[who] = r
	}
	return r
}

// skill returns a resource without limit whose calendar is a person's hours
// for a kind of work.
func (b *builder) skill(who string, k kind) int {
	key := duty{who, k}
	if r, ok := b.skills[key]; ok {
		return r
	}
	r := b.resource(schedule.Resource{ID: fmt.Sprintf("hours of %s (%s)", personName(who), k), Capacity: len(b.d.work) + 1, Calendar: b.calendar(who, k)})
	b.skills[key] = r
	return r
}

func (b *builder) calendar(who string, k kind) int {
	key := duty{who, k}
	if c, ok := b.calendars[key]; ok {
		return c
	}
	b.p.Calendars = append(b.p.Calendars, windowsOf(b.p.shifts, who, k))
	b.calendars[key] = len(b.p.Calendars) - 1
	return b.calendars[key]
}

func (b *builder) add(t schedule.Task) int {
	b.p.Tasks = append(b.p.Tasks, t)
	return len(b.p.Tasks) - 1
}

// step adds the tasks of one piece of work: the hands, and the drying that
// keeps a place.
func (b *builder) step(w work) {
	t := schedule.Task{ID: w.ID, Duration: w.minutes, Calendar: schedule.AnyTime}
	if at, ok := w.release.Get(); ok {
		t.Release = schedule.At(minute(at))
	}
	people := []string{""}
	if !w.milestone {
		people = b.hands(&t, w)
	}
	if w.Done {
		fixTask(&t, b.d.doneStart(w))
	}
	b.p.task = append(b.p.task, b.add(t))
	b.p.people = append(b.p.people, people)
	b.p.dry = append(b.p.dry, b.drying(w, t))
}

// hands gives a task the people who may do it.
func (b *builder) hands(t *schedule.Task, w work) []string {
	people := peopleFor(b.p.shifts, w.kind)
	if who, named := w.who.Get(); named {
		people = []string{who}
	}
	if len(people) == 0 {
		people = []string{""} // no hours at all: the fit names the step
	}
	for _, who := range people {
		uses := []schedule.Use{{Resource: b.person(who), Amount: 1}, {Resource: b.skill(who, w.kind), Amount: 1}}
		t.Choices = append(t.Choices, uses)
	}
	if len(t.Choices) == 1 {
		t.Uses, t.Choices = t.Choices[0], nil
	}
	return people
}

// fixTask pins a task to what happened; who did it is not asked again.
func fixTask(t *schedule.Task, start int) {
	t.Fixed = schedule.At(start)
	t.Release = schedule.Limit{}
	if len(t.Choices) > 0 {
		t.Uses, t.Choices = t.Choices[0], nil
	}
}

// doneStart is when a finished step began: its hands time before its end.
func (d *draft) doneStart(w work) int {
	return schedule.MinuteOf(d.done[w.ID].At) - w.minutes
}

// drying adds the task that keeps a coat's place from its finish on; -1 where
// no place is short.
func (b *builder) drying(w work, coat schedule.Task) int {
	place, size := b.placeOf(w)
	minutes := int(wholeMinutes(w.dries.hold) / time.Minute)
	if place < 0 || minutes == 0 {
		return -1
	}
	t := schedule.Task{ID: w.ID + " dries", Duration: minutes, Calendar: schedule.AnyTime, Uses: []schedule.Use{{Resource: place, Amount: size}}}
	if len(w.dries.laid) > 0 && b.rack >= 0 && !w.Done {
		t.Choices, t.Uses = [][]schedule.Use{t.Uses}, nil
		for _, way := range w.dries.laid {
			t.Choices = append(t.Choices, []schedule.Use{{Resource: b.rail, Amount: way.rail}, {Resource: b.rack, Amount: way.rack}})
		}
	}
	if start, fixed := coat.Fixed.Get(); fixed {
		t.Fixed = schedule.At(start + coat.Duration)
	}
	i := b.add(t)
	b.lag(len(b.p.Tasks)-2, i, 0, schedule.At(0))
	return i
}

// placeOf returns the resource a coat dries on and how much of it, at most all
// there is: more pieces than fit are told in [Plan.Places].
func (b *builder) placeOf(w work) (resource, size int) {
	switch w.dries.place {
	case OnRail:
		resource = b.rail
	case OnRack:
		resource = b.rack
	default:
		return -1, 0
	}
	if resource < 0 || w.dries.amount == 0 {
		return -1, 0
	}
	return resource, min(w.dries.amount, b.p.Resources[resource].Capacity)
}

func (b *builder) lag(from, to, min int, max schedule.Limit) {
	b.p.Lags = append(b.p.Lags, schedule.Lag{From: from, To: to, Min: min, Max: max})
}

// wait turns a wait into a lag. The past waits for nothing.
func (b *builder) wait(w wait) {
	from, to := b.d.index[w.from], b.d.index[w.to]
	if b.d.work[to].Done {
		return
	}
	limit := schedule.Limit{}
	if m, ok := w.max.Get(); ok {
		limit = schedule.At(int(m / time.Minute))
	}
	b.lag(b.p.task[from], b.p.task[to], int(wholeMinutes(w.min)/time.Minute), limit)
}
