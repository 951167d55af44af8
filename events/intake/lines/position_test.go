package lines

import (
	"testing"
	"time"

	"tankside/events/kinds"
)

func placesContext() Context {
	return Context{Incident: "Quarry Bend", Now: time.Date(2025, 10, 14, 22, 0, 0, 0, time.UTC), Places: []string{"Command post", "Staging"}}
}

// TestPositions reads where places lie as a scribe would type it.
func TestPositions(t *testing.T) {
	for _, tt := range []struct {
		line, where string
		lat, lon    float64
		line2       string // how the entry reads
	}{
		{"place command post 40.1234 -82.4567", "Command post", 40.1234, -82.4567, "Place fixed: latitude 40.1234 deg, longitude -82.4567 deg."},
		{"place command post 40.1234, -82.4567 within 5 m by phone", "Command post", 40.1234, -82.4567, "Place fixed: latitude 40.1234 deg, longitude -82.4567 deg, within 5 m, by phone."},
		{"place staging at 40.1234N 82.4567W", "Staging", 40.1234, -82.4567, ""},
		{"position of the old mill N40.12 W82.45 ± 30 ft off the map", "The old mill", 40.12, -82.45, ""},
		{"PLACE Staging: 40.1° N, 82.4° W", "Staging", 40.1, -82.4, ""},
		{"place hot zone corner 2 40.12 -82.45", "hot zone corner 2", 40.12, -82.45, "Place fixed: corner of hot zone, corner 2, latitude 40.12 deg, longitude -82.45 deg."},
	} {
		r := Parse(placesContext(), tt.line)
		k, ok := r.Drafts[0].Payload.(kinds.PlaceFixed)
		if !ok || r.Drafts[0].Where != tt.where || k.Lat.Best != tt.lat || k.Lon.Best != tt.lon || r.Ask != nil || r.Certainty != Clear {
			t.Errorf("%q: got %q at %+v, %v, asked %+v", tt.line, r.Drafts[0].Where, r.Drafts[0].Payload, r.Certainty, r.Ask)
		}
		if got := kinds.Catalogue().Line(k); tt.line2 != "" && got != tt.line2 {
			t.Errorf("%q: got %q, want %q", tt.line, got, tt.line2)
		}
		if r.Drafts[0].Words != tt.line {
			t.Errorf("%q: the words are %q", tt.line, r.Drafts[0].Words)
		}
	}
}

// TestSwappedPositions: what looks swapped is asked about and kept as typed by Enter; what
// can be nowhere is a note.
func TestSwappedPositions(t *testing.T) {
	r := Parse(placesContext(), "place staging -82.4567 40.1234")
	if r.Ask == nil || len(r.Ask.Choices) != 2 || r.Drafts[0].Payload.(kinds.PlaceFixed).Lat.Best != -82.4567 {
		t.Fatalf("swapped: got %+v", r)
	}
	if k := r.Ask.Choices[1].Drafts[0].Payload.(kinds.PlaceFixed); k.Lat.Best != 40.1234 || k.Lon.Best != -82.4567 {
		t.Errorf("the other answer is %+v", k)
	}
	if r := Parse(placesContext(), "place staging -122.4194 37.7749"); r.Ask == nil || r.Certainty != Note || r.Ask.Choices[1].Drafts[0].Payload.(kinds.PlaceFixed).Lat.Best != 37.7749 {
		t.Errorf("a latitude of -122: got %+v", r)
	}
	if r := Parse(placesContext(), "place staging 140.1 -190.2"); r.Certainty != Note || len(r.Hints) != 1 || r.Drafts[0].Words != "place staging 140.1 -190.2" {
		t.Errorf("nowhere: got %+v", r)
	}
	ctx := placesContext()
	first := Parse(ctx, "place command post 40.1234 -82.4567")
	ctx.Entries = []Entry{{Seq: 1, Payload: first.Drafts[0].Payload}}
	if r := Parse(ctx, "place staging 40.13 -82.46"); r.Ask != nil {
		t.Errorf("a place near the other is asked about: %+v", r.Ask)
	}
	if r := Parse(ctx, "place staging -82.46 40.13"); r.Ask == nil {
		t.Error("a swapped place is not asked about")
	}
	if r := Parse(ctx, "place the drill on C4"); len(r.Drafts) > 0 {
		if _, is := r.Drafts[0].Payload.(kinds.PlaceFixed); is {
			t.Error("a line without coordinates fixed a place")
		}
	}
}
