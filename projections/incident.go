package projections

import (
	"slices"
	"time"

	"tankside/events"
)

// Fold is a piece of state that entries build up, in the order things happened.
type Fold interface {
	// Apply folds one live entry. It reads no clock and never fails.
	Apply(e *events.Entry)
}

func sortedByStart(intervals []Interval) []Interval {
	out := slices.Clone(intervals)
	slices.SortStableFunc(out, func(a, b Interval) int { return a.Start.Best.Compare(b.Start.Best) })
	return out
}

// Incident is everything a log says at one view: the folds joined.
type Incident struct {
	Name    string
	Mode    events.Mode
	AsOf    time.Time // the moment the state is of
	KnownAt time.Time // zero: everything told since
	Entries int
}
