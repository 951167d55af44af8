package projections

import (
	"slices"
	"time"
)

// Phase is a part of the incident with how long it took.
type Phase struct {
	Name      string     `json:"name"`
	Start     Moment     `json:"start"`
	End       Moment     `json:"end"`
	Elapsed   Figure     `json:"elapsed"`
	Basis     string     `json:"basis"`               // from what to what
	Stretches []Interval `json:"stretches,omitempty"` // where it ran more than once
	Summed    *Figure    `json:"summed,omitempty"`    // where stretches overlap: all of them added up
}

// Benchmark is a moment the others are timed against.
type Benchmark struct {
	Name  string `json:"name"`
	At    Moment `json:"at"`
	After Figure `json:"after"` // minutes since the mishap
}

// simple are the phases from one mark to another. More than one mark for a start
// or an end means the first of them that was recorded.
var simple = []struct {
	name       string
	start, end []mark
}{
	{"notification", []mark{atCrash, atCallIn}, []mark{atAlarm}},
	{"travel", []mark{atAlarm}, []mark{atFirstUnit}},
	{"size-up", []mark{atFirstUnit}, []mark{atSizedUp}},
	{"command", []mark{atFirstUnit}, []mark{atCommandTaken}},
	{"fire", []mark{atFireSeen}, []mark{atFireOut}},
	{"hazmat activation", []mark{atTeamAsked}, []mark{atTeamHere}},
	{"identification", []mark{atFirstUnit}, []mark{atProductKnown}},
	{"zones", []mark{atFirstUnit}, []mark{atZonesSet}},
	{"protective action", []mark{atPeopleOrdered}, []mark{atPeopleBack}},
	{"stabilisation", []mark{atFirstBraced}, []mark{atBracesChecked}},
	{"time to first entry", []mark{atTeamHere, atFirstUnit}, []mark{atFirstEntry}},
	{"time to first hole", []mark{atTeamHere, atFirstUnit}, []mark{atFirstHole}},
	{"time to first product moving", []mark{atTeamHere, atFirstUnit}, []mark{atFirstProduct}},
	{"last gallon to lift", []mark{atLastPumpOff}, []mark{atLiftBegun, atOnWheels}},
	{"lift", []mark{atLiftBegun}, []mark{atOnWheels}},
	{"emergency phase", []mark{atAlarm}, []mark{atEmergencyEnded}},
	{"whole incident", []mark{atCrash, atCallIn, atAlarm}, []mark{atLogClosed}},
}

// List returns the phases as at now, in the order of a job.
func (p *Phases) List(now time.Time) []Phase {
	var out []Phase
	for _, s := range simple {
		end := p.any(s.end, Moment{})
		start := p.any(s.start, p.at[end])
		out = append(out, p.phase(s.name, p.at[start], p.at[end], markNames[start]+" to "+markNames[end], now))
	}
	out = append(out, p.grounding(now), p.pumping(now))
	for _, l := range p.Leaks {
		if slices.Equal(l.Found.From, l.Stopped.From) {
			continue // found and stopped in one entry: it was never uncontrolled
		}
		end, basis := l.Stopped, "found to stopped"
		if !l.Slowed.IsZero() {
			end, basis = l.Slowed, "found to slowed"
		}
		out = append(out, p.phase("leak uncontrolled, "+orElse(l.Place, "place not said"), l.Found, end, basis, now))
	}
	return out
}

// any returns the first of the marks that was recorded and not after before, where
// that is given; or else the first recorded, or else the first.
func (p *Phases) any(ms []mark, before Moment) mark {
	recorded := slices.DeleteFunc(slices.Clone(ms), func(m mark) bool { return p.at[m].IsZero() })
	for _, m := range recorded {
		if before.IsZero() || !p.at[m].Best.After(before.Best) {
			return m
		}
	}
	return append(recorded, ms...)[0]
}

func (p *Phases) phase(name string, start, end Moment, basis string, now time.Time) Phase {
	return Phase{Name: name, Start: start, End: end, Elapsed: p.lasted(start, end, now), Basis: basis}
}

// grounding is complete when both a ground and a bond read within their limit.
func (p *Phases) grounding(now time.Time) Phase {
	end := p.at[atGroundGood]
	if bond := p.at[atBondGood]; end.IsZero() || bond.IsZero() || bond.Best.After(end.Best) {
		end = bond
	}
	if p.at[atGroundGood].IsZero() {
		end = Moment{}
	}
	return p.phase("grounding", p.at[atFirstRod], end, "first ground rod or reading to ground and bond within limit", now)
}

// pumping is the time during which product moved: the union of the legs less the
// times held, with all legs added up beside it (pump-hours).
func (p *Phases) pumping(now time.Time) Phase {
	ph := p.phase("pumping", p.at[atFirstProduct], p.at[atLastPumpOff], "product moving: union of the legs, held times left out", now)
	if len(p.Legs) == 0 {
		return ph
	}
	var all []Interval
	for i := range p.Legs {
		all = append(all, p.Legs[i].moving(now)...)
	}
	ph.Stretches = merge(all)
	ph.Elapsed = stay(ph.Stretches, "union", now)
	summed := stay(all, "added up over the legs", now)
	ph.Summed = &summed
	return ph
}

// stay adds up the minutes of intervals.
func stay(intervals []Interval, method string, now time.Time) Figure {
	var each []Figure
	for _, i := range intervals {
		each = append(each, lasting(i.Start, i.End, now))
	}
	return Sum("min", method, each)
}

// Benchmarks returns the moments recorded, in the order of time, with the minutes
// since the mishap.
func (p *Phases) Benchmarks() []Benchmark {
	var out []Benchmark
	for m := range marks {
		if at := p.at[m]; !at.IsZero() {
			b := Benchmark{Name: markNames[m], At: at, After: Lacking("min", "time of the mishap")}
			if !p.at[atCrash].IsZero() {
				b.After = Elapsed(p.at[atCrash], at, at.Best)
			}
			out = append(out, b)
		}
	}
	slices.SortStableFunc(out, func(a, b Benchmark) int { return a.At.Best.Compare(b.At.Best) })
	return out
}
