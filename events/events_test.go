package events_test

import (
	"testing"
	"time"

	"tankside/events"
	"tankside/events/kinds"
)

func TestSealOpenRoundTrip(t *testing.T) {
	c := kinds.Catalogue()
	now := time.Date(2025, 10, 14, 21, 17, 0, 0, time.FixedZone("", -5*3600))
	for _, typ := range c.Types() {
		d := events.Draft{ID: events.NewID(now), Incident: "Quarry Bend", Occurred: events.At(now), Reported: now, ObservedBy: "Foam leader",
			Channel: events.Radio, Where: "Ditch", Words: "as said \x00 <b>", Grammar: "1", Extra: []events.Pair{{Key: "k", Value: "v"}}, Payload: typ.Example}
		r, err := c.Seal(d, "node", nil, now)
		if err != nil {
			t.Fatalf("%s: %v", typ.Kind, err)
		}
		got, err := c.Open(r.Raw)
		if err != nil {
			t.Fatalf("%s: %v\n%s", typ.Kind, err, r.Raw)
		}
		if !c.SameFact(d, got) || got.Hash != r.Hash || len(got.Faults) > 0 {
			t.Errorf("%s: read back as %+v, faults %v\n%s", typ.Kind, got, got.Faults, r.Raw)
		}
	}
}
