package rub

import (
	"fmt"
	"time"
)

// Evidence says how far to trust a figure.
type Evidence string

// From a printed source to what workrooms do.
const (
	Published  Evidence = "published"
	FromMemory Evidence = "from memory"
	Practice   Evidence = "common practice"
)

// Protocol is how one test is done: at home, with the standard's figures beside
// it.
type Protocol struct {
	How      string
	Question string // what it answers
	Standard string // the laboratory test it stands in for; "" none
	Need     []string
	Steps    []ProtocolStep
	Lies     time.Duration // from the work until it can be judged: drying, lying under its weight
	Accept   []Acceptance
}

// ProtocolStep is one thing to do. Standard is the laboratory's figure for the
// same thing, "" where it has none of its own.
type ProtocolStep struct {
	Home     string
	Standard string
	Evidence Evidence // of the standard's figure, or of the home one where it has none
}

// Acceptance is a grade that is commonly asked for, and how a person without a
// grey scale sees it.
type Acceptance struct {
	Of, Grade, Who, Looks string
}

// judging is how every staining is read; the last steps of each protocol.
var judging = []ProtocolStep{
	{"lay the cloth beside a clean piece of the same cloth, on white, in daylight from a north window or under a daylight lamp", "grey scale for staining, ISO 105-A03, 5 best to 1 worst", Published},
	{"photograph both in one picture without flash, clean cloth on both sides of the stain, not burnt out: `undercoat rub grade`; or judge by eye against `undercoat rub scale`", "ISO 105-A04 grades by instrument", Published},
	{"write down cloth, state, date: `undercoat rub add`", "", Practice},
}

// Protocols returns how the five tests are done.
//
// Sources: the figures of ISO 105-X12, E01, E04, C06 and their marks as in the
// workroom's reference tables of fastness tests and grades; hot pressing is
// after ISO 105-X11, from memory. The home versions are common practice; weights
// are computed from the standards' pressures.
func Protocols() []Protocol {
	return []Protocol{dryRub(), dampRub(), pressTest(), heatTest(), washTest()}
}

// ProtocolFor returns the protocol of one way.
func ProtocolFor(how string) (Protocol, error) {
	for _, p := range Protocols() {
		if p.How == how {
			return p, nil
		}
	}
	return Protocol{}, fmt.Errorf("find protocol: %q: expected dry rub, damp rub, press, heat or wash", how)
}

func rubbing() []ProtocolStep {
	return []ProtocolStep{
		{"stretch white cotton over the flat end of a 16 mm dowel (about a thumb's width); for pile use a block of 19 × 25 mm", "finger of 16 mm; 19 × 25.4 mm for pile", Published},
		{"press straight down as hard as a kitchen scale shows 0.9 kg; practise on the scale", "9 N", Published},
		{"ten strokes forth and back on one straight track of 10 cm, one second each", "104 mm track, 10 forth and 10 back, about one a second", Published},
	}
}

func dryRub() Protocol {
	return Protocol{
		How: DryRub, Question: "does colour come off by rubbing?", Standard: "ISO 105-X12",
		Need:   []string{"white unbrightened cotton, 5 × 5 cm", "a 16 mm dowel", "a kitchen scale"},
		Steps:  joined([]ProtocolStep{{"let cloth and cotton lie in the room for 4 h", "4 h at 21 °C and 65 % humidity (AATCC TM8)", Published}}, rubbing(), judging),
		Accept: []Acceptance{{"dry rub", "4", "eco-label; common orders", "a faint trace, seen only beside a clean cloth"}},
	}
}

func dampRub() Protocol {
	return Protocol{
		Lies: 2 * time.Hour,
		How:  DampRub, Question: "does colour come off by rubbing when damp: sweat, rain?", Standard: "ISO 105-X12",
		Need: []string{"white unbrightened cotton, 5 × 5 cm", "a 16 mm dowel", "a kitchen scale; a 0.1 g scale if there is one"},
		Steps: joined([]ProtocolStep{
			{"wet the cotton and blot it until it weighs twice its dry weight; the piece itself stays dry", "95 to 100 % take-up of water", FromMemory},
		}, rubbing(), []ProtocolStep{{"dry the cotton flat, away from heat, before judging", "", Practice}}, judging),
		Accept: []Acceptance{{"damp rub", "2-3, many ask 3", "eco-label; orders", "a clear tint, the cloth still mostly white"}, {"dark beside light with sweat", "4", "this workroom's rule", "a faint trace"}},
	}
}

func pressTest() Protocol {
	return Protocol{
		Lies: 48 * time.Hour, // the longest of its home version: vinyl and foam
		How:  Press, Question: "does colour or softener wander by lying together, damp and warm?", Standard: "ISO 105-E01 (water), ISO 105-E04 (perspiration)",
		Need: []string{"the piece, 4 × 10 cm", "two pieces of white cotton of that size", "two flat plates and 5 kg", "a plastic bag", "a warm place of about 37 °C"},
		Steps: joined([]ProtocolStep{
			{"soak the piece in water for 30 min and let it drip; leave vinyl and foam dry", "30 min in 50 times its weight of artificial sweat, pH 5.5 and 8.0 (E04)", Published},
			{"lay it between the two pieces of cotton, between plates, in the bag", "sandwich of 40 × 100 mm with a multifibre cloth", Published},
			{"put 5 kg on it and leave it overnight where it is warm; vinyl and foam 48 h or longer", "12.5 kPa, 4 h at 37 °C (E04)", Published},
			{"take it apart and dry the cotton flat; softener shows as a greasy or sticky touch, and may come only after weeks", "dry at most at 60 °C", Published},
		}, judging),
		Accept: []Acceptance{{"perspiration", "3-4", "eco-label", "a slight tint after damp contact"}, {"water", "3, many ask 3-4", "orders; from memory", "a slight tint"}},
	}
}

func heatTest() Protocol {
	return Protocol{
		Lies: 24 * time.Hour,
		How:  Heat, Question: "does dye climb through the paint, or off onto its neighbour, when it is hot?", Standard: "ISO 105-X11 (hot pressing)",
		Need: []string{"the real stack on a scrap: ground, base, paint", "white cotton or white paper", "the iron or press that will be used, at the temperature planned"},
		Steps: joined([]ProtocolStep{
			{"lay white cotton on the scrap and press it dry at the planned temperature for the planned time", "15 s at 110, 150 or 200 °C, about 4 kPa", FromMemory},
			{"look at the cotton and at the paint now", "at once, and after 4 h in room air", FromMemory},
			{"look again after a day: dye goes on climbing", "", Practice},
			{"judge the paint beside a patch of the same paint that stayed cold, as staining", "", Practice},
		}, judging),
		Accept: []Acceptance{{"heat", "4", "this workroom's rule", "a faint trace, seen only beside the cold patch"}},
	}
}

func washTest() Protocol {
	return Protocol{
		Lies: 12 * time.Hour,
		How:  Wash, Question: "does the piece change in the wash, and does it stain what is washed with it?", Standard: "ISO 105-C06, test A1S",
		Need: []string{"the piece, 10 × 4 cm, sewn along one edge to white cotton of that size", "a jar with a lid", "150 ml of water at 40 °C", "0.6 g of detergent without brightener or bleach", "ten clean glass marbles"},
		Steps: joined([]ProtocolStep{
			{"put everything into the jar at 40 °C and turn it for 30 min; keep it warm in a bowl of water", "40 °C, 30 min, 10 steel balls, 4 g/l of reference detergent", Published},
			{"rinse twice, part the two pieces but for their seam, dry them flat", "150 ml of liquor for 100 × 40 mm", FromMemory},
			{"judge the piece beside an unwashed one (change), and the cotton beside clean cotton (staining)", "grey scales ISO 105-A02 and A03", Published},
		}, judging[1:]),
		Accept: []Acceptance{{"washing", "3-4", "eco-label", "a slight tint on the white next to it"}},
	}
}

func joined(parts ...[]ProtocolStep) []ProtocolStep {
	var all []ProtocolStep
	for _, p := range parts {
		all = append(all, p...)
	}
	return all
}
