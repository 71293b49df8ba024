package plan

import "testing"

// BenchmarkMakeDemo plans the whole demo: its own choice of layers, refusals,
// dates, trades; without alternatives.
func BenchmarkMakeDemo(b *testing.B) {
	in := demoInput(b)
	for b.Loop() {
		if _, err := Make(in); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkMakeDemoAlternatives adds what could be done otherwise.
func BenchmarkMakeDemoAlternatives(b *testing.B) {
	in := demoInput(b)
	in.Alternatives = true
	for b.Loop() {
		if _, err := Make(in); err != nil {
			b.Fatal(err)
		}
	}
}
