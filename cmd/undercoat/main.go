// Command undercoat takes a costume maker from pictures of a figure to real
// cloth, paint and trim in those colours, by a date that does not move.
//
// It keeps the facts of one workroom in one file and computes the rest:
// palettes, matches, layers, plans, verdicts, cautions and papers. The words
// and flags are here; the verbs are those of package finish.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
	"time"
)

// version is set by the build; a plain `go install` reports the module's.
var version = ""

// Exit statuses, a contract with scripts.
const (
	exitDone    = 0 // the command answered
	exitCould   = 1 // it could not: one line, then hints
	exitWording = 2 // the words of the command were wrong
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	code := run(ctx, os.Args[1:], os.Stdout, os.Stderr, time.Now)
	stop()
	os.Exit(code)
}

// run is the whole program with its effects passed in: words, results, talk
// and the clock. It returns the exit status.
func run(ctx context.Context, words []string, out, talk io.Writer, now func() time.Time) int {
	env := &environment{out: out, talk: talk, now: now}
	root := newRootCommand(env)
	root.SetArgs(words)
	root.SetOut(out)
	root.SetErr(talk)
	err := root.ExecuteContext(ctx)
	if err == nil {
		return exitDone
	}
	fmt.Fprintf(talk, "undercoat: %v\n", err)
	for _, h := range hintsOf(err) {
		fmt.Fprintf(talk, "  try: %s\n", h)
	}
	var w *wordingError
	if errors.As(err, &w) {
		return exitWording
	}
	return exitCould
}

// hinted is an error that knows what the maker could try next.
type hinted interface{ Hints() []string }

func hintsOf(err error) []string {
	var h hinted
	if errors.As(err, &h) {
		return h.Hints()
	}
	return nil
}

// wordingError marks a command whose words were wrong.
type wordingError struct {
	err   error
	hints []string
}

func (w *wordingError) Error() string   { return w.err.Error() }
func (w *wordingError) Unwrap() error   { return w.err }
func (w *wordingError) Hints() []string { return w.hints }

func buildVersion() string {
	if version != "" {
		return version
	}
	if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" {
		return info.Main.Version
	}
	return "unknown"
}
