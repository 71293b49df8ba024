package web

import (
	"context"
	"errors"
	"fmt"
	"html/template"
	"net/http"
	"sync"
	"time"
)

// errSent says that an answer is on its way already.
var errSent = errors.New("the answer is sent")

// patience is how long a page is waited for before it says what it works at.
const patience = 700 * time.Millisecond

// longest bounds a work that nobody may be waiting for any more.
const longest = 5 * time.Minute

// task is a long work, done once for all who ask for it.
type task struct {
	done  chan struct{}
	value any
	err   error
	ended time.Time // guarded by works.mu; zero while it runs
}

// works are the long works of a server. What is found is handed to the first
// who comes back for it and kept for nobody longer than a minute.
type works struct {
	mu    sync.Mutex
	tasks map[string]*task
	stop  context.CancelFunc
	ctx   context.Context
	wait  sync.WaitGroup
}

func newWorks() *works {
	w := &works{tasks: map[string]*task{}}
	w.ctx, w.stop = context.WithCancel(context.Background())
	return w
}

// end stops all works and waits for them.
func (w *works) end() {
	w.stop()
	w.wait.Wait()
}

// start begins a work, or finds the one that runs under that key.
func (w *works) start(key string, do func(context.Context) (any, error)) *task {
	w.mu.Lock()
	defer w.mu.Unlock()
	for k, t := range w.tasks {
		if !t.ended.IsZero() && time.Since(t.ended) > time.Minute {
			delete(w.tasks, k)
		}
	}
	if t, ok := w.tasks[key]; ok {
		return t
	}
	t := &task{done: make(chan struct{})}
	w.tasks[key] = t
	w.wait.Go(func() {
		ctx, cancel := context.WithTimeout(w.ctx, longest)
		defer cancel()
		defer close(t.done)
		defer func() {
			if fault := recover(); fault != nil {
				t.err = fmt.Errorf("work: a fault of the program: %v", fault)
			}
			w.mu.Lock()
			t.ended = time.Now()
			w.mu.Unlock()
		}()
		t.value, t.err = do(ctx)
	})
	return t
}

func (w *works) take(key string, t *task) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.tasks[key] == t {
		delete(w.tasks, key)
	}
}

// long waits for a work. Where it takes longer than a moment, a page is sent
// that says so and counts the seconds while it runs, then opens the page that
// was asked for; it needs no script. The error is errSent then.
func long[T any](s *Server, w http.ResponseWriter, r *http.Request, what, key string, do func(context.Context) (T, error)) (T, error) {
	t := s.works.start(key, func(ctx context.Context) (any, error) { return do(ctx) })
	var none T
	select {
	case <-t.done:
	case <-r.Context().Done():
		return none, r.Context().Err()
	case <-time.After(s.patience):
		if r.Method != http.MethodGet {
			<-t.done
			break
		}
		s.working(w, r, what, t)
		return none, errSent
	}
	s.works.take(key, t)
	if t.err != nil {
		return none, t.err
	}
	v, ok := t.value.(T)
	if !ok {
		return none, fmt.Errorf("work: another kind of answer than was asked for")
	}
	return v, nil
}

// working sends a page that lives as long as a work runs.
func (s *Server) working(w http.ResponseWriter, r *http.Request, what string, t *task) {
	flush := func() {}
	if f, ok := w.(http.Flusher); ok {
		flush = f.Flush
	}
	h := w.Header()
	h.Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(http.StatusOK)
	esc := template.HTMLEscapeString
	fmt.Fprintf(w, `<!doctype html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><title>Working</title>`+
		`<link rel="stylesheet" href="%s"></head><body><main id="main"><h1>Working</h1><p>%s</p><p>The page opens by itself.</p><p class="ticks" role="status">`, esc(staticURL("page.css")), esc(what))
	flush()
	began := time.Now()
	tick := time.NewTicker(time.Second)
	defer tick.Stop()
	for {
		select {
		case <-t.done:
			fmt.Fprintf(w, ` done.</p><p><a href="%[1]s">Open it</a></p><meta http-equiv="refresh" content="0;url=%[1]s"></main></body></html>`, esc(r.URL.RequestURI()))
			flush()
			return
		case <-r.Context().Done():
			return
		case <-tick.C:
			if _, err := fmt.Fprintf(w, "%d s … ", int(time.Since(began).Seconds())+1); err != nil {
				return
			}
			flush()
		}
	}
}
