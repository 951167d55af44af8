package events

import (
	"maps"
	"slices"
)

// With returns the timeline with one more entry of the same log, and that entry. The
// entries of both are the same ones, t is left as it is, and what comes out is what
// NewTimeline would make of all of them. That takes an entry which changes no other:
// where it may (it puts something right, states a fact a second time, is one that
// others name, or comes of a clock that is off), With returns nil, and the timeline is to
// be made anew.
func (t *Timeline) With(c *Catalogue, r Recorded) (*Timeline, *Entry) {
	if t.adrift || t.View != (View{}) || t.byID[r.ID] != nil || r.Occurred.Form == Before || acts(r.Payload) {
		return nil, nil
	}
	if t.newest != nil && recordedOrder(t.newest, &r) >= 0 {
		return nil, nil
	}
	e := newEntry(c, &r, len(t.Entries))
	if len(t.checks[e.clock()]) > 0 {
		return nil, nil
	}
	e.at, e.settled = e.Occurred.At, true
	place, _ := slices.BinarySearchFunc(t.Entries, &e, happenedOrder)
	if t.tellsAgain(c, &e, place) {
		return nil, nil
	}
	grown := *t
	grown.Entries = slices.Insert(slices.Clone(t.Entries), place, &e)
	grown.newest, grown.byID = &e.Recorded, maps.Clone(t.byID)
	grown.byID[e.ID] = &e
	return &grown, &e
}

// acts reports whether a payload does something to other entries.
func acts(p Payload) bool {
	switch p.(type) {
	case Corrector, Striker, Joiner, ClockChecker:
		return true
	}
	return false
}

// tellsAgain reports whether e, which is to stand at a place, states a fact that another
// entry of its instant states too.
func (t *Timeline) tellsAgain(c *Catalogue, e *Entry, place int) bool {
	for _, o := range slices.Backward(t.Entries[:place]) {
		if !o.at.Equal(e.at) {
			break
		}
		if c.sameWitnessed(o, e) {
			return true
		}
	}
	for _, o := range t.Entries[place:] {
		if !o.at.Equal(e.at) {
			break
		}
		if c.sameWitnessed(e, o) {
			return true
		}
	}
	return false
}
