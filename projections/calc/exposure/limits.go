package exposure

import (
	"fmt"
	"math"

	"tankside/events/quantity"
)

// Outcome is what can be said of a dose against a limit: three answers, not two.
type Outcome int

// The outcomes.
const (
	NotOver Outcome = iota
	PossiblyOver
	Over
)

// String names the outcome.
func (o Outcome) String() string { return [...]string{"not over", "possibly over", "over"}[o] }

// Judge holds estimates and an upper bound of one figure to a limit: over when every
// estimate is above it, possibly over when one is or when the upper bound is. Equal to
// the limit is not over. (How estimates that differ are joined is our judgement.)
func Judge(limit, high quantity.PPM, estimates ...quantity.PPM) Outcome {
	above := 0
	for _, v := range estimates {
		if v > limit {
			above++
		}
	}
	switch {
	case above > 0 && above == len(estimates):
		return Over
	case above > 0 || high > limit:
		return PossiblyOver
	}
	return NotOver
}

// Severity is a sample against its limit with the error of sampling and analysis: the
// ratio Y = X/L and its confidence limits Y ∓ SAE.
type Severity struct{ Y, Lower, Upper float64 }

// SeverityOf returns the severity of a level x against a limit above 0, both in one
// unit; sae is a share. Source: OSHA Technical Manual (second-hand).
func SeverityOf(x, limit, sae float64) Severity {
	y := x / limit
	return Severity{y, y - sae, y + sae}
}

// Outcome classes the severity: over when even the lower limit is above 1, not over
// when the upper is 1 or below.
func (s Severity) Outcome() Outcome {
	switch {
	case s.Lower > 1:
		return Over
	case s.Upper <= 1:
		return NotOver
	}
	return PossiblyOver
}

// Part is one substance of a mixture with like effect: its level and its limit, on one
// time basis and in one unit.
type Part struct{ Level, Limit float64 }

// Mixture returns the sum of the shares of the limits:
//
//	Em = Σ Ci/Li
//
// Above 1 is over. Parts on different time bases must not be mixed. Source: 29 CFR
// 1910.1000(d)(2).
func Mixture(parts []Part) (sum float64, err error) {
	for _, p := range parts {
		if !(p.Limit > 0) || !(p.Level >= 0) {
			return 0, fmt.Errorf("exposure: mixture: %g against a limit of %g: want a limit above 0 and no level below it", p.Level, p.Limit)
		}
		sum += p.Level / p.Limit
	}
	return sum, nil
}

// Daily returns the share of a limit for 8 h that a shift of so many hours leaves:
//
//	(8/h)·(24−h)/16
//
// never above 1: a short shift earns nothing. hours lies above 0 and up to 24. Source:
// Brief and Scala 1975.
func Daily(hours float64) (float64, error) { return reduced(hours, 8, 24) }

// Weekly returns the same for a working week of so many hours, up to 168:
//
//	(40/H)·(168−H)/128
//
// Source: Brief and Scala 1975.
func Weekly(hours float64) (float64, error) { return reduced(hours, 40, 168) }

func reduced(hours, usual, all float64) (float64, error) {
	if !(hours > 0 && hours <= all) {
		return 0, fmt.Errorf("exposure: %g h of work is outside 0 to %g h", hours, all)
	}
	return math.Min(1, usual/hours*(all-hours)/(all-usual)), nil
}

// Ceiling is a level not to be passed, with the single short period in a shift during
// which some substances may.
type Ceiling struct {
	Level   quantity.PPM
	Peak    quantity.PPM     // not to be passed even then; 0 where nothing above Level is allowed
	Minutes quantity.Minutes // of the single period
	Alone   bool             // allowed only where nothing else was measurable in the shift
}

// Above is how long and how often a profile was above a ceiling.
type Above struct {
	Total, Longest quantity.Minutes
	Times          int
	First          quantity.Minutes // when it first was; where Times is not 0
}

// Judge holds the profile of a shift to the ceiling: over past the peak or for longer
// than the minutes; possibly over when several periods only together stay within them,
// since the rule gives one. Source: 29 CFR 1910.1000 table Z-2 and its footnotes; what
// several periods mean is our judgement.
func (c Ceiling) Judge(p Profile) (Outcome, Above) {
	above := p.above(c.Level)
	switch {
	case above.Times == 0:
		return NotOver, above
	case c.Peak == 0 || p.Peak() > c.Peak || above.Total > c.Minutes:
		return Over, above
	case c.Alone && p.otherwise(c.Level):
		return Over, above
	case above.Times > 1:
		return PossiblyOver, above
	}
	return NotOver, above
}

// above finds the periods in which a profile is above a level; one that reaches over
// the edge of a segment is one.
func (p Profile) above(level quantity.PPM) (out Above) {
	var run Span
	for _, s := range p.segments {
		part, ok := s.over(float64(level))
		if !ok {
			continue
		}
		out.Total += part.Length()
		if out.Times == 0 || part.From > run.To {
			out.Times++
			run = part
		}
		if out.Times == 1 {
			out.First = run.From
		}
		run.To = part.To
		out.Longest = max(out.Longest, run.Length())
	}
	return out
}

// over is the part of the segment above a level.
func (s segment) over(level float64) (Span, bool) {
	if s.a <= level && s.b <= level {
		return Span{}, false
	}
	part := s.Span
	crosses := func() quantity.Minutes {
		return s.From + s.Length()*quantity.Minutes((level-s.a)/(s.b-s.a))
	}
	if s.a <= level {
		part.From = crosses()
	}
	if s.b <= level {
		part.To = crosses()
	}
	return part, true
}

// otherwise reports whether there was a measurable level outside the time above one.
func (p Profile) otherwise(level quantity.PPM) bool {
	for _, s := range p.segments {
		if (s.a > 0 || s.b > 0) && (s.a <= float64(level) || s.b <= float64(level)) {
			return true
		}
	}
	return false
}
