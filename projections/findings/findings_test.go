package findings

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/intake"
	"tankside/events/kinds"
	"tankside/events/quantity"
	"tankside/projections"
)

// incident reads an incident of testdata, each entry recorded when it was told.
func incident(t testing.TB, name string) []events.Recorded {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "incidents", name+".csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	got, err := intake.CSV(f, intake.Options{Catalogue: kinds.Catalogue(), Incident: name, Name: name + ".csv"})
	if err != nil || len(got.Faults) > 0 {
		t.Fatalf("%s: %v, faults %v", name, err, got.Faults)
	}
	return sealed(t, got.Drafts)
}

func sealed(t testing.TB, drafts []events.Draft) (out []events.Recorded) {
	t.Helper()
	c := kinds.Catalogue()
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

// judged folds entries at a view and holds the rules against them.
func judged(entries []events.Recorded, v events.View, b *Book) *projections.Incident {
	c := kinds.Catalogue()
	tl := c.NewTimeline(entries, v)
	inc := projections.Fold(c, tl)
	Judge(inc, tl, b)
	return inc
}

// line is one entry of a made-up story: clock time, place and fact.
type line struct {
	at, where string
	fact      events.Payload
}

// story makes entries on one day, each told a minute after it happened.
func story(t testing.TB, lines ...line) []events.Recorded {
	t.Helper()
	day := time.Date(2025, 3, 1, 12, 0, 0, 0, time.FixedZone("", -5*3600))
	var drafts []events.Draft
	for i, l := range lines {
		w, err := events.ParseWhen(l.at, day)
		if err != nil {
			t.Fatal(err)
		}
		drafts = append(drafts, events.Draft{
			ID: events.ContentID(w.At, l.at, l.where, string(l.fact.Kind()), string(rune('a'+i))), Incident: "Story",
			Occurred: w, Reported: w.At.Add(time.Minute), ObservedBy: "Entry leader", Channel: events.Radio, Where: l.where, Payload: l.fact,
		})
	}
	return sealed(t, drafts)
}

// told are the findings of one rule.
func told(inc *projections.Incident, rule string) (out []projections.Finding) {
	for _, f := range inc.Findings {
		if f.Rule == rule {
			out = append(out, f)
		}
	}
	return out
}

func TestClockOff(t *testing.T) {
	inc := judged(incident(t, "quarry-bend"), events.View{}, Defaults())
	got := told(inc, "clock-off")
	if len(got) != 1 || got[0].Observed.Value != 250 || got[0].Subject != "Gas monitor M2" || !slices.Equal(got[0].From, []events.Seq{49, 56, 63}) {
		t.Errorf("clock-off = %+v, want one finding of 250 s on Gas monitor M2 from entries 49, 56 and 63", got)
	}
	got = told(judged(story(t, line{"10:00", "Meter", kinds.ClockCheck{DeviceClock: quantity.Of[quantity.Seconds](60)}}), events.View{}, Defaults()), "clock-off")
	if len(got) != 0 {
		t.Errorf("a clock 60 s off is at its limit, not past it: %+v", got)
	}
}
