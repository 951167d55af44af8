package projections

import (
	"fmt"
	"math"
	"slices"

	"tankside/projections/calc/cylinder"
)

// lastTold is the pressure last told on a trip, with what it was told by.
func lastTold(t *Trip) Figure {
	if n := len(t.Pressures); n > 0 {
		return t.Pressures[n-1].Pressure
	}
	if t.PressureIn.Known {
		return t.PressureIn
	}
	return Lacking("psi", "a pressure")
}

// pressureAt is when that was.
func pressureAt(t *Trip) Moment {
	if n := len(t.Pressures); n > 0 {
		return t.Pressures[n-1].At
	}
	return t.Start
}

// Breathing where a wearer has no readings yet, L/min: work in a suit, between the
// rated breathing and very hard work (trade articles).
const (
	leastBreath  = float64(cylinder.RatedBreath)
	likelyBreath = 60
	mostBreath   = 100
)

// rate is what the estimate for somebody who is in goes by: the readings of the trip
// itself, else the person's own trips before, else a usual breathing where the bottle
// is known. Bounds are the slowest and the fastest of them.
func (k *supplies) rate(t *Trip, b cylinder.Type) Figure {
	if own := k.fallen(t); own.Known {
		return own
	}
	if len(k.rates) > 0 {
		return meanBetween(k.rates, "mean of the person's own trips before")
	}
	if b.Full > 0 {
		return Range(b.Takes(cylinder.LitresPerMinute(leastBreath)), b.Takes(likelyBreath), b.Takes(mostBreath), "psi/min",
			fmt.Sprintf("taken for work in a suit: %.0f L/min, %.0f to %.0f", float64(likelyBreath), leastBreath, float64(mostBreath)))
	}
	return Lacking("psi/min", "readings of a trip before, or which bottle")
}

// fallen is the fall of pressure on the trip so far.
func (k *supplies) fallen(t *Trip) Figure {
	told := lastTold(t)
	over := Elapsed(t.Start, pressureAt(t), k.now)
	if len(t.Pressures) == 0 || !t.PressureIn.Known || !over.Known || over.Value <= 0 || told.Value >= t.PressureIn.Value {
		return Lacking("psi/min")
	}
	return Exact((t.PressureIn.Value-told.Value)/over.Value, "psi/min", "readings of this trip", union(t.PressureIn.From, told.From)...)
}

// meanBetween is the mean of figures between their least and their greatest.
func meanBetween(fs []Figure, method string) Figure {
	out := Figure{Known: true, Low: math.Inf(1), High: math.Inf(-1), Unit: fs[0].Unit, Method: method}
	for _, f := range fs {
		out.Value += f.Value / float64(len(fs))
		out.Low, out.High = min(out.Low, f.Value), max(out.High, f.Value)
		out.From = union(out.From, f.From)
	}
	return out
}

// estimate works out what is left of the air of somebody who is in.
func (k *supplies) estimate(s *Supply, t *Trip) {
	s.Told, s.Verdict = lastTold(t), AirUnknown
	since := Elapsed(pressureAt(t), Moment{}, k.now)
	if !s.Told.Known || !s.Rate.Known || !since.Known || !s.AlarmAt.Known {
		why := slices.Concat(s.Told.Missing, s.Rate.Missing, s.AlarmAt.Missing)
		s.Now, s.ToAlarm, s.ToTurn = Lacking("psi", why...), Lacking("min", why...), Lacking("min", why...)
		return
	}
	left := func(from, rate float64) float64 { return from - rate*since.Value }
	now := Range(left(s.Told.Low, s.Rate.High), left(s.Told.Value, s.Rate.Value), left(s.Told.High, s.Rate.Low), "psi",
		fmt.Sprintf("%.0f psi told %.0f min ago, less what was breathed since: %s", s.Told.Value, since.Value, s.Rate.Method), union(s.Told.From, s.Rate.From)...)
	// How long ago a mark was passed goes on beyond the empty bottle; the pressure does not.
	s.ToAlarm, s.Verdict = until(now, s.AlarmAt, s.Rate), AirLeft
	s.ToTurn = until(now, s.TurnBack, s.Rate)
	s.Now = now
	s.Now.Low, s.Now.Value, s.Now.High = max(0, now.Low), max(0, now.Value), max(0, now.High)
	switch {
	case s.ToAlarm.Value <= 0:
		s.Verdict = AirAlarm
	case s.ToTurn.Known && s.ToTurn.Value <= 0:
		s.Verdict = AirTurn
	}
}

// until is the minutes in which a pressure falls to another, below 0 where it is past.
func until(from, to, rate Figure) Figure {
	if !to.Known || rate.Low <= 0 {
		return Lacking("min", to.Missing...)
	}
	least, most := from.Low-to.High, from.High-to.Low
	return Range(min(least/rate.Low, least/rate.High), (from.Value-to.Value)/rate.Value, max(most/rate.Low, most/rate.High), "min",
		"by estimate; the gauge goes before it", union(union(from.From, to.From), rate.From)...)
}

// teams sets the least time to the alarm of those who went in as one team.
func (k *supplies) teams() {
	for i := range k.out {
		s := &k.out[i]
		if !s.End.IsZero() {
			continue
		}
		least := s.ToAlarm
		for _, m := range k.out {
			if m.Pair != s.Pair || !m.End.IsZero() || !m.Start.Best.Equal(s.Start.Best) {
				continue
			}
			if !m.ToAlarm.Known {
				least = Lacking("min", "the air of "+m.Person)
				break
			}
			if m.ToAlarm.Value < least.Value {
				least = m.ToAlarm
			}
		}
		s.TeamAlarm = least
	}
}
