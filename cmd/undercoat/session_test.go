package main

import (
	"bytes"
	"context"
	"flag"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"
)

// golden rewrites whole outputs; a person reads the difference.
var golden = flag.Bool("golden", false, "rewrite golden files and the README's session")

// demoNow is the morning on which the demo's planning starts.
func demoNow() time.Time { return time.Date(2026, 10, 26, 9, 0, 0, 0, time.UTC) }

// program runs the program's words in process and gives what it printed.
func program(t *testing.T, words ...string) (code int, out, talk string) {
	t.Helper()
	var o, e bytes.Buffer
	code = run(context.Background(), words, &o, &e, demoNow)
	return code, o.String(), e.String()
}

// TestReadmeSession runs the README's worked session and compares every line
// it shows: regression only, the truths behind it are tested in their rooms.
func TestReadmeSession(t *testing.T) {
	t.Chdir(t.TempDir())
	readme := filepath.Join(homeDir(t), "README.md")
	text, err := os.ReadFile(readme)
	if err != nil {
		t.Fatal(err)
	}
	want := string(text)
	got := replaySession(t, want)
	if got == want {
		return
	}
	if *golden {
		if err := os.WriteFile(readme, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	t.Errorf("the README's session is not what the program prints; run `make golden` and read the difference:\n%s", firstDifference(got, want))
}

const (
	sessionStart = "```console\n"
	sessionEnd   = "```\n"
)

// replaySession answers every "$ undercoat …" line of every console block
// with what the program prints.
func replaySession(t *testing.T, text string) string {
	t.Helper()
	var b strings.Builder
	for {
		before, rest, found := strings.Cut(text, sessionStart)
		b.WriteString(before)
		if !found {
			return b.String()
		}
		block, after, closed := strings.Cut(rest, sessionEnd)
		if !closed {
			t.Fatal("a console block of the README is not closed")
		}
		b.WriteString(sessionStart)
		for _, line := range strings.Split(block, "\n") {
			words, command := strings.CutPrefix(line, "$ undercoat ")
			if !command {
				continue
			}
			b.WriteString(line + "\n")
			code, out, talk := program(t, splitWords(words)...)
			if code != exitDone {
				t.Fatalf("undercoat %s: exit %d: %s", words, code, talk)
			}
			b.WriteString(out)
		}
		b.WriteString(sessionEnd)
		text = after
	}
}

// splitWords splits a line as a shell does, quotes honoured.
func splitWords(s string) []string {
	var words []string
	var word strings.Builder
	quote, any := rune(0), false
	for _, r := range s {
		switch {
		case quote == 0 && (r == '\'' || r == '"'):
			quote, any = r, true
		case r == quote:
			quote = 0
		case quote == 0 && r == ' ':
			if any || word.Len() > 0 {
				words = append(words, word.String())
			}
			word.Reset()
			any = false
		default:
			word.WriteRune(r)
		}
	}
	if any || word.Len() > 0 {
		words = append(words, word.String())
	}
	return words
}

func firstDifference(got, want string) string {
	g, w := strings.Split(got, "\n"), strings.Split(want, "\n")
	for i := range g {
		if i >= len(w) || g[i] != w[i] {
			old := "(nothing)"
			if i < len(w) {
				old = w[i]
			}
			return "printed: " + g[i] + "\nREADME:  " + old
		}
	}
	return "the README shows more lines than the program prints"
}

// homeDir is the top of the repository.
func homeDir(t *testing.T) string {
	t.Helper()
	_, file, _, ok := runtime.Caller(0)
	if !ok {
		t.Fatal("where am I?")
	}
	return filepath.Join(filepath.Dir(file), "..", "..")
}
