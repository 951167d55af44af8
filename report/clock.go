package report

import (
	"time"

	"tankside/events"
)

// clock writes times of day in one zone. A time without a date falls within 24
// hours from the given moment; any other carries its date.
type clock struct {
	zone *time.Location
	from time.Time
}

// dayOf returns the midnight with which the day of t begins in the zone.
func dayOf(t time.Time, zone *time.Location) time.Time {
	y, m, d := t.In(zone).Date()
	return time.Date(y, m, d, 0, 0, 0, 0, zone)
}

func (c clock) clock(t time.Time) string {
	t = t.In(c.zone)
	text := t.Format("15:04")
	if t.Second() != 0 || t.Nanosecond() != 0 {
		text = t.Format(time.TimeOnly)
	}
	if comesTwice(t) {
		text += t.Format(" MST")
	}
	if t.Before(c.from) || !t.Before(c.from.Add(24*time.Hour)) {
		text += t.Format(" (2 Jan)")
	}
	return text
}

// when writes the time of an entry as exactly as it is known.
func (c clock) when(w events.When) string {
	switch w.Form {
	case events.Span:
		return c.clock(w.At) + " to " + c.clock(w.To)
	case events.Bracket:
		return "between " + c.clock(w.From) + " and " + c.clock(w.To)
	case events.Day:
		return w.At.In(c.zone).Format("2 Jan") + ", time of day not said"
	}
	return c.clock(w.At)
}

// comesTwice reports whether the time of day of t comes twice that day, as the clocks go
// back.
func comesTwice(t time.Time) bool {
	const layout = "2 Jan 15:04"
	return t.Add(time.Hour).Format(layout) == t.Format(layout) || t.Add(-time.Hour).Format(layout) == t.Format(layout)
}

// zoneTurn says when the clocks of the zone went on or back while entries were made, ""
// where they did not.
func zoneTurn(tl *events.Timeline, zone *time.Location) string {
	var before time.Time
	for _, e := range tl.Entries {
		t := e.Time().In(zone)
		if t.IsZero() {
			continue
		}
		_, was := before.Zone()
		_, is := t.Zone()
		if !before.IsZero() && was != is {
			turn, _ := t.ZoneBounds()
			way := "on"
			if is < was {
				way = "back"
			}
			return "the clocks went " + way + " on " + turn.Format("2 Jan") + ", from " + turn.Add(-time.Second).Format(time.TimeOnly+" MST") + " to " + turn.Format(time.TimeOnly+" MST")
		}
		before = t
	}
	return ""
}
