package events

import (
	"cmp"
	"iter"
	"slices"
	"time"
)

// View is the two clocks through which a log is looked at. A zero time sets no
// limit.
type View struct {
	AsOf    time.Time // only what had happened by then
	KnownAt time.Time // only what the post had been told by then
}

// Entry is a recorded entry as the whole log makes one understand it. Payload and
// Occurred are as put right; Said and SaidWhen are as first recorded.
type Entry struct {
	Recorded
	Said     Payload
	SaidWhen When

	PutRight  []*Entry      // corrections that apply, oldest first
	Struck    *Entry        // the strike that took it back, nil when none
	Joined    *Entry        // the entry it is a second witness of, nil when none
	Witnesses []*Entry      // entries that are second witnesses of this one
	Target    *Entry        // for a correction, strike or join: what it acts on
	ClockOff  time.Duration // how far its device's clock ran ahead
	Marks     []string      // what a reader must be told about the entry

	at    time.Time // resolved instant to sort by
	first bool      // sorts before others of the same instant: "before entry n"
	place int       // order in which the entries were recorded
}

// Time is the best instant of the entry: as put right, by the corrected clock,
// and for "before entry n" the time of that entry.
func (e *Entry) Time() time.Time { return e.at }

// Live reports whether the entry counts: neither struck nor a second witness.
func (e *Entry) Live() bool { return e.Struck == nil && e.Joined == nil }

// Delay is how long after it happened the post learned of the entry; negative
// when it was told ahead of its time, as by a clock that runs fast.
func (e *Entry) Delay() time.Duration { return e.KnownAt().Sub(e.at) }

// Timeline is a log's entries in the order in which things happened.
type Timeline struct {
	View    View
	Entries []*Entry // all of them: struck ones and second witnesses too

	byID map[ID]*Entry
}

// NewTimeline puts recorded entries, of one log or of several logs of one
// incident, into the order in which things happened: by corrected time, then
// node, then place in the log. It applies corrections, strikes, joins and clock
// checks, and leaves out what the view excludes. The order in which recorded
// holds the entries does not matter, and an entry held twice counts once.
func (c *Catalogue) NewTimeline(recorded []Recorded, v View) *Timeline {
	t := &Timeline{View: v, byID: make(map[ID]*Entry, len(recorded))}
	entries := make([]Entry, 0, len(recorded))
	for i := range recorded {
		r := &recorded[i]
		if t.byID[r.ID] != nil || !v.KnownAt.IsZero() && r.KnownAt().After(v.KnownAt) {
			continue
		}
		entries = append(entries, Entry{Recorded: *r, Said: r.Payload, SaidWhen: r.Occurred, at: r.Occurred.At})
		t.byID[r.ID] = &entries[len(entries)-1]
	}
	t.Entries = make([]*Entry, len(entries))
	for i := range entries {
		t.Entries[i] = &entries[i]
		t.Entries[i].Marks = slices.Clone(entries[i].Faults)
	}
	slices.SortFunc(t.Entries, recordedOrder)
	for i, e := range t.Entries {
		e.place = i
	}
	t.strike()
	t.correct(c)
	t.setClocks()
	t.resolve()
	slices.SortFunc(t.Entries, happenedOrder)
	t.join(c)
	t.cut()
	return t
}

func recordedOrder(a, b *Entry) int {
	return cmp.Or(a.RecordedAt.Compare(b.RecordedAt), cmp.Compare(a.Node, b.Node), cmp.Compare(a.Seq, b.Seq))
}

func happenedOrder(a, b *Entry) int {
	if d := a.at.Compare(b.at); d != 0 {
		return d
	}
	if a.first != b.first {
		if a.first {
			return -1
		}
		return 1
	}
	return cmp.Or(cmp.Compare(a.Node, b.Node), cmp.Compare(a.Seq, b.Seq), cmp.Compare(a.place, b.place))
}

// resolve gives every entry an instant to sort by. An entry said to be before
// another takes that entry's instant; where the other is not there it keeps the
// time it was told.
func (t *Timeline) resolve() {
	for _, e := range t.Entries {
		e.at = e.Occurred.At
	}
	for _, e := range t.Entries {
		if e.Occurred.Form != Before {
			continue
		}
		e.at, e.first = e.KnownAt(), true
		if anchor := t.anchor(e); anchor != nil {
			e.at = anchor.at
		} else {
			e.Marks = append(e.Marks, "said to be before an entry that is not in this log; placed when it was told")
		}
	}
}

// anchor follows "before" to an entry with a time of its own, nil when the chain
// leads nowhere or round in a circle.
func (t *Timeline) anchor(e *Entry) *Entry {
	for range len(t.Entries) {
		e = t.byID[e.Occurred.Entry]
		if e == nil || e.Occurred.Form != Before {
			return e
		}
	}
	return nil
}

// cut drops what had not happened yet.
func (t *Timeline) cut() {
	if t.View.AsOf.IsZero() {
		return
	}
	t.Entries = slices.DeleteFunc(t.Entries, func(e *Entry) bool { return e.at.After(t.View.AsOf) })
}

// Live yields the entries that count, in order.
func (t *Timeline) Live() iter.Seq[*Entry] {
	return func(yield func(*Entry) bool) {
		for _, e := range t.Entries {
			if e.Live() && !yield(e) {
				return
			}
		}
	}
}

// Find returns the entry with the id, nil when the view does not hold it.
func (t *Timeline) Find(id ID) *Entry { return t.byID[id] }

// End is the moment at which the view stands: its as-of time, or else the last
// thing told or happened. A log without entries ends at the zero time.
func (t *Timeline) End() time.Time {
	if !t.View.AsOf.IsZero() {
		return t.View.AsOf
	}
	if !t.View.KnownAt.IsZero() {
		return t.View.KnownAt
	}
	var end time.Time
	for _, e := range t.Entries {
		for _, at := range []time.Time{e.at, e.Reported} {
			if at.After(end) {
				end = at
			}
		}
	}
	return end
}
