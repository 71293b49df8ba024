package finish

import (
	"fmt"
	"html"
	"io"
	"strings"

	"undercoat/finish/rub"
)

// ProtocolAnswer is how one test is done. Its JSON is the `rub how` contract.
type ProtocolAnswer struct {
	How      string             `json:"how"`
	Question string             `json:"question"`
	Standard string             `json:"standard"`
	Need     []string           `json:"need"`
	Steps    []ProtocolStep     `json:"steps"`
	Accept   []AcceptanceAnswer `json:"asked_for"`
}

// ProtocolStep is one thing to do, with the standard's figure beside it.
type ProtocolStep struct {
	Home     string `json:"home"`
	Standard string `json:"standard"`
	Evidence string `json:"evidence"` // published, from memory, common practice
}

// AcceptanceAnswer is a grade that is commonly asked for.
type AcceptanceAnswer struct {
	Of    string `json:"of"`
	Grade string `json:"grade"`
	Who   string `json:"who"`
	Looks string `json:"looks_like"`
}

// Protocols tells how tests are done: one way, or all for "".
func Protocols(how string) ([]ProtocolAnswer, error) {
	list := rub.Protocols()
	if how != "" {
		p, err := rub.ProtocolFor(how)
		if err != nil {
			return nil, err
		}
		list = []rub.Protocol{p}
	}
	var out []ProtocolAnswer
	for _, p := range list {
		a := ProtocolAnswer{How: p.How, Question: p.Question, Standard: p.Standard, Need: p.Need}
		for _, s := range p.Steps {
			a.Steps = append(a.Steps, ProtocolStep{Home: s.Home, Standard: s.Standard, Evidence: string(s.Evidence)})
		}
		for _, g := range p.Accept {
			a.Accept = append(a.Accept, AcceptanceAnswer{Of: g.Of, Grade: g.Grade, Who: g.Who, Looks: g.Looks})
		}
		out = append(out, a)
	}
	return out, nil
}

// PairAnswer is one pair of a grey scale as a screen of 8 bits shows it.
type PairAnswer struct {
	Grade     string  `json:"grade"`
	DE        float64 `json:"de_ab"`       // of the standard's pair
	Shown     float64 `json:"de_ab_shown"` // of the two hex values
	Tolerance float64 `json:"tolerance"`   // of the standard's pair
	Reference string  `json:"reference"`   // hex
	Other     string  `json:"other"`       // hex
}

// GreyScale gives the pairs of a grey scale, "staining" or "change", from
// grade 5 down to 1: the greys of 8 bits that come nearest to the standard's
// differences.
func GreyScale(scale string) ([]PairAnswer, error) {
	if scale != string(rub.StainingScale) && scale != string(rub.ChangeScale) {
		return nil, fmt.Errorf("grey scale %q: expected staining or change", scale)
	}
	var out []PairAnswer
	for _, p := range rub.GreyScale(rub.Scale(scale)) {
		ref, other, shown := p.Shown()
		out = append(out, PairAnswer{
			Grade: p.Grade.String(), DE: p.DE, Tolerance: p.Tolerance, Shown: round(shown, 2),
			Reference: greyHex(ref), Other: greyHex(other),
		})
	}
	return out, nil
}

func greyHex(v uint8) string { return fmt.Sprintf("#%02x%02x%02x", v, v, v) }

// WriteGreyScale writes a grey scale as a picture (SVG) to be shown on a screen
// or printed. A printer that was not measured changes the steps: the picture
// says so.
func WriteGreyScale(w io.Writer, scale string) error {
	pairs, err := GreyScale(scale)
	if err != nil {
		return err
	}
	const width, high, top = 90, 70, 60
	wide := width*len(pairs) + 20
	var b strings.Builder
	fmt.Fprintf(&b, "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"%[1]d\" height=\"260\" viewBox=\"0 0 %[1]d 260\" font-family=\"sans-serif\" font-size=\"13\">\n", wide)
	fmt.Fprintf(&b, "<rect width=\"%d\" height=\"260\" fill=\"#ffffff\"/>\n", wide)
	title := "Grey scale for staining: hold the stained beside the clean cloth and find the pair that differs as much"
	if scale == string(rub.ChangeScale) {
		title = "Grey scale for change: hold the tested beside the untouched piece and find the pair that differs as much"
	}
	fmt.Fprintf(&b, "<text x=\"10\" y=\"25\">%s</text>\n", html.EscapeString(title))
	for i, p := range pairs {
		x := 10 + i*width
		fmt.Fprintf(&b, "<rect x=\"%d\" y=\"%d\" width=\"%d\" height=\"%d\" fill=\"%s\"/>\n", x, top, width-8, high, p.Reference)
		fmt.Fprintf(&b, "<rect x=\"%d\" y=\"%d\" width=\"%d\" height=\"%d\" fill=\"%s\"/>\n", x, top+high, width-8, high, p.Other)
		fmt.Fprintf(&b, "<text x=\"%d\" y=\"%d\">%s</text>\n", x, top-8, p.Grade)
		fmt.Fprintf(&b, "<text x=\"%d\" y=\"%d\" font-size=\"11\">ΔE %.2f</text>\n", x, top+2*high+16, p.Shown)
	}
	for i, line := range []string{
		"Differences after ISO 105-A02 and A03, as an sRGB screen of 8 bits shows them. On an unmeasured screen or printer this is a guide only:",
		"on a print, photograph a pair with `rub grade` and see whether its own grade comes back.",
	} {
		fmt.Fprintf(&b, "<text x=\"10\" y=\"%d\" font-size=\"11\">%s</text>\n", 235+15*i, html.EscapeString(line))
	}
	b.WriteString("</svg>\n")
	_, err = io.WriteString(w, b.String())
	return err
}
