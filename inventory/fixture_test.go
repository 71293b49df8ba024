package inventory

import (
	"context"
	"errors"
	"io/fs"
	"maps"
	"os"
	"strings"
	"testing"
	"testing/fstest"
)

// small is an invented job with a row in every table, in the words of its
// tables; it comes back unchanged from an import and an export.
func small() fstest.MapFS {
	files := map[string]string{
		"job.csv": `key,value
name,Harvest play
planning_starts,2026-09-01
hands_off,2026-09-20 21:00
event_at,2026-09-21 15:30
packing_at,
supplies_ordered,
supplies_arrive,
budget,130.00
currency,EUR
reserve_pct,15
repair_ml,20
timezone,Europe/Berlin
`,
		"wearers.csv": `code,name,size,area_factor,sensitivities
P1,Ana,M,1,
P2,Björn,XL,1.24,latex;nickel
`,
		"areas.csv": `code,piece,method,look,target,tolerance,cloth_m2,painted_m2,ground,stretch_pct,skin,sides,coat_min,rail_m,share_pct,recipe,note
A1,Coat,cloth,Reaper,#6c7176,3,2.6,,,0,no,,,,,,"grey, matt"
A2,Band,paint,Reaper,lab(47.7 -21.9 -10.4),3,1.3,0.18,C6,40,yes,1,40,0.6,,T3:2,
`,
		"contacts.csv": `code,from,to,rubbing,damp,hours,note
N1,A1,A2,high,yes,6,
N2,A2,skin,medium,,6.5,
`,
		"references.csv": `code,picture,anchor,anchor_colour,trust,chart,note
R1,pictures/R1.png,"10,20,30,40",#f3f1ec,medium,,
R2,,,,low,,an old toy
`,
		"patches.csv": `reference,area,rectangle,colour
R1,A1,"1,2,30,40",
R2,A1,,#604020
`,
		"lights.csv": `name,source,lux,uv,note
daylight,D65,2000,yes,
hall,2900 K,40,no,
`,
		"stock.csv": `code,name,kind,medium,colour,hiding_black,hiding_white,wet_film_um,spread_ml_m2,volume_solids_pct,touch_h,recoat_from_h,recoat_until_h,handle_h,cure_h,heat_c,heat_min,low_c,elongation_pct,base,fluorescent,suits,hazards,contains,voc_g_l,fibre,dye_class,width_cm,shrinkage_pct,iron_max_c,stretch_pct,on_hand,unit,pack,price,opened,expires,note
T3,Supple teal,paint,stretch paint,#2b7a81,0.5,0.9,95,95,42,1,3,,,96,,,10,110,water,,cotton;elastane,,,15,,,,,,,45,ml,100,9.80,2026-05-01,2027-05-01,
C6,Cream jersey,cloth,knit,#efe8da,,,,,,,,,,,,,,,,,,,,,cotton-elastane 92/8,,160,5,110,55,5,m,1,10.80,,,
S1,Foam sealer,sealer,,,,,,120,,0.75,1,24,,24,,,,,,,foam,H319,,,,,,,,,,,,,,,
D1,Ink blue,dye,powder,#232b45,,,,,,,,,,,,,,,,,cotton,H317;H334,,,,reactive,,,,,40,g,50,5.50,,,
H1,Stud,trim,metal,,,,,,,,,,,,,,,,,,,,,,,,,,,,60,pc,1,0.08,,,
`,
		"measures.csv": `code,light,lab_l,lab_a,lab_b,over,wet_film_um,coats,kind
A1,D65,47.4,-0.8,-3.4,itself,,,swatch
T3,D65,47,-21.3,-10.9,itself,,,swatch
T3,,20.5,-8,-4,black,100,1,drawdown
`,
		"tests.csv": `code,subject,against,how,when,condition,clean,stained,age_h,note
RT1,T3,white cloth,damp rub,2026-09-02 18:30,"on C6, 24 h old",lab(95.2 -0.3 2.1),lab(90.4 -2.6 -0.6),24,ten strokes
`,
		"hours.csv": `day,from,to,who,what,note
Mon,19:00,21:30,,any,
2026-09-05,10:00,24:00,Björn,spraying outdoors,
Wed,,,,,none
`,
		"room.csv": `key,value
volume_m3,26
day_c,18
night_c,15
rh_pct,70
air_m_s,
fan_m3_h,300
changes_per_hour,
rail_m,2.5
rack_m2,1
drying_factor,1.6
drying_factor_fan,1.2
press,no
iron_max_c,200
mask,particle
`,
		"sewing.csv": `code,area,verb,hands_min,after,before,who
A2-cut,A2,cut,30,,A2 painting,
A2-sew,A2,sew,90,A2-cut;A2 cured,,Ana
`,
		"done.csv": `step,at,used
A2-cut,2026-09-03 19:45,
`,
		"pictures/R1.png": "not really a picture",
	}
	m := fstest.MapFS{}
	for name, text := range files {
		if strings.HasSuffix(name, ".csv") {
			text = strings.ReplaceAll(text, "\n", "\r\n")
		}
		m[name] = &fstest.MapFile{Data: []byte(text), Mode: 0o644}
	}
	return m
}

// with returns a copy of a folder in which old text of a file is new.
func with(t testing.TB, m fstest.MapFS, file, old, new string) fstest.MapFS {
	t.Helper()
	text := string(m[file].Data)
	if strings.Count(text, old) == 0 {
		t.Fatalf("%s has no %q", file, old)
	}
	return withFile(m, file, strings.Replace(text, old, new, 1))
}

func withFile(m fstest.MapFS, file, text string) fstest.MapFS {
	m = maps.Clone(m)
	m[file] = &fstest.MapFile{Data: []byte(text), Mode: 0o644}
	return m
}

func without(m fstest.MapFS, file string) fstest.MapFS {
	m = maps.Clone(m)
	delete(m, file)
	return m
}

// demo is the demo job of the repository.
func demo(t testing.TB) fs.FS {
	if _, err := os.Stat("../testdata/demo/job.csv"); err != nil {
		t.Skip("no demo job in this tree")
	}
	return os.DirFS("../testdata/demo")
}

// mustImport imports a folder and returns the report.
func mustImport(t testing.TB, f *File, from fs.FS) Report {
	t.Helper()
	r, err := f.ImportJob(context.Background(), from)
	var bad *BadCells
	if errors.As(err, &bad) {
		for _, c := range bad.Cells {
			t.Error(c)
		}
	}
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// folderOf is the job's exported folder by file name.
func folderOf(t testing.TB, f *File, job string) map[string]string {
	t.Helper()
	list, err := f.JobFolder(context.Background(), job)
	if err != nil {
		t.Fatal(err)
	}
	m := map[string]string{}
	for _, p := range list {
		if _, twice := m[p.Name]; twice {
			t.Fatalf("%s stands twice in the folder", p.Name)
		}
		m[p.Name] = string(p.Bytes)
	}
	return m
}

// asFS makes a folder of an export.
func asFS(m map[string]string) fstest.MapFS {
	out := fstest.MapFS{}
	for name, text := range m {
		out[name] = &fstest.MapFile{Data: []byte(text), Mode: 0o644}
	}
	return out
}

// badCells imports a folder that must be refused, and returns the cells.
func badCells(t testing.TB, f *File, from fs.FS) []BadCell {
	t.Helper()
	_, err := f.ImportJob(context.Background(), from)
	var bad *BadCells
	if !errors.As(err, &bad) {
		t.Fatalf("got %v, want bad cells", err)
	}
	return bad.Cells
}
