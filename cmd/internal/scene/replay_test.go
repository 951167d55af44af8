package scene_test

import (
	"bufio"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"tankside/cmd/internal/scene"
	"tankside/events"
	"tankside/events/intake"
	"tankside/events/intake/lines"
	"tankside/events/kinds"
	"tankside/projections"
)

const testdata = "../../../testdata/"

// night is the invented incident as the log holds it, and the lines that a scribe would
// have typed for each entry.
func night(t testing.TB) ([]events.Recorded, []string) {
	t.Helper()
	return incident(t, "Quarry Bend", "quarry-bend"), typed(t, "quarry-bend.txt")
}

// incident is an invented incident as the log holds it.
func incident(t testing.TB, name, file string) []events.Recorded {
	t.Helper()
	f, err := os.Open(testdata + "incidents/" + file + ".csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	res, err := intake.CSV(f, intake.Options{Catalogue: kinds.Catalogue(), Incident: name, Name: file + ".csv"})
	if err != nil || len(res.Faults) > 0 {
		t.Fatal(err, res.Faults)
	}
	var log []events.Recorded
	for _, d := range res.Drafts {
		var prev *events.Recorded
		if len(log) > 0 {
			prev = &log[len(log)-1]
		}
		r, err := kinds.Catalogue().Seal(d, "test", prev, d.Reported)
		if err != nil {
			t.Fatal(err)
		}
		log = append(log, r)
	}
	return log
}

func typed(t testing.TB, name string) (out []string) {
	t.Helper()
	f, err := os.Open(testdata + "lines/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for s := bufio.NewScanner(f); s.Scan(); {
		out = append(out, s.Text())
	}
	return out
}

// before is the scene as the scribe had it when entry i came.
func before(log []events.Recorded, i int) lines.Context {
	c := kinds.Catalogue()
	tl := c.NewTimeline(log[:i], events.View{})
	return scene.At(projections.Fold(c, tl), c, tl, log[i].Reported, "Scribe")
}

// derived are values of the table that a scribe does not type: projections work them
// out from what is typed.
var derived = map[events.Kind][]string{
	"foam_applied": {"solution", "concentrate"}, "dip_read": {"total"}, "on_scene": {"late"}, "correction": {"corrects", "equals", "why", "entry", "field"},
}

// placed are the kinds whose place is part of what they mean.
var placed = []events.Kind{
	"pump_on", "pump_off", "resistance_read", "hole_drilled", "hole_plugged", "stick_read", "scale_ticket", "leak_seen", "leak_rate", "leak_slowed",
	"stop_work", "resume_work", "custody_passed", "air_read",
}

// TestNightInLines types the whole of the invented incident, line by line, and compares
// what each becomes with the entry of the log.
func TestNightInLines(t *testing.T) {
	log, typed := night(t)
	if len(log) != len(typed) {
		t.Fatalf("%d entries and %d lines", len(log), len(typed))
	}
	same, asked, guessed := 0, 0, 0
	for i, line := range typed {
		r := lines.Parse(before(log, i), line)
		if r.Ask != nil {
			asked++
			t.Logf("%d %q asks: %s", log[i].Seq, line, r.Ask.Text)
		}
		if r.Certainty == lines.Guessed {
			guessed++
			t.Logf("%d %q guessed: %v", log[i].Seq, line, r.Hints)
		}
		if diff := differs(log[i], r); diff != "" {
			t.Logf("%d %q (%s): %s", log[i].Seq, line, r.Certainty, diff)
			continue
		}
		same++
	}
	share := float64(same) / float64(len(typed)) * 100
	t.Logf("%d of %d lines become the same entry (%.1f %%); %d guessed, %d asked", same, len(typed), share, guessed, asked)
	if share < 95 {
		t.Errorf("%.1f %% of the lines become the same entry, want at least 95 %%", share)
	}
}

// TestHarrowMillInLines types the other invented incident, with no kind looked for: what it
// asks and marks is counted, since the night went as it should and each is a false one
// but for those that the incident was made with.
func TestHarrowMillInLines(t *testing.T) {
	log := incident(t, "Harrow Mill", "harrow-mill")
	asked, guessed, notes := 0, 0, 0
	for i, line := range typed(t, "harrow-mill.txt") {
		r := lines.Parse(before(log, i), line)
		switch {
		case r.Ask != nil:
			asked++
			t.Logf("%d %q asks: %s", log[i].Seq, line, r.Ask.Text)
		case r.Certainty == lines.Guessed:
			guessed++
			t.Logf("%d %q guessed: %s %v", log[i].Seq, line, r.Says, r.Hints)
		case r.Certainty == lines.Note && log[i].Payload.Kind() != "note":
			notes++
			t.Logf("%d %q is a note: %v", log[i].Seq, line, r.Hints)
		case len(r.Drafts) > 0 && r.Drafts[0].Payload.Kind() != log[i].Payload.Kind():
			t.Logf("%d %q is %s, was %s", log[i].Seq, line, r.Drafts[0].Payload.Kind(), log[i].Payload.Kind())
		}
	}
	t.Logf("%d asked, %d guessed, %d notes", asked, guessed, notes)
	if asked > 5 {
		t.Errorf("%d lines ask, want at most 5", asked)
	}
}

// differs says what the reading of a line has otherwise than the entry, "" for nothing.
func differs(want events.Recorded, r lines.Reading) string {
	if len(r.Drafts) == 0 {
		return "no draft"
	}
	got := r.Drafts[0]
	kind := want.Payload.Kind()
	if got.Payload.Kind() != kind {
		return string(got.Payload.Kind()) + " for " + string(kind)
	}
	var out []string
	has := valuesOf(got.Payload)
	for key, v := range valuesOf(want.Payload) {
		if slices.Contains(derived[kind], key) {
			continue
		}
		if h := has[key]; !sameValues(h, v) {
			out = append(out, key+"="+strings.Join(h, "|")+" for "+strings.Join(v, "|"))
		}
	}
	if slices.Contains(placed, kind) && !strings.EqualFold(got.Where, want.Where) {
		out = append(out, "at "+got.Where+" for "+want.Where)
	}
	if d := got.Occurred.At.Sub(want.Occurred.At); want.Channel != events.Device && kind != "correction" && (d.Minutes() > 2 || d.Minutes() < -2) {
		out = append(out, "happened "+got.Occurred.At.Format("15:04")+" for "+want.Occurred.At.Format("15:04"))
	}
	slices.Sort(out)
	return strings.Join(out, "; ")
}

func valuesOf(p events.Payload) map[string][]string {
	out := map[string][]string{}
	for _, v := range kinds.Catalogue().Values(p) {
		out[v.Key] = append(out[v.Key], v.Value)
	}
	return out
}

var leadingAmount = regexp.MustCompile(`^([+-]?[0-9.]+) ?(\S*)`)

// sameValues compares values as a reader would: numbers as numbers, a unit that was not
// typed as the usual one, words without regard to case and commas.
func sameValues(a, b []string) bool {
	return slices.EqualFunc(a, b, func(x, y string) bool {
		m, n := leadingAmount.FindStringSubmatch(x), leadingAmount.FindStringSubmatch(y)
		if m != nil && n != nil {
			return m[1] == n[1] && (m[2] == n[2] || m[2] == "" || n[2] == "")
		}
		plain := func(s string) string { return strings.ToLower(strings.NewReplacer(",", "", ";", "").Replace(s)) }
		return plain(x) == plain(y)
	})
}

// BenchmarkScene is what one entry costs before the next line can be read: the scene of
// the whole invented incident, from a timeline and a fold that are there.
func BenchmarkScene(b *testing.B) {
	log, _ := night(b)
	c := kinds.Catalogue()
	tl := c.NewTimeline(log, events.View{})
	inc := projections.Fold(c, tl)
	now := log[len(log)-1].RecordedAt
	for b.Loop() {
		scene.At(inc, c, tl, now, "Scribe")
	}
}
