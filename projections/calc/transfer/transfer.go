// Package transfer watches a leg while the pump still runs: each interval between
// two readings of the meter is held against what the pump did before, by its
// strokes, its air or its rate, and a number that does not fit is held against
// the slips people make.
//
// Nothing here changes a reading or refuses one. An interval that does not fit is
// said not to fit; whether the meter skipped, the pump drew air or a digit was
// misheard is for a person to find out.
package transfer

import (
	"math"
	"slices"

	"tankside/events/quantity"
)

// Unread stands for a value that nobody read. It is NaN, never zero.
var Unread = math.NaN()

// Reading is one look at the register of a leg's meter.
type Reading struct {
	At      quantity.Minutes   // since any moment, the same for all readings of the leg
	Total   quantity.Gallons   // what the register shows, gross
	Strokes quantity.PerMinute // of the pump; Unread where not said
	Air     quantity.PSI       // driving the pump; Unread where not said
}

// Pump is what is known of pump and meter from elsewhere: an earlier leg, a drum
// that was filled. What is not known is Unread.
type Pump struct {
	Rate      quantity.GallonsPerMinute
	Air       quantity.PSI     // at which it ran at Rate
	PerStroke quantity.Gallons // moved by one stroke
	Digits    int              // of the register, whole gallons; 0 when not known
}

// Unknown is a pump of which nothing is known yet.
var Unknown = Pump{Rate: quantity.GallonsPerMinute(Unread), Air: quantity.PSI(Unread), PerStroke: quantity.Gallons(Unread)}

// Limits say how far an interval may lie from what is expected. All are our
// judgement, common practice without a source.
type Limits struct {
	Low, High             float64          // share of the expected rate
	StrokeLow, StrokeHigh float64          // share of it where strokes were counted
	Clock                 quantity.Minutes // how far the length of an interval may be off
	Register              quantity.Gallons // how far the difference of two readings may be off
}

// Usual are the limits of Intervals for readings called over a radio to the minute.
// Strokes tell more than the clock: a healthy pump keeps its volume per stroke
// within a few per cent as long as it does not draw vapour.
var Usual = Limits{Low: 0.4, High: 1.6, StrokeLow: 0.7, StrokeHigh: 1.3, Clock: 1, Register: 1}

// Basis says what an interval was held against.
type Basis int

// The bases. NoBasis is the zero value: nothing to compare with.
const (
	NoBasis   Basis = iota
	ByRate          // the pump's own rate before
	ByAir           // that rate, scaled by the square root of the air pressure
	ByStrokes       // its volume per stroke before, times the strokes now
)

// String returns the basis in plain words.
func (b Basis) String() string {
	return [...]string{"nothing to compare with", "its own rate", "its rate and air pressure", "its strokes"}[b]
}

// Verdict is what is said of an interval.
type Verdict int

// The verdicts. NotCompared is the zero value.
const (
	NotCompared Verdict = iota // no basis, or no time between the readings
	Fits
	Slow      // the meter counted less than the pump should have moved
	Fast      // the meter counted more
	Backwards // the register went down
)

// String returns the verdict in plain words.
func (v Verdict) String() string {
	return [...]string{"not compared", "fits", "too little", "too much", "register went down"}[v]
}

// Interval is what happened between two readings that follow each other.
type Interval struct {
	From, To  int // places of the readings
	Minutes   quantity.Minutes
	Moved     quantity.Gallons          // later reading less the earlier; may be below zero
	Rate      quantity.GallonsPerMinute // NaN without time between the readings
	PerStroke quantity.Gallons          // NaN where strokes were not said
	Basis     Basis
	Expected  quantity.GallonsPerMinute // NaN without a basis
	// Missing is what the pump should have moved less what the meter counted; NaN
	// without a basis. Below zero the meter counted more.
	Missing  quantity.Gallons
	Verdict  Verdict
	Suspects []Suspect // slips in the later reading that would make it fit

	strokes quantity.PerMinute
	air     quantity.PSI
}

// Intervals holds each interval of a leg against the intervals before it that fitted,
// or against the pump where there are none. What it says of an interval does not
// depend on anything later, so it can be asked after each reading. The first
// interval of an unknown pump is taken as sound: if it was not, the next will not
// fit. Readings come in the order they were taken; two without time between them
// are not compared, nor is a Total that is Unread.
func Intervals(readings []Reading, pump Pump, limits Limits) []Interval {
	var all, sound []Interval
	for i := 1; i < len(readings); i++ {
		v := between(readings, i)
		v.expect(sound, pump)
		v.judge(limits)
		if v.Verdict >= Slow {
			v.Suspects = v.slips(readings[i-1].Total, readings[i].Total, pump.Digits, limits)
		}
		if v.Verdict == Fits || v.Verdict == NotCompared && v.Minutes > 0 && v.Rate >= 0 {
			sound = append(sound, v)
		}
		all = append(all, v)
	}
	return all
}

// between measures the interval that ends with reading i.
func between(readings []Reading, i int) Interval {
	a, b := readings[i-1], readings[i]
	v := Interval{
		From: i - 1, To: i, Minutes: b.At - a.At, Moved: b.Total - a.Total,
		Rate: quantity.GallonsPerMinute(Unread), PerStroke: quantity.Gallons(Unread),
		Expected: quantity.GallonsPerMinute(Unread), Missing: quantity.Gallons(Unread),
		strokes: mean(a.Strokes, b.Strokes), air: mean(a.Air, b.Air),
	}
	if v.Minutes > 0 {
		v.Rate = quantity.GallonsPerMinute(float64(v.Moved) / float64(v.Minutes))
		if v.strokes > 0 {
			v.PerStroke = quantity.Gallons(float64(v.Rate) / float64(v.strokes))
		}
	}
	return v
}

// mean of what was said at the two ends of an interval; where only one end has a
// value, that one holds for both.
func mean[Q quantity.Quantity](a, b Q) Q {
	switch {
	case math.IsNaN(float64(a)):
		return b
	case math.IsNaN(float64(b)):
		return a
	}
	return (a + b) / 2
}

// expect finds the rate that the pump should have had: by strokes if they were
// counted now and before, else by its rate before, corrected for the air if that
// was read both times.
func (v *Interval) expect(sound []Interval, pump Pump) {
	perStroke := median(sound, pump.PerStroke, func(s Interval) quantity.Gallons { return s.PerStroke })
	rate := median(sound, pump.Rate, func(s Interval) quantity.GallonsPerMinute { return s.Rate })
	air := median(sound, pump.Air, func(s Interval) quantity.PSI { return s.air })
	switch {
	case v.strokes >= 0 && perStroke > 0:
		v.Basis, v.Expected = ByStrokes, quantity.GallonsPerMinute(float64(perStroke)*float64(v.strokes))
	case v.air > 0 && air > 0 && rate > 0:
		v.Basis, v.Expected = ByAir, RateAtAir(rate, air, v.air)
	case rate > 0:
		v.Basis, v.Expected = ByRate, rate
	}
	v.Missing = quantity.Gallons(float64(v.Expected)*float64(v.Minutes)) - v.Moved
}

// median of what the sound intervals have, or other if none has it.
func median[Q quantity.Quantity](sound []Interval, other Q, of func(Interval) Q) Q {
	var all []Q
	for _, s := range sound {
		if q := of(s); !math.IsNaN(float64(q)) {
			all = append(all, q)
		}
	}
	if len(all) == 0 {
		return other
	}
	slices.Sort(all)
	return (all[(len(all)-1)/2] + all[len(all)/2]) / 2
}

// judge compares, giving the readings the benefit of their doubt.
func (v *Interval) judge(l Limits) {
	low, high := l.band(v.Basis)
	most := math.Inf(1)
	if v.Minutes > l.Clock {
		most = float64(v.Moved+l.Register) / float64(v.Minutes-l.Clock)
	}
	least := float64(v.Moved-l.Register) / float64(v.Minutes+l.Clock)
	switch {
	case v.Moved < -l.Register:
		v.Verdict = Backwards
	case v.Basis == NoBasis || !(v.Minutes > 0) || math.IsNaN(float64(v.Moved)):
	case most < low*float64(v.Expected):
		v.Verdict = Slow
	case least > high*float64(v.Expected):
		v.Verdict = Fast
	default:
		v.Verdict = Fits
	}
}

// band gives the shares of the expected rate between which an interval fits.
func (l Limits) band(b Basis) (low, high float64) {
	if b == ByStrokes {
		return l.StrokeLow, l.StrokeHigh
	}
	return l.Low, l.High
}

// slips lists what would make the later reading fit.
func (v *Interval) slips(first, last quantity.Gallons, digits int, l Limits) []Suspect {
	low, high := l.band(v.Basis)
	should := quantity.Gallons(float64(v.Expected) * float64(v.Minutes))
	fits := Range{
		Low: float64(first) + low*float64(should), Best: float64(first + should), High: float64(first) + high*float64(should),
	}
	if v.Basis == NoBasis {
		fits = Range{Low: float64(first), Best: Unread, High: math.Inf(1)}
	}
	out := Slips(Volume, float64(last), fits)
	if v.Verdict == Backwards {
		out = append(lowered(first, last, digits, fits), out...)
	}
	return out
}
