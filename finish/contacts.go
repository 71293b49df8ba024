package finish

import (
	"context"
	"time"

	"undercoat/finish/caution"
	"undercoat/finish/plan"
	"undercoat/finish/rub"
)

// ContactsAnswer is every contact with its verdict. Its JSON is the `contacts`
// contract.
type ContactsAnswer struct {
	Contacts []ContactAnswer `json:"contacts"`
}

// ContactAnswer is one contact and the test its verdict rests on.
type ContactAnswer struct {
	Code    string  `json:"code"`
	From    string  `json:"from"`
	To      string  `json:"to"`
	Rubbing string  `json:"rubbing"`
	Damp    bool    `json:"damp"`
	Hours   float64 `json:"hours"`
	Verdict string  `json:"verdict"`
	Because string  `json:"because"`
	Test    string  `json:"test"`
	Needed  string  `json:"grade_needed"`
	ToDo    string  `json:"test_to_do"`
	Barrier string  `json:"barrier"`
	Note    string  `json:"note"`
}

// Contacts gives every contact of the job with its verdict.
func (b *Bench) Contacts(ctx context.Context) (ContactsAnswer, error) {
	s, err := b.scene(ctx)
	if err != nil {
		return ContactsAnswer{}, err
	}
	a := ContactsAnswer{Contacts: []ContactAnswer{}}
	for _, v := range judged(s).verdicts {
		a.Contacts = append(a.Contacts, contactAnswer(v))
	}
	return a, nil
}

func contactAnswer(v rub.Verdict) ContactAnswer {
	a := ContactAnswer{
		Code: v.Contact.Code, From: v.Contact.From, To: v.Contact.To, Rubbing: v.Contact.Rubbing.String(), Damp: v.Contact.Damp, Hours: v.Contact.Hours,
		Verdict: string(v.Word), Because: v.Because, Test: v.Test, Barrier: v.Barrier, Note: v.Contact.Note,
	}
	if v.Needed > 0 {
		a.Needed = v.Needed.String()
	}
	if v.Wanted.How != "" {
		a.ToDo = v.Wanted.How + " of " + v.Wanted.Subject + " on " + v.Wanted.Against
	}
	return a
}

// CautionAnswer is one thing to be minded.
type CautionAnswer struct {
	Rule    string `json:"rule"`
	Weight  string `json:"weight"` // stop, care or note
	Subject string `json:"subject"`
	Text    string `json:"text"`
	Source  string `json:"source"`
}

// Cautions gives all cautions of the job, the heaviest first.
func (b *Bench) Cautions(ctx context.Context) ([]CautionAnswer, error) {
	w, err := b.work(ctx, time.Time{}, plan.FanAsRoom)
	if err != nil {
		return nil, err
	}
	return cautionAnswers(w.cautions), nil
}

func cautionAnswers(cs []caution.Caution) []CautionAnswer {
	out := []CautionAnswer{}
	for _, c := range cs {
		out = append(out, CautionAnswer{Rule: c.Rule, Weight: c.Weight.String(), Subject: c.Subject, Text: c.Text, Source: c.Source})
	}
	return out
}
