package projections

import (
	"encoding/json"
	"math"
	"time"

	"tankside/events"
)

// Moment is when something began or ended: the best instant and, where the time
// is soft, the range it lies in. The zero Moment is "not recorded".
type Moment struct {
	Best     time.Time
	Earliest time.Time // zero where nothing says how early
	Latest   time.Time
	From     []events.Seq
}

// MomentOf returns the moment at which e happened. Of an entry that is only known
// to come before another, nothing says how early it may have been.
func MomentOf(e *events.Entry) Moment {
	if e.Occurred.Form == events.Before {
		return Moment{Best: e.Time(), Latest: e.Time(), From: []events.Seq{e.Seq}}
	}
	return Moment{Best: e.Time(), Earliest: e.Occurred.Earliest(), Latest: e.Occurred.Latest(), From: []events.Seq{e.Seq}}
}

// EndOf returns the moment at which e was over: the end of a span, or else when it
// happened.
func EndOf(e *events.Entry) Moment {
	if e.Occurred.Form == events.Span {
		return Moment{Best: e.Occurred.To, Earliest: e.Occurred.To, Latest: e.Occurred.To, From: []events.Seq{e.Seq}}
	}
	return MomentOf(e)
}

// IsZero reports whether the moment was not recorded.
func (m Moment) IsZero() bool { return m.Best.IsZero() }

// Soft reports whether the moment is a range.
func (m Moment) Soft() bool { return !m.Earliest.Equal(m.Latest) }

// DayOnly reports whether only the day was said: the moment may be any of it.
func (m Moment) DayOnly() bool {
	day := events.OnDay(m.Best)
	return m.Soft() && m.Earliest.Equal(day.Earliest()) && m.Latest.Equal(day.Latest())
}

// Elapsed returns the minutes from start to end with the range that soft times
// allow. Without an end it runs to now and says so; without a start it is unknown.
func Elapsed(start, end Moment, now time.Time) Figure {
	if start.IsZero() {
		return Lacking("min", "no start recorded")
	}
	if end.IsZero() {
		f := minutes(start, Moment{Best: now, Earliest: now, Latest: now})
		f.Method = "so far"
		return f
	}
	return minutes(start, end)
}

// lasting is how long something went on: as Elapsed, but nothing lasts less than no
// time. Where both its ends may be the same moment nobody can tell how long it was.
func lasting(start, end Moment, now time.Time) Figure {
	f := Elapsed(start, end, now)
	if !f.Known || f.Low >= 0 || f.High < 0 {
		return f
	}
	f.Low = 0
	if f.Value <= 0 && f.High > 0 {
		f.Known, f.Value, f.Missing = false, 0, []string{"when it began and ended, within the time that was told"}
	}
	return f
}

func minutes(start, end Moment) Figure {
	f := Figure{
		Known: true, Value: end.Best.Sub(start.Best).Minutes(),
		Low:  end.Earliest.Sub(start.Latest).Minutes(),
		High: end.Latest.Sub(start.Earliest).Minutes(),
		Unit: "min", From: union(start.From, end.From),
	}
	if end.Earliest.IsZero() {
		f.Low = math.Inf(-1)
	}
	if start.Earliest.IsZero() {
		f.High = math.Inf(1)
	}
	return f
}

// MarshalJSON writes {at, earliest, latest, from}, or null when not recorded.
func (m Moment) MarshalJSON() ([]byte, error) {
	if m.IsZero() {
		return []byte("null"), nil
	}
	type moment struct {
		At       time.Time    `json:"at"`
		Earliest *time.Time   `json:"earliest,omitempty"`
		Latest   *time.Time   `json:"latest,omitempty"`
		From     []events.Seq `json:"from"`
	}
	out := moment{At: m.Best, From: m.From}
	if m.Soft() {
		out.Earliest, out.Latest = said(m.Earliest), &m.Latest
	}
	return json.Marshal(out)
}

// Interval is a stretch of time with the entries that open and close it; the end
// is zero while it is open.
type Interval struct {
	Start Moment `json:"start"`
	End   Moment `json:"end"`
}

// Until returns the end, or now while the interval is open.
func (i Interval) Until(now time.Time) time.Time {
	if i.End.IsZero() {
		return now
	}
	return i.End.Best
}
