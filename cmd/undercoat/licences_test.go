package main

import (
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// platforms are those `make release` builds for.
var platforms = []string{"linux/amd64", "linux/arm64", "darwin/amd64", "darwin/arm64", "windows/amd64", "windows/arm64"}

// TestNotices makes others.txt again from the modules that `go list` finds in
// the program on every platform, and compares. With -golden it writes it.
func TestNotices(t *testing.T) {
	want := madeNotices(t)
	if *golden {
		if err := os.WriteFile("others.txt", []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if notices != want {
		t.Errorf("others.txt is not what the modules say: run `make golden` and read the difference:\n%s", firstDifference(notices, want))
	}
}

// licenceFile is the name of a licence in a module's or a font's folder.
var licenceFile = regexp.MustCompile(`(?i)^(licen[cs]e|notice|copying|patents|ofl)`)

func madeNotices(t *testing.T) string {
	t.Helper()
	var b strings.Builder
	b.WriteString("Notices: what is inside the program `undercoat` and is not ours, with the licence of each.\n")
	seen := map[string]string{}
	for _, m := range builtOf(t) {
		addLicences(t, &b, seen, m.name, m.dir)
	}
	for _, dir := range foldersWithLicence(t) {
		addLicences(t, &b, seen, filepath.ToSlash(dir), filepath.Join("..", "..", dir))
	}
	return b.String()
}

type part struct{ name, dir string }

// builtOf is every module of the program on any platform, and Go itself.
func builtOf(t *testing.T) []part {
	t.Helper()
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	parts := []part{{"Go's standard library", strings.TrimSpace(string(root))}}
	for _, p := range platforms {
		system, machine, _ := strings.Cut(p, "/")
		cmd := exec.Command("go", "list", "-deps", "-tags", "nodynamic,heic", "-f", "{{with .Module}}{{if not .Main}}{{.Path}} {{.Version}}\t{{.Dir}}{{end}}{{end}}", ".")
		cmd.Env = append(os.Environ(), "GOOS="+system, "GOARCH="+machine, "CGO_ENABLED=0")
		out, err := cmd.Output()
		if err != nil {
			t.Fatalf("list the modules of %s: %v", p, err)
		}
		for line := range strings.Lines(string(out)) {
			if name, dir, ok := strings.Cut(strings.TrimSpace(line), "\t"); ok {
				parts = append(parts, part{name, dir})
			}
		}
	}
	slices.SortFunc(parts[1:], func(a, b part) int { return strings.Compare(a.name, b.name) })
	return slices.Compact(parts)
}

// foldersWithLicence are the folders of this repository that hold things of
// others inside the program: fonts and scripts come with their licence.
func foldersWithLicence(t *testing.T) []string {
	t.Helper()
	var dirs []string
	for _, top := range []string{"cmd", "palette", "finish", "inventory"} {
		err := filepath.WalkDir(filepath.Join("..", "..", top), func(path string, d fs.DirEntry, err error) error {
			if err != nil {
				return err
			}
			if d.IsDir() && d.Name() == "testdata" {
				return filepath.SkipDir
			}
			if !d.IsDir() && licenceFile.MatchString(d.Name()) && filepath.Ext(d.Name()) != ".go" {
				dir, err := filepath.Rel(filepath.Join("..", ".."), filepath.Dir(path))
				if err != nil {
					return err
				}
				dirs = append(dirs, dir)
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	slices.Sort(dirs)
	return slices.Compact(dirs)
}

// addLicences writes the licence files of a folder and of its `lib` (where the
// codecs keep theirs); a text already given is only named.
func addLicences(t *testing.T, b *strings.Builder, seen map[string]string, name, dir string) {
	t.Helper()
	found := 0
	for _, sub := range []string{"", "lib"} {
		entries, _ := os.ReadDir(filepath.Join(dir, sub))
		for _, e := range entries {
			if e.IsDir() || !licenceFile.MatchString(e.Name()) || filepath.Ext(e.Name()) == ".go" || sub == "lib" && strings.HasPrefix(name, "Go's") {
				continue
			}
			text, err := os.ReadFile(filepath.Join(dir, sub, e.Name()))
			if err != nil {
				t.Fatal(err)
			}
			found++
			title := fmt.Sprintf("%s, %s", name, e.Name())
			fmt.Fprintf(b, "\n%s\n%s\n\n", title, strings.Repeat("=", len(title)))
			plain := strings.TrimSpace(strings.ReplaceAll(string(text), "\r\n", "\n"))
			if before, ok := seen[plain]; ok {
				fmt.Fprintf(b, "The same text as that of %s, above.\n", before)
				continue
			}
			seen[plain] = title
			fmt.Fprintf(b, "%s\n", plain)
		}
	}
	if found == 0 {
		t.Errorf("%s has no licence file: it may not go into the program", name)
	}
}
