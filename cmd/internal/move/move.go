// Package move takes an entry that was typed into the wrong incident out of that log and
// into the right one. Logs lose nothing and change nothing: the entry is entered there
// once more, with its own times, teller and words, and struck here. Each says where the
// other is.
//
// It is entered there before it is struck here, under an id made from the entry's own. A
// process that ends between the two leaves the entry in both logs; the same move again
// finds the one and does the other.
package move

import (
	"context"
	"fmt"
	"strconv"

	"tankside/events"
	"tankside/events/kinds"
)

// Place is the log of an incident.
type Place struct {
	Incident string // its name
	Mode     events.Mode
	Log      events.Log
}

// Moved are the numbers of an entry that was moved.
type Moved struct {
	There  events.Seq // of the entry in the other log
	Strike events.Seq // of its strike in the log it came from
}

// Refused says why an entry cannot be moved, and what to do instead.
type Refused string

// Error returns the reason.
func (r Refused) Error() string { return string(r) }

// Entry moves e, as its log makes one understand it, from one log to another. strike is
// the envelope of the strike: its id, its times, who writes it. Errors: Refused, and those
// of the logs.
func Entry(ctx context.Context, c *events.Catalogue, e *events.Entry, from, to Place, strike events.Draft) (m Moved, err error) {
	if err := fault(c, e, from, to); err != nil {
		return m, err
	}
	if m.There, err = enter(ctx, c, e, from, to, strike.RecordedBy); err != nil {
		return m, fmt.Errorf("move: enter it in %s: %w", to.Incident, err)
	}
	strike.Incident, strike.Mode = from.Incident, from.Mode
	strike.Payload = kinds.Struck{Entry: e.ID, Why: fmt.Sprintf("moved to %s as %d", to.Incident, m.There)}
	r, err := from.Log.Append(ctx, strike)
	if err != nil {
		return m, fmt.Errorf("move: it is in %s as %d, but not struck here: %w; move it once more", to.Incident, m.There, err)
	}
	m.Strike = r.Seq
	return m, nil
}

// fault says why e cannot be moved, nil where it can.
func fault(c *events.Catalogue, e *events.Entry, from, to Place) error {
	typ := c.Type(e.Payload.Kind())
	_, unknown := e.Payload.(events.Unknown)
	switch {
	case events.IncidentID(from.Incident) == events.IncidentID(to.Incident):
		return Refused(fmt.Sprintf("entry %d is in %s already; name the incident it belongs to", e.Seq, to.Incident))
	case e.Struck != nil:
		why := ""
		if k, ok := e.Struck.Payload.(kinds.Struck); ok && k.Why != "" {
			why = ": " + k.Why
		}
		return Refused(fmt.Sprintf("entry %d is struck already by %d%s; what is struck stays where it is", e.Seq, e.Struck.Seq, why))
	case typ == nil || unknown:
		return Refused(fmt.Sprintf("entry %d is of a kind that this program does not know; move it with the program that wrote it", e.Seq))
	case bound(typ, e):
		return Refused(fmt.Sprintf("entry %d (%s) is about this log or an entry of it and means nothing in another; strike it here, and write there what is meant", e.Seq, typ.Title))
	case e.Occurred.Form == events.Before:
		return Refused(fmt.Sprintf("entry %d has no time but that it came before another of this log; give it one first, as fix %d: at 21:10, and move it then", e.Seq, e.Seq))
	}
	return nil
}

// bound reports whether an entry speaks of its own log: it opens or closes it, is written
// over its report, or names an entry of it.
func bound(typ *events.Type, e *events.Entry) bool {
	switch e.Payload.(type) {
	case kinds.LogOpened, kinds.LogClosed, kinds.DoubtRaised, kinds.DoubtSettled, events.Corrector, events.Striker, events.Joiner:
		return true
	}
	return typ.Desk
}

// enter writes e into the other log and returns its number there. What an earlier try
// left there is that entry; what somebody took back there since does not count.
func enter(ctx context.Context, c *events.Catalogue, e *events.Entry, from, to Place, by string) (events.Seq, error) {
	there, err := entries(ctx, to.Log)
	if err != nil {
		return 0, err
	}
	tl := c.NewTimeline(there, events.View{})
	d := copied(e, from, to, by)
	for try := 0; ; try++ {
		d.ID = events.ContentID(e.KnownAt(), "moved", events.IncidentID(from.Incident), string(e.ID), strconv.Itoa(try))
		was := tl.Find(d.ID)
		switch {
		case was == nil:
			r, err := to.Log.Append(ctx, d)
			return r.Seq, err
		case was.Struck != nil:
		case !c.SameFact(d, was.Recorded):
			return 0, Refused(fmt.Sprintf("it stands there as %d from an earlier try and was put right here since; strike %d there and move it again", was.Seq, was.Seq))
		default:
			return was.Seq, nil
		}
	}
}

// copied is e as it is entered in the other log: as it stands now, put right or not.
func copied(e *events.Entry, from, to Place, by string) events.Draft {
	d := e.Draft
	d.Incident, d.Mode, d.Payload, d.Occurred, d.Reported = to.Incident, to.Mode, e.Payload, e.Occurred, e.KnownAt()
	if d.RecordedBy == "" {
		d.RecordedBy = by
	}
	d.Extra = append([]events.Pair{}, d.Extra...)
	if e.ClockOff != 0 { // its time is the true one by now: a check of that clock there must not act again
		d.Extra = append(d.Extra, events.Pair{Key: "stamped by", Value: e.Device})
		d.Device, d.Channel = "", events.Typed
	}
	at := fmt.Sprintf("%s %d", from.Incident, e.Seq)
	if n := len(e.PutRight); n > 0 {
		at += fmt.Sprintf(", as put right by %d", e.PutRight[n-1].Seq)
	}
	d.Extra = append(d.Extra, events.Pair{Key: kinds.MovedFromKey, Value: at})
	return d
}

func entries(ctx context.Context, l events.Log) (out []events.Recorded, err error) {
	for r, err := range l.Read(ctx, 1) {
		if err != nil {
			return nil, err
		}
		out = append(out, r)
	}
	return out, nil
}
