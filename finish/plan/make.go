package plan

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"undercoat/finish/schedule"
	"undercoat/inventory/unit"
)

// Make computes the plan of a job from its facts, the shelf and the present
// instant. The same input gives the same plan.
//
// A job that cannot be finished by its date is a plan, not an error: its
// HandsOff is not met and its Chain names the facts. The error is about facts
// that make no sense: an unknown code, a state nobody brings about, hours of
// an unknown kind, no time to start from.
func Make(in Input) (Plan, error) {
	d, err := newDraft(in)
	if err != nil {
		return Plan{}, err
	}
	if err := d.prepare(); err != nil {
		return Plan{}, err
	}
	if len(d.work) == 0 {
		return d.idle(), nil
	}
	p, err := d.tasks()
	if err != nil {
		return Plan{}, err
	}
	if !in.quick {
		d.refuseSprays(p, d.relaxed(p))
		d.refuseRoom()
	}
	out, err := d.fit(p)
	if err != nil {
		return Plan{}, err
	}
	plan, err := d.finish(out)
	if err != nil || in.quick {
		return plan, err
	}
	return d.compareWays(plan)
}

// idle is the plan of a job in which nothing is to be done yet: no areas, or
// none with work. It ends now.
func (d *draft) idle() Plan {
	h := d.handsOff(dated{})
	h.Ends, h.Cured = d.now, d.now
	if h.Known {
		h.Spare = h.At.Sub(d.now)
		h.Met = h.Spare >= 0
	}
	d.sortRefusals()
	p := Plan{
		Job: d.job.Name, Currency: d.job.Currency, Now: d.now, Zone: d.zone(),
		Shopping: d.buys, Cost: d.cost(), Cloth: d.cloth, Drying: d.drying, Refusals: d.refusals, HandsOff: h, Strays: d.strays(),
		Solver: Solver{Status: schedule.Proven, Bound: d.now},
	}
	p.Areas = d.datedAreas(dated{}, nil)
	return p
}

// compareWays adds what takes further plans: slipped steps, trades and
// alternatives.
func (d *draft) compareWays(p Plan) (Plan, error) {
	var err error
	if p.Late, err = d.slips(p); err != nil {
		return p, err
	}
	p.Trades = d.trades()
	if d.in.Alternatives {
		p.Otherwise, err = d.alternatives(p)
	}
	return p, err
}

// prepare walks from facts to undated steps.
func (d *draft) prepare() error {
	d.readRoom()
	if err := d.loadAreas(); err != nil {
		return err
	}
	if err := d.chooseLayers(); err != nil {
		return err
	}
	if err := d.addTreatments(); err != nil {
		return err
	}
	d.addTrims()
	for i := range d.areas {
		d.settle(&d.areas[i])
	}
	if !d.in.quick {
		d.predict()
	}
	d.inferDone()
	d.measure()
	d.addInks()
	d.drying = d.wetLoad()
	d.clothNeeds()
	d.shop()
	return d.steps()
}

// steps builds every step and every wait.
func (d *draft) steps() error {
	if err := d.sewingSteps(); err != nil {
		return err
	}
	for _, a := range d.areas {
		d.coatSteps(a)
	}
	d.clothSteps()
	if err := d.testSteps(); err != nil {
		return err
	}
	return d.sewingWaits()
}

// finish reads the dated problem back into a plan.
func (d *draft) finish(out dated) (Plan, error) {
	p := Plan{
		Job: d.job.Name, Currency: d.job.Currency, Now: d.now, Zone: d.zone(),
		Shopping: d.buys, Cost: d.cost(), Cloth: d.cloth, Drying: d.drying, Places: d.placeDemands(),
		Solver: d.solver(out),
	}
	late, tight, err := d.lastStarts(out)
	if err != nil {
		return p, err
	}
	p.Steps = d.datedSteps(out, late, tight)
	p.Batches, p.Pots = d.batches(), d.mixPots(p.Steps)
	for i := range p.Steps {
		p.Steps[i].Text = d.stepText(p.Steps[i])
	}
	p.HandsOff = d.handsOff(out)
	p.Chain, p.Decides = d.chain(out), d.session(out)
	p.Areas = d.datedAreas(out, p.Steps)
	d.sortRefusals()
	p.Refusals = d.refusals
	p.Strays = d.strays()
	return p, nil
}

func (d *draft) solver(out dated) Solver {
	s := Solver{Status: out.Status, Nodes: out.Nodes, Tasks: len(out.Tasks)}
	if out.Start != nil {
		s.Bound, s.Gap = d.instant(out.Bound), time.Duration(out.Gap())*time.Minute
	}
	return s
}

// datedSteps gives every piece of work its dates, in order of start, then id.
// Without dates they keep the order in which they were built.
func (d *draft) datedSteps(out dated, late, tight []int) []Step {
	after := d.predecessors()
	var steps []Step
	for i, w := range d.work {
		if w.milestone {
			continue
		}
		s := w.Step
		s.After = after[i]
		if out.Start != nil {
			d.dateStep(&s, i, out, late, tight)
		}
		steps = append(steps, s)
	}
	if out.Start != nil {
		slices.SortStableFunc(steps, func(a, b Step) int {
			if c := a.Start.Compare(b.Start); c != 0 {
				return c
			}
			return compareCodes(a.ID, b.ID)
		})
	}
	return d.withPacking(steps)
}

func (d *draft) dateStep(s *Step, i int, out dated, late, tight []int) {
	t, w := out.task[i], d.work[i]
	s.Start, s.End = d.instant(out.Start[t]), d.instant(out.Finish[t])
	people := out.people[i]
	s.Who = people[0]
	if k := out.Choice[t]; k > 0 && k < len(people) {
		s.Who = people[k]
	}
	s.Ready = s.End.Add(d.beginsNext(w))
	if late != nil {
		s.LatestStart = d.instant(late[i])
		s.Spare = s.LatestStart.Sub(s.Start)
	}
	if tight != nil && !s.Done {
		s.Critical = tight[i] <= out.Start[t]
	}
	if w.dries.on {
		s.Dries = unit.State(d.dryingOf(w, s.End))
		if dry := out.dry[i]; dry >= 0 && out.Choice[dry] > 0 {
			s.Racked = w.dries.laid[out.Choice[dry]-1].pieces
		}
	}
}

// beginsNext is how long what a step begins takes before the next step of its
// kind may start.
func (d *draft) beginsNext(w work) time.Duration {
	switch {
	case w.dries.on:
		return w.dries.hold
	case w.begins > 0:
		return w.begins
	case w.Verb == VerbPrewash || w.Verb == VerbTreat:
		return clothDries
	case w.Verb == VerbHeat:
		return coolDown
	}
	return 0
}

func (d *draft) dryingOf(w work, end time.Time) Drying {
	y := Drying{
		Touch: end.Add(w.dries.touch), RecoatFrom: end.Add(w.dries.recoat), Handle: end.Add(w.dries.handle),
		Cured: end.Add(w.dries.cure), Basis: w.dries.basis,
	}
	if u, ok := w.dries.until.Get(); ok {
		y.RecoatUntil = unit.State(end.Add(u))
	}
	return y
}

// predecessors lists, for every piece of work, the steps it waits for; a state
// stands for the steps that bring it about.
func (d *draft) predecessors() [][]string {
	after := make([][]string, len(d.work))
	var add func(to int, from string)
	add = func(to int, from string) {
		if !d.work[d.index[from]].milestone {
			if !slices.Contains(after[to], from) {
				after[to] = append(after[to], from)
			}
			return
		}
		for _, w := range d.waits {
			if w.to == from {
				add(to, w.from)
			}
		}
	}
	for _, w := range d.waits {
		add(d.index[w.to], w.from)
	}
	for i := range after {
		slices.SortFunc(after[i], compareCodes)
	}
	return after
}

// withPacking appends the packing at its own hour, after the date that does
// not move.
func (d *draft) withPacking(steps []Step) []Step {
	at, ok := d.job.Packing.Get()
	if !ok {
		return steps
	}
	at = at.In(d.zone())
	return append(steps, Step{
		ID: string(VerbPack), Verb: VerbPack, Hands: packHands, Start: at, End: at.Add(packHands), Ready: at.Add(packHands), LatestStart: at,
		Done: d.isDone(string(VerbPack)),
	})
}

func (d *draft) handsOff(out dated) HandsOff {
	h := HandsOff{Met: out.met, OrderBy: d.local(d.job.SuppliesOrdered), Arrive: d.local(d.job.SuppliesArrive)}
	var off time.Time
	off, h.Known = d.job.HandsOff.Get()
	h.At = off.In(d.zone())
	if by, ok := h.OrderBy.Get(); ok && d.now.After(by) {
		h.OrderLate = slices.ContainsFunc(d.buys, func(p Purchase) bool { return p.Buy > 0 })
	}
	if out.Start == nil {
		return h
	}
	h.Ends = d.instant(out.End)
	for _, a := range d.areas {
		if c, ok := d.curedAt(out, a.Code); ok && c.After(h.Cured) {
			h.Cured = c
		}
	}
	if h.Known {
		h.Spare = h.At.Sub(h.Ends)
	}
	return h
}

// strays lists the finished steps the plan does not know: products or steps
// that were changed since.
func (d *draft) strays() []string {
	var all []string
	for _, f := range d.job.Done {
		if !d.has(f.Step) && f.Step != string(VerbPack) && !slices.Contains(all, f.Step) {
			all = append(all, f.Step)
		}
	}
	slices.Sort(all)
	return all
}

// local turns a date of the job into the job's own zone.
func (d *draft) local(t unit.Stated[time.Time]) unit.Stated[time.Time] {
	if at, ok := t.Get(); ok {
		return unit.State(at.In(d.zone()))
	}
	return t
}

// curedAt returns when nothing of an area is wet any more, also where that lies
// before now.
func (d *draft) curedAt(out dated, area string) (time.Time, bool) {
	i, ok := d.index[curedID(area)]
	if !ok || out.Start == nil {
		return time.Time{}, false
	}
	var at time.Time
	for _, w := range d.waits {
		if w.to != curedID(area) {
			continue
		}
		if t := d.instant(out.Finish[out.task[d.index[w.from]]]).Add(w.min); t.After(at) {
			at = t
		}
	}
	if at.IsZero() {
		at = d.instant(out.Start[out.task[i]])
	}
	return at, true
}

// datedAreas puts layers and dates together, in table order.
func (d *draft) datedAreas(out dated, steps []Step) []Area {
	var areas []Area
	for _, w := range d.areas {
		a := Area{
			Code: w.Code, Piece: w.Piece, Method: w.Method, Target: w.Target, Tolerance: w.Tolerance, Ground: w.Ground,
			Chosen: w.chosen, Basis: w.basis, Predicted: w.predicted, Difference: w.difference, DifferenceRange: w.between, Setting: w.setting,
		}
		for _, l := range w.layers {
			l.Packs = d.packsOf(l.Code)
			a.Layers = append(a.Layers, l.Layer)
		}
		if x, ok := w.fixerLayer(); ok {
			x.Packs = d.packsOf(x.Code)
			a.Layers = append(a.Layers, x)
		}
		if last := d.lastCoat(w.Code); last != nil {
			a.Setting.Cure = last.dries.cure
		}
		d.dateArea(&a, out, steps)
		areas = append(areas, a)
	}
	return areas
}

func (d *draft) packsOf(code string) int {
	for _, p := range d.buys {
		if p.Code == code {
			return p.Buy
		}
	}
	return 0
}

// dateArea takes the first and last of an area's steps.
func (d *draft) dateArea(a *Area, out dated, steps []Step) {
	if c, ok := d.curedAt(out, a.Code); ok {
		a.Cured = unit.State(c)
		a.Ready = a.Cured
	}
	first := true
	for _, s := range steps {
		if s.Area != a.Code || s.Start.IsZero() {
			continue
		}
		if r, ok := a.Ready.Get(); !ok || s.Ready.After(r) {
			a.Ready = unit.State(s.Ready)
		}
		if s.Done {
			continue
		}
		if l, ok := a.LatestStart.Get(); !s.LatestStart.IsZero() && (!ok || s.LatestStart.Before(l)) {
			a.LatestStart = unit.State(s.LatestStart)
		}
		if first || s.Spare < a.Spare {
			a.Spare, first = s.Spare, false
		}
	}
}

// placeDemands says what each drying place would be asked for if every piece
// dried at once.
func (d *draft) placeDemands() []PlaceDemand {
	var all []PlaceDemand
	add := func(p Place, capacity, unitSize float64, known bool) {
		if !known {
			return
		}
		out := PlaceDemand{Place: p, Capacity: capacity}
		for _, a := range d.areas {
			if len(coatLayers(a)) == 0 {
				continue
			}
			if place, n := d.placeFor(a); place == p && n > 0 {
				out.Demand += float64(n) / unitSize
				out.Areas = append(out.Areas, a.Code)
			}
		}
		out.Rounds = rounds(out.Demand, capacity)
		out.Text = d.placeText(out)
		all = append(all, out)
	}
	rail, ok := d.job.Room.Rail.Get()
	add(OnRail, float64(rail), 100, ok)
	rack, ok := d.job.Room.Rack.Get()
	add(OnRack, float64(rack), 1e4, ok)
	return all
}

// placeText says what a place that is too short asks for.
func (d *draft) placeText(p PlaceDemand) string {
	if p.Rounds <= 1 {
		return ""
	}
	in := "m"
	if p.Place == OnRack {
		in = "m²"
	}
	text := fmt.Sprintf("%s together need %.1f %s of %s, there are %.1f: dry in %d rounds", strings.Join(p.Areas, ", "), p.Demand, in, p.Place, p.Capacity, p.Rounds)
	if p.Place == OnRail && slices.ContainsFunc(d.work, func(w work) bool { return len(w.dries.laid) > 0 }) {
		text += ", or lay the smaller pieces that are painted on one face on the rack"
	}
	return text
}

func rounds(demand, capacity float64) int {
	if capacity <= 0 {
		return 0
	}
	n := 0
	for demand > enough {
		demand -= capacity
		n++
	}
	return n
}
