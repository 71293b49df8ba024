package finish

import (
	"cmp"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"maps"
	"slices"
	"sync"
	"time"

	"undercoat/finish/caution"
	"undercoat/finish/plan"
	"undercoat/inventory"
)

// Desk is a bench kept open for a page: it works a job out once for every
// state of its facts and of the shelf, and reads a picture once. What is kept
// is only ever computed values; every question asks the file whether they
// still hold. A Desk may be used by many goroutines.
type Desk struct {
	bench *Bench

	busy  sync.Mutex // one job is worked out at a time; guards works
	works map[workKey]keptWork

	mu    sync.Mutex // guards what follows
	seen  map[string]keptPicture
	sums  map[bytesAt][sha256.Size]byte
	shown map[shownKey]shownPicture
}

type workKey struct {
	job          string
	fan          plan.Fan
	alternatives bool
	at           int64 // as of another time than now, in Unix seconds; 0 is now
}

type keptWork struct {
	work    work
	trouble error // why there is no plan; the scene and the verdicts hold even so
	stock   inventory.Stock
	at      time.Time
}

// planHolds is how long a plan of a running clock is shown before it is made
// anew: nothing in it is finer than a step.
const planHolds = 2 * time.Minute

// NewDesk opens a desk on a bench. The bench stays the caller's to close.
func NewDesk(b *Bench) *Desk {
	return &Desk{bench: b, works: map[workKey]keptWork{}, seen: map[string]keptPicture{}, sums: map[bytesAt][sha256.Size]byte{}, shown: map[shownKey]shownPicture{}}
}

// Bench is the bench of one of the jobs.
func (d *Desk) Bench(job string) *Bench { return d.bench.ForJob(job) }

// work is the job worked out for the present, from memory where neither its
// facts nor the shelf have changed. What else could be done is computed only
// where it is asked for, because each is a plan of its own. trouble says why a
// job cannot be planned; err is for a job that cannot be read.
func (d *Desk) work(ctx context.Context, job string, fan plan.Fan, alternatives bool) (w work, trouble, err error) {
	return d.workAt(ctx, job, time.Time{}, fan, alternatives)
}

// workAt is work as of another time; the zero time is now, or where the job's
// own clock stands.
func (d *Desk) workAt(ctx context.Context, job string, at time.Time, fan plan.Fan, alternatives bool) (w work, trouble, err error) {
	d.busy.Lock()
	defer d.busy.Unlock()
	b := d.bench.ForJob(job)
	version, err := b.file.JobVersion(ctx, job)
	if err != nil {
		return work{}, nil, err
	}
	stock, err := b.file.Stock(ctx)
	if err != nil {
		return work{}, nil, err
	}
	now := b.now()
	holds := func(k keptWork, ok bool) bool {
		return ok && k.work.facts.Version == version && k.stock == stock && (k.work.job.AsOf.Known() || now.Sub(k.at) < planHolds)
	}
	key := workKey{job: job, fan: fan, alternatives: alternatives}
	if !at.IsZero() {
		key.at = at.Unix()
	}
	for _, more := range []bool{alternatives, true} { // a plan with alternatives serves both
		key := key
		key.alternatives = more
		if k, ok := d.works[key]; holds(k, ok) {
			return k.work, k.trouble, nil
		}
	}
	k := keptWork{stock: stock, at: now}
	s, err := b.scene(ctx)
	if err != nil {
		return work{}, nil, err
	}
	if at.IsZero() {
		at = s.job.AsOf.Or(now)
	}
	k.work, k.trouble = planned(s, at, fan, alternatives)
	d.makeRoom(stock)
	d.works[key] = k
	return k.work, k.trouble, nil
}

// planned works a scene out. Without a plan the work still holds the scene and
// its verdicts.
//
// A fault of the planner is told in the place of a plan, so that the facts of
// the job can still be seen and changed.
func planned(s scene, now time.Time, fan plan.Fan, alternatives bool) (w work, trouble error) {
	w = judged(s)
	defer func() {
		if fault := recover(); fault != nil {
			trouble = fmt.Errorf("plan job: a fault of the planner: %v", fault)
		}
	}()
	if len(s.job.Areas) == 0 {
		return w, errors.New("plan job: it has no area yet")
	}
	in := w.planInput(now, fan)
	in.Alternatives = alternatives
	p, err := plan.Make(in)
	if err != nil {
		return w, err
	}
	w.plan = p
	w.cautions = caution.Check(caution.Input{Job: s.job, Stock: s.stock, Plan: w.plan, Verdicts: w.verdicts, Apart: w.apart, Tests: w.tests})
	return w, nil
}

// mostWarm is how many jobs are worked out before they are asked for, and
// mostWorks how many stay worked out.
const (
	mostWarm  = 4
	mostWorks = 32
)

// Warm works out the jobs that must be handed off next, so that the first page
// need not wait. A workroom may keep many jobs that are over.
func (d *Desk) Warm(ctx context.Context) {
	cards, err := d.bench.file.JobCards(ctx)
	if err != nil {
		return // a page that is asked for will say what is wrong
	}
	now := d.bench.now()
	for _, c := range nextOff(cards, now)[:min(mostWarm, len(cards))] {
		if ctx.Err() != nil {
			return
		}
		d.Board(ctx, c.Name)
	}
}

// nextOff orders jobs by what must be handed off next; those without a date
// follow, those that are over come last.
func nextOff(cards []inventory.JobCard, now time.Time) []inventory.JobCard {
	rank := func(c inventory.JobCard) int {
		switch at, ok := c.HandsOff.Get(); {
		case !ok:
			return 1
		case at.Before(now):
			return 2
		}
		return 0
	}
	slices.SortStableFunc(cards, func(a, b inventory.JobCard) int {
		return cmp.Or(cmp.Compare(rank(a), rank(b)), a.HandsOff.Or(time.Time{}).Compare(b.HandsOff.Or(time.Time{})))
	})
	return cards
}

// makeRoom forgets the works that rest on an older shelf, which can never be
// shown again, and then those kept longest. The caller holds busy.
func (d *Desk) makeRoom(stock inventory.Stock) {
	maps.DeleteFunc(d.works, func(_ workKey, k keptWork) bool { return k.stock != stock })
	for len(d.works) >= mostWorks {
		var oldest workKey
		first := true
		for k, w := range d.works {
			if first || w.at.Before(d.works[oldest].at) {
				oldest, first = k, false
			}
		}
		delete(d.works, oldest)
	}
}
