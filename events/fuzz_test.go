package events_test

import (
	"bytes"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/kinds"
)

// FuzzOpen opens arbitrary bytes. Whatever opens is kept byte for byte and can be
// shown; what opens without a fault can be sealed again and says the same.
func FuzzOpen(f *testing.F) {
	c := kinds.Catalogue()
	now := time.Date(2025, 10, 14, 21, 17, 0, 0, time.FixedZone("", -5*3600))
	for _, typ := range c.Types() {
		d := events.Draft{ID: events.ContentID(now, string(typ.Kind)), Incident: "Quarry Bend", Occurred: events.At(now), Reported: now, ObservedBy: "Pair 3",
			RelayedBy: "Runner", Channel: events.Runner, Where: "C4", Extra: []events.Pair{{Key: "k", Value: "v"}}, Words: "as said", Payload: typ.Example}
		r, err := c.Seal(d, "a", nil, now)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(r.Raw)
	}
	f.Add([]byte(`{"n":1,"kind":"teleported","v":9,"data":{"far":true}}`))
	f.Add([]byte(`{"n":1,"kind":"note","v":-65,"data":null}`))
	f.Add([]byte(`{"n":1,"kind":"dip_read","v":1,"data":{"C1":{"value":1e999,"unit":"gal"},"C1":null}}`))
	f.Fuzz(func(t *testing.T, raw []byte) {
		r, err := c.Open(bytes.Clone(raw))
		if err != nil {
			return
		}
		if !bytes.Equal(r.Raw, raw) {
			t.Fatalf("opened as %s", r.Raw)
		}
		if c.Line(r.Payload) == "" {
			t.Fatalf("nothing to show for %s", raw)
		}
		c.Values(r.Payload)
		c.NewTimeline([]events.Recorded{r}, events.View{})
		if len(r.Faults) == 0 {
			sealedAgain(t, c, r, raw)
		}
	})
}

// sealedAgain seals what was opened. A draft may still be refused, such as one
// without a time; what is sealed must say what was read.
func sealedAgain(t *testing.T, c *events.Catalogue, r events.Recorded, raw []byte) {
	t.Helper()
	again, err := c.Seal(r.Draft, r.Node, nil, time.Unix(0, 0).UTC())
	if err != nil {
		return
	}
	back, err := c.Open(again.Raw)
	if err != nil || len(back.Faults) > 0 || !c.SameFact(r.Draft, back) {
		t.Fatalf("%s\nsealed again as\n%s\nreads back as %+v, faults %q, %v", raw, again.Raw, back.Draft, back.Faults, err)
	}
	if _, err := c.OpenDraft(again.Raw); err != nil {
		t.Fatalf("%s is no draft: %v", again.Raw, err)
	}
}
