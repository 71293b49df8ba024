package main

import (
	"os"
	"path/filepath"
	"runtime"
	"testing"
)

// The folders are those the systems' own guides name: Windows known folder
// FOLDERID_LocalAppData, macOS "File System Programming Guide" (Application
// Support), XDG Base Directory Specification 0.8 ($HOME/.local/share).
func TestDataFolders(t *testing.T) {
	home, local, xdg := t.TempDir(), t.TempDir(), t.TempDir()
	share := filepath.Join(home, ".local", "share")
	for _, c := range []struct {
		system string
		env    map[string]string
		want   string
	}{
		{"linux", nil, share},
		{"freebsd", nil, share},
		{"linux", map[string]string{"XDG_DATA_HOME": xdg}, xdg},
		{"linux", map[string]string{"XDG_DATA_HOME": "relative"}, share},
		{"darwin", nil, filepath.Join(home, "Library", "Application Support")},
		{"windows", map[string]string{"LOCALAPPDATA": local}, local},
		{"windows", nil, filepath.Join(home, "AppData", "Local")},
	} {
		got, old := dataFolders(c.system, home, func(k string) string { return c.env[k] })
		if got != c.want || old != share {
			t.Errorf("%s %v: %s, before %s; want %s, before %s", c.system, c.env, got, old, c.want, share)
		}
	}
}

// A file at the place used before is still found, until there is one at the
// usual place.
func TestEarlierWorkroomFileIsFound(t *testing.T) {
	if runtime.GOOS == "windows" || runtime.GOOS == "plan9" {
		t.Skip("the home folder is not $HOME here")
	}
	home, xdg := t.TempDir(), t.TempDir()
	t.Setenv("HOME", home)
	t.Setenv("XDG_DATA_HOME", xdg)
	t.Setenv("UNDERCOAT_FILE", "")
	earlier := filepath.Join(home, ".local", "share", "undercoat", "workroom.db")
	usual := filepath.Join(xdg, "undercoat", "workroom.db")
	env := &environment{}
	for _, step := range []struct{ write, want string }{{"", usual}, {earlier, earlier}, {usual, usual}} {
		if step.write != "" {
			if err := os.MkdirAll(filepath.Dir(step.write), 0o700); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(step.write, nil, 0o600); err != nil {
				t.Fatal(err)
			}
		}
		if got, err := env.workroomPath(); err != nil || got != step.want {
			t.Errorf("after writing %q: %q, %v; want %q", step.write, got, err, step.want)
		}
	}
}
