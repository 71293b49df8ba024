package plan

import (
	"context"
	"fmt"
	"testing"
)

var ctx = context.Background()

func TestLook(t *testing.T) {
	p, err := Make(demoInput(t, recipes(keyRecipes)))
	if err != nil {
		t.Fatal(err)
	}
	fmt.Printf("%+v\n%+v\n", p.HandsOff, p.Solver)
	for _, s := range p.Steps {
		fmt.Printf("%-12s %-8s %s - %s  ready %s  last %s spare %v crit %v who %q vol %v %v\n", s.ID, s.Verb, s.Start.Format("Mon 2 Jan 15:04"), s.End.Format("15:04"), s.Ready.Format("Mon 15:04"), s.LatestStart.Format("Mon 2 Jan 15:04"), s.Spare, s.Critical, s.Who, s.Volume, s.After)
	}
	for _, a := range p.Areas {
		c, _ := a.Cured.Get()
		r, _ := a.Ready.Get()
		fmt.Printf("%s %v cured %v ready %v diff %v pred %+v\n", a.Code, a.Setting, c.Format("Mon 2 Jan 15:04"), r.Format("Mon 2 Jan 15:04"), a.Difference, a.Predicted)
		for _, l := range a.Layers {
			fmt.Printf("    %+v\n", l)
		}
	}
	for _, b := range p.Shopping {
		fmt.Printf("%s need %v on hand %v buy %d cost %v margin %v thin %v %v\n", b.Code, b.Need, b.OnHand, b.Buy, b.Cost, b.Margin, b.Thin, b.Uses)
	}
	fmt.Printf("%+v\n", p.Cost)
	for _, c := range p.Cloth {
		fmt.Printf("%+v\n", c)
	}
	for _, r := range p.Refusals {
		fmt.Printf("%+v\n", r)
	}
	fmt.Printf("%+v\n%+v\n", p.Drying, p.Places)
}
