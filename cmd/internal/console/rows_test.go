package console

import (
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections"
	"tankside/projections/live"
)

// TestEntriesGoByNumber: a strike names what it strikes by the number that stands on the
// page, whatever view finds it.
func TestEntriesGoByNumber(t *testing.T) {
	c := quiet()
	for _, line := range []string{"plugged c5", "strike 1 because typed twice"} {
		d := events.Draft{ID: events.NewID(c.cfg.Now()), Incident: c.cfg.Name, Payload: kinds.Note{Text: line}}
		if before := logged(t, c); len(before) > 0 {
			d.Payload = kinds.Struck{Entry: before[0].ID, Why: "typed twice"}
		}
		if _, err := c.cfg.Log.Append(t.Context(), c.finish([]events.Draft{d}, d.ID, said{Line: line}, "Scribe")[0]); err != nil {
			t.Fatal(err)
		}
	}
	entries := logged(t, c)
	tl := c.cfg.Catalogue.NewTimeline(entries, events.View{})
	v := &view{console: c, entry: tl.Find, zone: c.zone(entries)}
	if got, want := v.row(tl.Find(entries[1].ID)).Text, "Struck: entry 1, because typed twice."; got != want {
		t.Errorf("the page has %q, want %q", got, want)
	}
}

// TestUnmovedIsUnknown: what nobody told is not said to be nothing, and one reading is not
// said where there is none.
func TestUnmovedIsUnknown(t *testing.T) {
	state := func(legs int, gallons projections.Figure) projections.State {
		var s projections.State
		s.Volume.Legs, s.Volume.Transferred = make([]projections.LegState, legs), gallons
		return s
	}
	for _, tt := range []struct {
		s    projections.State
		want string
	}{
		{state(0, projections.Figure{}), "no transfer recorded"},
		{state(1, projections.Figure{}), ""},
		{state(1, projections.Figure{Known: true, Value: 214}), "one measurement only"},
	} {
		v := &view{Scene: &live.Scene{State: tt.s}}
		if got := v.agreement().Agree; got != tt.want {
			t.Errorf("%d legs, %+v: the board says %q, want %q", len(tt.s.Volume.Legs), tt.s.Volume.Transferred, got, tt.want)
		}
	}
}
