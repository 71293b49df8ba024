package schedule

import (
	"fmt"
	"os"
	"testing"
	"time"
)

func TestMeasure(t *testing.T) {
	sets := os.Getenv("MEASURE")
	if sets == "" {
		t.Skip()
	}
	for _, k := range knownInstances(t, sets) {
		from := time.Now()
		b, err := Fit(k.problem, Options{Nodes: 1 << 40, Stop: func() bool { return time.Since(from) > 2*time.Second }})
		if err != nil {
			t.Fatal(err)
		}
		d := time.Since(from)
		note := ""
		if k.infeasible != (b.Status == Infeasible) || !k.infeasible && b.End != k.optimum {
			note = "DIFF"
		}
		if d > 50*time.Millisecond || note != "" || k.infeasible || b.Wait > 0 {
			fmt.Printf("%-10s %-20s %-10v opt %4d got %4d floor %4d nodes %7d %8.1f ms wait %d %s\n", k.set, k.file, b.Status, k.optimum, b.End, b.Bound, b.Nodes, float64(d.Microseconds())/1e3, b.Wait, note)
		}
		if b.Status == Infeasible {
			fmt.Println(b.Why)
		}
	}
}
