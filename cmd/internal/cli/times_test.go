package cli

import (
	"slices"
	"strings"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/kinds"
)

// night is an incident from 20:31 to 05:55 over midnight, in the tests' zone.
func night(t *testing.T) *incident {
	t.Helper()
	c := kinds.Catalogue()
	inc := &incident{id: "quarry-bend", name: "Quarry Bend"}
	var prev *events.Recorded
	for _, at := range []time.Time{time.Date(2025, 10, 14, 20, 31, 0, 0, zone), time.Date(2025, 10, 15, 5, 55, 0, 0, zone)} {
		r, err := c.Seal(events.Draft{ID: events.NewID(at), Incident: inc.name, Occurred: events.At(at), Reported: at, Payload: kinds.Note{Text: "x"}}, "n", prev, at)
		if err != nil {
			t.Fatal(err)
		}
		inc.entries = append(inc.entries, r)
		prev = &r
	}
	return inc
}

func TestSaidTime(t *testing.T) {
	inc := night(t)
	now := time.Date(2025, 10, 15, 0, 3, 0, 0, zone)
	for _, tt := range []struct {
		text, at, from, to string
		form               events.Form
	}{
		{"23:50", "2025-10-14T23:50:00-05:00", "", "", events.Instant},
		{"00:02", "2025-10-15T00:02:00-05:00", "", "", events.Instant},
		{"00:08", "2025-10-15T00:08:00-05:00", "", "", events.Instant}, // 5 min ahead: another clock
		{"00:09", "2025-10-14T00:09:00-05:00", "", "", events.Instant}, // 6 min ahead: yesterday
		{"21:16:30", "2025-10-14T21:16:30-05:00", "", "", events.Instant},
		{"23:50/00:01", "2025-10-14T23:55:30-05:00", "2025-10-14T23:50:00-05:00", "2025-10-15T00:01:00-05:00", events.Bracket},
		{"about 23:50", "2025-10-14T23:50:00-05:00", "2025-10-14T23:45:00-05:00", "2025-10-14T23:55:00-05:00", events.Bracket},
		{"2025-10-14", "2025-10-14T12:00:00-05:00", "", "", events.Day},
		{"2025-10-14T21:16:00-06:00", "2025-10-14T22:16:00-05:00", "", "", events.Instant},
	} {
		w, err := inc.saidTime(tt.text, now)
		if err != nil || w.Form != tt.form || !same(w.At, tt.at) || !same(w.From, tt.from) || !same(w.To, tt.to) {
			t.Errorf("%q is %+v, %v; want %s, %s to %s, form %q", tt.text, w, err, tt.at, tt.from, tt.to, tt.form)
		}
	}
	if w, err := inc.saidTime("before #2", now); err != nil || w.Entry != inc.entries[1].ID {
		t.Errorf("before #2 is %+v, %v; want %s", w, err, inc.entries[1].ID)
	}
	for _, text := range []string{"", "noon", "25:00", "before #9", "before lunch", "about", "21:16/20:00/19:00"} {
		if w, err := inc.saidTime(text, now); err == nil {
			t.Errorf("%q is taken for %+v", text, w)
		}
	}
}

func same(t time.Time, want string) bool {
	if want == "" {
		return t.IsZero()
	}
	w, err := time.Parse(time.RFC3339, want)
	return err == nil && t.Equal(w)
}

// TestMoment: a clock time is one within the incident, on whichever day.
func TestMoment(t *testing.T) {
	inc := night(t)
	for text, want := range map[string]string{
		"20:31": "2025-10-14T20:31:00-05:00", "23:20": "2025-10-14T23:20:00-05:00", "01:50": "2025-10-15T01:50:00-05:00",
		"05:55": "2025-10-15T05:55:00-05:00", "2025-10-15": "2025-10-15T23:59:59-05:00", "2025-10-15T07:00:00Z": "2025-10-15T02:00:00-05:00",
	} {
		if got, err := inc.moment(text); err != nil || !same(got, want) {
			t.Errorf("%q is %v, %v; want %s", text, got, err, want)
		}
	}
	for text, part := range map[string]string{"12:00": "not within the incident", "20:30": "not within", "about 21:00": "not one moment", "now": "is not a time"} {
		if got, err := inc.moment(text); err == nil || !strings.Contains(err.Error(), part) {
			t.Errorf("%q is %v, %v; want a fault with %q", text, got, err, part)
		}
	}
}

func TestEntryNumber(t *testing.T) {
	inc := night(t)
	id := inc.entries[1].ID
	for _, text := range []string{"2", "#2", string(id)} {
		if got, err := inc.number(text); err != nil || got != id {
			t.Errorf("%q is %s, %v; want %s", text, got, err, id)
		}
	}
	for _, text := range []string{"", "#", "0", "3", "-1", "2x", "#2 3"} {
		if got, err := inc.number(text); err == nil {
			t.Errorf("%q is taken for %s", text, got)
		}
	}
}

func TestOffset(t *testing.T) {
	var got []string
	for _, s := range []int{-5 * 3600, 0, 5*3600 + 1800, -(3*3600 + 1800)} {
		got = append(got, offset(time.Unix(0, 0).In(time.FixedZone("", s))))
	}
	if want := []string{"UTC-5", "UTC+0", "UTC+5:30", "UTC-3:30"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}
