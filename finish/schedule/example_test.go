package schedule_test

import (
	"fmt"
	"time"

	"undercoat/finish/schedule"
)

// A coat in the evening, four hours of drying on the rail, a second coat within
// a day, and a date that does not move.
func ExampleFit() {
	hours := schedule.Hours{}
	for _, d := range []time.Weekday{time.Monday, time.Tuesday, time.Thursday} {
		hours.Weekly[d] = []schedule.Span{{From: 19 * 60, To: 21*60 + 30}}
	}
	from := time.Date(2026, 11, 2, 8, 0, 0, 0, time.UTC) // a Monday
	start := schedule.MinuteOf(from)
	evenings, err := hours.Windows(time.UTC, start, start+14*1440)
	if err != nil {
		fmt.Println(err)
		return
	}
	p := schedule.Problem{
		Start:     start,
		Horizon:   start + 14*1440,
		Deadline:  schedule.At(schedule.MinuteOf(time.Date(2026, 11, 6, 12, 0, 0, 0, time.UTC))),
		Calendars: [][]schedule.Window{evenings},
		Resources: []schedule.Resource{
			{ID: "hands", Capacity: 1, Calendar: 0, Person: true},
			{ID: "rail", Capacity: 2, Calendar: schedule.AnyTime},
		},
	}
	hands, rail := []schedule.Use{{Resource: 0, Amount: 1}}, []schedule.Use{{Resource: 1, Amount: 1}}
	for _, id := range []string{"sash", "tunic"} {
		n := len(p.Tasks)
		p.Tasks = append(p.Tasks,
			schedule.Task{ID: id + " coat 1", Duration: 45, Uses: hands, Calendar: schedule.AnyTime},
			schedule.Task{ID: id + " dries", Duration: 240, Uses: rail, Calendar: schedule.AnyTime},
			schedule.Task{ID: id + " coat 2", Duration: 45, Uses: hands, Calendar: schedule.AnyTime})
		p.Lags = append(p.Lags,
			schedule.Lag{From: n, To: n + 1, Max: schedule.At(0)}, // hung at once
			schedule.Lag{From: n + 1, To: n + 2, Max: schedule.At(1440)})
	}
	s, err := schedule.Fit(p, schedule.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(s.Status)
	for i, t := range p.Tasks {
		at := schedule.TimeOf(s.Start[i], time.UTC)
		last := schedule.TimeOf(s.Latest[i], time.UTC)
		fmt.Printf("%-12s %s, at the latest %s\n", t.ID, at.Format("Mon 15:04"), last.Format("Mon 15:04"))
	}
	if d, ok, err := schedule.Decides(p, s, schedule.Options{}); err == nil && ok {
		fmt.Println("not to be missed:", schedule.TimeOf(d.Window.From, time.UTC).Format("Mon 15:04"))
	}
	// Output:
	// proven
	// sash coat 1  Mon 19:00, at the latest Mon 20:00
	// sash dries   Mon 19:45, at the latest Mon 20:45
	// sash coat 2  Tue 19:00, at the latest Tue 20:00
	// tunic coat 1 Mon 19:45, at the latest Mon 20:45
	// tunic dries  Mon 20:30, at the latest Mon 21:30
	// tunic coat 2 Tue 19:45, at the latest Tue 20:45
	// not to be missed: Mon 19:00
}
