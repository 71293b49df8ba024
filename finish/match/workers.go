package match

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// mostWorkers is the most goroutines a request keeps busy.
const mostWorkers = 4

// workers returns how many goroutines a search shares its work out to.
func workers() int { return min(runtime.GOMAXPROCS(0), mostWorkers) }

// forEach does n pieces of work, each once, in no order: do may change only
// what belongs to its piece, so that the answer does not depend on it.
func forEach(n int, do func(i int)) {
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(workers(), n) {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				do(i)
			}
		})
	}
	wg.Wait()
}
