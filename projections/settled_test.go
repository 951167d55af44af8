package projections

import (
	"slices"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

// A question about a meter is settled by the ruling on it, and not before.
func TestQuestionSettled(t *testing.T) {
	for _, tt := range []struct {
		known string
		want  []events.Seq
	}{{"04:42:00", nil}, {"04:42:30", []events.Seq{202}}} {
		s := product(t, "quarry-bend", events.View{KnownAt: at(t, "2025-10-15T"+tt.known+"-05:00")})
		qs := asked(s, "too little from")
		if len(qs) != 2 {
			t.Fatalf("known at %s: %+v", tt.known, s.Questions)
		}
		for _, q := range qs {
			if !slices.Equal(q.Settled, tt.want) {
				t.Errorf("known at %s: entry %d settled by %d, want %d", tt.known, q.Seq, q.Settled, tt.want)
			}
		}
	}
}

// A reading that was taken back leaves its question behind, settled by the strike.
func TestQuestionOfWhatWasTakenBack(t *testing.T) {
	c := kinds.Catalogue()
	at := time.Date(2025, 3, 1, 14, 0, 0, 0, time.UTC)
	draft := func(i int, where string, p events.Payload) events.Draft {
		when := at.Add(time.Duration(i) * 10 * time.Minute)
		return events.Draft{ID: events.ContentID(when, where), Incident: "Story", Occurred: events.At(when), Reported: when, ObservedBy: "Scribe", Channel: events.Typed, Where: where, Payload: p}
	}
	drafts := []events.Draft{
		draft(0, "Bill", kinds.LoadStated{C: events.KeyedAmounts[quantity.Gallons]{{Key: "C1", Value: gal(950)}}, Basis: kinds.Net}),
		draft(1, "C1 to R1", kinds.PumpOn{Leg: "L1", From: "C1", To: "R1", Start: gal(0)}),
		draft(2, "C1 to R1", kinds.PumpOff{Leg: "L1", Meter: gal(1200)}),
	}
	drafts = append(drafts, draft(3, "", kinds.Struck{Entry: drafts[2].ID, Why: "misheard"}))
	s := Fold(c, c.NewTimeline(recordAll(t, drafts), events.View{})).Volume.State(at.Add(time.Hour))
	q := asked(s, "1,200 gal out of C1")
	if len(q) != 1 || !slices.Equal(q[0].Settled, []events.Seq{4}) || !q[0].SettledAt.Best.Equal(at.Add(30*time.Minute)) {
		t.Errorf("%+v; want it settled by the strike, entry 4, when it was told", s.Questions)
	}
}
