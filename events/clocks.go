package events

import (
	"fmt"
	"slices"
	"time"
)

// setClocks moves the times that a device stamped by how far its clock was found
// to run ahead, using the check nearest in time. The time as stamped stays in
// SaidWhen. A time that a person put right is no longer the device's.
func (t *Timeline) setClocks() {
	checks := t.clockChecks()
	t.checks = checks
	if len(checks) == 0 {
		return
	}
	for _, e := range t.Entries {
		check := nearest(checks[e.clock()], e.Occurred.At)
		if check == nil || check == e || e.timed {
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

// clockChecks returns the checks of each device, in the order of time.
func (t *Timeline) clockChecks() map[string][]*Entry {
	checks := map[string][]*Entry{}
	for _, e := range t.Entries {
		if k, ok := e.Payload.(ClockChecker); ok && e.Struck == nil {
			if _, said := k.ClockOff(); said {
				checks[e.Where] = append(checks[e.Where], e)
			}
		}
	}
	for _, of := range checks {
		slices.SortStableFunc(of, func(a, b *Entry) int { return a.SaidWhen.At.Compare(b.SaidWhen.At) })
	}
	return checks
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

// nearest returns the check nearest to a time as stamped; of two equally near, the
// one before it. The checks are in the order of time.
func nearest(checks []*Entry, at time.Time) *Entry {
	after, _ := slices.BinarySearchFunc(checks, at, func(k *Entry, at time.Time) int { return k.SaidWhen.At.Compare(at) })
	switch {
	case len(checks) == 0:
		return nil
	case after == 0:
		return checks[0]
	case after == len(checks):
		return checks[after-1]
	case checks[after].SaidWhen.At.Sub(at) < at.Sub(checks[after-1].SaidWhen.At):
		return checks[after]
	}
	return checks[after-1]
}
