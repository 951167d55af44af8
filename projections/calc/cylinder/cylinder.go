// Package cylinder works out how long the air on a back lasts: what a bottle holds at
// a pressure, how fast its wearer uses it, when the alarm sounds and at which pressure
// to turn round.
//
// The figures inform; they do not say that anybody may go in or stay in. The gauge on
// the shoulder and the department's procedure go before them.
package cylinder

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"tankside/events/quantity"
)

// Litres is free air: the volume it has at the pressure of the air round it.
type Litres float64

// LitresPerMinute is how fast free air is used.
type LitresPerMinute float64

// The units of the formulas, exact by definition.
const (
	LitresPerCubicFoot = 28.316846592
	PSIPerBar          = 100000 / 6894.757293168
)

// Shares of the full pressure at which the low-air alarm sounds.
const (
	Alarm         = 0.33 // NFPA 1981 from its 2013 edition on
	CautiousAlarm = 0.37 // the same with the alarm's tolerance on top (common practice, no source)
	OldAlarm      = 0.25 // NFPA 1981 before 2013
)

// RatedBreath is the breathing at which bottles are rated: 30 minutes is 1,200 L.
// Source: 42 CFR 84 (from memory); a member of the NFPA committee gives the 1,200 L.
const RatedBreath LitresPerMinute = 40

// Type is a sort of bottle.
type Type struct {
	Name   string
	Rated  quantity.Minutes // at RatedBreath; 0 where it has no rating
	Full   quantity.PSI
	Litres Litres // of free air at full pressure
	Source string
}

// Types are the usual bottles, by rated minutes. The cubic feet are those of their
// labels, from memory; the 30-minute litres are in print.
var Types = []Type{
	{"30 min, 2216 psi", 30, 2216, 1274, "label, 45 cu ft (from memory)"},
	{"30 min, 4500 psi", 30, 4500, 1240, "article on the physiology of firefighters"},
	{"45 min, 4500 psi", 45, 4500, 1869, "label, 66 cu ft (from memory)"},
	{"60 min, 4500 psi", 60, 4500, 2464, "label, 87 cu ft (from memory)"},
	{"75 min, 5500 psi", 75, 5500, 3040, "label, 107 to 108 cu ft (from memory, weak)"},
}

// FreeAir returns what a vessel of so many litres of water holds at a gauge pressure:
//
//	V = water·bar
//
// The real gas holds up to 10 % less at 300 bar; labels leave that out as well.
func FreeAir(water, bar float64) Litres { return Litres(water * bar) }

// FullAbove returns the lowest full pressure of a usual bottle that is not below
// what was read; false where none is.
func FullAbove(read quantity.PSI) (quantity.PSI, bool) {
	var full []quantity.PSI
	for _, t := range Types {
		// a warm bottle reads a little over
		if float64(read) <= 1.05*float64(t.Full) {
			full = append(full, t.Full)
		}
	}
	if len(full) == 0 {
		return 0, false
	}
	return slices.Min(full), true
}

// LongestRated is the most minutes that any usual bottle is rated for.
func LongestRated() float64 {
	longest := 0.0
	for _, t := range Types {
		longest = max(longest, float64(t.Rated))
	}
	return longest
}

// Check says what is wrong with a bottle, nil when nothing is.
func (t Type) Check() error {
	if !(t.Full > 0 && t.Litres > 0 && t.Rated >= 0) || math.IsInf(float64(t.Full)+float64(t.Litres)+float64(t.Rated), 0) {
		return fmt.Errorf("cylinder: %s: %g L at %g psi, rated %g min: want pressure and volume above 0", cmp.Or(t.Name, "no name"), t.Litres, t.Full, t.Rated)
	}
	return nil
}

// Holds returns the free air at a pressure: V = Litres·p/Full.
func (t Type) Holds(p quantity.PSI) Litres { return t.Litres * Litres(p/t.Full) }

// At returns the pressure at which the bottle holds so much.
func (t Type) At(v Litres) quantity.PSI { return t.Full * quantity.PSI(v/t.Litres) }

// Used returns how fast air was used between two readings:
//
//	R = Litres·(start − end)/Full / minutes
//
// minutes must be above 0 and end not above start: a fuller bottle is another bottle.
func (t Type) Used(start, end quantity.PSI, over quantity.Minutes) (LitresPerMinute, error) {
	r, err := Fall(start, end, over)
	return t.Breath(r), err
}

// Breath returns the litres a minute that take so many psi a minute off the bottle.
func (t Type) Breath(psi float64) LitresPerMinute {
	return LitresPerMinute(float64(t.Litres) * psi / float64(t.Full))
}

// Takes returns the psi a minute that a breathing takes off the bottle.
func (t Type) Takes(r LitresPerMinute) float64 {
	return float64(t.Full) * float64(r) / float64(t.Litres)
}

// Fall returns the psi a minute between two readings. minutes must be above 0 and end
// not above start.
func Fall(start, end quantity.PSI, over quantity.Minutes) (float64, error) {
	if !(over > 0 && end >= 0 && start >= end) || math.IsInf(float64(start)+float64(over), 0) {
		return 0, fmt.Errorf("cylinder: from %g to %g psi in %g min: want a time above 0 and a pressure that does not rise", start, end, over)
	}
	return float64(start-end) / float64(over), nil
}

// Lasts returns the minutes that so much air lasts at a breathing above 0.
func Lasts(v Litres, r LitresPerMinute) quantity.Minutes {
	return quantity.Minutes(float64(v) / float64(r))
}
