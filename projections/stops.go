package projections

import (
	"slices"
	"time"

	"tankside/events"
	"tankside/events/kinds"
)

// Stop is work stopped, until it was resumed.
type Stop struct {
	Interval
	Minutes Figure `json:"minutes"`
	Place   string `json:"place,omitempty"`
	Why     string `json:"why,omitempty"`
	Worker  string `json:"worker,omitempty"`
	Act     string `json:"act,omitempty"`
	Danger  string `json:"danger,omitempty"`
	By      string `json:"by,omitempty"`
	Resumed string `json:"resumed_on,omitempty"` // on which reading or word
}

// Signal is the signal to get out, or the all clear after it.
type Signal struct {
	At     Moment `json:"at"`
	Signal string `json:"signal,omitempty"`
	State  string `json:"state"`
	Why    string `json:"why,omitempty"`
}

// Stops is every time work was stopped.
type Stops struct {
	Signals []Signal
	Notes   []Note

	stops []Stop
	open  []int // in stops
}

// Apply folds one entry.
func (s *Stops) Apply(e *events.Entry) {
	switch k := e.Payload.(type) {
	case kinds.StopWork:
		s.open = append(s.open, len(s.stops))
		s.stops = append(s.stops, Stop{
			Interval: Interval{Start: MomentOf(e)}, Place: e.Where, Why: k.Why, Worker: k.Worker, Act: k.Act,
			Danger: k.Danger, By: orElse(k.By, e.ObservedBy),
		})
	case kinds.ResumeWork:
		s.resume(e, k)
	case kinds.SignalSounded:
		s.Signals = append(s.Signals, Signal{MomentOf(e), k.Signal, orElse(k.State, "sounded"), k.Why})
	}
}

// resume ends the stops at the same place; where nothing is stopped there, it ends
// the only stop that is open, and with several open it ends none.
func (s *Stops) resume(e *events.Entry, k kinds.ResumeWork) {
	here := func(i int) bool { return s.stops[i].Place == e.Where }
	if !slices.ContainsFunc(s.open, here) {
		if len(s.open) != 1 {
			s.Notes = append(s.Notes, Note{e.Seq, "work was resumed at " + orElse(e.Where, "a place not said") + ", but no stop there was logged"})
			return
		}
		here = func(int) bool { return true }
	}
	for _, i := range s.open {
		if here(i) {
			s.stops[i].End, s.stops[i].Resumed = MomentOf(e), resumedOn(k)
		}
	}
	s.open = slices.DeleteFunc(s.open, here)
}

func resumedOn(k kinds.ResumeWork) string {
	switch {
	case k.Benzene.Said():
		return "benzene " + k.Benzene.String()
	case k.LEL.Said():
		return "LEL " + k.LEL.String()
	case k.Bond.Said():
		return "bond " + k.Bond.String()
	}
	return orElse(k.Why, k.By)
}

// List returns the stops in the order of time, as at now.
func (s *Stops) List(now time.Time) []Stop {
	out := slices.Clone(s.stops)
	for i := range out {
		out[i].Minutes = lasting(out[i].Start, out[i].End, now)
	}
	return out
}
