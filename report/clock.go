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
