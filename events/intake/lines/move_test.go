package lines

import (
	"strings"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/kinds"
)

// TestMove: an entry is moved only where the line names it and another incident; what
// else is moved at a scene is read as ever.
func TestMove(t *testing.T) {
	now := time.Date(2025, 10, 14, 21, 30, 0, 0, time.UTC)
	entry := func(n events.Seq, off bool) Entry {
		return Entry{Seq: n, ID: events.NewID(now), Line: func() string { return "a line" }, Payload: kinds.Note{}, Off: off}
	}
	ctx := Context{
		Incident: "Mill Hill", Now: now, Entries: []Entry{entry(11, true), entry(12, false)},
		Others: []string{"Quarry Bend", "Quarry Road", "Harrow Mill"},
	}
	for line, want := range map[string]struct {
		seq events.Seq
		to  string
	}{
		"move 12 to Quarry Bend":       {12, "Quarry Bend"},
		"Move #12 to quarry bend.":     {12, "Quarry Bend"},
		"move entry 12 into harrow":    {12, "Harrow Mill"},
		"move last to harrow mill":     {12, "Harrow Mill"},
		"move 12 to quarry":            {}, // which of two
		"move 12 to Mill Hill":         {},
		"move 13 to Quarry Bend":       {},
		"move 11 to Quarry Bend":       {}, // struck
		"move R2 to hole 3":            {},
		"move 2 trucks to Quarry Bend": {},
		"move":                         {},
		"move 12 to":                   {},
	} {
		r := Parse(ctx, line)
		if len(r.Drafts) == 0 {
			t.Errorf("%q: lost", line)
		}
		switch {
		case want.to == "" && r.Move != nil:
			t.Errorf("%q: moves %d to %s, want it left alone", line, r.Target, r.Move.To)
		case want.to != "" && (r.Move == nil || r.Move.To != want.to || r.Target != want.seq):
			t.Errorf("%q: %+v of %d, want %+v", line, r.Move, r.Target, want)
		}
	}
	for line, want := range map[string]string{
		"move 12 to harow mill": "No other incident of that name is open",
		"move 12 to the shade":  "",
	} {
		if got := strings.Join(Parse(ctx, line).Hints, " "); !strings.Contains(got, want) || want == "" && strings.Contains(got, "incident") {
			t.Errorf("%q: hints %q, want %q", line, got, want)
		}
	}
	ctx.Others = nil
	if r := Parse(ctx, "move 12 to Quarry Bend"); r.Move != nil {
		t.Error("moved where there is no other incident")
	}
}
