package console

import (
	"testing"
	"time"

	"tankside/projections"
	"tankside/projections/live"
)

// TestTileDue holds the far view to units in which the time to the next thing due is a
// number of a few digits.
func TestTileDue(t *testing.T) {
	now := time.Date(2026, 3, 14, 2, 0, 0, 0, time.UTC)
	for after, want := range map[time.Duration]tile{
		-7 * time.Minute:    {Name: "Late, min", Big: "7"},
		179 * time.Minute:   {Name: "Next due, min", Big: "179"},
		5 * time.Hour:       {Name: "Next due, h", Big: "5"},
		-30 * time.Hour:     {Name: "Late, h", Big: "30"},
		30 * 24 * time.Hour: {Name: "Next due, days", Big: "30"},
	} {
		v := view{Scene: &live.Scene{At: now, Incident: &projections.Incident{Due: []projections.Due{{What: "PAR", At: now.Add(after)}}}}}
		if got := v.tileDue(); got.Name != want.Name || got.Big != want.Big || got.Small != "PAR" {
			t.Errorf("due after %v: %+v, want %s %s", after, got, want.Name, want.Big)
		}
	}
}

// TestFigureWithDoubt holds figures on the boards to whole numbers of the first digit of
// their doubt.
func TestFigureWithDoubt(t *testing.T) {
	for want, f := range map[string]projections.Figure{
		"3,460 ± 6": {Known: true, Value: 3459.96, U: 5.88},
		"945 ± 5":   {Known: true, Value: 945.193, U: 4.726},
		"0.7 ± 0.1": {Known: true, Value: 0.7004, U: 0.12},
		"−5 ± 32":   {Known: true, Value: -5.2, U: 32.3},
		"1,289":     {Known: true, Value: 1289, Low: 1289, High: 1289},
		"not said":  {U: 4},
	} {
		if got := figure(f); got != want {
			t.Errorf("%g with the doubt %g is written %q, want %q", f.Value, f.U, got, want)
		}
	}
}
