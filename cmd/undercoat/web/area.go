package web

import (
	"fmt"
	"net/http"
	"slices"
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
	b, f, err := s.open(w, r)
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

// approve freezes a target: what the pictures say, the one that stands, or a
// colour typed in.
func (s *Server) approve(w http.ResponseWriter, r *http.Request) error {
	version, err := seen(r.FormValue("version"))
	if err != nil {
		return err
	}
	as, err := s.approvedAs(r)
	if err != nil {
		return err
	}
	before, t, now, err := s.desk.Approve(r.Context(), r.PathValue("job"), version, r.PathValue("area"), as)
	if err != nil {
		return err
	}
	n := note{Text: fmt.Sprintf("The target of %s is approved: %s, %s. It stays until you approve another.", t.Area, t.Words, t.Target.Hex)}
	if before.Frozen && before.Target != nil && before.Target.Lab != t.Target.Lab {
		l := before.Target.Lab
		n.Undo = newUndo(now, areaURL(r)+"/target", "Approve "+before.Target.Hex+" again", [2]string{"which", "own"}, [2]string{"as", fmt.Sprintf("lab(%.2f %.2f %.2f)", l[0], l[1], l[2])})
	}
	return s.back(w, r, areaURL(r), n)
}

// approvedAs is the colour that a form approves; zero is the one that stands.
func (s *Server) approvedAs(r *http.Request) (inventory.Written, error) {
	text := strings.TrimSpace(r.FormValue("as"))
	switch r.FormValue("which") {
	case "table":
		return inventory.Written{}, nil
	case "pictures":
		text = strings.TrimSpace(r.FormValue("pictures"))
	}
	if text == "" {
		return inventory.Written{}, errForm("colour", text, "#rrggbb, lab(L a b) or a stock code")
	}
	if w, err := inventory.Write(text); err == nil {
		return w, nil
	}
	c, err := s.bench.Colour(r.Context(), text)
	if err != nil {
		return inventory.Written{}, err
	}
	l := c.Lab()
	return inventory.Write(fmt.Sprintf("lab(%.2f %.2f %.2f)", l.L, l.A, l.B))
}

// choose records what an area is made with.
func (s *Server) choose(w http.ResponseWriter, r *http.Request) error {
	version, err := seen(r.FormValue("version"))
	if err != nil {
		return err
	}
	area := r.PathValue("area")
	layers, err := layersOf(r)
	if err != nil {
		return err
	}
	if len(layers) == 0 {
		return errForm("layers", "", "products from the ground up, like W3:1 W1:3")
	}
	now, err := s.desk.Choose(r.Context(), r.PathValue("job"), version, area, layers)
	if err != nil {
		return err
	}
	n := note{Text: area + " is made with " + times(finish.LayersText(layers)) + ". The plan is computed again."}
	if old := strings.TrimSpace(r.FormValue("before")); old != "" {
		n.Undo = newUndo(now, areaURL(r)+"/choice", "Put back "+times(old), [2]string{"layers", old})
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
	a, err := s.desk.Bench(r.PathValue("job")).SaveRecipe(r.Context(), finish.RecipeEntry{
		Name: r.FormValue("name"), Parts: r.FormValue("parts"), Coats: r.FormValue("layers"), Ground: r.FormValue("ground"), Area: r.PathValue("area"),
		Target: r.FormValue("target"),
	})
	if err != nil {
		return err
	}
	return s.back(w, r, areaURL(r), note{Text: fmt.Sprintf("Kept as recipe %d: %s. Mix a little, paint it out, and measure it before you mix the whole.", a.Number, a.Name)})
}
