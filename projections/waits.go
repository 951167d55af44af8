package projections

import (
	"slices"
	"time"
)

// Wait is a time between two runs of the pump in which no product moved, with what
// the log has going on in it.
type Wait struct {
	Interval
	Minutes Figure   `json:"minutes"`
	Reasons []string `json:"reasons"`
}

// Waits returns the times between the first product moving and the last in which
// none moved, and names the stops, outages, openings and plugs that fall into each,
// and the late trucks among those that are loaded after it. What falls into a wait
// need not be its cause.
func (inc *Incident) Waits() []Wait {
	moving := inc.Phases.pumping(inc.AsOf).Stretches
	begins := inc.Phases.loading(inc.AsOf)
	var out []Wait
	var next [][]string // trucks that are loaded after each wait
	for i := 1; i < len(moving); i++ {
		next = append(next, begins[moving[i].Start.Best.UnixNano()])
		w := Wait{Interval: Interval{moving[i-1].End, moving[i].Start}, Reasons: []string{}}
		w.Minutes = Elapsed(w.Start, w.End, inc.AsOf)
		out = append(out, w)
	}
	for _, s := range inc.Stops.List(inc.AsOf) {
		inc.blame(out, s.Interval, "work stopped", s.Place, s.Why)
	}
	for _, o := range inc.Quality.Outages {
		inc.blame(out, o.Interval, o.What+" lost", o.Where, o.Cause)
	}
	for _, t := range inc.Trucks.List() {
		if t.Late.Known && t.Late.Value > 0 {
			late := Interval{t.ETAs[0].For, t.Arrived}
			for i := range out {
				if slices.Contains(next[i], t.Name) {
					inc.blame(out[i:i+1], late, t.Name+" late", "", "")
				}
			}
		}
	}
	holes := inc.Holes.List()
	for i := range out {
		out[i].openings(holes)
	}
	return out
}

// loading lists the trucks into which product begins to move, by that moment.
func (p *Phases) loading(now time.Time) map[int64][]string {
	trucks := map[int64][]string{}
	for i := range p.Legs {
		for _, m := range p.Legs[i].moving(now) {
			at := m.Start.Best.UnixNano()
			trucks[at] = append(trucks[at], p.Legs[i].Truck)
		}
	}
	return trucks
}

// openings adds the holes and outlets opened and closed during a wait.
func (w *Wait) openings(holes []Hole) {
	within := func(m Moment) bool {
		return !m.IsZero() && !m.Best.Before(w.Start.Best) && !m.Best.After(w.End.Best)
	}
	for _, h := range holes {
		if within(h.Through) {
			w.Reasons = append(w.Reasons, h.ID+" open "+clock(h.Through.Best))
		}
		if within(h.Plugged) {
			w.Reasons = append(w.Reasons, h.ID+" plugged "+clock(h.Plugged.Best))
		}
	}
}

// blame adds a reason to the waits that an interval overlaps.
func (inc *Incident) blame(waits []Wait, i Interval, what, place, why string) {
	for n := range waits {
		w := &waits[n]
		if i.Start.Best.Before(w.End.Best) && i.Until(inc.AsOf).After(w.Start.Best) {
			w.Reasons = append(w.Reasons, reason(what, place, why)+", "+clock(i.Start.Best)+" to "+clock(i.Until(inc.AsOf)))
		}
	}
}

// reason writes "what at place: why", leaving out what was not said.
func reason(what, place, why string) string {
	if place != "" {
		what += " at " + place
	}
	if why != "" {
		what += ": " + why
	}
	return what
}
