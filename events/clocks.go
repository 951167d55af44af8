package events

import (
	"fmt"
	"time"
)

// setClocks moves the times that a device stamped by how far its clock was found
// to run ahead, using the check nearest in time. The time as stamped stays in
// SaidWhen.
func (t *Timeline) setClocks() {
	checks := map[string][]*Entry{}
	for _, e := range t.Entries {
		if k, ok := e.Payload.(ClockChecker); ok && e.Struck == nil {
			if _, said := k.ClockOff(); said {
				checks[e.Where] = append(checks[e.Where], e)
			}
		}
	}
	for _, e := range t.Entries {
		check := nearest(checks[e.clock()], e.Occurred.At)
		if check == nil || check == e {
			continue
		}
		ahead, _ := check.Payload.(ClockChecker).ClockOff()
		e.ClockOff = ahead
		e.Occurred = e.Occurred.Shift(-ahead)
		e.Occurred.Hard = true
		e.Marks = append(e.Marks, fmt.Sprintf("clock of %s ran %v ahead (entry %d): stamped %s",
			e.clock(), ahead, check.Seq, e.SaidWhen.At.Format(time.TimeOnly)))
	}
}

// clock names the device that stamped the entry, "" when no device did.
func (e *Entry) clock() string {
	if e.Device != "" {
		return e.Device
	}
	if e.Channel == Device {
		return e.ObservedBy
	}
	return ""
}

func nearest(checks []*Entry, at time.Time) (best *Entry) {
	for _, k := range checks {
		if best == nil || k.Occurred.At.Sub(at).Abs() < best.Occurred.At.Sub(at).Abs() {
			best = k
		}
	}
	return best
}
