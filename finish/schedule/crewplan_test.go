package schedule

import "testing"

// Sixty steps for three people get a schedule, earlier than for the first of
// them alone; a plan of twenty is proven.
func TestThreePeople(t *testing.T) {
	end := func(p Problem) int {
		s, err := Fit(p, Options{Nodes: 2000})
		if err != nil {
			t.Fatal(err)
		}
		if s.Start == nil {
			t.Fatal(s.Status)
		}
		return s.End
	}
	for _, same := range []bool{false, true} {
		p := threePeople(1, 12, same)
		together := end(p)
		for i, task := range p.Tasks {
			if len(task.Choices) > 0 {
				p.Tasks[i].Choices = task.Choices[:1]
			}
		}
		if alone := end(p); together >= alone {
			t.Errorf("same hours %v: end %d together, %d alone", same, together, alone)
		}
		if s, err := Fit(threePeople(1, 4, same), Options{}); err != nil || s.Status != Proven {
			t.Errorf("same hours %v: twenty steps: %v, %v", same, s.Status, err)
		}
	}
}
