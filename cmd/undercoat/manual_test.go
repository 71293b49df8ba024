package main

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"
)

// release is where `make release` wants the manual pages and the completions.
var release = flag.String("release", "", "write manual pages and shell completions into this folder")

// TestManual makes the manual page of every command and the completion of every
// shell; with -release they are kept. The generator stays out of the program.
func TestManual(t *testing.T) {
	folder := *release
	if folder == "" {
		folder = t.TempDir()
	}
	root := newRootCommand(&environment{})
	root.DisableAutoGenTag = true
	man := filepath.Join(folder, "man")
	completions := filepath.Join(folder, "completions")
	for _, dir := range []string{man, completions} {
		if err := os.MkdirAll(dir, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	day := time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC) // one date, so that the same source gives the same bytes
	header := &doc.GenManHeader{Section: "1", Source: "undercoat", Manual: "undercoat", Date: &day}
	if err := doc.GenManTree(root, header, man); err != nil {
		t.Fatal(err)
	}
	every(root, func(c *cobra.Command) {
		if !c.IsAvailableCommand() || c.IsAdditionalHelpTopicCommand() {
			return
		}
		page, err := os.ReadFile(filepath.Join(man, strings.ReplaceAll(c.CommandPath(), " ", "-")+".1"))
		if err != nil {
			t.Errorf("%s: %v", c.CommandPath(), err)
			return
		}
		for _, want := range []string{".SH NAME", ".SH SYNOPSIS", ".SH DESCRIPTION"} {
			if !bytes.Contains(page, []byte(want)) {
				t.Errorf("%s: the manual page has no %s", c.CommandPath(), want)
			}
		}
	})
	writeCompletions(t, root, completions)
}

func writeCompletions(t *testing.T, root *cobra.Command, folder string) {
	t.Helper()
	for _, c := range []struct {
		file string
		make func(*bytes.Buffer) error
	}{
		{"undercoat.bash", func(b *bytes.Buffer) error { return root.GenBashCompletionV2(b, true) }},
		{"_undercoat", func(b *bytes.Buffer) error { return root.GenZshCompletion(b) }},
		{"undercoat.fish", func(b *bytes.Buffer) error { return root.GenFishCompletion(b, true) }},
		{"undercoat.ps1", func(b *bytes.Buffer) error { return root.GenPowerShellCompletionWithDesc(b) }},
	} {
		var b bytes.Buffer
		if err := c.make(&b); err != nil || b.Len() == 0 {
			t.Errorf("%s: %d bytes, %v", c.file, b.Len(), err)
			continue
		}
		if err := os.WriteFile(filepath.Join(folder, c.file), b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
