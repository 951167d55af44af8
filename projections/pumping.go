package projections

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"tankside/events"
	"tankside/events/kinds"
)

func (p *Phases) note(e *events.Entry, format string, args ...any) {
	p.Notes = append(p.Notes, Note{e.Seq, fmt.Sprintf(format, args...)})
}

// runOf names a leg, or where it has no name the two places it runs between.
func runOf(e *events.Entry, name string) string { return orElse(name, e.Where) }

// PumpRun is one run of pumping with the times it was held.
type PumpRun struct {
	Interval
	Leg         string     `json:"leg"`
	Compartment string     `json:"compartment,omitempty"` // it draws from
	Truck       string     `json:"truck,omitempty"`       // it loads
	Held        []Interval `json:"held,omitempty"`
}

// moving returns the stretches of the leg during which product moved.
func (l *PumpRun) moving(now time.Time) []Interval {
	return without([]Interval{l.Interval}, merge(l.Held), now)
}

// holding returns the hold that has not ended, nil when the leg is not held.
func (l *PumpRun) holding() *Interval {
	if n := len(l.Held); n > 0 && l.Held[n-1].End.IsZero() {
		return &l.Held[n-1]
	}
	return nil
}

func (p *Phases) pumpOn(e *events.Entry, k kinds.PumpOn) {
	name := runOf(e, k.Leg)
	if i, on := p.running[name]; on {
		p.note(e, "pump on for %s, which has been running since %s; the first time on stands", name, clock(p.Legs[i].Start.Best))
		return
	}
	from, to, _ := strings.Cut(e.Where, " to ")
	p.Legs = append(p.Legs, PumpRun{
		Leg: name, Interval: Interval{Start: MomentOf(e)},
		Compartment: compartmentOf(orElse(k.From, from)), Truck: TruckOf(receiverIn(orElse(k.To, to))),
	})
	if e.Occurred.Form == events.Span {
		p.Legs[len(p.Legs)-1].End = EndOf(e)
		p.pumped(EndOf(e))
		return
	}
	p.running = setIn(p.running, name, len(p.Legs)-1)
	p.last(atLastPumpOff, Moment{})
}

// pumped takes the end of a leg. It is the last only once no leg runs any more.
func (p *Phases) pumped(end Moment) {
	if end.Best.After(p.pumpedTo.Best) {
		p.pumpedTo = end
	}
	if len(p.running) == 0 {
		p.last(atLastPumpOff, p.pumpedTo)
	}
}

func (p *Phases) pumpOff(e *events.Entry, name string) {
	name = runOf(e, name)
	i, on := p.running[name]
	if !on {
		p.note(e, "pump off for %s, which was not running by the log", name)
		p.pumped(EndOf(e))
		return
	}
	delete(p.running, name)
	p.Legs[i].End = MomentOf(e)
	if h := p.Legs[i].holding(); h != nil {
		h.End = MomentOf(e)
	}
	p.pumped(EndOf(e))
}

func (p *Phases) held(e *events.Entry, k kinds.PumpHeld) {
	name := runOf(e, k.Leg)
	i, on := p.running[name]
	if !on {
		p.note(e, "%s was %s, but was not running by the log", name, orElse(k.State, "held"))
		return
	}
	l := &p.Legs[i]
	h := l.holding()
	switch {
	case k.State == "resumed" && h != nil:
		h.End = MomentOf(e)
	case k.State == "resumed":
		p.note(e, "%s was resumed but was never logged held", name)
	case h == nil:
		l.Held = append(l.Held, Interval{Start: MomentOf(e)})
	}
}

// leak notes a leak found; one that was stopped at once is found and stopped.
func (p *Phases) leak(e *events.Entry, fixed bool) {
	if p.leakAt(e.Where) < 0 {
		p.openLeaks = append(p.openLeaks, len(p.Leaks))
		p.Leaks = append(p.Leaks, Leak{Place: e.Where, Found: MomentOf(e)})
	}
	if fixed {
		p.stopped(e)
	}
}

// leakAt finds the leak at a place among those not stopped, -1 when there is none.
// "C3 lid" also means "C3 lid under water".
func (p *Phases) leakAt(place string) int {
	for _, i := range p.openLeaks {
		if p.Leaks[i].Place == place {
			return i
		}
	}
	for _, i := range p.openLeaks {
		if l := p.Leaks[i].Place; place != "" && l != "" && (strings.HasPrefix(l, place) || strings.HasPrefix(place, l)) {
			return i
		}
	}
	return -1
}

func (p *Phases) slowed(e *events.Entry) {
	if i := p.leakAt(e.Where); i < 0 {
		p.noLeak(e, "slowed")
	} else if p.Leaks[i].Slowed.IsZero() {
		p.Leaks[i].Slowed = MomentOf(e)
	}
}

func (p *Phases) stopped(e *events.Entry) {
	i := p.leakAt(e.Where)
	if i < 0 {
		p.noLeak(e, "stopped")
		return
	}
	p.Leaks[i].Stopped = MomentOf(e)
	p.openLeaks = slices.DeleteFunc(p.openLeaks, func(o int) bool { return o == i })
}

func (p *Phases) noLeak(e *events.Entry, what string) {
	p.note(e, "a leak at %s was %s, but no open leak there was logged", orElse(e.Where, "a place not said"), what)
}
