package schedule

import (
	"fmt"
	"os"
	"strconv"
	"syscall"
	"testing"
	"time"
)

func cpu() time.Duration {
	var u syscall.Rusage
	_ = syscall.Getrusage(syscall.RUSAGE_SELF, &u)
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

func TestMeasure(t *testing.T) {
	sets := os.Getenv("MEASURE")
	if sets == "" {
		t.Skip()
	}
	limit := 2 * time.Second
	if s := os.Getenv("SECONDS_CPU"); s != "" {
		limit, _ = time.ParseDuration(s)
	}
	var ks []known
	if sets == "crew" {
		for i := range 5 {
			ks = append(ks, known{set: "crew", file: fmt.Sprint(i), problem: threePeople(uint64(i), areasEnv(), false)})
			ks = append(ks, known{set: "crew same", file: fmt.Sprint(i), problem: threePeople(uint64(i), areasEnv(), true)})
		}
	} else {
		ks = knownInstances(t, sets)
	}
	for _, k := range ks {
		if only := os.Getenv("ONLY"); only != "" && only != k.file {
			continue
		}
		from := cpu()
		seed, _ := strconv.Atoi(os.Getenv("SEED"))
		b, err := Fit(k.problem, Options{Seed: uint64(seed), Nodes: nodesEnv(), Stop: func() bool { return cpu()-from > limit }})
		if err != nil {
			t.Fatal(err)
		}
		d := cpu() - from
		note := ""
		if k.infeasible != (b.Status == Infeasible) || !k.infeasible && b.End != k.optimum {
			note = "DIFF"
		}
		if d > 50*time.Millisecond || note != "" {
			fmt.Printf("%-10s %-20s %-10v opt %4d got %4d gap %4d nodes %7d %8.1f ms wait %d %s\n", k.set, k.file, b.Status, k.optimum, b.End-k.problem.Start, b.Gap(), b.Nodes, float64(d.Microseconds())/1e3, b.Wait, note)
		}
	}
}

func nodesEnv() int {
	if n, err := strconv.Atoi(os.Getenv("NODES")); err == nil {
		return n
	}
	return 1 << 40
}

func areasEnv() int {
	if n, err := strconv.Atoi(os.Getenv("AREAS")); err == nil {
		return n
	}
	return 12
}
