package findings

import (
	"reflect"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections"
)

// byID are the findings of an incident by their id.
func byID(t testing.TB, inc *projections.Incident) map[string]projections.Finding {
	t.Helper()
	out := map[string]projections.Finding{}
	for _, f := range inc.Findings {
		if _, taken := out[f.ID]; taken {
			t.Errorf("two findings have the id %s", f.ID)
		}
		out[f.ID] = f
	}
	return out
}

// changed are the findings that are in one and not alike in the other.
func changed(a, b map[string]projections.Finding) (out []projections.Finding) {
	for id, f := range a {
		if g, ok := b[id]; !ok || !reflect.DeepEqual(f, g) {
			out = append(out, f)
		}
	}
	return out
}

// leans are, by rule, the kinds of entries that change what it finds without being
// cited by it or falling into it: what was missed is not there to be cited.
var leans = map[string][]events.Kind{
	"accountability-mismatch":  {"in_hot", "out_hot"},
	"air-before-step":          {"air_read", "clock_check", "hole_drilled", "in_hot", "out_hot", "pump_off", "pump_on"},
	"air-order-late":           {"pump_on"},
	"air-unread":               {"hole_drilled", "in_hot", "out_hot", "pump_on"},
	"alone-in":                 {"in_hot", "out_hot"},
	"backup-elsewhere":         {"backup_ready", "in_hot", "out_hot", "rehab_out"},
	"backup-not-named":         {"backup_ready", "in_hot", "out_hot"},
	"drilled-before-braced":    {"in_hot"},
	"drilled-product-unknown":  {"load_stated"},
	"low-start":                {"in_hot", "out_hot"},
	"measurement-set-aside":    {"meter_read", "pump_off", "pump_on"},
	"monitor-unchecked":        {"clock_check"},
	"no-foam-before-access":    {"decision", "foam_applied"},
	"no-rest-recorded":         {"order_given", "out_hot", "rehab_in", "rehab_out"},
	"pumped-before-bonded":     {"resistance_read"},
	"radio-lost":               {"out_hot"},
	"receiver-no-room":         {"load_stated"},
	"roll-call-late":           {"in_hot", "out_hot"},
	"step-before-ready":        {"decon_ready", "dip_read", "hole_drilled", "truck_checked", "zones_set"},
	"told-before-it-happened":  {"clock_check"},
	"two-compartments-at-once": {"pump_off"},
	"volume-unaccounted":       {"leak_seen", "leak_slowed"},
}

// explained reports whether an entry explains that a finding has gone, come or
// changed: the finding or another of its rule that changed with it cites the entry or
// has it in its stretch, or the rule leans on entries of its kind.
func explained(f projections.Finding, e *events.Entry, changed []projections.Finding) bool {
	if slices.Contains(leans[f.Rule], e.Said.Kind()) {
		return true
	}
	return slices.ContainsFunc(changed, func(g projections.Finding) bool {
		return g.Rule == f.Rule && (slices.Contains(g.From, e.Seq) || spans(g, e))
	})
}

func spans(f projections.Finding, e *events.Entry) bool {
	end := f.End.Best
	return !e.Time().Before(f.Start.Best) && (end.IsZero() || !e.Time().After(end))
}

// without is a log with entry i taken out.
func without(all []events.Recorded, i int) []events.Recorded {
	return slices.Concat(all[:i], all[i+1:])
}

// toldLater is a log in which entry i was told so much later.
func toldLater(all []events.Recorded, i int, by time.Duration) []events.Recorded {
	out := slices.Clone(all)
	out[i].Reported = all[i].Reported.Add(by)
	out[i].RecordedAt = all[i].RecordedAt.Add(by)
	return out
}

// putRight is a log in which a last entry says that entry i happened so much later.
func putRight(t testing.TB, all []events.Recorded, i int, by time.Duration) []events.Recorded {
	t.Helper()
	last, target := all[len(all)-1], all[i]
	at := target.Occurred.At.Add(by)
	d := events.Draft{
		ID: events.ContentID(at, string(target.ID), "put right", "", ""), Incident: last.Incident, Occurred: target.Occurred, Reported: last.Reported,
		ObservedBy: "Scribe", Channel: events.Typed, Payload: kinds.Correction{Entry: target.ID, Field: events.TimeKey, Now: at.Format(time.RFC3339)},
	}
	r, err := kinds.Catalogue().Seal(d, "node", &last, last.RecordedAt)
	if err != nil {
		t.Fatal(err)
	}
	return append(slices.Clone(all), r)
}

// TestChangedFindingsAreExplained takes an entry of a demonstration away, has it told
// later, or has it put right: whatever is found otherwise then must have to do with it.
func TestChangedFindingsAreExplained(t *testing.T) {
	if testing.Short() {
		t.Skip("folds an incident some hundred times")
	}
	type scene struct {
		all    []events.Recorded
		tl     *events.Timeline
		before map[string]projections.Finding
	}
	scenes := map[string]scene{}
	for _, name := range []string{"quarry-bend", "harrow-mill"} {
		all := incident(t, name)
		scenes[name] = scene{all, kinds.Catalogue().NewTimeline(all, events.View{}), byID(t, judged(all, events.View{}, Defaults()))}
	}
	rapid.Check(t, func(r *rapid.T) {
		name := rapid.SampledFrom([]string{"quarry-bend", "harrow-mill"}).Draw(r, "incident")
		s := scenes[name]
		i := rapid.IntRange(0, len(s.all)-1).Draw(r, "entry")
		var log []events.Recorded
		switch how := rapid.SampledFrom([]string{"taken away", "told later", "put right"}).Draw(r, "how"); how {
		case "taken away":
			log = without(s.all, i)
		case "told later":
			log = toldLater(s.all, i, time.Duration(rapid.SampledFrom([]int{7, 45}).Draw(r, "minutes"))*time.Minute)
		case "put right":
			log = putRight(t, s.all, i, time.Duration(rapid.SampledFrom([]int{-15, 4, 40}).Draw(r, "minutes"))*time.Minute)
		}
		e := s.tl.Find(s.all[i].ID)
		after := byID(t, judged(log, events.View{}, Defaults()))
		all := slices.Concat(changed(s.before, after), changed(after, s.before))
		for _, f := range all {
			if !explained(f, e, all) {
				r.Fatalf("%s, entry %d (%s): %s changed, %v: %s", name, e.Seq, e.Said.Kind(), f.ID, f.From, f.Statement)
			}
		}
	})
}

// Without the foam of 23:50, entry 86, two late gaps become one.
func TestAnEntryTakenAwayChangesItsFinding(t *testing.T) {
	all := incident(t, "quarry-bend")
	var got []float64
	for _, f := range told(judged(without(all, 85), events.View{}, Defaults()), "foam-late") {
		got = append(got, f.Observed.Value)
	}
	if want := []float64{148, 70, 79}; !slices.Equal(got, want) {
		t.Errorf("foam gaps without entry 86 = %v min, want %v", got, want)
	}
}

// An unrelated entry changes no finding, not even by its id.
func TestAnUnrelatedEntryChangesNothing(t *testing.T) {
	all := incident(t, "quarry-bend")
	last := all[len(all)-1]
	note := events.Draft{
		ID: events.ContentID(last.Occurred.At, "photo", "", "", ""), Incident: last.Incident, Occurred: all[100].Occurred, Reported: last.Reported,
		ObservedBy: "Scribe", Channel: events.Typed, Payload: kinds.Note{Text: "county paper took a picture"},
	}
	r, err := kinds.Catalogue().Seal(note, "node", &last, last.RecordedAt)
	if err != nil {
		t.Fatal(err)
	}
	before, after := byID(t, judged(all, events.View{}, Defaults())), byID(t, judged(append(slices.Clone(all), r), events.View{}, Defaults()))
	if c := slices.Concat(changed(before, after), changed(after, before)); len(c) > 0 {
		t.Errorf("a note changed %+v", c)
	}
}
