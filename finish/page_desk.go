package finish

import (
	"context"
	"fmt"
	"sync"
	"time"

	"undercoat/finish/plan"
	"undercoat/inventory"
)

// Desk is a bench kept open for a page: it works a job out once for every
// state of its facts and of the shelf, and reads a picture once. What is kept
// is only ever computed values; every question asks the file whether they
// still hold. A Desk may be used by many goroutines.
type Desk struct {
	bench *Bench

	busy  sync.Mutex // held while something is computed: one job at a time
	mu    sync.Mutex // guards the maps
	works map[workKey]keptWork
	seen  map[string]keptPicture
}

type workKey struct {
	job string
	fan plan.Fan
}

type keptWork struct {
	work    work
	trouble error // why there is no plan; the scene and the verdicts hold even so
	version int64
	stock   inventory.Stock
	at      time.Time
}

// planHolds is how long a plan of a running clock is shown before it is made
// anew: nothing in it is finer than a step.
const planHolds = 2 * time.Minute

// NewDesk opens a desk on a bench. The bench stays the caller's to close.
func NewDesk(b *Bench) *Desk {
	return &Desk{bench: b, works: map[workKey]keptWork{}, seen: map[string]keptPicture{}}
}

// Bench is the bench of one of the jobs, for verbs that write.
func (d *Desk) Bench(job string) *Bench { return d.bench.ForJob(job) }

// work is the job worked out for the present, from memory where neither its
// facts nor the shelf have changed. trouble says why a job cannot be planned;
// err is for a job that cannot be read.
func (d *Desk) work(ctx context.Context, job string, fan plan.Fan) (w work, trouble, err error) {
	d.busy.Lock()
	defer d.busy.Unlock()
	b, key := d.bench.ForJob(job), workKey{job, fan}
	version, err := b.file.JobVersion(ctx, job)
	if err != nil {
		return work{}, nil, err
	}
	stock, err := b.file.Stock(ctx)
	if err != nil {
		return work{}, nil, err
	}
	now := b.now()
	d.mu.Lock()
	k, ok := d.works[key]
	d.mu.Unlock()
	if ok && k.version == version && k.stock == stock && (k.work.job.AsOf.Known() || now.Sub(k.at) < planHolds) {
		return k.work, k.trouble, nil
	}
	k = keptWork{stock: stock, at: now}
	if k.work, k.trouble = b.work(ctx, time.Time{}, fan); k.trouble != nil {
		s, err := b.scene(ctx)
		if err != nil {
			return work{}, nil, err
		}
		k.work = judged(s)
	}
	k.version = k.work.facts.Version
	d.mu.Lock()
	d.works[key] = k
	d.mu.Unlock()
	return k.work, k.trouble, nil
}

// Holds says whether a job is still as a maker saw it. The error is an
// [inventory.ErrChanged] where it is not.
func (b *Bench) Holds(ctx context.Context, version int64) error {
	name, err := b.jobName(ctx)
	if err != nil {
		return err
	}
	have, err := b.file.JobVersion(ctx, name)
	if err == nil && have != version {
		err = &inventory.ChangedError{What: "job " + name, Have: have, Want: version}
	}
	return err
}

// Undo takes back that a step is done and puts on hand again what it took. The
// plan moves with it.
func (b *Bench) Undo(ctx context.Context, step string) error {
	s, err := b.scene(ctx)
	if err != nil {
		return err
	}
	if _, err := b.file.Undo(ctx, s.at(), step); err != nil {
		return fmt.Errorf("undo: %w", err)
	}
	return nil
}
