package events

import (
	"fmt"
	"strings"
	"time"
)

// Form is how exactly a time is known.
type Form string

// The forms. An Instant is a point; a Span is something that lasted; a Bracket
// is a point somewhere between two; a Day has no time of day; Before is an order
// without a time.
const (
	Instant Form = ""
	Span    Form = "span"
	Bracket Form = "bracket"
	Day     Form = "day"
	Before  Form = "before"
)

// When is the time at which something happened, as exactly as it is known. Times
// keep the zone offset they were entered with.
type When struct {
	Form  Form
	At    time.Time // best instant; for a Span its start, for a Day any time of that day
	From  time.Time // Bracket: earliest
	To    time.Time // Bracket: latest; Span: end
	Entry ID        // Before: the entry it came before
	Hard  bool      // tied to a clock of known accuracy
}

// At returns the instant t as a When.
func At(t time.Time) When { return When{At: t} }

// OnDay returns the whole day of t, in t's zone.
func OnDay(t time.Time) When {
	y, m, d := t.Date()
	return When{Form: Day, At: time.Date(y, m, d, 12, 0, 0, 0, t.Location())}
}

// Between returns the bracket from earliest to latest, with its middle as best.
func Between(earliest, latest time.Time) When {
	return When{Form: Bracket, At: earliest.Add(latest.Sub(earliest) / 2), From: earliest, To: latest}
}

// Earliest is the first instant at which it can have begun.
func (w When) Earliest() time.Time {
	switch w.Form {
	case Bracket:
		return w.From
	case Day:
		return midnight(w.At)
	}
	return w.At
}

// Latest is the last instant at which it can have begun; for a Span it is its
// start too, since the end of a span is known.
func (w When) Latest() time.Time {
	switch w.Form {
	case Bracket:
		return w.To
	case Day:
		return midnight(w.At.AddDate(0, 0, 1)).Add(-time.Second)
	}
	return w.At
}

func midnight(t time.Time) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, t.Location())
}

// Soft reports whether the time is a range rather than an instant.
func (w When) Soft() bool { return w.Form == Bracket || w.Form == Day || w.Form == Before }

// IsZero reports whether no time was given.
func (w When) IsZero() bool { return w.At.IsZero() && w.Entry == "" }

// Shift moves the whole time by d, as for a clock that was found off.
func (w When) Shift(d time.Duration) When {
	for _, t := range []*time.Time{&w.At, &w.From, &w.To} {
		if !t.IsZero() {
			*t = t.Add(d)
		}
	}
	return w
}

// Fault says what is wrong with w, nil when nothing is.
func (w When) Fault() error {
	if w.Form == Before {
		if w.Entry == "" {
			return fmt.Errorf("occurred: \"before\" needs the id of the entry it came before")
		}
		return nil
	}
	if w.At.IsZero() {
		return fmt.Errorf("occurred: no time given; use an RFC 3339 time such as 2025-10-14T21:16:00-05:00")
	}
	if y := w.At.Year(); y < 1900 || y > 9999 {
		return fmt.Errorf("occurred: the year %d is outside 1900 to 9999", y)
	}
	switch w.Form {
	case Instant, Day:
	case Span:
		if w.To.Before(w.At) {
			return fmt.Errorf("occurred: the span ends %s before it starts", w.At.Sub(w.To))
		}
	case Bracket:
		if w.To.Before(w.From) || w.At.Before(w.From) || w.At.After(w.To) {
			return fmt.Errorf("occurred: the bracket must run from earliest to latest with the best time inside")
		}
	default:
		return fmt.Errorf("occurred: form %q is not one of span, bracket, day, before", w.Form)
	}
	return nil
}

// ParseWhen reads a time as a log file or a flag writes it:
//
//	2025-10-14T21:16:00-05:00                       an instant
//	2025-10-14                                      a day, in the zone of like
//	2025-10-14T21:10:00-05:00/2025-10-14T21:20:00-05:00   a bracket
//	21:16  or  21:16:30                             the time of day nearest to like
//	about …                                         the same, ± 5 min
//
// The ± 5 min of "about" is common practice, no source.
func ParseWhen(s string, like time.Time) (When, error) {
	s = strings.TrimSpace(s)
	if rest, ok := strings.CutPrefix(s, "about "); ok {
		w, err := ParseWhen(rest, like)
		if err != nil || w.Form != Instant {
			return w, err
		}
		return Between(w.At.Add(-5*time.Minute), w.At.Add(5*time.Minute)), nil
	}
	if a, b, ok := strings.Cut(s, "/"); ok {
		from, err := ParseWhen(a, like)
		if err != nil {
			return When{}, err
		}
		to, err := ParseWhen(b, like)
		if err != nil {
			return When{}, err
		}
		w := Between(from.At, to.At)
		return w, w.Fault()
	}
	if t, err := time.Parse(time.RFC3339, s); err == nil {
		return At(t), nil
	}
	if t, err := time.ParseInLocation(time.DateOnly, s, like.Location()); err == nil {
		return OnDay(t), nil
	}
	if t, ok := clockOn(s, like); ok {
		switch off := t.Sub(like); { // behind midnight, or before it
		case off > 12*time.Hour:
			t = t.AddDate(0, 0, -1)
		case off < -12*time.Hour:
			t = t.AddDate(0, 0, 1)
		}
		return At(t), nil
	}
	return When{}, fmt.Errorf("%q is not a time; use 2025-10-14T21:16:00-05:00, 2025-10-14 or 21:16", s)
}

// clockOn puts a bare clock time on the day of like.
func clockOn(s string, like time.Time) (time.Time, bool) {
	for _, layout := range []string{time.TimeOnly, "15:04"} {
		if c, err := time.Parse(layout, s); err == nil {
			y, m, d := like.Date()
			return time.Date(y, m, d, c.Hour(), c.Minute(), c.Second(), 0, like.Location()), true
		}
	}
	return time.Time{}, false
}

// Clock is a bare time of day as said, such as the "22:30" of a promised arrival.
type Clock string

// After resolves the clock time to its first occurrence at or after t, at most a
// day later, in t's zone.
func (c Clock) After(t time.Time) (time.Time, bool) {
	at, ok := clockOn(string(c), t)
	if !ok {
		return time.Time{}, false
	}
	if at.Before(t) {
		at = at.AddDate(0, 0, 1)
	}
	return at, true
}
