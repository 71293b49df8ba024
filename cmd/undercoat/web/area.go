package web

import (
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"undercoat/finish"
	"undercoat/finish/garment"
	"undercoat/inventory"
)

// areaBody is one strip in full.
type areaBody struct {
	stripBody
	Before, After *strip // its neighbours on the board
	Buy           []finish.PlanPurchase
	Crops         []crop
}

// crop is a reading with the piece of its picture it was read from.
type crop struct {
	finish.PatchReading
	Ref   finish.PageReference
	Patch finish.PagePatch
}

// View is the rectangle of the picture that is shown: the spot with as much
// round it.
func (c crop) View() string {
	r := c.Patch.Rect
	return fmt.Sprintf("%d %d %d %d", r.X-r.W/2, r.Y-r.H/2, 2*r.W, 2*r.H)
}

func (s *Server) area(w http.ResponseWriter, r *http.Request) error {
	b, f, err := s.open(r)
	if err != nil {
		return err
	}
	i, err := find(b, r.PathValue("area"))
	if err != nil {
		return err
	}
	body := areaBody{stripBody: newStrip(&b, b.Strips[i])}
	if i > 0 {
		body.Before = &strip{b.Strips[i-1].Code, b.Strips[i-1].Piece}
	}
	if i+1 < len(b.Strips) {
		body.After = &strip{b.Strips[i+1].Code, b.Strips[i+1].Piece}
	}
	if body.Plan != nil {
		for _, p := range b.Plan.Shopping {
			if p.BuyPacks > 0 && slices.ContainsFunc(body.Plan.Layers, func(y finish.PlanLayer) bool { return y.Code == p.Code || y.Fixer == p.Code }) {
				body.Buy = append(body.Buy, p)
			}
		}
	}
	body.Crops = crops(b, body.Strip)
	f.Title, f.Here, f.Body = body.Code+" "+body.Piece, "", body
	return s.ok(w, r, "area", f)
}

func find(b finish.BoardAnswer, code string) (int, error) {
	i := slices.IndexFunc(b.Strips, func(st finish.Strip) bool { return st.Code == code })
	if i < 0 {
		return 0, fmt.Errorf("open strip: %s: the job has no area of that code: %w", code, errNoPage)
	}
	return i, nil
}

func crops(b finish.BoardAnswer, st finish.Strip) []crop {
	var out []crop
	if st.Target.Pictures == nil {
		return nil
	}
	for _, p := range st.Target.Pictures.PerPicture {
		c := crop{PatchReading: p}
		for _, ref := range b.References {
			if ref.Code != p.Picture {
				continue
			}
			c.Ref = ref
			for _, patch := range ref.Patches {
				if patch.Area == st.Code {
					c.Patch = patch
				}
			}
		}
		out = append(out, c)
	}
	return out
}

// areaURL is the address of a strip.
func areaURL(r *http.Request) string {
	return base(r.PathValue("job")) + "area/" + r.PathValue("area")
}

// approve freezes a target: what the pictures say, what the table states, or a
// colour typed in.
func (s *Server) approve(w http.ResponseWriter, r *http.Request) error {
	bench, _, err := s.seen(r)
	if err != nil {
		return err
	}
	req := finish.TargetRequest{Area: r.PathValue("area"), Approve: true}
	text := strings.TrimSpace(r.FormValue("as"))
	if r.FormValue("which") == "pictures" {
		if text = strings.TrimSpace(r.FormValue("pictures")); text == "" {
			return fmt.Errorf("approve %s: no picture shows it", req.Area)
		}
	} else if r.FormValue("which") == "table" {
		text = ""
	} else if text == "" {
		return errForm("colour", text, "#rrggbb, lab(L a b) or a stock code")
	}
	if text != "" {
		c, err := bench.Colour(r.Context(), text)
		if err != nil {
			return err
		}
		l := c.Lab()
		if req.As, err = inventory.Write(fmt.Sprintf("lab(%.2f %.2f %.2f)", l.L, l.A, l.B)); err != nil {
			return err
		}
	}
	t, err := bench.Target(r.Context(), req)
	if err != nil {
		return err
	}
	return s.back(w, r, areaURL(r), note{Text: fmt.Sprintf("The target of %s is approved: %s, %s. It stays until you approve another.", t.Area, t.Words, t.Target.Hex)})
}

// choose records what an area is made with.
func (s *Server) choose(w http.ResponseWriter, r *http.Request) error {
	bench, _, err := s.seen(r)
	if err != nil {
		return err
	}
	area := r.PathValue("area")
	layers, err := layersOf(r)
	if err != nil {
		return err
	}
	if len(layers) == 0 {
		if layers, err = bench.Accept(r.Context(), area); err != nil {
			return err
		}
	} else if err := bench.Choose(r.Context(), area, layers); err != nil {
		return err
	}
	n := note{Text: area + " is made with " + finish.LayersText(layers) + ". The plan is computed again."}
	if old := strings.TrimSpace(r.FormValue("before")); old != "" {
		job, err := bench.Job(r.Context())
		if err != nil {
			return err
		}
		n.Undo = &undo{Action: areaURL(r) + "/choice", Label: "Put back " + old, Fields: [][2]string{{"version", strconv.FormatInt(job.Version, 10)}, {"layers", old}}}
	}
	return s.back(w, r, areaURL(r), n)
}

// layersOf reads layers from the ground up: one field "W3:1 W1:3", or rows of
// a code and a number of coats.
func layersOf(r *http.Request) ([]garment.Layer, error) {
	text := strings.Join(strings.FieldsFunc(r.FormValue("layers"), func(c rune) bool { return c == ' ' || c == ',' || c == ';' }), ",")
	codes, coats := r.Form["code"], r.Form["coats"]
	for i, code := range codes {
		code = strings.TrimSpace(code)
		if code == "" || i >= len(coats) {
			continue
		}
		if text != "" {
			text += ","
		}
		text += code
		if n := strings.TrimSpace(coats[i]); n != "" {
			text += ":" + n
		}
	}
	return garment.ParseLayers(text, ",")
}

// saveRecipe keeps a mixture as a numbered recipe.
func (s *Server) saveRecipe(w http.ResponseWriter, r *http.Request) error {
	bench, _, err := s.seen(r)
	if err != nil {
		return err
	}
	a, err := bench.SaveRecipe(r.Context(), finish.RecipeEntry{
		Name: r.FormValue("name"), Parts: r.FormValue("parts"), Coats: r.FormValue("layers"), Ground: r.FormValue("ground"), Area: r.PathValue("area"),
		Target: r.FormValue("target"),
	})
	if err != nil {
		return err
	}
	return s.back(w, r, areaURL(r), note{Text: fmt.Sprintf("Kept as recipe %d: %s. Mix a little, paint it out, and measure it before you mix the whole.", a.Number, a.Name)})
}
