package report

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/intake"
	"tankside/events/kinds"
	"tankside/projections"
)

// made is when the reports of the tests are made.
var made = time.Date(2026, 2, 1, 9, 30, 0, 0, time.FixedZone("", -5*3600))

// sealed makes a log of drafts, each recorded when it was told.
func sealed(t testing.TB, drafts []events.Draft) []events.Recorded {
	t.Helper()
	var out []events.Recorded
	var prev *events.Recorded
	for _, d := range drafts {
		now := d.Reported
		if now.IsZero() {
			now = d.Occurred.At
		}
		r, err := kinds.Catalogue().Seal(d, "node", prev, now)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, r)
		prev = &out[len(out)-1]
	}
	return out
}

// incident reads one of the demo incidents.
func incident(t testing.TB, file, name string) []events.Recorded {
	t.Helper()
	return sealed(t, draftsOf(t, file, name))
}

func draftsOf(t testing.TB, file, name string) []events.Draft {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "testdata", "incidents", file))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	got, err := intake.CSV(f, intake.Options{Catalogue: kinds.Catalogue(), Incident: name, Name: file})
	if err != nil || len(got.Faults) > 0 {
		t.Fatalf("%s: %v, faults %v", file, err, got.Faults)
	}
	return got.Drafts
}

// built makes the report of a log at a view.
func built(recorded []events.Recorded, v events.View) Document {
	c := kinds.Catalogue()
	tl := c.NewTimeline(recorded, v)
	return Build(c, projections.Fold(c, tl), tl, made)
}

func markdownOf(t testing.TB, d Document) string {
	t.Helper()
	var b bytes.Buffer
	if err := d.Markdown(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func htmlOf(t testing.TB, d Document) string {
	t.Helper()
	var b bytes.Buffer
	if err := HTML(&b, d); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// said is an entry of the test incident, minutes after its beginning.
func said(minutes int, where, words string, p events.Payload) events.Draft {
	at := time.Date(2025, 3, 1, 22, 0, 0, 0, time.FixedZone("", -5*3600)).Add(time.Duration(minutes) * time.Minute)
	return events.Draft{
		ID: events.ContentID(at, where, words, string(p.Kind())), Incident: "Test Hill", Occurred: events.At(at), Reported: at.Add(time.Minute),
		ObservedBy: "Entry leader", Channel: events.Radio, Where: where, Words: words, Payload: p,
	}
}
