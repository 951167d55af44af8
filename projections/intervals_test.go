package projections

import (
	"testing"

	"tankside/events"
)

// TestIntervals holds the meter of the leg that skipped against its pump: the rates
// by hand from the rows of the incident, the expected one from 524 gal in ten minutes
// at 84 strokes a minute.
func TestIntervals(t *testing.T) {
	intervals := leg(t, product(t, "quarry-bend", events.View{}), "L3").Intervals
	want := []struct {
		moved, rate, expected float64
		verdict, basis        string
	}{
		{524, 52.4, 48.4, "fits", "its own rate"},
		{53, 53.0 / 7, 52.4, "too little", "its strokes"},
		{129, 129.0 / 8, 52.4, "too little", "its strokes"},
		{524, 52.4, 52.4, "fits", "its strokes"},
		{629, 629.0 / 12, 52.4, "fits", "its strokes"},
	}
	if len(intervals) != len(want) {
		t.Fatalf("got %d intervals, want %d", len(intervals), len(want))
	}
	for i, w := range want {
		got := intervals[i]
		near1(t, "moved", got.Moved, w.moved, 1e-9)
		near1(t, "rate", got.Rate, w.rate, 1e-9)
		near1(t, "expected", got.Expected, w.expected, 0.05)
		if got.Verdict != w.verdict || got.Basis != w.basis {
			t.Errorf("interval %d: got %q by %q, want %q by %q", i+1, got.Verdict, got.Basis, w.verdict, w.basis)
		}
	}
	first := leg(t, product(t, "quarry-bend", events.View{}), "L1").Intervals[0]
	if first.Expected.Known || first.Verdict != "not compared" {
		t.Errorf("first interval of the first leg: got %+v expected and %q, want nothing to compare with", first.Expected, first.Verdict)
	}
}
