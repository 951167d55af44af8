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
}

// folded is a log folded once. What depends on the hour is worked out from it for each
// hour that is asked for.
type folded struct {
	recorded []events.Recorded
	timeline *events.Timeline
	incident *projections.Incident

	mu    sync.Mutex // one at a time: readers of one state must not meet inside it
	scene *Scene     // the last that was asked for
}

// last is the number of the newest entry that the state holds.
func (f *folded) last() events.Seq {
	if len(f.recorded) == 0 {
		return 0
	}
	return f.recorded[len(f.recorded)-1].Seq
}

// at is the state at the hour now, to the second. A log that was told something later
// than that stands where it was told last.
func (f *folded) at(judge func(*projections.Incident, *events.Timeline), now time.Time) *Scene {
	f.mu.Lock()
	defer f.mu.Unlock()
	if end := f.incident.AsOf; now.Before(end) {
		now = end
	}
	now = now.Truncate(time.Second)
	if f.scene != nil && f.scene.At.Equal(now) {
		return f.scene
	}
	inc := *f.incident
	if !inc.AsOf.IsZero() {
		inc.AsOf = now.In(inc.AsOf.Location())
	}
	if judge != nil {
		judge(&inc, f.timeline)
	}
	f.scene = &Scene{At: now, State: inc.State(), Incident: &inc, Timeline: f.timeline, Recorded: f.recorded}
	return f.scene
}
