package main

import (
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// floor is one line of the house's policy: which rooms a room may import,
// beside the standard library, and which outside modules enter by it.
type floor struct {
	level   int
	rooms   []string
	modules []string
}

// stair is policy: it is not loosened to make a build pass. A chamber never
// imports its face, every import goes to a lower floor, nothing imports cmd.
var stair = map[string]floor{
	"palette/colour":    {1, nil, []string{"github.com/lucasb-eyer/go-colorful"}},
	"inventory/unit":    {1, nil, nil},
	"finish/schedule":   {1, nil, nil},
	"testdata/demo":     {1, nil, nil},
	"palette":           {2, []string{"palette/colour"}, []string{"github.com/disintegration/imaging", "golang.org/x/image", "github.com/gen2brain/avif", "github.com/gen2brain/heic"}},
	"inventory":         {2, []string{"palette/colour", "inventory/unit"}, []string{"modernc.org/sqlite"}},
	"finish/film":       {2, []string{"palette/colour"}, nil},
	"finish/garment":    {3, []string{"palette", "palette/colour", "inventory", "inventory/unit"}, nil},
	"finish/match":      {4, []string{"finish/film", "finish/garment", "inventory", "inventory/unit", "palette/colour"}, nil},
	"finish/rub":        {4, []string{"finish/garment", "palette/colour", "inventory", "inventory/unit"}, nil},
	"finish/plan":       {5, []string{"finish/match", "finish/garment", "finish/schedule", "inventory", "inventory/unit", "palette/colour"}, nil},
	"finish/caution":    {6, []string{"finish/plan", "finish/schedule", "finish/rub", "finish/garment", "finish/match", "inventory", "inventory/unit", "palette/colour"}, nil},
	"finish/sheet":      {7, []string{"finish/plan", "finish/schedule", "finish/caution", "finish/garment", "finish/rub", "finish/match", "inventory", "inventory/unit", "palette/colour"}, []string{"codeberg.org/go-pdf/fpdf", "golang.org/x/image", "rsc.io/qr"}},
	"finish":            {8, []string{"finish/film", "finish/garment", "finish/match", "finish/rub", "finish/plan", "finish/schedule", "finish/caution", "finish/sheet", "palette", "palette/colour", "inventory", "inventory/unit", "testdata/demo"}, nil},
	"cmd/undercoat/web": {9, []string{"finish", "finish/film", "finish/garment", "finish/match", "finish/rub", "finish/plan", "finish/schedule", "finish/caution", "finish/sheet", "palette", "palette/colour", "inventory", "inventory/unit"}, nil},
	"cmd/undercoat":     {10, []string{"cmd/undercoat/web", "finish", "finish/film", "finish/garment", "finish/match", "finish/rub", "finish/plan", "finish/schedule", "finish/caution", "finish/sheet", "palette", "palette/colour", "inventory", "inventory/unit", "testdata/demo"}, []string{"github.com/spf13/cobra", "github.com/spf13/pflag", "golang.org/x/term"}},
}

// one outside module enters by one file (or one folder where the table of
// floors names it): the file that may import it, by module.
var doors = map[string]string{
	"github.com/lucasb-eyer/go-colorful": "palette/colour",
	"github.com/disintegration/imaging":  "palette",
	"modernc.org/sqlite":                 "inventory",
	"github.com/spf13/cobra":             "cmd/undercoat",
}

const module = "undercoat/"

type listed struct {
	ImportPath string
	Name       string
	Doc        string
	Imports    []string
	GoFiles    []string
}

func rooms(t *testing.T) []listed {
	t.Helper()
	out, err := exec.Command("go", "list", "-json=ImportPath,Name,Doc,Imports,GoFiles", "-tags", "nodynamic,heic", module+"...", module+"testdata/demo").Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	var all []listed
	dec := json.NewDecoder(strings.NewReader(string(out)))
	for {
		var l listed
		if err := dec.Decode(&l); errors.Is(err, io.EOF) {
			return all
		} else if err != nil {
			t.Fatal(err)
		}
		all = append(all, l)
	}
}

// TestStair holds every import of every room against the table of floors.
func TestStair(t *testing.T) {
	seen := map[string]bool{}
	for _, l := range rooms(t) {
		room := strings.TrimPrefix(l.ImportPath, module)
		f, ok := stair[room]
		if !ok {
			t.Errorf("room %s has no floor: give it one in the table", room)
			continue
		}
		seen[room] = true
		for _, imp := range l.Imports {
			checkImport(t, room, f, imp)
		}
	}
	for room := range stair {
		if !seen[room] {
			t.Errorf("room %s of the table does not exist", room)
		}
	}
}

func checkImport(t *testing.T, room string, f floor, imp string) {
	t.Helper()
	if in, ok := strings.CutPrefix(imp, module); ok {
		below, known := stair[in]
		switch {
		case !slices.Contains(f.rooms, in):
			t.Errorf("%s imports %s, which the table does not allow", room, in)
		case known && below.level >= f.level:
			t.Errorf("%s (floor %d) imports %s (floor %d): imports go down", room, f.level, in, below.level)
		}
		return
	}
	if !strings.Contains(strings.SplitN(imp, "/", 2)[0], ".") {
		return // standard library
	}
	for _, m := range f.modules {
		if imp == m || strings.HasPrefix(imp, m+"/") {
			return
		}
	}
	t.Errorf("%s imports %s: no module of that name may enter there", room, imp)
}

// TestEveryRoomSaysWhatItAnswers wants a package comment in every room.
func TestEveryRoomSaysWhatItAnswers(t *testing.T) {
	for _, l := range rooms(t) {
		if strings.TrimSpace(l.Doc) == "" {
			t.Errorf("%s has no package comment", l.ImportPath)
		}
	}
}

// TestOneDoorForEachFixedLibrary wants each of the four fixed libraries to
// enter by one room only.
func TestOneDoorForEachFixedLibrary(t *testing.T) {
	for _, l := range rooms(t) {
		room := strings.TrimPrefix(l.ImportPath, module)
		for _, imp := range l.Imports {
			for m, door := range doors {
				if (imp == m || strings.HasPrefix(imp, m+"/")) && room != door {
					t.Errorf("%s enters by %s; its door is %s", m, room, door)
				}
			}
		}
	}
}
