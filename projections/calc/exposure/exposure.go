// Package exposure works out what somebody breathed: averages over a shift and over
// any fifteen minutes, time above a ceiling, mixtures, long shifts, and what a mask
// takes off. Readings come at odd times and with gaps; how the time between them is
// filled is named, and time that nobody measured is listed, never bridged.
//
// It informs. Whether a dose is acceptable is for the safety officer, the local
// procedure and a hygienist to say.
package exposure

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"tankside/events/quantity"
)

// Shift is the divisor of an average over a shift: always 8 h, however long the work
// lasted. Source: 29 CFR 1910.1000(d)(1).
const Shift quantity.Minutes = 480

// Short is the length of a short-term average. Source: 29 CFR 1910.1028(c)(2).
const Short quantity.Minutes = 15

// Dose is a level over a time, in ppm-min.
type Dose float64

// Reading is one level read, at minutes from a moment of the caller's choice.
type Reading struct {
	At    quantity.Minutes
	Level quantity.PPM
	Low   quantity.PPM // the least it can have been
	High  quantity.PPM // the most; +Inf for an instrument past the end of its scale
}

// Read is a reading that is what it says.
func Read(at quantity.Minutes, level quantity.PPM) Reading { return Reading{at, level, level, level} }

// Below is a reading under the detection limit: half of the limit for the estimate,
// from nothing to the limit. Source: common practice.
func Below(at quantity.Minutes, limit quantity.PPM) Reading {
	return Reading{at, limit / 2, 0, limit}
}

// Past is a reading past the end of the scale: at least its end, and nobody knows how
// much more.
func Past(at quantity.Minutes, end quantity.PPM) Reading {
	return Reading{at, end, end, quantity.PPM(math.Inf(1))}
}

// Method is how the time between two readings is filled.
type Method int

// The methods. Lowest and Highest bound what it can have been.
const (
	HoldPrevious  Method = iota // each reading holds until the next
	StraightLines               // from reading to reading
	Lowest                      // the lesser of the two; after the last reading nothing
	Highest                     // the greater of the two
)

// String names the method as a report does.
func (m Method) String() string {
	return [...]string{"each reading held to the next", "straight lines between readings", "lower of two readings", "higher of two readings"}[m]
}

// Span is a time from minute to minute.
type Span struct{ From, To quantity.Minutes }

// Length returns how long the span lasts.
func (s Span) Length() quantity.Minutes { return s.To - s.From }

// segment is a stretch over which the level runs straight from a to b.
type segment struct {
	Span
	a, b float64
}

// mid is the mean level, and at the level at a minute.
func (s segment) mid() float64 { return (s.a + s.b) / 2 }

func (s segment) at(t quantity.Minutes) float64 {
	if s.a == s.b { // also where both are past every scale
		return s.a
	}
	return s.a + (s.b-s.a)*float64((t-s.From)/s.Length())
}

// Profile is the level against the clock, where it was measured. Elsewhere it holds
// nothing, which is not the same as a level of zero: see Unmonitored.
type Profile struct{ segments []segment }

// New fills the time between readings by the method. No reading stands for longer
// than hold; after the last it stands to the end at most. Readings may be in any
// order; of two at one time the higher counts. A hold that is not above 0 is an
// error, and so is a level that is no number or below 0.
func New(readings []Reading, m Method, hold, end quantity.Minutes) (Profile, error) {
	if !(hold > 0) {
		return Profile{}, fmt.Errorf("exposure: a reading holds for %g min: want more than 0", float64(hold))
	}
	sorted := slices.Clone(readings)
	for _, r := range sorted {
		if !(r.Level >= 0 && r.Low >= 0 && r.High >= r.Low) || math.IsInf(float64(r.Level), 0) {
			return Profile{}, fmt.Errorf("exposure: %g ppm, %g to %g: want a level that is 0 or more and between its bounds", float64(r.Level), float64(r.Low), float64(r.High))
		}
	}
	slices.SortStableFunc(sorted, func(a, b Reading) int { return cmp.Or(cmp.Compare(a.At, b.At), cmp.Compare(b.Level, a.Level)) })
	sorted = slices.CompactFunc(sorted, func(a, b Reading) bool { return a.At == b.At })
	p := Profile{make([]segment, 0, len(sorted))}
	for i, r := range sorted {
		next, to := r, end
		if i+1 < len(sorted) {
			next, to = sorted[i+1], sorted[i+1].At
		}
		last := i+1 == len(sorted)
		if to > r.At+hold {
			to, last = r.At+hold, true // the next reading says nothing about a time it is too far from
		}
		if s := between(r, next, m, last); to > r.At {
			s.Span = Span{r.At, to}
			p.segments = append(p.segments, s)
		}
	}
	return p, nil
}

// between is the level from a reading to the next; last when none follows in time.
func between(r, next Reading, m Method, last bool) segment {
	switch {
	case m == Lowest && last:
		return segment{}
	case m == Lowest:
		return flat(min(r.Low, next.Low))
	case m == Highest && last:
		return flat(r.High)
	case m == Highest:
		return flat(max(r.High, next.High))
	case m == StraightLines && !last:
		return segment{a: float64(r.Level), b: float64(next.Level)}
	}
	return flat(r.Level)
}

func flat(level quantity.PPM) segment { return segment{a: float64(level), b: float64(level)} }

// Within returns the part of the profile that lies in the spans, such as the times a
// person was there. Spans that overlap count once.
func (p Profile) Within(spans []Span) Profile {
	var out Profile
	for _, w := range merged(spans) {
		for _, s := range p.segments {
			from, to := max(s.From, w.From), min(s.To, w.To)
			if to > from {
				out.segments = append(out.segments, segment{Span{from, to}, s.at(from), s.at(to)})
			}
		}
	}
	return out
}

// merged returns the spans in order, those that touch as one.
func merged(spans []Span) (out []Span) {
	sorted := slices.Clone(spans)
	slices.SortFunc(sorted, func(a, b Span) int { return cmp.Compare(a.From, b.From) })
	for _, s := range sorted {
		if n := len(out); n > 0 && s.From <= out[n-1].To {
			out[n-1].To = max(out[n-1].To, s.To)
		} else if s.To > s.From {
			out = append(out, s)
		}
	}
	return out
}

// Unmonitored returns the parts of the spans for which the profile holds no level.
func (p Profile) Unmonitored(spans []Span) (out []Span) {
	for _, w := range merged(spans) {
		from := w.From
		for _, s := range p.segments {
			if s.To <= from || s.From >= w.To {
				continue
			}
			if s.From > from {
				out = append(out, Span{from, s.From})
			}
			from = s.To
		}
		if from < w.To {
			out = append(out, Span{from, w.To})
		}
	}
	return out
}

// Filled returns the profile with a level put where it holds none, within the spans:
// for an upper bound.
func (p Profile) Filled(spans []Span, level quantity.PPM) Profile {
	out := Profile{slices.Clone(p.segments)}
	for _, gap := range p.Unmonitored(spans) {
		s := flat(level)
		s.Span = gap
		out.segments = append(out.segments, s)
	}
	slices.SortFunc(out.segments, func(a, b segment) int { return cmp.Compare(a.From, b.From) })
	return out
}

// Peak returns the highest level, 0 for a profile that holds none.
func (p Profile) Peak() quantity.PPM {
	peak := 0.0
	for _, s := range p.segments {
		peak = max(peak, s.a, s.b)
	}
	return quantity.PPM(peak)
}

// Minutes returns for how long the profile holds a level.
func (p Profile) Minutes() (sum quantity.Minutes) {
	for _, s := range p.segments {
		sum += s.Length()
	}
	return sum
}

// Dose returns the level summed over the time:
//
//	∫ C dt
//
// Time without a level adds nothing.
func (p Profile) Dose() Dose {
	sum := 0.0
	for _, s := range p.segments {
		sum += s.mid() * float64(s.Length())
	}
	return Dose(sum)
}

// Average returns the dose over a divisor above 0, as over Shift.
func (d Dose) Average(over quantity.Minutes) quantity.PPM {
	return quantity.PPM(float64(d) / float64(over))
}

// Join puts profiles of different times, such as of one stay after the other, into
// one. Where two hold a level at one time both count; keep their times apart.
func Join(parts ...Profile) Profile {
	var out Profile
	for _, p := range parts {
		out.segments = append(out.segments, p.segments...)
	}
	slices.SortStableFunc(out.segments, func(a, b segment) int { return cmp.Compare(a.From, b.From) })
	return out
}
