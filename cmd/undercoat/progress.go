package main

import (
	"fmt"
	"os"
	"strings"

	"golang.org/x/term"
)

// progress is a bar on standard error, on a terminal only; scripts and pipes
// never see it.
type progress struct {
	env   *environment
	what  string
	shown bool
}

func newProgress(env *environment, what string) *progress { return &progress{env: env, what: what} }

// step shows how much is done. One thing alone is not worth a bar.
func (p *progress) step(done, all int) {
	f, ok := p.env.talk.(*os.File)
	if !ok || all < 2 || !term.IsTerminal(int(f.Fd())) {
		return
	}
	const width = 24
	full := width * done / all
	fmt.Fprintf(p.env.talk, "\r%s [%s%s] %d of %d", p.what, strings.Repeat("#", full), strings.Repeat("-", width-full), done, all)
	p.shown = true
}

// end clears the line.
func (p *progress) end() {
	if p.shown {
		fmt.Fprint(p.env.talk, "\r\x1b[K")
	}
}
