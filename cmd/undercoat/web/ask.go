package web

import (
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"undercoat/finish"
	"undercoat/finish/garment"
	"undercoat/inventory"
)

// askBody is what the shelf can do for any colour.
type askBody struct {
	finish.MatchAnswer
	Colour, Ground string
	Parts, Top     int
	Layers         bool
	Lines          []matchLine
	Lights         string
	Currency       string
}

// ask looks on the shelf for a colour that belongs to no area.
func (s *Server) ask(w http.ResponseWriter, r *http.Request) error {
	b, f, err := s.open(w, r)
	if err != nil {
		return err
	}
	body := askBody{
		Colour: strings.TrimSpace(r.FormValue("colour")), Ground: strings.TrimSpace(r.FormValue("ground")), Parts: clamp(r.FormValue("parts"), 0, 3), Top: clamp(r.FormValue("top"), 8, 60),
		Layers: r.FormValue("layers") != "", Lights: strings.TrimSpace(r.FormValue("lights")), Currency: b.Plan.Currency,
	}
	if body.Colour != "" {
		q := finish.MatchRequest{Ground: body.Ground, Parts: body.Parts, Layers: body.Layers, Top: body.Top, Lights: strings.FieldsFunc(body.Lights, func(c rune) bool { return c == ',' || c == ';' })}
		if q.Colour, err = s.bench.Colour(r.Context(), body.Colour); err != nil {
			return err
		}
		if body.MatchAnswer, err = s.search(w, r, b.Job.Name, "any "+r.URL.RawQuery, q); err != nil {
			return err
		}
		lights := []string{}
		for _, m := range body.Matches {
			for n := range m.ByLight {
				if !slices.Contains(lights, n) {
					lights = append(lights, n)
				}
			}
		}
		slices.Sort(lights)
		for _, m := range body.Matches {
			body.Lines = append(body.Lines, newMatchLine(m, body.MatchAnswer, string(garment.ByPaint), lights))
		}
	}
	f.Title, f.Here, f.Body = "What the shelf can do for a colour", "shelf", body
	return s.ok(w, r, "ask", f)
}

// airBody is the vapour of a product in a room.
type airBody struct {
	Form   url.Values
	Answer *finish.AirAnswer
	Try    []string
	Why    string
	Shelf  []finish.StockLine
}

// Of is what a field was filled in with.
func (b airBody) Of(field string) string { return b.Form.Get(field) }

func (s *Server) air(w http.ResponseWriter, r *http.Request) error {
	b, f, err := s.open(w, r)
	if err != nil {
		return err
	}
	bench := s.desk.Bench(b.Job.Name)
	body := airBody{Form: r.Form}
	for _, k := range []string{"paint", "sealer", "treatment", "dye"} {
		lines, err := bench.Stock(r.Context(), finish.StockFilter{Kinds: []string{k}, Top: 300})
		if err != nil {
			return err
		}
		body.Shelf = append(body.Shelf, lines...)
	}
	if r.FormValue("product") != "" && r.FormValue("amount") != "" {
		q, err := airRequest(r)
		if err != nil {
			return err
		}
		a, err := bench.Air(r.Context(), q)
		var hinted *finish.Hinted
		switch {
		case errors.As(err, &hinted):
			body.Why = err.Error()
		case err != nil:
			return err
		default:
			body.Answer = &a
		}
	}
	f.Title, f.Here, f.Body = "Air in the room", "shelf", body
	return s.ok(w, r, "air", f)
}

func airRequest(r *http.Request) (finish.AirRequest, error) {
	v := func(k string) string { return strings.TrimSpace(r.FormValue(k)) }
	q := finish.AirRequest{Product: v("product"), Amount: v("amount"), Space: v("room"), Over: v("over"), Changes: -1}
	for _, n := range []struct {
		field string
		into  *float64
	}{{"changes", &q.Changes}, {"mixing", &q.Mixing}, {"density", &q.Density}} {
		if v(n.field) == "" {
			continue
		}
		x, err := strconv.ParseFloat(v(n.field), 64)
		if err != nil || x < 0 || x > 1e6 {
			return q, errForm(n.field, v(n.field), "a number of 0 or more")
		}
		*n.into = x
	}
	split := func(s string) (list []string) {
		for _, p := range strings.Split(s, ";") {
			if p = strings.TrimSpace(p); p != "" {
				list = append(list, p)
			}
		}
		return list
	}
	q.Contains, q.Limits = split(v("contains")), split(v("limits"))
	return q, nil
}

// cautionsBody is all there is to mind, with the rules behind it.
type cautionsBody struct {
	finish.BoardAnswer
	Rules []finish.RuleAnswer
}

func (s *Server) cautions(w http.ResponseWriter, r *http.Request) error {
	b, f, err := s.open(w, r)
	if err != nil {
		return err
	}
	f.Title, f.Body = "Cautions", cautionsBody{BoardAnswer: b, Rules: finish.CautionRules()}
	return s.ok(w, r, "cautions", f)
}

// recipesBody is the numbered recipes.
type recipesBody struct {
	Recipes []finish.RecipeAnswer
	Area    string
}

func (s *Server) recipes(w http.ResponseWriter, r *http.Request) error {
	b, f, err := s.open(w, r)
	if err != nil {
		return err
	}
	list, err := s.desk.Bench(b.Job.Name).Recipes(r.Context())
	if err != nil {
		return err
	}
	body := recipesBody{Recipes: list}
	if f.From != nil {
		body.Area = f.From.Code
	}
	f.Title, f.Here, f.Body = "Recipes", "shelf", body
	return s.ok(w, r, "recipes", f)
}

// addRecipe keeps a mixture or a stack under the next number.
func (s *Server) addRecipe(w http.ResponseWriter, r *http.Request) error {
	v := func(k string) string { return strings.TrimSpace(r.FormValue(k)) }
	if v("name") == "" {
		return errForm("name", "", "a name for the recipe")
	}
	if v("parts") == "" && v("coats") == "" {
		return errForm("parts", "", "parts by mass like T1:5,W1:3, or coats like W3:1,W1:3")
	}
	a, err := s.desk.Bench(r.PathValue("job")).SaveRecipe(r.Context(), finish.RecipeEntry{
		Name: v("name"), Parts: v("parts"), Coats: v("coats"), Ground: v("ground"), Area: v("area"), Target: v("target"), Note: v("note"),
	})
	if err != nil {
		return err
	}
	return s.back(w, r, backTo(r, "recipe/"+strconv.FormatInt(a.Number, 10)), note{Text: "Kept under number " + strconv.FormatInt(a.Number, 10) + ". A recipe is never changed: a correction is a new one."})
}

// recipeBody is one recipe, scaled to an amount, and what to add to a batch that
// came out off.
type recipeBody struct {
	finish.RecipeAnswer
	Amount, Seen string
	Add          string // codes that may be added
	Scale        string // the amount it is weighed in for
	Batch        int64
	Correct      *finish.CorrectAnswer
}

// numberOf reads the number of a recipe; what is none is a page that is not there.
func numberOf(r *http.Request) (int64, error) {
	n, err := strconv.ParseInt(r.PathValue("number"), 10, 64)
	if err != nil {
		return 0, errNoPage
	}
	return n, nil
}

func (s *Server) recipe(w http.ResponseWriter, r *http.Request) error {
	b, f, err := s.open(w, r)
	if err != nil {
		return err
	}
	n, err := numberOf(r)
	if err != nil {
		return err
	}
	body := recipeBody{Amount: strings.TrimSpace(r.FormValue("amount"))}
	if body.Scale = body.Amount; body.Scale == "" {
		body.Scale = "100 g"
	}
	if body.RecipeAnswer, err = s.desk.Bench(b.Job.Name).Recipe(r.Context(), n, body.Scale); err != nil {
		if errors.Is(err, inventory.ErrNotFound) {
			return errNoPage
		}
		return err
	}
	if body.Seen = strings.TrimSpace(r.FormValue("seen")); body.Seen != "" {
		q, err := s.correction(r, n)
		if err != nil {
			return err
		}
		a, err := s.desk.Bench(b.Job.Name).Correct(r.Context(), q)
		if err != nil {
			return err
		}
		body.Correct, body.Batch, body.Add = &a, q.Batch, strings.Join(q.Add, ", ")
	}
	f.Title, f.Here, f.Body = "Recipe "+strconv.FormatInt(n, 10), "shelf", body
	return s.ok(w, r, "recipe", f)
}

// mixBatch records one mixing of a recipe.
func (s *Server) mixBatch(w http.ResponseWriter, r *http.Request) error {
	n, err := numberOf(r)
	if err != nil {
		return err
	}
	v := func(k string) string { return strings.TrimSpace(r.FormValue(k)) }
	if _, err := s.desk.Bench(r.PathValue("job")).MixBatch(r.Context(), n, v("amount"), v("place"), v("note")); err != nil {
		return err
	}
	return s.back(w, r, backTo(r, "recipe/"+r.PathValue("number")), note{Text: "Mixed " + v("amount") + "; what was counted by mass is taken off the shelf."})
}

// correction is the question what to add to a batch.
func (s *Server) correction(r *http.Request, recipe int64) (q finish.CorrectRequest, err error) {
	q = finish.CorrectRequest{Recipe: recipe, Amount: strings.TrimSpace(r.FormValue("amount")), Batch: int64(clamp(r.FormValue("batch"), 0, 1<<30))}
	q.Add = strings.FieldsFunc(r.FormValue("add"), func(c rune) bool { return c == ',' || c == ';' || c == ' ' })
	q.Seen, err = s.bench.Colour(r.Context(), strings.TrimSpace(r.FormValue("seen")))
	return q, err
}

// keepCorrection records a corrected batch and its recipe.
func (s *Server) keepCorrection(w http.ResponseWriter, r *http.Request) error {
	n, err := numberOf(r)
	if err != nil {
		return err
	}
	q, err := s.correction(r, n)
	if err != nil {
		return err
	}
	q.Keep = true
	a, err := s.desk.Bench(r.PathValue("job")).Correct(r.Context(), q)
	if err != nil {
		return err
	}
	to := r.PathValue("number")
	if a.Kept != nil {
		to = strconv.FormatInt(a.Kept.Number, 10)
	}
	return s.back(w, r, backTo(r, "recipe/"+to), note{Text: "The corrected recipe is number " + to + "; the old one stays as it was."})
}

// useBatch records that some of a batch was used.
func (s *Server) useBatch(w http.ResponseWriter, r *http.Request) error {
	v := func(k string) string { return strings.TrimSpace(r.FormValue(k)) }
	batch, err := strconv.ParseInt(v("batch"), 10, 64)
	if err != nil {
		return errForm("batch", v("batch"), "the number of a pot")
	}
	a, err := s.desk.Bench(r.PathValue("job")).UseBatch(r.Context(), batch, v("amount"), v("step"), v("note"))
	if err != nil {
		return err
	}
	return s.back(w, r, backTo(r, "recipe/"+strconv.FormatInt(a.Number, 10)), note{Text: v("amount") + " of pot " + v("batch") + " used."})
}
