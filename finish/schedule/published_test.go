package schedule

import (
	"testing"
	"time"
)

// Every instance of these sets is proven: the published optimum, or published
// infeasibility. Sources: see ../shared/reference/scheduling/README.md (PSPLIB
// and ProGen/max with two independent solver lists; calendar cases confirmed by
// a second solver where their table says so).
func TestProvesPublished(t *testing.T) {
	for _, set := range []string{"ubo10", "ubo20", "j10max", "j60", "calendar"} {
		t.Run(set, func(t *testing.T) {
			for _, k := range knownInstances(t, set) {
				s, err := Fit(k.problem, Options{})
				switch {
				case err != nil:
					t.Errorf("%s: %v", k.file, err)
				case k.infeasible && (s.Status != Infeasible || len(s.Why.Facts) == 0):
					t.Errorf("%s: %v, %v; published as infeasible", k.file, s.Status, s.Why)
				case !k.infeasible && (s.Status != Proven || s.End != k.optimum):
					t.Errorf("%s: %v, end %d, bound %d; published optimum %d", k.file, s.Status, s.End, s.Bound, k.optimum)
				}
			}
		})
	}
}

// Every j30 file reaches the published optimum with the default effort, and
// never claims a bound above it.
func TestReachesJ30(t *testing.T) {
	for _, k := range knownInstances(t, "j30") {
		s, err := Fit(k.problem, Options{})
		if err != nil {
			t.Errorf("%s: %v", k.file, err)
			continue
		}
		if s.End != k.optimum || s.Bound > k.optimum {
			t.Errorf("%s: %v, end %d, bound %d; published optimum %d", k.file, s.Status, s.End, s.Bound, k.optimum)
		}
	}
}

// A search cut short still gives a checked schedule and a bound below it.
func TestLittleEffort(t *testing.T) {
	for _, k := range knownInstances(t, "j60", "calendar") {
		for _, nodes := range []int{1, 50, 400} {
			s, err := Fit(k.problem, Options{Nodes: nodes})
			if err != nil {
				t.Fatalf("%s: %v", k.file, err)
			}
			if s.Bound > k.optimum && !k.infeasible || s.Start != nil && s.End < k.optimum {
				t.Errorf("%s with %d nodes: end %d, bound %d; published optimum %d", k.file, nodes, s.End, s.Bound, k.optimum)
			}
		}
	}
}

func BenchmarkPublished(b *testing.B) {
	for _, set := range []string{"ubo10", "ubo20", "j10max", "j30", "j60", "calendar"} {
		b.Run(set, func(b *testing.B) { benchmarkSet(b, knownInstances(b, set)) })
	}
}

// BenchmarkThreePeople plans 60 steps for three people with hours of their own,
// and with the same hours.
func BenchmarkThreePeople(b *testing.B) {
	for name, same := range map[string]bool{"own hours": false, "same hours": true} {
		var ks []known
		for seed := range uint64(5) {
			ks = append(ks, known{set: name, problem: threePeople(seed, 12, same)})
		}
		b.Run(name, func(b *testing.B) { benchmarkSet(b, ks) })
	}
}

// benchmarkSet fits every instance of a set with 2 s at most and reports how
// many were proven, how many reached the published optimum, the slowest, and
// the nodes of all.
func benchmarkSet(b *testing.B, ks []known) {
	for b.Loop() {
		proven, reached, nodes, gap, wait := 0, 0, 0, 0, 0
		worst := time.Duration(0)
		for _, k := range ks {
			from := time.Now()
			s, err := Fit(k.problem, Options{Nodes: 1 << 40, Stop: func() bool { return time.Since(from) > 2*time.Second }})
			if err != nil {
				b.Fatal(err)
			}
			worst = max(worst, time.Since(from))
			nodes += s.Nodes
			wait += s.Wait
			if s.Start != nil {
				gap = max(gap, s.Gap())
			}
			if s.Status == Proven || s.Status == Infeasible {
				proven++
			}
			if k.infeasible && s.Status == Infeasible || !k.infeasible && s.End == k.optimum {
				reached++
			}
		}
		b.ReportMetric(float64(len(ks)), "instances")
		b.ReportMetric(float64(proven), "proven")
		b.ReportMetric(float64(reached), "reached")
		b.ReportMetric(float64(worst.Microseconds())/1e3, "worst-ms")
		b.ReportMetric(float64(nodes), "nodes")
		b.ReportMetric(float64(gap), "worst-gap")
		b.ReportMetric(float64(wait), "wait")
	}
}
