package projections

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/intake"
	"tankside/events/kinds"
)

// recordAll seals drafts into entries of one log, each recorded when it was told.
func recordAll(t testing.TB, drafts []events.Draft) []events.Recorded {
	t.Helper()
	c := kinds.Catalogue()
	var out []events.Recorded
	var prev *events.Recorded
	for _, d := range drafts {
		r, err := c.Seal(d, "node", prev, d.Reported)
		if err != nil {
			t.Fatalf("%s at %s: %v", d.Payload.Kind(), d.Occurred.At, err)
		}
		out = append(out, r)
		prev = &out[len(out)-1]
	}
	return out
}

// recorded reads an incident of testdata through intake.
func recorded(t testing.TB, incident string) []events.Recorded {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "testdata", "incidents", incident+".csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	got, err := intake.CSV(f, intake.Options{Catalogue: kinds.Catalogue(), Incident: incident, Name: incident + ".csv"})
	if err != nil || len(got.Faults) > 0 {
		t.Fatalf("%s: %v, faults %v", incident, err, got.Faults)
	}
	return recordAll(t, got.Drafts)
}

// folded returns the state of an incident of testdata at a view.
func folded(t testing.TB, incident string, v events.View) *Incident {
	t.Helper()
	c := kinds.Catalogue()
	return Fold(c, c.NewTimeline(recorded(t, incident), v))
}

// at reads a time of the test incidents, e.g. "2025-10-14T23:20:00-05:00".
func at(t testing.TB, s string) time.Time {
	t.Helper()
	got, err := time.Parse(time.RFC3339, s)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// story makes a timeline of entries given as clock time, kind and values; the
// entries are told in the order given, a minute after each other.
func story(t testing.TB, rows ...line) *events.Timeline {
	t.Helper()
	c := kinds.Catalogue()
	day := time.Date(2025, 3, 1, 0, 0, 0, 0, time.FixedZone("", -5*3600))
	var drafts []events.Draft
	for i, r := range rows {
		w, err := events.ParseWhen(r.when, day.Add(12*time.Hour)) // from noon every clock time falls on this day
		if err != nil {
			t.Fatal(err)
		}
		reported := day.Add(36*time.Hour + time.Duration(i)*time.Minute)
		drafts = append(drafts, events.Draft{
			ID: events.ContentID(w.At, r.when, r.where, string(r.fact.Kind()), string(rune(i))), Incident: "Story",
			Occurred: w, Reported: reported, ObservedBy: "Entry leader", Channel: events.Radio, Where: r.where, Payload: r.fact,
		})
	}
	return c.NewTimeline(recordAll(t, drafts), events.View{})
}

// line is one entry of a story.
type line struct {
	when, where string
	fact        events.Payload
}

// toldOf folds a story.
func toldOf(t testing.TB, rows ...line) *Incident {
	t.Helper()
	return Fold(kinds.Catalogue(), story(t, rows...))
}
