package plan

import (
	"fmt"
	"math"
	"slices"
	"time"

	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// roomWork is how this room dries, settled once for the whole plan.
type roomWork struct {
	fan      bool
	observed unit.Stated[float64] // the maker's factor with the fan as it is
	day      Air
	night    Air
	known    bool    // whether temperature and humidity are stated
	rise     float64 // of humidity after the wettest coat, share of 1
	starts   [2]int  // first and last minute of the day at which a coat may end
	unfit    []string
}

// Day and night of a room whose temperature is stated for both; common
// practice, no source.
const (
	dayFrom = 7 * 60
	dayTo   = 22 * 60
)

// readRoom takes what the maker states of the room.
func (d *draft) readRoom() {
	r, room := &d.room, d.job.Room
	r.fan = d.in.Fan == FanOn || d.in.Fan == FanAsRoom && (room.Fan.Known() || room.DryingFactorFan.Known())
	r.observed = room.DryingFactor
	if r.fan && room.DryingFactorFan.Known() {
		r.observed = room.DryingFactorFan
	}
	day, ok1 := room.DayC.Get()
	rh, ok2 := room.RH.Get()
	r.known = ok1 && ok2
	if !r.known {
		day, rh = labelAir.C, labelAir.RH
	}
	speed := room.Air.Or(labelAir.Speed)
	r.day = Air{C: day, RH: rh, Speed: speed}
	r.night = Air{C: room.NightC.Or(day), RH: rh, Speed: speed}
	r.starts = d.endsOfDay()
}

// endsOfDay returns the earliest start and the latest end of any working
// hours, in minutes of the day.
func (d *draft) endsOfDay() [2]int {
	e := [2]int{24 * 60, 0}
	for _, h := range d.job.Hours {
		if h.From < h.To {
			e[0], e[1] = min(e[0], int(h.From)), max(e[1], int(h.To))
		}
	}
	if e[0] > e[1] {
		return [2]int{0, 24*60 - 1}
	}
	return e
}

// stageTime is how long after a coat a stage is reached in this room, and what
// that rests on.
type stageTime struct {
	after time.Duration
	basis string
}

// ownTimes are the further columns of the shelf in which a maker keeps the
// hours a product took in this workroom.
var ownTimes = [...]string{TouchDry: "own_touch_h", Recoat: "own_recoat_h", HandleDry: "own_handle_h", Cured: "own_cure_h"}

// stage returns when a coat of a product reaches a stage: the maker's own
// observed time as it is; else the label's time, or a usual one for
// water-borne products, times the room's observed factor; else times the
// computed factor with its margin. film is how many times the label's film is
// laid; it enters the computed factor. ok is false where nothing is known.
func (d *draft) stage(p inventory.Paint, s Stage, film float64) (stageTime, bool) {
	for _, o := range d.in.Observed {
		if o.Code == p.Code && o.Stage == s {
			return stageTime{wholeMinutes(o.Time), "observed in this room"}, true
		}
	}
	if h, ok := extra(p.Article, ownTimes[s]).Get(); ok && h > 0 {
		return stageTime{wholeMinutes(time.Duration(h * float64(time.Hour))), "the maker's own time"}, true
	}
	label, basis, ok := labelTime(p, s)
	if !ok {
		return stageTime{}, false
	}
	return d.inRoom(label, basis, vehicleOf(p), s, film), true
}

// inRoom stretches a label's time to this room.
func (d *draft) inRoom(label time.Duration, basis string, v Vehicle, s Stage, film float64) stageTime {
	if f, ok := d.room.observed.Get(); ok {
		return stageTime{scaled(label, f), fmt.Sprintf("%s %s × %s observed in this room", basis, unit.FormatSpan(label), unit.FormatNumber(f))}
	}
	if !d.room.known {
		return stageTime{scaled(label, labelMargin), fmt.Sprintf("%s %s × %.1f margin; climate not stated", basis, unit.FormatSpan(label), labelMargin)}
	}
	after := d.room.elapse(label, v, s, film)
	return stageTime{after, fmt.Sprintf("%s %s × %.2f computed for %.0f/%.0f °C, %.0f %%", basis, unit.FormatSpan(label),
		float64(after)/float64(label), d.room.day.C, d.room.night.C, 100*d.room.air(d.room.day, s).RH)}
}

// scaled multiplies a time and rounds it up to a whole minute.
func scaled(t time.Duration, f float64) time.Duration {
	return wholeMinutes(time.Duration(math.Round(float64(t) * f)))
}

// wholeMinutes rounds up to a minute; a second's noise is forgiven.
func wholeMinutes(t time.Duration) time.Duration {
	return (t + time.Minute - time.Second).Truncate(time.Minute)
}

// air is the state of the room while a stage is waited for: until a coat may
// be handled, what the wettest coat adds is in it.
func (r roomWork) air(a Air, s Stage) Air {
	if s < Cured && a.RH < dampest {
		a.RH = min(a.RH+r.rise, dampest-0.01)
	}
	return a
}

// elapse returns the longest a stage can take for any end of a coat within the
// working day, when a day's and a night's hours dry at their own pace.
func (r roomWork) elapse(label time.Duration, v Vehicle, s Stage, film float64) time.Duration {
	day := float64(DryTime(time.Hour, FactorOf(v, s, r.air(r.day, s), film).Total)) / float64(time.Hour)
	night := float64(DryTime(time.Hour, FactorOf(v, s, r.air(r.night, s), film).Total)) / float64(time.Hour)
	longest := 0.0
	for from := r.starts[0]; from <= r.starts[1]; from += 15 {
		longest = max(longest, elapsed(label.Minutes(), from, day, night))
	}
	return time.Duration(math.Ceil(longest-1e-6)) * time.Minute
}

// elapsed walks from a minute of the day through days and nights until label
// minutes of drying are done, where a minute of drying takes day or night
// minutes of the clock.
func elapsed(label float64, from int, day, night float64) float64 {
	at, passed := float64(from%(24*60)), 0.0
	for {
		pace, until := night, float64(dayFrom)
		switch {
		case at >= dayTo:
			until = 24*60 + dayFrom
		case at >= dayFrom:
			pace, until = day, dayTo
		}
		if need := label * pace; at+need <= until {
			return passed + need
		}
		label -= (until - at) / pace
		passed += until - at
		at = math.Mod(until, 24*60)
	}
}

func vehicleOf(p inventory.Paint) Vehicle {
	switch {
	case p.Base == "solvent" && hasWord(p.Medium, "alkyd", "oil", "enamel"):
		return Reactive
	case p.Base == "solvent":
		return SolventBorne
	}
	return WaterBorne
}

// labelTime returns the label's time of a stage, else what stands in for it.
// A stage the label leaves out is taken from a later one it gives: what may be
// recoated may be handled. A solvent-borne product whose label says nothing is
// unknown.
func labelTime(p inventory.Paint, s Stage) (time.Duration, string, bool) {
	stated := [...]unit.Stated[time.Duration]{TouchDry: p.Touch, Recoat: p.RecoatFrom, HandleDry: p.Handle, Cured: p.Cure}
	if t, ok := stated[s].Get(); ok {
		return t, "label", true
	}
	if s == HandleDry || s == TouchDry {
		if t, ok := p.RecoatFrom.Get(); ok {
			return t, "label's recoat", true
		}
	}
	if vehicleOf(p) != WaterBorne {
		return 0, "", false
	}
	return usualTimes(p)[s], "usual", true
}

// usualTimes are the high ends of generic ranges for one brushed coat of a
// water-borne product on cloth at 23 °C and 50 %, used only where a label is
// silent: common practice, no source.
func usualTimes(p inventory.Paint) [4]time.Duration {
	h, day := time.Hour, 24*time.Hour
	switch {
	case hasWord(p.Medium, "vinyl", "leather"):
		return [4]time.Duration{h / 2, 2 * h, day, 7 * day}
	case hasWord(p.Medium, "latex", "rubber", "silicone"):
		return [4]time.Duration{4 * h, 6 * h, 2 * day, 30 * day}
	case hasWord(p.Medium, "screen", "ink"):
		return [4]time.Duration{40 * time.Minute, 2 * h, 12 * h, 14 * day}
	case hasWord(p.Medium, "wash"):
		return [4]time.Duration{h / 2, 90 * time.Minute, 12 * h, 14 * day}
	case p.Kind == inventory.KindPaint && hasWord(p.Medium, "artist"):
		return [4]time.Duration{h, 4 * h, day, 21 * day}
	}
	return [4]time.Duration{h, 4 * h, day, 14 * day}
}

// until returns how long after a coat the recoat window stays open in this
// room; unknown where the label gives none. Slow drying does not open it
// longer, fast drying closes it sooner.
func (d *draft) until(p inventory.Paint) unit.Stated[time.Duration] {
	label, ok := p.RecoatUntil.Get()
	if !ok {
		return p.RecoatUntil
	}
	here := d.inRoom(label, "", vehicleOf(p), Recoat, 1).after
	return unit.State(min(label, here))
}

// usualChanges are the air changes of a closed room at home where none are
// stated; from a US handbook's median of about 0.45, the low side; from
// memory.
const usualChanges = 0.3

// changes returns the room's air changes an hour, the fan's included.
func (d *draft) changes() float64 {
	n := d.job.Room.Changes.Or(usualChanges)
	if f, ok := d.job.Room.Fan.Get(); ok && d.room.fan {
		if v, ok := d.job.Room.Volume.Get(); ok && v > 0 {
			n += f / float64(v)
		}
	}
	return n
}

// waterShare is the share of a water-borne paint that evaporates where its
// solids are not stated; common practice, no source.
const waterShare = 0.7

// wetLoad finds the coat that lays most water and the humidity it adds to the
// room until it is touch dry. A room with an observed factor has that in its
// factor; in any other the humidity of the whole plan is raised by it, and a
// room it would soak is called unfit with the air it needs.
func (d *draft) wetLoad() RoomDrying {
	out := RoomDrying{Fan: d.room.fan, Factor: d.room.observed, Air: d.room.day, Night: d.room.night}
	what, span := "", time.Hour
	for _, a := range d.areas {
		for _, l := range a.layers {
			if !l.coats() || vehicleOf(l.paint) != WaterBorne {
				continue
			}
			for _, v := range l.each {
				if w := v * unit.Volume(1-l.paint.VolumeSolids.Or(1-waterShare)); w > out.Wet {
					out.Wet, what = w, l.Code+" on "+a.Code
					span, _, _ = labelTime(l.paint, TouchDry)
				}
			}
		}
	}
	volume, ok := d.job.Room.Volume.Get()
	if ok && d.room.known {
		out.RHRise = HumidityRise(float64(out.Wet), float64(volume), d.room.day.C, d.changes(), span)
	}
	d.judgeRoom(&out, what, span)
	return out
}

// judgeRoom says in words what the room does and what speaks against it.
func (d *draft) judgeRoom(out *RoomDrying, what string, span time.Duration) {
	r := &d.room
	if f, ok := r.observed.Get(); ok {
		out.Text = fmt.Sprintf("label times × %s, the maker's own observation %s", unit.FormatNumber(f), fanText(r.fan))
	} else if r.known {
		out.Text = fmt.Sprintf("label times × a factor computed for %.0f °C by day, %.0f °C by night, %.0f %% humidity, × %.1f margin; could be half or double",
			r.day.C, r.night.C, 100*r.day.RH, labelMargin)
		r.rise = out.RHRise
	} else {
		out.Text = fmt.Sprintf("label times × %.1f margin: temperature and humidity of the room are not stated", labelMargin)
	}
	if !r.known {
		return
	}
	total := 0.0
	if !r.observed.Known() {
		total = max(FactorOf(WaterBorne, Recoat, r.air(r.day, Recoat), 1).Total, FactorOf(WaterBorne, Recoat, r.air(r.night, Recoat), 1).Total)
		if wet := r.day.RH + out.RHRise; r.day.RH < dampest && wet >= dampest {
			out.Unfit = append(out.Unfit, fmt.Sprintf("%s lays %.0f mL of water at once: humidity would reach %.0f %%; it needs about %.0f air changes an hour",
				what, float64(out.Wet), 100*min(1, wet), math.Ceil(d.airNeeded(out.Wet, span))))
		}
	}
	for _, a := range []Air{r.day, r.night} {
		for _, why := range Unfit(a, a.C, math.NaN(), 1, total) {
			if !slices.Contains(out.Unfit, why) {
				out.Unfit = append(out.Unfit, why)
			}
		}
	}
	r.unfit = out.Unfit
}

func fanText(on bool) string {
	if on {
		return "with the fan"
	}
	return "without the fan"
}

// airNeeded returns the air changes an hour that keep the humidity below the
// limit while wet mL dry over span; found by doubling and bisection.
func (d *draft) airNeeded(wet unit.Volume, span time.Duration) float64 {
	volume := float64(d.job.Room.Volume.Or(0))
	rise := func(n float64) float64 { return HumidityRise(float64(wet), volume, d.room.day.C, n, span) }
	room := dampest - 0.01 - d.room.day.RH
	if room <= 0 {
		return math.Inf(1)
	}
	lo, hi := 0.0, 1.0
	for rise(hi) > room && hi < 1e6 {
		lo, hi = hi, hi*2
	}
	for hi-lo > 0.01 {
		if mid := (lo + hi) / 2; rise(mid) > room {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi
}
