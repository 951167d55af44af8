package reconcile

import (
	"fmt"
	"math"
)

// check refuses what cannot be a problem: a number that is none, a place that is
// not there, a correlation beyond 1.
func (p *Problem) check() error {
	if !(p.Level >= 0 && p.Level < 1) {
		return fmt.Errorf("reconcile: level %g is outside 0 to 1; leave it 0 for 0.05", p.Level)
	}
	for _, s := range p.Streams {
		switch {
		case s.Measured && (math.IsNaN(s.Reading) || math.IsInf(s.Reading, 0)):
			return fmt.Errorf("reconcile: %s: reading %g is not a number; leave it unmeasured", s.Name, s.Reading)
		case s.Measured && !(s.SD >= 0 && s.SD < math.Inf(1)):
			return fmt.Errorf("reconcile: %s: standard error %g must be 0 or more; a reading of unknown doubt cannot be weighed", s.Name, s.SD)
		}
	}
	if err := p.checkConditions(); err != nil {
		return err
	}
	for _, c := range p.Correlations {
		if err := p.checkPlace("correlation", c.A, c.B); err != nil {
			return err
		}
		if c.A == c.B || !(math.Abs(c.R) <= 1) {
			return fmt.Errorf("reconcile: correlation %g between %s and %s: want two streams and −1 to 1",
				c.R, p.Streams[c.A].Name, p.Streams[c.B].Name)
		}
	}
	return nil
}

func (p *Problem) checkConditions() error {
	for _, b := range p.Balances {
		all := b.Equals
		for _, t := range b.Terms {
			if err := p.checkPlace(b.Name, t.Stream); err != nil {
				return err
			}
			all += t.Coef
		}
		if math.IsNaN(all) || math.IsInf(all, 0) {
			return fmt.Errorf("reconcile: balance %s: a coefficient or its sum is not a number", b.Name)
		}
	}
	for _, r := range p.Relations {
		if err := p.checkPlace(r.Name, r.Streams...); err != nil {
			return err
		}
	}
	return nil
}

func (p *Problem) checkPlace(what string, places ...int) error {
	for _, i := range places {
		if i < 0 || i >= len(p.Streams) {
			return fmt.Errorf("reconcile: %s: names stream %d; there are %d, counted from 0", what, i, len(p.Streams))
		}
	}
	return nil
}

// level is the share of sound data the tests may find fault with.
func (p *Problem) level() float64 {
	if p.Level == 0 {
		return 0.05
	}
	return p.Level
}
