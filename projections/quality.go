package projections

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"tankside/events"
	"tankside/events/kinds"
)

// What counts as late or silent: common practice, no source.
const (
	LateAfter   = 10 * time.Minute // told this long after it happened
	SilentAfter = 10 * time.Minute // nothing told for this long
)

// Late is an entry told long after it happened.
type Late struct {
	Seq   events.Seq  `json:"seq"`
	Kind  events.Kind `json:"kind"`
	Delay Figure      `json:"delay"`  // min, from happening to being told
	Keyed Figure      `json:"keyed"`  // min, from being told to being in this log
	InAll Figure      `json:"in_all"` // min, from happening to being in this log
}

// Revised is an entry put right: both versions.
type Revised struct {
	Seq events.Seq   `json:"seq"`
	Was string       `json:"was"`
	Now string       `json:"now"`
	By  []events.Seq `json:"by"`
}

// Dropped is an entry that does not count: struck, or a second witness.
type Dropped struct {
	Seq  events.Seq `json:"seq"`
	Line string     `json:"line"`
	By   events.Seq `json:"by"` // the strike, or the entry it is a witness of
	Why  string     `json:"why,omitempty"`
}

// ClockFound is how far a device's clock was found to run ahead.
type ClockFound struct {
	At     Moment `json:"at"`
	Device string `json:"device"`
	Ahead  Figure `json:"ahead"` // s
	Moved  int    `json:"moved"` // entries put at their true time by it
}

// Outage is a time without radio or power.
type Outage struct {
	Interval
	Minutes Figure `json:"minutes"`
	What    string `json:"what"` // radio or power
	Where   string `json:"where,omitempty"`
	Cause   string `json:"cause,omitempty"`
}

// Disagreement is two things in the log that cannot both be right, until somebody rules.
type Disagreement struct {
	Interval
	About  string `json:"about,omitempty"`
	Gap    Figure `json:"gap"`
	Ruling string `json:"ruling,omitempty"`
	By     string `json:"by,omitempty"`
	id     events.ID
}

// Session is the log from opening to closing.
type Session struct {
	Interval
	Laptop string   `json:"laptop,omitempty"`
	Zone   string   `json:"zone,omitempty"`
	Clock  string   `json:"clock,omitempty"`
	Open   []string `json:"open,omitempty"` // points open at closing
}

// Quality is how good the log itself is. Unlike the other folds it takes every
// entry, struck ones and second witnesses too.
type Quality struct {
	Late     []Late
	Revised  []Revised
	Struck   []Dropped
	Joined   []Dropped
	Clocks   []ClockFound
	Outages  []Outage
	Doubts   []Disagreement
	Sessions []Session
	Unplaced []Note // corrections, strikes and joins that could not act
	Faults   []Note // what could not be understood on reading
	Unknown  []Note // kinds this program does not know
	Soft     int    // entries whose time is a range or an order
	Entries  int
	Notes    []Note

	lines   func(events.Payload) string
	delays  []time.Duration
	told    []toldAt
	outages []int          // open, in Outages
	doubts  []int          // open, in Doubts
	clocks  map[string]int // device: in Clocks
	moved   map[string]int // device: entries moved
}

// toldAt is when the post learned of an entry.
type toldAt struct {
	at  time.Time
	seq events.Seq
}

func (t toldAt) moment() Moment {
	return Moment{Best: t.at, Earliest: t.at, Latest: t.at, From: []events.Seq{t.seq}}
}

// Apply folds one entry.
func (q *Quality) Apply(e *events.Entry) {
	q.Entries++
	q.envelope(e)
	q.putRight(e)
	if e.Struck != nil || e.Joined != nil {
		q.dropped(e)
		return
	}
	switch k := e.Payload.(type) {
	case kinds.ClockCheck:
		q.clock(e, k)
	case kinds.RadioLost:
		q.lost(e, "radio", k.Cause)
	case kinds.RadioBack:
		q.back(e, "radio", k.Cause)
	case kinds.PowerLost:
		q.lost(e, "power", k.Cause)
	case kinds.PowerBack:
		q.back(e, "power", "")
	case kinds.DoubtRaised:
		q.doubts = append(q.doubts, len(q.Doubts))
		q.Doubts = append(q.Doubts, Disagreement{Interval: Interval{Start: MomentOf(e)}, About: orElse(k.About, e.Where), Gap: FigureOf(k.Gap, "", e.Seq), id: e.ID})
	case kinds.DoubtSettled:
		q.settled(e, k)
	case kinds.LogOpened:
		q.Sessions = append(q.Sessions, Session{Interval: Interval{Start: MomentOf(e)}, Laptop: k.Laptop, Zone: k.Zone, Clock: k.Clock})
	case kinds.LogClosed:
		q.closed(e, k)
	}
}

// envelope folds what every entry has: its times and what could not be read.
func (q *Quality) envelope(e *events.Entry) {
	if e.Occurred.Soft() {
		q.Soft++
	}
	if e.ClockOff != 0 {
		device := orElse(e.Device, e.ObservedBy)
		q.moved = setIn(q.moved, device, q.moved[device]+1)
	}
	known := e.KnownAt()
	q.told = add(q.told, toldAt{known, e.Seq})
	_, puts := e.Payload.(events.Corrector) // its time is that of what it puts right
	if form := e.Occurred.Form; !puts && form != events.Day && form != events.Before {
		delay := known.Sub(endTime(e))
		q.delays = add(q.delays, delay)
		if delay < -LateAfter {
			q.Notes = append(q.Notes, Note{e.Seq, fmt.Sprintf("it says it happened at %s, but was told before that, at %s",
				e.Time().Format("2 Jan 2006 15:04"), known.In(e.Time().Location()).Format("2 Jan 2006 15:04"))})
		}
		if delay > LateAfter {
			told, keyed := Exact(delay.Minutes(), "min", "told less happened", e.Seq), Exact(e.RecordedAt.Sub(known).Minutes(), "min", "recorded less told", e.Seq)
			q.Late = append(q.Late, Late{e.Seq, e.Payload.Kind(), told, keyed, told.Plus(keyed).As("recorded less happened")})
		}
	}
	for _, f := range e.Faults {
		q.Faults = append(q.Faults, Note{e.Seq, f})
	}
	if u, ok := e.Payload.(events.Unknown); ok {
		q.Unknown = append(q.Unknown, Note{e.Seq, string(u.Name)})
	}
}

func endTime(e *events.Entry) time.Time {
	if e.Occurred.Form == events.Span {
		return e.Occurred.To
	}
	return e.Time()
}

// putRight folds corrections, strikes and joins: what they did, or that they could
// not act.
func (q *Quality) putRight(e *events.Entry) {
	if len(e.PutRight) > 0 {
		r := Revised{Seq: e.Seq, Was: q.line(e.Said), Now: q.line(e.Payload)}
		for _, by := range e.PutRight {
			r.By = append(r.By, by.Seq)
		}
		q.Revised = append(q.Revised, r)
	}
	if why := Unacted(e); why != "" {
		q.Unplaced = append(q.Unplaced, Note{e.Seq, string(e.Payload.Kind()) + ": " + why})
	}
}

// Unacted says why an entry that puts another right, takes one back or joins two
// changes nothing, "" when it does what it says or is of another kind.
func Unacted(e *events.Entry) string {
	if e.Struck != nil || acted(e) {
		return ""
	}
	_, strikes := e.Payload.(events.Striker)
	switch n := len(e.Marks); {
	case strikes && e.Target != nil && e.Target.Struck != nil:
		return fmt.Sprintf("entry %d is taken back by entry %d already", e.Target.Seq, e.Target.Struck.Seq)
	case n > 0:
		return strings.TrimPrefix(e.Marks[n-1], "not applied: ")
	}
	return "it names no entry of this log"
}

// acted reports whether an entry that puts another right did so; an entry that puts
// nothing right has nothing to do.
func acted(e *events.Entry) bool {
	switch k := e.Payload.(type) {
	case events.Corrector:
		return e.Target != nil && slices.Contains(e.Target.PutRight, e)
	case events.Striker:
		return e.Target != nil && e.Target.Struck == e
	case events.Joiner:
		_, witness := k.Joins()
		return e.Target != nil && slices.ContainsFunc(e.Target.Witnesses, func(w *events.Entry) bool { return w.ID == witness })
	}
	return true
}

func (q *Quality) line(p events.Payload) string {
	if q.lines == nil {
		return string(p.Kind())
	}
	return q.lines(p)
}

func (q *Quality) dropped(e *events.Entry) {
	d := Dropped{Seq: e.Seq, Line: q.line(e.Payload)}
	if e.Joined != nil {
		d.By = e.Joined.Seq
		q.Joined = append(q.Joined, d)
		return
	}
	d.By = e.Struck.Seq
	if k, ok := e.Struck.Payload.(kinds.Struck); ok {
		d.Why = k.Why
	}
	q.Struck = append(q.Struck, d)
}

func (q *Quality) clock(e *events.Entry, k kinds.ClockCheck) {
	q.clocks = setIn(q.clocks, e.Where, len(q.Clocks))
	q.Clocks = append(q.Clocks, ClockFound{At: MomentOf(e), Device: e.Where, Ahead: FigureOf(k.DeviceClock, "", e.Seq)})
}

func (q *Quality) lost(e *events.Entry, what, cause string) {
	q.outages = append(q.outages, len(q.Outages))
	q.Outages = append(q.Outages, Outage{Interval: Interval{Start: MomentOf(e)}, What: what, Where: e.Where, Cause: cause})
}

func (q *Quality) back(e *events.Entry, what, cause string) {
	before := len(q.outages)
	q.outages = slices.DeleteFunc(q.outages, func(i int) bool {
		o := &q.Outages[i]
		if o.What != what || o.Where != e.Where {
			return false
		}
		o.End, o.Cause = MomentOf(e), orElse(cause, o.Cause)
		return true
	})
	if len(q.outages) == before {
		q.Notes = append(q.Notes, Note{e.Seq, what + " was back at " + orElse(e.Where, "a place not said") + " but was never logged lost"})
	}
}

// settled ends the doubt that the ruling names, or the open one about the same.
func (q *Quality) settled(e *events.Entry, k kinds.DoubtSettled) {
	about := orElse(k.About, e.Where)
	before := len(q.doubts)
	q.doubts = slices.DeleteFunc(q.doubts, func(i int) bool {
		d := &q.Doubts[i]
		if k.Entry != "" && d.id != k.Entry || k.Entry == "" && d.About != about {
			return false
		}
		d.End, d.Ruling, d.By = MomentOf(e), k.Ruling, orElse(k.By, e.ObservedBy)
		return true
	})
	if len(q.doubts) == before {
		q.Notes = append(q.Notes, Note{e.Seq, "a doubt about " + orElse(about, "something not said") + " was settled but was never raised"})
	}
}

func (q *Quality) closed(e *events.Entry, k kinds.LogClosed) {
	n := len(q.Sessions)
	if n == 0 || !q.Sessions[n-1].End.IsZero() {
		q.Notes = append(q.Notes, Note{e.Seq, "the log was closed but was never logged open"})
		q.Sessions = append(q.Sessions, Session{})
		n++
	}
	q.Sessions[n-1].End, q.Sessions[n-1].Open = MomentOf(e), k.Open
}
