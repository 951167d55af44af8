package events

import (
	"bytes"
	"cmp"
	"fmt"
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

	desk    bool      // of a kind that is written over the report
	at      time.Time // resolved instant to sort by
	steps   int       // how many "before entry n" lead to the entry that gave at; 0 for a time of its own
	timed   bool      // a correction gave its time
	place   int       // order in which the entries were recorded
	settled bool      // at and steps are final
}

// Time is the best instant of the entry: as put right, by the corrected clock,
// and for "before entry n" the time of that entry.
func (e *Entry) Time() time.Time { return e.at }

// Live reports whether the entry counts: neither struck nor a second witness.
func (e *Entry) Live() bool { return e.Struck == nil && e.Joined == nil }

// Desk reports whether the entry was written afterwards over the report. It is no part
// of the incident: it makes nothing last longer.
func (e *Entry) Desk() bool { return e.desk }

// Delay is how long after it happened the post learned of the entry; negative
// when it was told ahead of its time, as by a clock that runs fast.
func (e *Entry) Delay() time.Duration { return e.KnownAt().Sub(e.at) }

// Timeline is a log's entries in the order in which things happened.
type Timeline struct {
	View    View
	Entries []*Entry // all of them: struck ones and second witnesses too

	byID   map[ID]*Entry
	newest *Recorded           // the last in the order in which they were recorded
	checks map[string][]*Entry // clock checks of each device
	adrift bool                // some entry names one that is not here
}

// NewTimeline puts recorded entries, of one log or of several logs of one
// incident, into the order in which things happened: by corrected time, then
// node, then place in the log. It applies corrections, strikes, joins and clock
// checks, and leaves out what the view excludes. The order in which recorded
// holds the entries does not matter, and an entry held twice counts once.
func (c *Catalogue) NewTimeline(recorded []Recorded, v View) *Timeline {
	t := &Timeline{View: v, byID: make(map[ID]*Entry, len(recorded))}
	t.take(c, recorded)
	t.strike()
	t.correct(c)
	t.setClocks()
	t.resolve()
	slices.SortFunc(t.Entries, happenedOrder)
	t.join(c)
	t.cut()
	return t
}

// take lists the entries that the post knew of in the order in which they were
// recorded. Of the same fact under one id, as two machines record it that were both
// told, the first stands; two facts under one id are both kept, and marked.
func (t *Timeline) take(c *Catalogue, recorded []Recorded) {
	order := make([]*Recorded, len(recorded))
	for i := range recorded {
		order[i] = &recorded[i]
	}
	slices.SortStableFunc(order, recordedOrder)
	entries := make([]Entry, 0, len(recorded)) // never grown: t points into it
	t.Entries = make([]*Entry, 0, len(recorded))
	for _, r := range order {
		if !t.View.KnownAt.IsZero() && r.KnownAt().After(t.View.KnownAt) {
			continue
		}
		held := t.byID[r.ID]
		if held != nil && c.SameFact(r.Draft, held.Recorded) {
			continue
		}
		entries = append(entries, newEntry(c, r, len(entries)))
		e := &entries[len(entries)-1]
		t.Entries, t.newest = append(t.Entries, e), &e.Recorded
		if held == nil {
			t.byID[r.ID] = e
			continue
		}
		e.Marks = append(e.Marks, fmt.Sprintf("has the id of entry %d of %s but says something else; both stand", held.Seq, held.Node))
	}
}

// newEntry is a recorded entry as it was said, nothing applied to it yet.
func newEntry(c *Catalogue, r *Recorded, place int) Entry {
	e := Entry{Recorded: *r, Said: r.Payload, SaidWhen: r.Occurred, Marks: slices.Clone(r.Faults), place: place}
	if typ := c.Type(r.Payload.Kind()); typ != nil {
		e.desk = typ.Desk
	}
	return e
}

func recordedOrder(a, b *Recorded) int {
	return cmp.Or(a.RecordedAt.Compare(b.RecordedAt), cmp.Compare(a.Node, b.Node), cmp.Compare(a.Seq, b.Seq), bytes.Compare(a.Hash[:], b.Hash[:]))
}

func happenedOrder(a, b *Entry) int {
	if d := a.at.Compare(b.at); d != 0 { // nearly always
		return d
	}
	return cmp.Or(cmp.Compare(b.steps, a.steps), cmp.Compare(a.Node, b.Node), cmp.Compare(a.Seq, b.Seq), cmp.Compare(a.place, b.place))
}

// resolve gives every entry an instant to sort by.
func (t *Timeline) resolve() {
	for _, e := range t.Entries {
		if e.Occurred.Form != Before {
			e.at, e.settled = e.Occurred.At, true
		}
	}
	for _, e := range t.Entries {
		if !e.settled {
			t.anchor(e)
		}
	}
}

// anchor follows "before" from e to an entry with an instant and gives that instant
// to all on the way. Where the way ends at an entry that is not there, or runs in a
// circle, the last on it is placed when it was told.
func (t *Timeline) anchor(e *Entry) {
	var way []*Entry
	for e != nil && !e.settled && e.steps == 0 {
		e.steps = 1 // on the way: met again, it closes a circle
		way = append(way, e)
		e = t.byID[e.Occurred.Entry]
	}
	if e == nil || !e.settled {
		last := way[len(way)-1]
		last.at, last.settled = last.KnownAt(), true
		last.Marks = append(last.Marks, adrift(e))
		t.adrift = t.adrift || e == nil
		e, way = last, way[:len(way)-1]
	}
	for _, w := range slices.Backward(way) {
		w.at, w.steps, w.settled = e.at, e.steps+1, true
		e = w
	}
}

// adrift says why an entry could not be placed before another.
func adrift(other *Entry) string {
	if other == nil {
		return "said to be before an entry that is not in this log; placed when it was told"
	}
	return fmt.Sprintf("said to be before entry %d, which is said to be before it; placed when it was told", other.Seq)
}

// cut drops what had not happened yet.
func (t *Timeline) cut() {
	if t.View.AsOf.IsZero() {
		return
	}
	t.Entries = slices.DeleteFunc(t.Entries, func(e *Entry) bool {
		late := e.at.After(t.View.AsOf)
		if late && t.byID[e.ID] == e {
			delete(t.byID, e.ID)
		}
		return late
	})
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

// End is the moment at which the view stands: its as-of time, or else the last time
// the post was told something of the incident. An entry that says it happened after that does not
// move the end: a slip in one date must not make everything else last until then.
// A log without entries ends at the zero time.
func (t *Timeline) End() time.Time {
	if !t.View.AsOf.IsZero() {
		return t.View.AsOf
	}
	if !t.View.KnownAt.IsZero() {
		return t.View.KnownAt
	}
	var end time.Time
	for _, e := range t.Entries {
		if e.desk {
			continue
		}
		at := e.Reported
		if at.IsZero() && !e.at.After(e.RecordedAt) {
			at = e.at
		}
		if at.After(end) {
			end = at
		}
	}
	return end
}
