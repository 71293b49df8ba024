package schedule

import (
	"slices"
	"testing"
)

// Every instance of these sets is proven with the default effort: the published
// optimum, or published infeasibility with a reason. Sources: see
// ../shared/reference/scheduling/README.md (PSPLIB and ProGen/max with two
// independent solver lists; calendar cases confirmed by a second solver where
// their table says so). Every file of the sets that lies there is read, so
// further instances of the same kinds are tested as soon as they are.
func TestProvesPublished(t *testing.T) {
	for _, set := range []string{"ubo10", "ubo20", "j10max", "calendar"} {
		t.Run(set, func(t *testing.T) {
			for _, k := range knownInstances(t, set) {
				if len(k.problem.Tasks) > provenSteps {
					continue // held to the bound by TestLargePlansAreHonest
				}
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

// provenSteps is the size of plan up to which every instance must be proven:
// the small and mid calendar cases have at most 25 steps.
const provenSteps = 30

// Every j30 file reaches the published optimum with the default effort, as it
// stands and seen from its end, and never claims a bound above it.
func TestReachesJ30(t *testing.T) {
	for _, k := range knownInstances(t, "j30") {
		for name, p := range map[string]Problem{k.file: k.problem, k.file + " backwards": backwards(k.problem)} {
			s, err := Fit(p, Options{})
			if err != nil {
				t.Errorf("%s: %v", name, err)
				continue
			}
			if s.End != k.optimum || s.Bound > k.optimum {
				t.Errorf("%s: %v, end %d, bound %d; published optimum %d", name, s.Status, s.End, s.Bound, k.optimum)
			}
		}
	}
}

// Plans of sixty activities and the large calendar cases come within 2 % of the
// published optimum, and the bound and the gap they report are true.
func TestLargePlansAreHonest(t *testing.T) {
	for _, k := range knownInstances(t, "j60", "calendar") {
		if k.infeasible || len(k.problem.Tasks) <= provenSteps {
			continue
		}
		s, err := Fit(k.problem, Options{})
		switch {
		case err != nil:
			t.Errorf("%s: %v", k.file, err)
		case s.Start == nil || s.Bound > k.optimum || s.End < k.optimum || s.Gap() != s.End-s.Bound || s.Status == Proven != (s.Gap() == 0):
			t.Errorf("%s: %v, end %d, bound %d, gap %d; published optimum %d", k.file, s.Status, s.End, s.Bound, s.Gap(), k.optimum)
		case 100*s.End > 102*k.optimum:
			t.Errorf("%s: %v, end %d: more than 2 %% above the published optimum %d", k.file, s.Status, s.End, k.optimum)
		}
	}
}

// backwards is a problem without hours and dates seen from its end: it has the
// same smallest End.
func backwards(p Problem) Problem {
	p.Lags, p.Tasks = slices.Clone(p.Lags), slices.Clone(p.Tasks)
	for i, l := range p.Lags {
		p.Lags[i].From, p.Lags[i].To = l.To, l.From
		if l.Form == StartToStart {
			by := p.Tasks[l.To].Duration - p.Tasks[l.From].Duration
			p.Lags[i].Min += by
			if most, ok := l.Max.Get(); ok {
				p.Lags[i].Max = At(most + by)
			}
		}
	}
	for i := range p.Tasks {
		p.Tasks[i].Fixed = Limit{}
	}
	return p
}

// Seen from its end an instance with waits at most has the same optimum.
func TestBackwardsIsAsLong(t *testing.T) {
	for _, k := range knownInstances(t, "ubo10", "j10max") {
		s, err := Fit(backwards(k.problem), Options{})
		if err != nil || k.infeasible != (s.Status == Infeasible) || !k.infeasible && (s.Status != Proven || s.End != k.optimum) {
			t.Errorf("%s: %v, %v, end %d; published optimum %d, infeasible %v", k.file, err, s.Status, s.End, k.optimum, k.infeasible)
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
