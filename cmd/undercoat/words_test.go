package main

import (
	"encoding/json"
	"image"
	"image/color"
	"image/png"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/spf13/cobra"
)

// Wrong words end with 2, things that could not be done with 1; each with one
// line of error and hints that can be tried.
func TestExitStatuses(t *testing.T) {
	dir := t.TempDir()
	t.Setenv("UNDERCOAT_FILE", filepath.Join(dir, "workroom.db"))
	empty := filepath.Join(dir, "empty.jpg")
	text := filepath.Join(dir, "text.png")
	if err := os.WriteFile(empty, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(text, []byte("not a picture at all"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name  string
		words []string
		code  int
		says  string
	}{
		{"help", []string{"--help"}, exitDone, ""},
		{"version", []string{"--version"}, exitDone, ""},
		{"no such command", []string{"paintify"}, exitWording, "paintify"},
		{"no such flag", []string{"plan", "--colour-me"}, exitWording, "colour-me"},
		{"no picture named", []string{"palette"}, exitWording, "palette"},
		{"a patch without a rectangle", []string{"palette", empty, "--patch", "A1"}, exitWording, "NAME=x,y,w,h"},
		{"a picture that is not there", []string{"palette", filepath.Join(dir, "gone.jpg")}, exitCould, "gone.jpg"},
		{"an empty picture", []string{"palette", empty}, exitCould, "empty.jpg"},
		{"a text called .png", []string{"palette", text}, exitCould, "text.png"},
		{"no job yet", []string{"plan"}, exitCould, "holds no job"},
		{"match without a question", []string{"match"}, exitWording, "--colour or --area"},
		{"a colour nobody can read", []string{"match", "--colour", "greyish"}, exitCould, "#rrggbb"},
		{"an import of nothing", []string{"job", "import", filepath.Join(dir, "nowhere")}, exitCould, "nowhere"},
		{"a grade of nothing", []string{"rub", "grade"}, exitWording, "--clean-lab"},
		{"a time nobody can read", []string{"layers", "--ground", "C1"}, exitWording, "--coats"},
	} {
		code, out, talk := program(t, c.words...)
		if code != c.code {
			t.Errorf("%s: exit %d, want %d: %s", c.name, code, c.code, talk)
		}
		if c.code == exitDone {
			continue
		}
		first, _, _ := strings.Cut(talk, "\n")
		if !strings.HasPrefix(first, "undercoat: ") || !strings.Contains(first, c.says) {
			t.Errorf("%s: the error line is %q, expected it to say %q", c.name, first, c.says)
		}
		if out != "" {
			t.Errorf("%s: an error printed results: %q", c.name, out)
		}
	}
}

// every calls f for each command below root.
func every(root *cobra.Command, f func(*cobra.Command)) {
	for _, c := range root.Commands() {
		f(c)
		every(c, f)
	}
}

// Long help: a paragraph, a real example, exit statuses; the example's words
// are known to the program.
func TestEveryCommandHelps(t *testing.T) {
	root := newRootCommand(&environment{})
	every(root, func(c *cobra.Command) {
		if c.Short == "" || c.Long == "" {
			t.Errorf("%s has no help", c.CommandPath())
		}
		if c.HasSubCommands() {
			return
		}
		if c.Example == "" || !strings.Contains(c.Long, "Exit status") {
			t.Errorf("%s has no example or no exit statuses", c.CommandPath())
		}
		for _, line := range strings.Split(c.Example, "\n") {
			words, ok := strings.CutPrefix(strings.TrimSpace(line), "undercoat ")
			if !ok {
				t.Errorf("%s: the example %q does not call undercoat", c.CommandPath(), line)
				continue
			}
			found, rest, err := root.Find(splitWords(words))
			if err != nil || found != c {
				t.Errorf("%s: the example %q calls %s (%v)", c.CommandPath(), line, found.CommandPath(), err)
				continue
			}
			if err := found.ParseFlags(rest); err != nil {
				t.Errorf("%s: the example %q: %v", c.CommandPath(), line, err)
			}
		}
	})
}

// demoFolder writes the demo once for all tests of the words.
var demoFolder = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "undercoat-words-*")
	if err != nil {
		return "", err
	}
	folder := filepath.Join(dir, "demo")
	var sink strings.Builder
	env := &environment{out: &sink, talk: &sink, now: demoNow}
	root := newRootCommand(env)
	root.SetArgs([]string{"demo", folder})
	return folder, root.Execute()
})

func TestMain(m *testing.M) {
	code := m.Run()
	if folder, err := demoFolder(); err == nil {
		os.RemoveAll(filepath.Dir(folder))
	}
	os.Exit(code)
}

// The JSON keys are a contract: keys may be added, never renamed.
func TestJSONKeys(t *testing.T) {
	folder, err := demoFolder()
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(folder, "workroom.db")
	for _, c := range []struct {
		words []string
		keys  string // dotted; [] takes the first of a list
	}{
		{[]string{"palette", filepath.Join(folder, "R3.png"), "--patch", "A1=700,700,40,40", "--colours", "6"},
			"pictures.[].file pictures.[].width pictures.[].height pictures.[].profile pictures.[].upright pictures.[].anchor materials.[].name materials.[].hex materials.[].lab materials.[].share materials.[].shadow.hex materials.[].light.lab materials.[].spread materials.[].confidence materials.[].at_screen_limit materials.[].beyond_surface_colours patches.[].name patches.[].hex patches.[].lab patches.[].spread patches.[].confidence patches.[].per_picture"},
		{[]string{"match", "--area", "A1"},
			"target.lab target.hex matches.[].kind matches.[].code matches.[].parts matches.[].coats matches.[].predicted.lab matches.[].predicted.lab_low matches.[].predicted.lab_high matches.[].predicted.hex matches.[].predicted.out_of_screen matches.[].difference matches.[].difference_range matches.[].by_light matches.[].words matches.[].basis matches.[].coats_total matches.[].cost matches.[].hours matches.[].against"},
		{[]string{"layers", "--ground", "C7", "--coats", "W3:1,W1:2"},
			"steps.[].coat steps.[].code steps.[].lab steps.[].lab_low steps.[].lab_high steps.[].hex steps.[].out_of_screen steps.[].luminance"},
		{[]string{"plan"},
			"areas.[].code areas.[].target areas.[].layers.[].code areas.[].layers.[].role areas.[].layers.[].coats areas.[].layers.[].coats_range areas.[].layers.[].volume_ml areas.[].layers.[].packs areas.[].predicted areas.[].difference areas.[].latest_start areas.[].ready steps.[].id steps.[].area steps.[].verb steps.[].code steps.[].coat steps.[].hands_min steps.[].start steps.[].end steps.[].ready steps.[].latest_start steps.[].spare_min steps.[].critical steps.[].after hands_off.at hands_off.met hands_off.spare_min shopping.[].code shopping.[].need shopping.[].on_hand shopping.[].reserved shopping.[].buy_packs shopping.[].cost cost budget cloth.[].code cloth.[].need_m cloth.[].with_reserve_m cloth.[].on_hand_m cloth.[].short_m refusals.[].area refusals.[].what refusals.[].rule refusals.[].why refusals.[].instead cautions.[].rule cautions.[].weight cautions.[].subject cautions.[].text cautions.[].source solver.status solver.bound_min solver.gap_min"},
		{[]string{"rub", "grade", "--clean-lab", "95.2,-0.3,2.1", "--stained-lab", "82.5,0.4,-3.2"}, "scale de_ab de_gs rating grade"},
		{[]string{"contacts"}, "contacts.[].code contacts.[].from contacts.[].to contacts.[].verdict contacts.[].because contacts.[].test"},
		{[]string{"air", "--product", "W1", "--amount", "150 ml"},
			"volume_m3 changes_per_hour mixing substances.[].name substances.[].peak_ppm substances.[].mean_8h_ppm substances.[].limit_ppm substances.[].limit_source mixture_index lel_share verdict text"},
	} {
		words := append([]string{"--json", "--file", file}, c.words...)
		code, out, talk := program(t, words...)
		if code != exitDone {
			t.Errorf("%v: exit %d: %s", c.words, code, talk)
			continue
		}
		var v any
		if err := json.Unmarshal([]byte(out), &v); err != nil {
			t.Errorf("%v: not JSON: %v", c.words, err)
			continue
		}
		for _, key := range strings.Fields(c.keys) {
			if !hasKey(v, strings.Split(key, ".")) {
				t.Errorf("%s: no key %s", c.words[0], key)
			}
		}
	}
}

func hasKey(v any, path []string) bool {
	if len(path) == 0 {
		return true
	}
	if path[0] == "[]" {
		l, ok := v.([]any)
		return ok && slices.ContainsFunc(l, func(e any) bool { return hasKey(e, path[1:]) })
	}
	m, ok := v.(map[string]any)
	if !ok {
		return false
	}
	next, ok := m[path[0]]
	return ok && hasKey(next, path[1:])
}

// rub grade as the answer key's damp velveteen: ISO 105-A04 gives 2-3.
func TestRubGradeWords(t *testing.T) {
	code, out, talk := program(t, "rub", "grade", "--clean-lab", "95.2,-0.3,2.1", "--stained-lab", "82.5,0.4,-3.2")
	if code != exitDone || !strings.Contains(out, "staining grade 2-3") {
		t.Errorf("exit %d, printed %q %q", code, out, talk)
	}
}

// A flat picture of one known colour comes back as that colour.
func TestPaletteOfAFlatPicture(t *testing.T) {
	name := filepath.Join(t.TempDir(), "flat.png")
	m := image.NewNRGBA(image.Rect(0, 0, 64, 64))
	for i := range 64 * 64 {
		m.SetNRGBA(i%64, i/64, color.NRGBA{R: 0x6C, G: 0x71, B: 0x76, A: 255})
	}
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := png.Encode(f, m); err != nil {
		t.Fatal(err)
	}
	f.Close()
	code, out, talk := program(t, "palette", name, "--patch", "coat=8,8,40,40")
	if code != exitDone || strings.Count(out, "#6c7176") < 2 {
		t.Errorf("exit %d, printed %q %q", code, out, talk)
	}
}
