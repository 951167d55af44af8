package findings

import (
	"bytes"
	"encoding/json"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections"
)

// growing is an incident that is folded as its log grows.
type growing struct {
	entries []events.Recorded
	tl      *events.Timeline
	inc     *projections.Incident
	grew    int // entries that were added to what was there
}

func (g *growing) take(r events.Recorded) {
	c := kinds.Catalogue()
	g.entries = append(g.entries, r)
	if g.tl != nil {
		if tl, e := g.tl.With(c, r); tl != nil {
			g.tl, g.inc = tl, projections.Grow(c, g.inc, tl, []*events.Entry{e})
			g.grew++
			return
		}
	}
	g.tl = c.NewTimeline(g.entries, events.View{})
	g.inc = projections.Fold(c, g.tl)
}

// inJSON is the state of an incident with all that the rules find in it.
func inJSON(t rapid.TB, inc *projections.Incident, tl *events.Timeline) []byte {
	t.Helper()
	held := *inc
	Judge(&held, tl, Defaults())
	b, err := json.Marshal(&held)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// check holds the incident, byte for byte, to the one folded from its whole log.
func (g *growing) check(t rapid.TB) []byte {
	t.Helper()
	whole := kinds.Catalogue().NewTimeline(g.entries, events.View{})
	got, want := inJSON(t, g.inc, g.tl), inJSON(t, projections.Fold(kinds.Catalogue(), whole), whole)
	if !bytes.Equal(got, want) {
		i := 0
		for i < min(len(got), len(want)) && got[i] == want[i] {
			i++
		}
		around := func(b []byte) []byte { return b[max(0, min(i, len(b))-200):min(len(b), i+100)] }
		t.Fatalf("after %d entries the state as it grew is\n…%s\nfolded whole\n…%s", len(g.entries), around(got), around(want))
	}
	return got
}

// TestScenariosGrow folds both demonstrations entry by entry, and holds what grew to what
// the whole log says, and each state that was handed out to what it was.
func TestScenariosGrow(t *testing.T) {
	for _, name := range []string{"quarry-bend", "harrow-mill"} {
		var g, before growing
		var was []byte
		for i, r := range incident(t, name) {
			if g.take(r); i%16 != 0 {
				continue
			}
			if before.inc != nil && !bytes.Equal(inJSON(t, before.inc, before.tl), was) {
				t.Errorf("%s: entry %d changed a state that had been handed out", name, i+1)
			}
			was, before = g.check(t), g
		}
		g.check(t)
		if share := float64(g.grew) / float64(len(g.entries)); share < 0.8 {
			t.Errorf("%s: %.0f %% of the entries were added to what was there", name, 100*share)
		}
	}
}

// anyLog draws entries of the demonstrations in any order, told when they come, and among
// them corrections, strikes and joins of what came before.
func anyLog(t testing.TB, rt *rapid.T, drafts []events.Draft) []events.Recorded {
	start := rapid.IntRange(0, len(drafts)-36).Draw(rt, "from")
	drafts = rapid.Permutation(slices.Clone(drafts[start:start+36])).Draw(rt, "order")
	var out []events.Draft
	at := drafts[0].Reported
	for i, d := range drafts {
		at = at.Add(time.Minute)
		d.Incident, d.Reported = "Any", at
		out = append(out, d)
		if i%4 > 0 {
			continue
		}
		of := rapid.SampledFrom(out).Draw(rt, "of")
		other := rapid.SampledFrom(out).Draw(rt, "other")
		p := rapid.SampledFrom([]events.Payload{
			kinds.Struck{Entry: of.ID}, kinds.Joined{Entry: of.ID, With: other.ID}, kinds.DoubtSettled{About: of.Where, Ruling: "meter stands"},
			kinds.Correction{Entry: of.ID, Field: events.TimeKey, Now: of.Occurred.At.Add(9 * time.Minute).Format(time.RFC3339)},
			kinds.Correction{Entry: of.ID, Field: "reads", Now: "411 gal"}, kinds.Note{Text: "nothing new"},
		}).Draw(rt, "put right")
		at = at.Add(time.Second)
		out = append(out, events.Draft{
			ID: events.ContentID(at, string(of.ID), "put right", "", ""), Incident: "Any", Occurred: of.Occurred, Reported: at,
			ObservedBy: "Scribe", Channel: events.Typed, Payload: p,
		})
	}
	return sealed(t, out)
}

// TestAnyLogGrows holds an incident that grew by anything, late, put right, taken back,
// to the one folded whole.
func TestAnyLogGrows(t *testing.T) {
	var drafts []events.Draft
	for _, name := range []string{"quarry-bend", "harrow-mill"} {
		for _, r := range incident(t, name) {
			drafts = append(drafts, r.Draft)
		}
	}
	grew := 0
	rapid.Check(t, func(rt *rapid.T) {
		var g growing
		for i, r := range anyLog(t, rt, drafts) {
			if g.take(r); i == 20 {
				g.check(rt)
			}
		}
		g.check(rt)
		grew += g.grew
	})
	if grew == 0 {
		t.Error("nothing grew")
	}
}
