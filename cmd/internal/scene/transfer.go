package scene

import (
	"slices"
	"strings"
	"time"

	"tankside/events"
	"tankside/events/intake/lines"
	"tankside/events/kinds"
	"tankside/events/quantity"
	"tankside/projections"
)

// amount is what an entry said, in the canonical unit.
func amount[Q quantity.Quantity](a quantity.Amount[Q]) lines.Maybe {
	if !a.Said() {
		return lines.Maybe{}
	}
	return lines.Some(float64(a.Value()))
}

func orElse(a, b lines.Maybe) lines.Maybe {
	if a.Known {
		return a
	}
	return b
}

func plus(a, b lines.Maybe) lines.Maybe {
	if !a.Known || !b.Known {
		return orElse(a, b)
	}
	return lines.Some(a.Value + b.Value)
}

func figure(f projections.Figure) lines.Maybe {
	if !f.Known {
		return lines.Maybe{}
	}
	return lines.Some(f.Value)
}

// transfer takes what an entry says of a leg.
func (s *scene) transfer(e *events.Entry) {
	switch k := e.Payload.(type) {
	case kinds.LoadStated:
		for _, c := range k.C {
			s.loads[c.Key] = amount(c.Value)
		}
	case kinds.PumpOn:
		from, to, _ := strings.Cut(e.Where, " to ")
		leg := s.leg(k.Leg, first(k.From, from), first(k.To, to))
		leg.Running, leg.Held, leg.Start, leg.Meter, leg.Unit = true, false, e.Time(), k.Meter, k.Start.Unit
		read(leg, e.Time(), k.Start)
	case kinds.MeterRead:
		if leg := s.legCalled(k.Leg, e.Where); leg != nil {
			read(leg, e.Time(), k.Reads)
		}
	case kinds.PumpOff:
		if leg := s.legCalled(k.Leg, e.Where); leg != nil {
			leg.Running = false
			read(leg, e.Time(), k.Meter)
		}
	case kinds.PumpHeld:
		if leg := s.legCalled(k.Leg, e.Where); leg != nil {
			leg.Held = k.State == "held"
			read(leg, e.Time(), k.Meter)
		}
	}
}

func first(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

// leg returns the leg of that name, a new one if it is not known.
func (s *scene) leg(name, from, to string) *lines.Leg {
	i := slices.IndexFunc(s.ctx.Legs, func(l lines.Leg) bool { return l.ID == name })
	if i < 0 {
		s.ctx.Legs = append(s.ctx.Legs, lines.Leg{ID: name})
		i = len(s.ctx.Legs) - 1
	}
	leg := &s.ctx.Legs[i]
	leg.From, leg.To = first(from, leg.From), first(to, leg.To)
	return leg
}

// legCalled returns the leg that an entry names, or whose two ends are its place.
func (s *scene) legCalled(name, where string) *lines.Leg {
	for i := range s.ctx.Legs {
		leg := &s.ctx.Legs[i]
		if name != "" && leg.ID == name || name == "" && where == leg.From+" to "+leg.To {
			return leg
		}
	}
	return nil
}

func read(leg *lines.Leg, at time.Time, a quantity.Amount[quantity.Gallons]) {
	if v := amount(a); v.Known {
		leg.Readings = append(leg.Readings, lines.MeterAt{At: at, Value: v.Value})
	}
}

// volumes takes what was worked out of compartments and receivers.
func (s *scene) volumes(v *projections.VolumeState) {
	for _, c := range v.Compartments {
		s.ctx.Compartments = append(s.ctx.Compartments, lines.Compartment{
			Name: c.ID, Load: orElse(s.loads[c.ID], figure(c.Load)), Pumped: figure(c.Transferred), Product: c.Product,
		})
	}
	for _, r := range v.Receivers {
		t := s.truck(r.Truck)
		if t == nil || r.ID != r.Truck {
			continue
		}
		t.Room, t.Product = figure(r.Room), first(r.Product, t.Product)
		t.Usable = orElse(figure(r.Usable), t.Usable)
	}
	for _, l := range v.Leaks {
		if !l.Stop.IsZero() {
			continue
		}
		leak := lines.Leak{Where: l.Place}
		if n := len(l.Rates); n > 0 {
			leak.Rate = figure(l.Rates[n-1].Rate)
		}
		s.ctx.Leaks = append(s.ctx.Leaks, leak)
	}
}

// others takes holes, rods and stops.
func (s *scene) others(inc *projections.Incident, now time.Time) {
	for _, h := range inc.Holes.All {
		s.ctx.Holes = append(s.ctx.Holes, lines.Hole{ID: h.ID, Compartment: h.Compartment, Use: h.Use, Through: !h.Through.IsZero(), Plugged: !h.Plugged.IsZero()})
	}
	for _, r := range inc.Grounding.Rods {
		for name := range strings.FieldsSeq(r.Rod) {
			if len(name) == 2 && name[0] == 'G' && !slices.Contains(s.ctx.Rods, name) {
				s.ctx.Rods = append(s.ctx.Rods, name)
				break
			}
		}
	}
	for _, st := range inc.Stops.List(now) {
		if st.End.IsZero() {
			s.ctx.Stops = append(s.ctx.Stops, stopOf(st))
		}
	}
}

func stopOf(st projections.Stop) lines.Stop {
	out := lines.Stop{Where: st.Place, Why: st.Why}
	if len(st.Start.From) > 0 {
		out.Seq = st.Start.From[0]
	}
	return out
}

// people takes the pairs: who is of them, who is in, since when and on what air.
func (s *scene) people(inc *projections.Incident) {
	for _, p := range inc.Persons() {
		pair := s.pair(strings.TrimRight(strings.TrimPrefix(p.Person, "P"), "ABCDE"))
		pair.Members = append(pair.Members, p.Person)
		pair.EverIn = pair.EverIn || p.Number > 0
		if n := len(p.Trips); n > 0 {
			trip := p.Trips[n-1]
			pair.LastTask = trip.Task
			if trip.PressureIn.Known {
				pair.Air[p.Person] = trip.PressureIn.Value
			}
			if p.In {
				pair.In, pair.Since = append(pair.In, p.Person), trip.Start.Best
			}
		}
		for _, r := range p.Rehab {
			pair.InRehab = !r.Start.IsZero() && r.End.IsZero()
		}
	}
	if b := inc.People.Standing(); b != nil {
		s.pair(b.Pair).Backup = true
	}
}

func (s *scene) pair(name string) *lines.Pair {
	for i := range s.ctx.Pairs {
		if s.ctx.Pairs[i].Name == name {
			return &s.ctx.Pairs[i]
		}
	}
	s.ctx.Pairs = append(s.ctx.Pairs, lines.Pair{Name: name, Air: map[string]float64{}})
	return &s.ctx.Pairs[len(s.ctx.Pairs)-1]
}
