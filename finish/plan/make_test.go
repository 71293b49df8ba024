package plan

import (
	"context"
	"fmt"
	"testing"
	"time"
)

var ctx = context.Background()

func TestLook(t *testing.T) {
	in := demoInput(t, recipes(keyRecipes))
	in.Alternatives = true
	t0 := time.Now()
	p, err := Make(in)
	fmt.Println("make", time.Since(t0))
	if err != nil {
		t.Fatal(err)
	}
	fmt.Printf("%+v\n%+v\n", p.HandsOff, p.Solver)
	for _, s := range p.Steps {
		fmt.Printf("%-12s %-8s %s - %s  ready %s  last %s spare %v crit %v who %q %s\n", s.ID, s.Verb, s.Start.Format("Mon 2 Jan 15:04"), s.End.Format("15:04"), s.Ready.Format("Mon 15:04"), s.LatestStart.Format("Mon 2 Jan 15:04"), s.Spare, s.Critical, s.Who, s.Text)
	}
	for _, a := range p.Areas {
		c, _ := a.Cured.Get()
		r, _ := a.Ready.Get()
		l, _ := a.LatestStart.Get()
		fmt.Printf("%s %v cured %v ready %v last %v spare %v\n", a.Code, a.Setting, c.Format("Mon 2 Jan 15:04"), r.Format("Mon 2 Jan 15:04"), l.Format("Mon 2 Jan 15:04"), a.Spare)
	}
	for _, r := range p.Refusals {
		fmt.Printf("%+v\n", r)
	}
	for _, r := range p.Pots {
		fmt.Printf("%+v\n", r)
	}
	for _, r := range p.Trades {
		fmt.Printf("%+v\n", r)
	}
	for _, r := range p.Otherwise {
		fmt.Printf("%+v\n", r)
	}
	for _, r := range p.Chain {
		fmt.Printf("%+v\n", r)
	}
	fmt.Printf("%+v\n", p.Decides)
	fmt.Printf("%+v\n", p.Late)
}
