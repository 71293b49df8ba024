package rub

import (
	"slices"
	"strings"

	"undercoat/finish/garment"
	"undercoat/inventory"
	"undercoat/palette/colour"
)

// surface is what an area shows to its neighbour: its outermost article that
// carries colour, and everything below that could come through.
type surface struct {
	area     string
	outer    inventory.Article // the coat, cloth or trim that touches; zero where not yet chosen
	under    []string          // codes below it
	lab      colour.Lab
	colour   bool
	vinyl    bool // carries a plasticiser that wanders
	describe string
}

// surfaceOf finds what touches in an area: the maker's choice, else the
// cloth the area is cut from. A sealer is not taken as the colour under it.
func surfaceOf(job garment.Job, stock inventory.Stock, code string) surface {
	a, ok := job.Area(code)
	if !ok {
		return surface{area: code, describe: code}
	}
	s := surface{area: code, describe: code + " " + a.Piece}
	codes := []string{}
	if a.Ground != "" {
		codes = append(codes, a.Ground)
	}
	layers, _ := job.ChoiceFor(code)
	for _, l := range layers {
		codes = append(codes, l.Code)
	}
	for i, c := range slices.Backward(codes) {
		art, known := stock.Article(c)
		if !known || art.Kind == inventory.KindSealer {
			continue
		}
		s.outer, s.under = art, codes[:i]
		s.describe = code + " " + art.Name
		break
	}
	s.vinyl = slices.ContainsFunc(codes, func(c string) bool { art, ok := stock.Article(c); return ok && hasPlasticiser(art) })
	s.lab, s.colour = labOf(a, s.outer)
	return s
}

// labOf is the colour that is rubbed: the agreed target, else the article's.
func labOf(a garment.Area, outer inventory.Article) (colour.Lab, bool) {
	if a.Target.Known() {
		return a.Target.Colour.Lab(), true
	}
	if c, ok := outer.Colour.Get(); ok {
		return c.Lab(), true
	}
	return colour.Lab{}, false
}

// hasPlasticiser reports whether an article's words name a softened vinyl.
func hasPlasticiser(a inventory.Article) bool {
	words := strings.ToLower(strings.Join(append([]string{a.Medium, a.Name, a.Note}, a.Contains...), " "))
	return strings.Contains(words, "plasticis") && !strings.Contains(words, "plasticiser-free") && !strings.Contains(words, "for flexible plastics")
}

// codes are what a test's subject may name for this surface.
func (s surface) codes() []string {
	if s.outer.Code == "" {
		return append([]string{s.area}, s.under...)
	}
	return append([]string{s.outer.Code, s.area}, s.under...)
}
