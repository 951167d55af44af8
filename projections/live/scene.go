package live

import (
	"sync"
	"time"

	"tankside/events"
	"tankside/projections"
)

// Scene is an incident at one hour, for as many readers as there are: nothing in it is
// to be changed.
type Scene struct {
	At       time.Time // the hour
	State    projections.State
	Incident *projections.Incident
	Timeline *events.Timeline
	Recorded []events.Recorded // what it was folded from, by number
	Judged   events.Seq        // the newest entry that the findings go by
	Stuck    string            // why later entries are not in it, empty while they are

	inside *sync.Mutex // whoever works something out of the incident
}

// Read lets do work something out of the incident; nobody else does meanwhile.
func (s *Scene) Read(do func(*projections.Incident, *events.Timeline)) {
	s.inside.Lock()
	defer s.inside.Unlock()
	do(s.Incident, s.Timeline)
}

// folded is a log folded once. What depends on the hour is worked out from it for each
// hour anew, by one goroutine at a time.
type folded struct {
	recorded []events.Recorded
	timeline *events.Timeline
	incident *projections.Incident
	end      time.Time // of the log; zero where it is empty
	inside   sync.Mutex
}

// last is the number of the newest entry that the state holds.
func (f *folded) last() events.Seq { return lastOf(f.recorded) }

// hour is now, to the second. A log that was told something later than that stands
// where it was told last.
func (f *folded) hour(now time.Time) time.Time {
	if now.Before(f.end) {
		now = f.end
	}
	return now.Truncate(time.Second)
}

// moved brings a state that nobody has seen yet to the hour now. What is worked out of
// it first, for lines that are typed, then serves the board as well.
func (f *folded) moved(now time.Time) *folded {
	if !f.end.IsZero() {
		f.incident.AsOf = f.hour(now).In(f.end.Location())
	}
	return f
}

// at is the incident at the hour now; where it stands no more than a second before that,
// as it stands.
func (f *folded) at(now time.Time, work func(inc *projections.Incident) projections.State) *Scene {
	f.inside.Lock()
	defer f.inside.Unlock()
	inc := *f.incident
	if now = f.hour(now); !f.end.IsZero() {
		if late := now.Sub(inc.AsOf); late < 0 || late > time.Second {
			inc.AsOf = now.In(inc.AsOf.Location())
		}
		now = inc.AsOf
	}
	state := work(&inc)
	return &Scene{At: now, State: state, Incident: &inc, Timeline: f.timeline, Recorded: f.recorded, inside: &f.inside}
}

// whole is the state at the hour now with all that the rules find.
func (f *folded) whole(judge func(*projections.Incident, *events.Timeline), now time.Time) *Scene {
	s := f.at(now, func(inc *projections.Incident) projections.State {
		if judge != nil {
			judge(inc, f.timeline)
		}
		return inc.State()
	})
	s.Judged = f.last()
	return s
}

// board is the state at the hour now as a board shows it: what takes long, the findings of
// the rules above all, is that of the scene before.
func (f *folded) board(timed func(*projections.Incident, *events.Timeline), now time.Time, before *Scene) *Scene {
	s := f.at(now, func(inc *projections.Incident) projections.State {
		inc.Findings, inc.Duties, inc.RulesOff, inc.RuleBook = before.State.Findings, before.State.Duties, before.State.RulesOff, before.State.RuleBook
		timed(inc, f.timeline)
		return inc.StateNow(&before.State)
	})
	s.Judged = before.Judged
	return s
}
