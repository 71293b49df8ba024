package rub

import (
	"slices"
	"strings"

	"undercoat/finish/garment"
	"undercoat/inventory"
	"undercoat/palette/colour"
)

// surface is what an area shows to its neighbour: its outermost article that
// carries colour, the ground where that shows too, and everything below that
// could come through.
type surface struct {
	area     string
	look     string            // areas of one look go into one bag
	outer    inventory.Article // the coat, cloth or trim that touches; zero where not yet chosen
	under    []string          // codes below it
	ground   inventory.Cloth   // zero where it is no cloth
	bare     bool              // the ground shows beside the paint
	open     bool              // it is to be painted or dyed, and with what is not chosen
	shown    []colour.Lab      // the colours it shows, its own first
	vinyl    inventory.Article // the article that carries a plasticiser; zero where none
	describe string
}

// mostlyPainted is the share of an area's faces from which its ground counts as
// covered; seams and hems take the rest. Judgement.
const mostlyPainted = 0.7

// surfaceOf finds what touches in an area: the maker's choice, else the
// cloth the area is cut from. A sealer is not taken as the colour under it.
func surfaceOf(job garment.Job, stock inventory.Stock, code string) surface {
	a, ok := job.Area(code)
	if !ok {
		return surface{area: code, describe: code}
	}
	s := surface{area: code, look: a.Look, describe: strings.TrimSpace(code + " " + a.Piece)}
	s.ground, _ = stock.Cloth(a.Ground)
	layers, _ := job.ChoiceFor(code)
	codes := []string{}
	if a.Ground != "" {
		codes = append(codes, a.Ground)
	}
	for _, l := range layers {
		codes = append(codes, l.Code)
	}
	for i, c := range slices.Backward(codes) {
		art, known := stock.Article(c)
		if !known || art.Kind == inventory.KindSealer || art.Kind == inventory.KindTreatment || (i > 0 && IsMetal(art)) {
			continue // clear, washed out, or set into what colours the area
		}
		s.outer, s.under = art, codes[:i]
		s.describe = code + " " + art.Name
		break
	}
	s.open = len(layers) == 0 && (a.Method == garment.ByPaint || a.Method == garment.ByDye)
	if i := slices.IndexFunc(codes, func(c string) bool { art, ok := stock.Article(c); return ok && hasPlasticiser(art) }); i >= 0 {
		s.vinyl, _ = stock.Article(codes[i])
	}
	s.bare = a.Method == garment.ByPaint && s.ground.Code != "" && float64(a.Painted) < mostlyPainted*float64(a.Cloth)*float64(max(a.Sides, 1))
	s.shown = shownBy(a, s)
	return s
}

// shownBy lists the colours an area shows: the agreed target, else the
// article's; and its ground where that shows beside the paint.
func shownBy(a garment.Area, s surface) []colour.Lab {
	var labs []colour.Lab
	if a.Target.Known() {
		labs = append(labs, a.Target.Colour.Lab())
	} else if c, ok := s.outer.Colour.Get(); ok {
		labs = append(labs, c.Lab())
	}
	if c, ok := s.ground.Colour.Get(); ok && s.bare {
		labs = append(labs, c.Lab())
	}
	return labs
}

// inside is the surface's other face: the cloth it is made of, without paint.
func (s surface) inside() surface {
	if s.ground.Code == "" {
		return s
	}
	in := surface{area: s.area, look: s.look, outer: s.ground.Article, ground: s.ground, describe: s.area + " " + s.ground.Name}
	if hasPlasticiser(in.outer) {
		in.vinyl = in.outer
	}
	if c, ok := in.outer.Colour.Get(); ok {
		in.shown = []colour.Lab{c.Lab()}
	}
	return in
}

func (s surface) coloured() bool { return len(s.shown) > 0 }

// lightest and darkest are the ends of what the surface shows, L*.
func (s surface) lightest() float64 {
	l := 0.0
	for _, c := range s.shown {
		l = max(l, c.L)
	}
	return l
}

func (s surface) darkest() float64 {
	l := 100.0
	for _, c := range s.shown {
		l = min(l, c.L)
	}
	return l
}

// hasPlasticiser reports whether an article's words name a softened vinyl.
func hasPlasticiser(a inventory.Article) bool {
	words := strings.ToLower(strings.Join(append([]string{a.Medium, a.Name, a.Note}, a.Contains...), " "))
	return strings.Contains(words, "plasticis") && !strings.Contains(words, "plasticiser-free") && !strings.Contains(words, "for flexible plastics")
}

// source is one article of a surface that can give something off.
type source struct {
	area     string
	article  inventory.Article
	codes    []string // what a test's subject may name for it, the nearest first
	describe string
}

// Colours above this L* and below this chroma leave no stain to speak of.
const (
	paleL = 85
	paleC = 20
)

// sources lists what of a surface can give off colour or softener: the article
// that touches, and its ground where that shows and is not pale.
func (s surface) sources() []source {
	codes := append([]string{s.outer.Code, s.area}, s.under...)
	if s.outer.Code == "" {
		codes = append([]string{s.area}, s.under...)
	}
	list := []source{{s.area, s.outer, codes, s.describe}}
	if c, ok := s.ground.Colour.Get(); ok && s.bare && s.ground.Code != s.outer.Code && !pale(c.Lab()) {
		list = append(list, source{s.area, s.ground.Article, []string{s.ground.Code}, s.area + " " + s.ground.Name})
	}
	return list
}

func pale(l colour.Lab) bool { return l.L > paleL && l.LCh().C < paleC }
