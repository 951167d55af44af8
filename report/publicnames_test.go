package report

import (
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/logtest"
	"tankside/events/memlog"
)

// TestPublicNames: who is named in a field of an entry is coded, what a field says of a
// body and telephone numbers are left out, wherever the report prints them.
func TestPublicNames(t *testing.T) {
	l := memlog.New(kinds.Catalogue(), logtest.Incident, "node", logtest.Clock())
	said := []events.Payload{
		kinds.Mishap{Hurt: "Adamczyk, broken arm"},
		kinds.SizedUp{Vehicle: "tanker", Life: "Borowski trapped in the cab"},
		kinds.OrderGiven{Act: "foam", By: "Czerny", To: "Dudek"},
		kinds.CallMade{Who: "Ekberg", Phone: "555-0147-22", By: "Fiala"},
		kinds.StopWork{Why: "spark", Worker: "Gruber", By: "Halas"},
		kinds.CommandTaken{Role: "IC", Name: "Command", From: "Ilves"},
		kinds.SampleTaken{Sample: "S1", To: "Jansky", Held: "Kovar", Witness: "Lindqvist"},
		kinds.RoadClosed{Road: "Mill Road", By: "Marek"},
		kinds.ResumeWork{By: "nobody"},
	}
	drafts := logtest.Drafts(1, len(said))
	for i, p := range said {
		drafts[i].Payload = p
	}
	log, err := l.AppendAll(t.Context(), drafts)
	if err != nil {
		t.Fatal(err)
	}
	full, public := markdownOf(t, as(t, log, Options{})), markdownOf(t, as(t, log, Options{Edition: Public}))
	page := htmlOf(t, as(t, log, Options{Edition: Public}))
	for _, not := range []string{"Adamczyk", "broken arm", "Borowski", "trapped", "Czerny", "Dudek", "Ekberg", "555-0147-22", "Fiala", "Gruber", "Halas", "Ilves", "Jansky", "Kovar", "Lindqvist", "Marek"} {
		if !strings.Contains(full, not) {
			t.Errorf("the full report has no %q, so nothing is known of the public one", not)
		}
		if strings.Contains(public, not) || strings.Contains(page, not) {
			t.Errorf("the public edition has %q", not)
		}
	}
	for _, want := range []string{"Mill Road", "foam"} {
		if !strings.Contains(public, want) {
			t.Errorf("the public edition has lost %q", want)
		}
	}
}
