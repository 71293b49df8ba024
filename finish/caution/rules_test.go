package caution

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"undercoat/finish/garment"
	"undercoat/finish/plan"
	"undercoat/finish/rub"
	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// reference opens a table of the shared reference figures, which lie beside
// the repository; it skips where they are absent.
func reference(t *testing.T, name string) []map[string]string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("..", "..", "..", "shared", "reference", "safety", name))
	if err != nil {
		t.Skipf("reference figures are not beside the repository: %v", err)
	}
	r := csv.NewReader(strings.NewReader(string(b)))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, row := range rows[1:] {
		m := map[string]string{}
		for i, h := range rows[0] {
			m[h] = row[i]
		}
		out = append(out, m)
	}
	return out
}

// bench is a small job by hand; what is expected of it follows from the texts
// and sources beside the rules. Products and cloths are invented.
type bench struct {
	paints []inventory.Paint
	dyes   []inventory.Dye
	cloths []inventory.Cloth
	trims  []inventory.Trim
	in     Input
}

func newBench() *bench {
	b := &bench{}
	b.in.Job.Room.Volume = unit.State(unit.Space(26))
	b.in.Job.Hours = plan.UsualHours()
	return b
}

// paint lays a product on area A1.
func (b *bench) paint(p inventory.Paint) *bench {
	if p.Code == "" {
		p.Code = "P"
	}
	if p.Kind == "" {
		p.Kind = inventory.KindPaint
	}
	b.paints = append(b.paints, p)
	b.area(plan.Area{Code: "A1", Method: garment.ByPaint, Layers: []plan.Layer{{Code: p.Code, Role: plan.RoleTop, Coats: 1, Volume: 100}}})
	b.in.Plan.Steps = append(b.in.Plan.Steps, plan.Step{ID: "A1-" + p.Code, Area: "A1", Verb: plan.VerbCoat, Code: p.Code, Volume: 100})
	return b
}

func (b *bench) area(a plan.Area) *bench {
	b.in.Plan.Areas = append(b.in.Plan.Areas, a)
	b.in.Job.Areas = append(b.in.Job.Areas, garment.Area{Code: a.Code, Method: a.Method})
	return b
}

func (b *bench) on(ground inventory.Cloth) *bench {
	ground.Code, ground.Kind = "G", inventory.KindCloth
	b.cloths = append(b.cloths, ground)
	b.in.Plan.Areas[0].Ground = "G"
	return b
}

func (b *bench) skin() *bench {
	b.in.Job.Areas[0].Skin = true
	return b
}

func (b *bench) do(change func(*Input)) *bench {
	change(&b.in)
	return b
}

func (b *bench) check(t *testing.T) []Caution {
	t.Helper()
	var err error
	if b.in.Stock, err = inventory.NewStock(b.paints, b.dyes, b.cloths, b.trims); err != nil {
		t.Fatal(err)
	}
	return Check(b.in)
}

func article(name string, contains ...string) inventory.Article {
	return inventory.Article{Name: name, Contains: contains}
}

func solventBorne(contains ...string) inventory.Paint {
	return inventory.Paint{Article: article("gold paste", contains...), Base: "solvent", VOC: unit.State(480.0)}
}

func evening(h, m int) time.Time { return time.Date(2026, 10, 30, h, m, 0, 0, time.UTC) }

// cases holds, for every rule, a job it must speak up in, and the weight and
// words it must speak with.
func cases(t *testing.T) map[string]struct {
	bench   *bench
	weight  Weight
	subject string
	says    string
} {
	type c = struct {
		bench   *bench
		weight  Weight
		subject string
		says    string
	}
	grey, err := colour.Parse("#2C7C82")
	if err != nil {
		t.Fatal(err)
	}
	nickelStud := inventory.Trim{Article: inventory.Article{Code: "H", Name: "domed stud", Kind: inventory.KindTrim, Medium: "metal"}}
	return map[string]c{
		"defer":      {newBench(), Note, "job", "licensed practice"},
		"hours":      {newBench().do(func(in *Input) { in.Job.Hours, in.Plan.Steps = nil, []plan.Step{{ID: "A1-cut"}} }), Care, "job", "every day from 9:00 to 21:00"},
		"hazard":     {newBench().paint(inventory.Paint{Article: inventory.Article{Name: "dye", Hazards: []string{"H334"}}}), Stop, "P", "May cause allergy or asthma symptoms"},
		"sheets":     {newBench().paint(inventory.Paint{Article: article("teal")}), Note, "job", "section 2"},
		"solvent":    {newBench().paint(solventBorne("mineral spirits")), Stop, "P", "outdoors only"},
		"ignition":   {newBench().paint(solventBorne("acetone")), Care, "P", "flash point of -20"},
		"spraying":   {newBench().paint(inventory.Paint{Article: article("clear aerosol"), Base: "solvent"}), Stop, "P", "solvent spray"},
		"respirator": {newBench().paint(solventBorne("ethanol")).do(func(in *Input) { in.Job.Room.Mask = "particle" }), Note, "room", "not vapour"},
		"powder":     {newBench().paint(inventory.Paint{Article: article("bronze powder")}), Care, "P", "wet it before stirring"},
		"children":   {newBench().paint(inventory.Paint{Article: inventory.Article{Name: "thinner", Hazards: []string{"H361d"}}}), Stop, "room", "pregnant"},
		"night": {newBench().paint(solventBorne("ethanol")).do(func(in *Input) {
			in.Plan.Steps[0].Start, in.Plan.Steps[0].End = evening(20, 0), evening(21, 0)
			in.Plan.Steps[0].Dries = unit.State(plan.Drying{Touch: evening(22, 30)})
		}), Care, "room", "nobody sleeps"},
		"air":         {newBench().paint(inventory.Paint{Article: article("white"), Base: "water", VOC: unit.State(40.0)}), Stop, "room", "run the fan"},
		"sensitivity": {newBench().paint(inventory.Paint{Article: article("white base", "natural latex")}).do(reacts("latex")), Stop, "P3", "take another product"},
		"nickel": {func() *bench {
			b := newBench().area(plan.Area{Code: "A1", Layers: []plan.Layer{{Code: "H", Role: plan.RoleTrim}}}).skin()
			b.trims = append(b.trims, nickelStud)
			return b
		}(), Stop, "A1", "0.5 µg/cm²"},
		"skin":    {newBench().paint(inventory.Paint{Article: article("teal")}).skin(), Note, "A1", "lining between"},
		"uncured": {newBench().paint(inventory.Paint{Article: article("teal")}).skin().do(func(in *Input) { in.Plan.Areas[0].Cured = unit.State(evening(9, 0)) }), Care, "A1", "no fitting before"},
		"contact": {newBench().do(func(in *Input) {
			in.Verdicts = []rub.Verdict{{Contact: garment.Contact{Code: "N1", Rubbing: garment.RubHigh}, Word: rub.KeepApart}}
		}), Stop, "N1", "keep apart"},
		"packing": {newBench().do(func(in *Input) {
			in.Apart = []rub.Apart{{Area: "A6", From: []string{"A2"}, Softens: true, Because: "vinyl"}}
		}), Care, "A6", "bag of its own"},
		"heat":         {newBench().paint(inventory.Paint{Article: article("stone")}).on(inventory.Cloth{Article: article("soft vinyl")}), Care, "A1", "hydrogen chloride"},
		"migration":    {newBench().paint(inventory.Paint{Article: article("white")}).on(inventory.Cloth{Article: article("canvas"), Fibre: "polyester", DyeClass: "disperse"}), Care, "A1", "no heat test of it is on record"},
		"formaldehyde": {newBench().paint(inventory.Paint{Article: article("white")}).do(heatSet(150)), Care, "room", "formaldehyde"},
		"flame":        {newBench().paint(inventory.Paint{Article: article("white")}).on(inventory.Cloth{Article: article("ink velveteen"), Fibre: "cotton"}), Note, "A1", "candles"},
		"fixer": {newBench().paint(inventory.Paint{Article: article("white")}).do(func(in *Input) {
			in.Plan.Areas[0].Setting = plan.Setting{Way: plan.SetByFixer, Fixer: "X", Pot: 8 * time.Hour}
		}), Care, "A1", "within 8 h"},
		"fluorescent": {newBench().paint(inventory.Paint{Article: article("coral")}).do(func(in *Input) { in.Plan.Areas[0].Layers[0].Role = plan.RoleFluorescent }), Note, "A1", "brighter than a screen"},
		"brightener": {newBench().paint(inventory.Paint{Article: article("white")}).on(inventory.Cloth{Article: article("white drill", "optical brightener")}).do(func(in *Input) {
			in.Job.Lights = []garment.Light{{Name: "bars", UV: true}}
		}), Note, "A1", "glows blue-white"},
		"together": {newBench().area(plan.Area{Code: "A1", Method: garment.ByPaint, Target: garment.Target{Colour: grey}}).area(plan.Area{Code: "A2", Method: garment.ByDye, Target: garment.Target{Colour: grey}}), Note, "A2", "side by side"},
		"angle":    {newBench().paint(inventory.Paint{Article: article("white")}).on(inventory.Cloth{Article: article("velveteen")}), Note, "A1", "one direction"},
		"margin": {newBench().do(func(in *Input) {
			in.Plan.Shopping = []plan.Purchase{{Code: "S1", Name: "sealer", Unit: "ml", OnHand: 400, Margin: 12, Thin: true}}
		}), Note, "S1", "12 of 400 ml"},
		"cloth": {newBench().do(func(in *Input) {
			in.Plan.Cloth = []plan.ClothNeed{{Code: "C1", Short: unit.Quantity{Amount: 0.2, Unit: "m"}, Reserve: 0.08, Wanted: 0.10}}
		}), Care, "C1", "before the first cut"},
		"room": {newBench().do(func(in *Input) { in.Plan.Drying.Unfit = []string{"too damp"} }), Care, "room", "too damp"},
	}
}

func reacts(to string) func(*Input) {
	return func(in *Input) {
		in.Job.Wearers = []garment.Wearer{{Code: "P3", Name: "Third", Sensitivities: []string{to}}}
	}
}

func heatSet(c float64) func(*Input) {
	return func(in *Input) { in.Plan.Areas[0].Setting = plan.Setting{Way: plan.SetByHeat, HeatC: c} }
}

// Every rule has a word, a sentence, a source, and a job in which it speaks up;
// only the rule of product rows is tested by its rows.
func TestEveryRuleSpeaksAndHasASource(t *testing.T) {
	all := cases(t)
	for _, r := range Rules() {
		if r.Word == "" || r.Looks == "" || r.Source == "" {
			t.Errorf("rule %q: looks at %q, source %q", r.Word, r.Looks, r.Source)
		}
		c, ok := all[r.Word]
		if !ok {
			if r.Word != "product" {
				t.Errorf("rule %q has no case", r.Word)
			}
			continue
		}
		delete(all, r.Word)
		found := c.bench.check(t)
		i := slices.IndexFunc(found, func(f Caution) bool {
			return f.Rule == r.Word && f.Subject == c.subject && strings.Contains(f.Text, c.says)
		})
		if i < 0 {
			t.Errorf("rule %q says nothing of %s with %q:\n%+v", r.Word, c.subject, c.says, found)
			continue
		}
		if found[i].Weight != c.weight || found[i].Source == "" {
			t.Errorf("rule %q: weight %s, want %s; source %q", r.Word, found[i].Weight, c.weight, found[i].Source)
		}
	}
	for word := range all {
		t.Errorf("case %q belongs to no rule", word)
	}
	for _, r := range ProductRules() {
		if r.Word == "" || r.Looks == "" || r.Source == "" {
			t.Errorf("product rule %q: looks at %q, source %q", r.Word, r.Looks, r.Source)
		}
	}
}

// An empty plan is told only what is always told.
func TestNothingIsSaidOfNothing(t *testing.T) {
	if found := newBench().check(t); len(found) != 1 || found[0].Rule != "defer" {
		t.Errorf("%+v", found)
	}
}

// Every row of the table of products fires by each of its words, not by a word
// within another, and not where the word against stands.
func TestProductRows(t *testing.T) {
	fires := func(word string, p inventory.Paint) bool {
		return slices.ContainsFunc(newBench().paint(p).check(t), func(c Caution) bool { return c.Rule == word && c.Source != "" && !strings.Contains(c.Text, "{") })
	}
	for _, r := range productRules() {
		for _, w := range r.words {
			w = strings.TrimSuffix(w, "*")
			if !fires(r.word, inventory.Paint{Article: article("product", w)}) {
				t.Errorf("%s: %q says nothing", r.word, w)
			}
			if fires(r.word, inventory.Paint{Article: article("product", "x"+w)}) {
				t.Errorf("%s: fires on %q", r.word, "x"+w)
			}
		}
		for _, w := range r.against {
			if fires(r.word, inventory.Paint{Article: inventory.Article{Name: "product", Note: strings.TrimSuffix(w, "*")}}) {
				t.Errorf("%s: fires on %q", r.word, w)
			}
		}
		for _, h := range r.hazards {
			if !fires(r.word, inventory.Paint{Article: inventory.Article{Name: "product", Hazards: []string{h}}}) {
				t.Errorf("%s: %s says nothing", r.word, h)
			}
		}
	}
	for rule, harmless := range map[string]string{"benzene": "ethylbenzene", "heavy metal": "lead-free glaze", "latex": "latex free", "isocyanate": "isocyanate-free", "resin fumes": "polystyrene"} {
		if fires(rule, inventory.Paint{Article: article("product", harmless)}) {
			t.Errorf("%s fires on %q", rule, harmless)
		}
	}
}

// What a wearer reacts to is found in contents and fibres, and not where it is
// declared absent.
func TestSensitivitiesReadContentsAndFibres(t *testing.T) {
	stopped := func(b *bench) bool {
		return slices.ContainsFunc(b.check(t), func(c Caution) bool { return c.Rule == "sensitivity" })
	}
	for name, c := range map[string]struct {
		bench *bench
		want  bool
	}{
		"latex free":           {newBench().paint(inventory.Paint{Article: article("base", "latex free")}).do(reacts("latex")), false},
		"note says free":       {newBench().paint(inventory.Paint{Article: inventory.Article{Name: "base", Contains: []string{"latex"}, Note: "latex free"}}).do(reacts("latex")), false},
		"wool in the ground":   {newBench().paint(inventory.Paint{Article: article("teal")}).on(inventory.Cloth{Article: article("suiting"), Fibre: "wool-polyamide 80/20"}).do(reacts("wool")), true},
		"something else":       {newBench().paint(inventory.Paint{Article: article("teal", "acrylic binder")}).do(reacts("latex")), false},
		"declared nickel free": {newBench().paint(inventory.Paint{Article: article("teal", "nickel free")}).do(reacts("nickel")), false},
	} {
		if got := stopped(c.bench); got != c.want {
			t.Errorf("%s: stopped %v, want %v", name, got, c.want)
		}
	}
}

// Heat is stopped above what a blend's most delicate fibre takes, and told at
// the limit of the label.
func TestHeatLimits(t *testing.T) {
	weight := func(b *bench) Weight {
		w := Weight(-1)
		for _, c := range b.check(t) {
			if c.Rule == "heat" {
				w = max(w, c.Weight)
			}
		}
		return w
	}
	set := func(c float64, ground inventory.Cloth) *bench {
		return newBench().paint(inventory.Paint{Article: article("white")}).on(ground).do(heatSet(c))
	}
	blend := inventory.Cloth{Article: article("jersey"), Fibre: "cotton-elastane 92/8"}
	if got := weight(set(150, blend)); got != Stop {
		t.Errorf("150 °C on cotton with elastane: %s", got)
	}
	if got := weight(set(105, blend)); got != -1 {
		t.Errorf("105 °C on cotton with elastane: %s", got)
	}
	blend.IronMax = unit.State(150.0)
	if got := weight(set(150, blend)); got != Care {
		t.Errorf("150 °C at a label's limit of 150 °C: %s", got)
	}
}

// A solvent that is still wet when something is heat set stops the plan.
func TestSolventBesideHeat(t *testing.T) {
	b := newBench().paint(solventBorne("ethanol")).do(func(in *Input) {
		in.Plan.Steps[0].Start, in.Plan.Steps[0].End = evening(10, 0), evening(10, 30)
		in.Plan.Steps[0].Dries = unit.State(plan.Drying{Touch: evening(12, 0)})
		in.Plan.Steps = append(in.Plan.Steps, plan.Step{Area: "A5", Verb: plan.VerbHeat, Start: evening(11, 0), End: evening(11, 20)})
	})
	stops := func() bool {
		return slices.ContainsFunc(b.check(t), func(c Caution) bool {
			return c.Rule == "ignition" && c.Weight == Stop && strings.Contains(c.Text, "A5")
		})
	}
	if !stops() {
		t.Error("an iron beside wet solvent is not stopped")
	}
	b.in.Plan.Steps[1].Start, b.in.Plan.Steps[1].End = evening(13, 0), evening(13, 20)
	if stops() {
		t.Error("an iron after the solvent has dried is stopped")
	}
}

// A little solvent in a well aired room asks for care; the same in a closed one,
// or with nothing known of it, is for outdoors.
func TestSolventWeighsByTheAir(t *testing.T) {
	weight := func(b *bench) Weight {
		for _, c := range b.check(t) {
			if c.Rule == "solvent" {
				return c.Weight
			}
		}
		return -1
	}
	ink := func(amount unit.Volume) *bench {
		b := newBench().paint(inventory.Paint{Article: article("ink", "ethanol"), Base: "solvent", VOC: unit.State(720.0)})
		b.in.Plan.Steps[0].Volume = amount
		b.in.Plan.Drying.Fan = true
		b.in.Job.Room.Fan = unit.State(300.0)
		return b
	}
	if got := weight(ink(18)); got != Care {
		t.Errorf("18 ml of ink with the fan on: %s", got)
	}
	if got := weight(ink(2000)); got != Stop {
		t.Errorf("2 l of ink: %s", got)
	}
	unknown := ink(18)
	unknown.paints[0].Contains = nil
	if got := weight(unknown); got != Stop {
		t.Errorf("18 ml of something unknown: %s", got)
	}
	masked := ink(2000)
	masked.in.Job.Room.Mask = "vapour"
	if got := weight(masked); got != Care {
		t.Errorf("2 l with a vapour mask: %s", got)
	}
}

// A dye powder in stock that the plan does not take is to be left closed.
func TestUnusedPowderStaysClosed(t *testing.T) {
	b := newBench()
	b.dyes = []inventory.Dye{{Article: inventory.Article{Code: "D1", Name: "ink blue", Kind: inventory.KindDye, Medium: "dye powder", Hazards: []string{"H334"}}}}
	if found := b.check(t); !slices.ContainsFunc(found, func(c Caution) bool { return c.Rule == "powder" && strings.Contains(c.Text, "leave it closed") }) {
		t.Errorf("%+v", found)
	}
}

// Nothing on screen promises anything.
func TestCautionsPromiseNothing(t *testing.T) {
	for name, c := range cases(t) {
		for _, f := range c.bench.check(t) {
			for _, word := range []string{" safe ", "safely", "guarantee", "perfect", "permanent"} {
				if strings.Contains(strings.ToLower(" "+f.Text+" "), word) {
					t.Errorf("%s: %q promises", name, f.Text)
				}
			}
		}
	}
}

// The embedded statements are the official ones: equal to the reference table,
// whose texts were read in two public lists each (GHS, Annex 3).
func TestHazardTextsAreOfficial(t *testing.T) {
	rows := reference(t, "ghs_h.csv")
	for _, m := range rows {
		if got, ok := HazardText(m["code"]); !ok || got != m["text"] || groupOf(m["code"]) != m["planner_group"] {
			t.Errorf("%s: %q (%s), the table says %q (%s)", m["code"], got, groupOf(m["code"]), m["text"], m["planner_group"])
		}
	}
	if len(statements()) != len(rows) {
		t.Errorf("%d statements embedded, %d in the table", len(statements()), len(rows))
	}
	for code, want := range map[string]string{
		"h360FD":    "May damage fertility or the unborn child",
		" H350i ":   "May cause cancer",
		"H300+H310": "Fatal if swallowed; Fatal in contact with skin",
	} {
		if got, ok := HazardText(code); !ok || got != want {
			t.Errorf("%q: %q", code, got)
		}
	}
	for _, code := range []string{"", "H999", "317", "H317+H999"} {
		if got, ok := HazardText(code); ok {
			t.Errorf("%q has a text: %q", code, got)
		}
	}
	for _, s := range stops {
		if _, ok := HazardText(s); !ok {
			t.Errorf("%s stops a plan and has no text", s)
		}
	}
}
