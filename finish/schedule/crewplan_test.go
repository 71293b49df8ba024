package schedule

import "testing"

// Sixty steps for three people get a schedule that uses all of them, with few
// minutes of waiting; a plan of twenty is proven.
func TestThreePeople(t *testing.T) {
	for _, same := range []bool{false, true} {
		p := threePeople(1, 12, same)
		s, err := Fit(p, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if s.Start == nil {
			t.Fatalf("same hours %v: %v", same, s.Status)
		}
		busy := map[int]int{}
		for i, task := range p.Tasks {
			if k := s.Choice[i]; k >= 0 {
				busy[task.Choices[k][0].Resource] += task.Duration
			}
		}
		if len(busy) != 3 {
			t.Errorf("same hours %v: minutes by person %v: all three should work", same, busy)
		}
		if s, err = Fit(threePeople(1, 4, same), Options{}); err != nil || s.Status != Proven {
			t.Errorf("same hours %v: twenty steps: %v, %v", same, s.Status, err)
		}
	}
}
