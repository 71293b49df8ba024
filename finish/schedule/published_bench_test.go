//go:build unix

package schedule

import (
	"syscall"
	"testing"
	"time"
)

// cpuTime is what the process has spent on processors so far: a busy machine
// does not change it.
func cpuTime() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

func BenchmarkPublished(b *testing.B) {
	for _, set := range []string{"ubo10", "ubo20", "j10max", "j30", "j60", "calendar"} {
		b.Run(set, func(b *testing.B) { benchmarkSet(b, knownInstances(b, set)) })
	}
}

// BenchmarkThreePeople plans 60 steps for three people with hours of their own,
// and with the same hours.
func BenchmarkThreePeople(b *testing.B) {
	for _, name := range []string{"own hours", "same hours"} {
		var ks []known
		for seed := range uint64(5) {
			ks = append(ks, known{set: name, problem: threePeople(seed, 12, name == "same hours")})
		}
		b.Run(name, func(b *testing.B) { benchmarkSet(b, ks) })
	}
}

// benchmarkSet fits every instance of a set with 2 s of processor time at most
// and reports how many were proven, how many reached the published optimum,
// the slowest in milliseconds of processor time, and the nodes of all.
func benchmarkSet(b *testing.B, ks []known) {
	for b.Loop() {
		proven, reached, nodes, gap, wait := 0, 0, 0, 0, 0
		worst := time.Duration(0)
		for _, k := range ks {
			from := cpuTime()
			s, err := Fit(k.problem, Options{Nodes: 1 << 40, Stop: func() bool { return cpuTime()-from > 2*time.Second }})
			if err != nil {
				b.Fatal(err)
			}
			worst = max(worst, cpuTime()-from)
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
		b.ReportMetric(float64(worst.Microseconds())/1e3, "worst-cpu-ms")
		b.ReportMetric(float64(nodes), "nodes")
		b.ReportMetric(float64(gap), "worst-gap")
		b.ReportMetric(float64(wait), "wait")
	}
}
