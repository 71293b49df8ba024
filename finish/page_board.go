package finish

import (
	"context"
	"slices"
	"time"

	"undercoat/finish/garment"
	"undercoat/finish/plan"
	"undercoat/palette/colour"
)

// BoardAnswer is a whole job as a page shows it: the board of its strips.
type BoardAnswer struct {
	Job        JobAnswer       `json:"job"`
	Plan       PlanAnswer      `json:"plan"`
	Trouble    string          `json:"trouble,omitempty"` // why there is no plan
	Strips     []Strip         `json:"strips"`
	References []PageReference `json:"references"`
	Contacts   []ContactAnswer `json:"contacts"`
	Lights     []string        `json:"lights"` // the job's lights that a match is judged under
	Zone       *time.Location  `json:"-"`
	Stopped    bool            `json:"clock_stopped"` // the job's own clock stands
}

// Strip is one area with everything that is known of it.
type Strip struct {
	AreaLine
	Look     string          `json:"look"`
	Note     string          `json:"note"`
	Target   TargetAnswer    `json:"target_read"`
	Plan     *PlanArea       `json:"plan"` // null where there is no plan
	Words    string          `json:"words_predicted"`
	Lies     string          `json:"lies"` // how the predicted face differs from the target
	Section  Section         `json:"section"`
	Steps    []PlanStep      `json:"steps"`
	Contacts []ContactAnswer `json:"contacts"`
	Cautions []CautionAnswer `json:"cautions"`
	Refusals []PlanRefusal   `json:"refusals"`
	Earlier  string          `json:"earlier_choice"` // the choice before the present one
	Proposal string          `json:"proposal"`       // what the plan makes it with
}

// Board is the job as a page shows it.
func (d *Desk) Board(ctx context.Context, job string) (BoardAnswer, error) {
	return d.board(ctx, job, time.Time{}, plan.FanAsRoom, false)
}

// BoardAndElse is the board as of a time, the zero time being now, with the fan
// as given and what else could be done.
func (d *Desk) BoardAndElse(ctx context.Context, job string, at time.Time, fan plan.Fan) (BoardAnswer, error) {
	return d.board(ctx, job, at, fan, true)
}

func (d *Desk) board(ctx context.Context, job string, at time.Time, fan plan.Fan, alternatives bool) (BoardAnswer, error) {
	w, trouble, err := d.workAt(ctx, job, at, fan, alternatives)
	if err != nil {
		return BoardAnswer{}, err
	}
	b := BoardAnswer{
		Job: JobAnswer{JobLine: jobLine(w.job), Version: w.facts.Version}, Strips: []Strip{},
		References: []PageReference{}, Contacts: []ContactAnswer{}, Lights: []string{}, Zone: w.job.Zone, Stopped: w.job.AsOf.Known(),
	}
	if trouble != nil {
		b.Trouble = trouble.Error()
	} else {
		b.Plan = w.answer()
	}
	pics := d.pictures(w.scene)
	for _, k := range pics {
		b.References = append(b.References, k.ref)
	}
	for _, v := range w.verdicts {
		b.Contacts = append(b.Contacts, contactAnswer(v))
	}
	for _, l := range w.job.JudgingLights() {
		b.Lights = append(b.Lights, l.Name)
	}
	for _, area := range w.job.Areas {
		b.Strips = append(b.Strips, w.strip(area, b, pics))
		b.Job.List = append(b.Job.List, b.Strips[len(b.Strips)-1].AreaLine)
	}
	return b, nil
}

// strip gathers what is known of one area.
func (w work) strip(area garment.Area, b BoardAnswer, pics []keptPicture) Strip {
	s := Strip{
		AreaLine: areaLine(w.job, area), Look: area.Look, Note: area.Note, Target: w.targetFrom(area, pics), Steps: []PlanStep{},
		Contacts: []ContactAnswer{}, Cautions: []CautionAnswer{}, Refusals: []PlanRefusal{}, Earlier: w.earlier(area.Code), Proposal: LayersText(w.proposal(area.Code)),
	}
	uses := []string{area.Code}
	if i := slices.IndexFunc(b.Plan.Areas, func(a PlanArea) bool { return a.Code == area.Code }); i >= 0 {
		s.Plan = &b.Plan.Areas[i]
		s.Section = w.section(area, w.plan.Areas[i])
		s.face(area.Target, w.plan.Areas[i])
		uses = append(uses, s.Plan.Ground)
		for _, y := range s.Plan.Layers {
			uses = append(uses, y.Code, y.Fixer)
		}
	}
	for _, c := range b.Contacts {
		if c.From == area.Code || c.To == area.Code {
			s.Contacts = append(s.Contacts, c)
			uses = append(uses, c.Code)
		}
	}
	for _, st := range b.Plan.Steps {
		if st.Area == area.Code {
			s.Steps = append(s.Steps, st)
		}
	}
	for _, c := range b.Plan.Cautions {
		if c.Subject != "" && slices.Contains(uses, c.Subject) {
			s.Cautions = append(s.Cautions, c)
		}
	}
	for _, r := range b.Plan.Refusals {
		if r.Area == area.Code {
			s.Refusals = append(s.Refusals, r)
		}
	}
	return s
}

// face names the predicted face and how it differs from the target.
func (s *Strip) face(t garment.Target, a plan.Area) {
	p, ok := a.Predicted.Get()
	if !ok {
		return
	}
	s.Words = nameOf(p.Lab)
	if t.Known() && !t.Fluorescent {
		s.Lies = colour.InWords(t.Colour.Lab(), p.Lab)
	}
}

// earlier is the choice before the one that holds.
func (w work) earlier(area string) string {
	var mine []string
	for _, c := range w.facts.Choices {
		if c.Area == area {
			mine = append(mine, LayersText(c.Layers))
		}
	}
	if len(mine) < 2 {
		return ""
	}
	return mine[len(mine)-2]
}

func nameOf(l colour.Lab) string { return colour.Name(l) }
