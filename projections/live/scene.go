package live

import (
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
}

// folded is a log folded once. What depends on the hour is worked out from it for each
// hour anew, by one goroutine alone.
type folded struct {
	recorded []events.Recorded
	timeline *events.Timeline
	incident *projections.Incident
}

// last is the number of the newest entry that the state holds.
func (f *folded) last() events.Seq { return lastOf(f.recorded) }

// at is the state at the hour now, to the second. A log that was told something later
// than that stands where it was told last.
func (f *folded) at(judge func(*projections.Incident, *events.Timeline), now time.Time) *Scene {
	inc := *f.incident
	if now.Before(inc.AsOf) {
		now = inc.AsOf
	}
	now = now.Truncate(time.Second)
	if !inc.AsOf.IsZero() {
		inc.AsOf = now.In(inc.AsOf.Location())
	}
	if judge != nil {
		judge(&inc, f.timeline)
	}
	return &Scene{At: now, State: inc.State(), Incident: &inc, Timeline: f.timeline, Recorded: f.recorded}
}
