// Package rest works out when a rest is owed after work on air or in a suit, and how
// long the next stretch of work may be. The numbers are a department's to set; its
// medical control decides who goes in again.
package rest

import (
	"fmt"
	"math"

	"tankside/events/quantity"
)

// Rule is when a rest is owed and how long it lasts.
type Rule struct {
	Bottles int              // so many bottles of up to Short minutes
	Short   quantity.Minutes // of rated time; one bottle that is rated for longer is enough
	Work    quantity.Minutes // of work, on air or not
	First   quantity.Minutes // the least rest
	After   quantity.Minutes // the rest after a rest
	Source  string
}

// Usual is the rule of NFPA 1584 as a state code restates it: rest after the second
// 30-minute bottle, after one of 45 or 60 minutes, or after 40 minutes of work; 10 to
// 20 minutes. Departments differ: some wait for 45 minutes, or for a second 45-minute
// bottle.
var Usual = Rule{2, 30, 40, 10, 20, "NFPA 1584, as WAC 296-305-05004 restates it"}

// Check says what is wrong with a rule, nil when nothing is.
func (r Rule) Check() error {
	if !(r.Bottles > 0 && r.Short >= 0 && r.Work > 0 && r.First > 0 && r.After >= r.First) || math.IsInf(float64(r.Work+r.After), 0) {
		return fmt.Errorf("rest: after %d bottles of %g min or %g min of work, %g to %g min: want all above 0 and the longer rest last", r.Bottles, r.Short, r.Work, r.First, r.After)
	}
	return nil
}

// Done is what somebody did since the last rest.
type Done struct {
	Rated []quantity.Minutes // of each bottle used; 0 where nobody said
	Work  quantity.Minutes
}

// Owed returns why a rest is owed, "" where none is. A bottle whose size nobody said
// counts as a short one: that a rest is owed is then certain, that none is owed is not.
func (r Rule) Owed(d Done) string {
	for _, m := range d.Rated {
		if m > r.Short {
			return fmt.Sprintf("a bottle of %g min", m)
		}
	}
	if len(d.Rated) >= r.Bottles {
		return fmt.Sprintf("%d bottles", len(d.Rated))
	}
	if d.Work >= r.Work {
		return fmt.Sprintf("%.0f min of work", d.Work)
	}
	return ""
}

// Most is the pulse of an age that a heart is taken to reach: 220 less the age.
// Source: common practice, no source.
func Most(age float64) quantity.PerMinute { return quantity.PerMinute(220 - age) }

// Next returns how long the next stretch may be: a third shorter after a stretch that
// ended with the pulse over a share of the most it can reach. Source: a medical
// protocol for hazmat entries, share 75 %.
func Next(worked quantity.Minutes, pulse, most quantity.PerMinute, share float64) quantity.Minutes {
	if float64(pulse) > share*float64(most) {
		return worked * 2 / 3
	}
	return worked
}
