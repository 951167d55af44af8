package report

import (
	"testing"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/logtest"
	"tankside/events/memlog"
)

// TestSceneZone: a first entry of which only the day was told does not put the report into
// another zone, and what is put right a year later does not make the incident longer.
func TestSceneZone(t *testing.T) {
	there := time.FixedZone("", -7*3600)
	called := time.Date(2008, 4, 3, 7, 25, 0, 0, there)
	l := memlog.New(kinds.Catalogue(), logtest.Incident, "node", logtest.Clock())
	drafts := logtest.Drafts(1, 3)
	drafts[0].Occurred, drafts[0].Payload = events.OnDay(called.UTC()), kinds.Note{Text: "the load, of that day"}
	drafts[1].Occurred, drafts[1].Payload = events.At(called), kinds.Note{Text: "first calls"}
	drafts[2].Occurred, drafts[2].Payload = events.At(called.AddDate(1, 0, 0)), kinds.Struck{Entry: drafts[0].ID, Why: "of another load"}
	log, err := l.AppendAll(t.Context(), drafts)
	if err != nil {
		t.Fatal(err)
	}
	d := as(t, log, Options{})
	if _, got := called.In(d.Zone).Zone(); got != -7*3600 {
		t.Errorf("times are shown %d s from UTC, want those of the scene", got)
	}
	if d.Ended.After(called.AddDate(0, 0, 1)) {
		t.Errorf("it happened until %v, want no later than the day it did", d.Ended)
	}
}
