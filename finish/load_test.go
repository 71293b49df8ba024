package finish

import (
	"context"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"undercoat/finish/plan"
	"undercoat/palette/colour"
	"undercoat/testdata/demo"
)

// How the verbs grow with the workroom: a shelf of invented lines under the
// demo's own, and looks that are the demo's job under other names, without its
// pictures. DEVELOPERS.md has the figures; `make load` runs the large ones.

func manyLines(n int) fstest.MapFS {
	r := rand.New(rand.NewPCG(3, 4))
	table, err := fs.ReadFile(demo.Files(), "stock.csv")
	if err != nil {
		panic(err)
	}
	head, _, _ := strings.Cut(string(table), "\n")
	columns := strings.Split(strings.TrimSpace(head), ",")
	kinds := []string{"paint", "paint", "paint", "cloth", "cloth", "dye", "trim", "sealer"}
	b := append([]byte(nil), table...)
	for i := range n {
		kind := kinds[i%len(kinds)]
		values := map[string]string{
			"code": fmt.Sprintf("L%06d", i), "name": fmt.Sprintf("Line %d", i), "kind": kind,
			"colour": fmt.Sprintf("#%06x", r.IntN(1<<24)), "on_hand": fmt.Sprint(r.IntN(500)), "unit": "ml", "pack": "100", "price": "6.20",
		}
		switch kind {
		case "cloth":
			values["unit"], values["width_cm"], values["fibre"], values["pack"] = "m", "140", "cotton", ""
		case "trim":
			values["unit"], values["pack"] = "pc", "1"
		case "paint", "sealer":
			values["opacity"], values["spread_ml_m2"], values["touch_h"], values["recoat_from_h"], values["cure_h"] = "semi-opaque", "110", "0.75", "2", "72"
		}
		for i, c := range columns {
			if i > 0 {
				b = append(b, ',')
			}
			b = append(b, values[c]...)
		}
		b = append(b, '\n')
	}
	return fstest.MapFS{"stock.csv": {Data: b}}
}

// look is the demo's job, without pictures, under another name.
func look(i int) fstest.MapFS {
	out := fstest.MapFS{}
	for _, name := range []string{"job.csv", "areas.csv", "contacts.csv", "hours.csv", "lights.csv", "room.csv", "sewing.csv", "wearers.csv", "tests.csv"} {
		b, err := fs.ReadFile(demo.Files(), name)
		if err != nil {
			panic(err)
		}
		out[name] = &fstest.MapFile{Data: []byte(strings.ReplaceAll(string(b), "Low Water Night", fmt.Sprintf("Look %04d", i)))}
	}
	return out
}

func BenchmarkWorkroom(b *testing.B) {
	sizes := []struct{ lines, looks int }{{1_000, 10}, {10_000, 100}, {100_000, 1_000}}
	if testing.Short() {
		sizes = sizes[:1]
	}
	ctx := context.Background()
	grey, err := colour.Parse("#6c7176")
	if err != nil {
		b.Fatal(err)
	}
	for _, size := range sizes {
		name := fmt.Sprintf("lines=%d/looks=%d", size.lines, size.looks)
		path := filepath.Join(b.TempDir(), "workroom.db")
		room, err := Open(ctx, path, demoClock)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := room.ImportStock(ctx, manyLines(size.lines)); err != nil {
			b.Fatal(err)
		}
		for i := range size.looks {
			if _, err := room.ImportJob(ctx, look(i)); err != nil {
				b.Fatal(err)
			}
		}
		job := room.ForJob("Look 0007")
		for _, verb := range []struct {
			name string
			do   func() error
		}{
			{"open", func() error {
				r, err := Open(ctx, path, demoClock)
				if err != nil {
					return err
				}
				return r.Close()
			}},
			{"shelf, first", func() error { // a program that has just started reads the shelf once
				r, err := Open(ctx, path, demoClock)
				if err != nil {
					return err
				}
				_, err = r.file.Stock(ctx)
				r.Close()
				return err
			}},
			{"search", func() error { _, err := room.Stock(ctx, StockFilter{Text: "line 77"}); return err }},
			{"match", func() error { _, err := room.Match(ctx, MatchRequest{Colour: grey}); return err }},
			{"match area", func() error { _, err := job.Match(ctx, MatchRequest{Area: "A1"}); return err }},
			{"jobs", func() error { _, err := room.Jobs(ctx); return err }},
			{"plan", func() error { _, err := job.PlanAt(ctx, demoClock(), plan.FanAsRoom); return err }},
			{"board", func() error { _, err := NewDesk(room).Board(ctx, "Look 0007"); return err }},
		} {
			b.Run(name+"/"+verb.name, func(b *testing.B) {
				for b.Loop() {
					if err := verb.do(); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
		room.Close()
	}
}
