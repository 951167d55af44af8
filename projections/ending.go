package projections

import (
	"math"
	"time"

	"tankside/events"
	"tankside/events/kinds"
)

// ending is when the log was closed, and zero while it is open: after that nothing
// is "so far" any more.
type ending struct{ closed Moment }

// end folds the opening and closing of the log.
func (x *ending) end(e *events.Entry) {
	switch e.Payload.(type) {
	case kinds.LogOpened:
		x.closed = Moment{}
	case kinds.LogClosed:
		x.closed = EndOf(e)
	}
}

// lasted is the minutes from start to end. What has no end lasted so far, or, once
// the log is closed, an unknown time but at least until then.
func (x *ending) lasted(start, end Moment, now time.Time) Figure {
	if start.IsZero() || !end.IsZero() || x.closed.IsZero() || x.closed.Best.After(now) {
		return lasting(start, end, now)
	}
	f := Lacking("min", "no end recorded")
	f.From, f.Low = start.From, math.Max(0, minutes(start, x.closed).Low)
	return f
}
