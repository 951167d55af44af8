package projections

import (
	"crypto/ed25519"
	"fmt"
	"reflect"
	"slices"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

// deskLog is a log with a foam and what is written over its report a week later.
func deskLog(t *testing.T, desk ...events.Payload) []events.Recorded {
	t.Helper()
	at := time.Date(2025, 10, 14, 21, 0, 0, 0, time.UTC)
	payloads := append([]events.Payload{
		kinds.OnScene{Unit: []string{"Hazmat 2"}},
		kinds.FoamApplied{Solution: quantity.Of[quantity.Gallons](120)},
	}, desk...)
	var out []events.Recorded
	var prev *events.Recorded
	for i, p := range payloads {
		when := at.Add(time.Duration(i) * time.Minute)
		if i > 1 {
			when = when.AddDate(0, 0, 7)
		}
		if k, ok := p.(kinds.ReportSigned); ok && k.Statement == "" {
			p = signing(k, prev.Hash)
		}
		d := events.Draft{ID: events.ContentID(when, string(p.Kind())), Incident: "Test Hill", Occurred: events.At(when), Reported: when, Payload: p}
		r, err := kinds.Catalogue().Seal(d, "node", prev, when)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, r)
		prev = &out[i]
	}
	return out
}

// signing is a signature over a log that ends with head.
func signing(k kinds.ReportSigned, head events.Hash) kinds.ReportSigned {
	key := ed25519.NewKeyFromSeed(make([]byte, ed25519.SeedSize))
	k.Statement = fmt.Sprintf("log: %v\nname: %s\nkey: %x\n", head, k.Name, []byte(key.Public().(ed25519.PublicKey)))
	k.Signature = fmt.Sprintf("%x", ed25519.Sign(key, []byte(k.Statement)))
	return k
}

func reviewed(log []events.Recorded) *Incident {
	c := kinds.Catalogue()
	return Fold(c, c.NewTimeline(log, events.View{}))
}

// What is written over the report a week later makes nothing at the scene last longer,
// and changes no other part of the state.
func TestReviewChangesNothingElse(t *testing.T) {
	desk := []events.Payload{
		kinds.SectionWritten{Section: "cause", Text: "a deer"}, kinds.CommentMade{Role: "Safety Officer", Text: "hearsay"},
		kinds.FindingWritten{Name: "own-1", Statement: "good work", Sort: "kept up"}, kinds.ReportMoved{State: "out for comment"},
		kinds.RemarkMade{Figure: "/entries", Text: "all of them", Stood: "2"}, kinds.RecommendationMade{Action: "drill it"},
	}
	want, got := reviewed(deskLog(t)).State(), reviewed(deskLog(t, desk...)).State()
	if len(got.Review.Sections) != 1 || len(got.Review.Comments) != 1 || len(got.Review.Findings) != 1 || len(got.Review.Remarks) != 1 ||
		len(got.Review.Recommendations) != 1 || got.Review.Stage != "out for comment" || !got.Review.Findings[0].Opinion {
		t.Errorf("the review is %+v", got.Review)
	}
	if got.Entries != want.Entries+len(desk) {
		t.Errorf("entries: got %d, want %d", got.Entries, want.Entries+len(desk))
	}
	got.Review, got.Entries = want.Review, want.Entries
	if !reflect.DeepEqual(got, want) {
		t.Error("something besides the review has changed")
	}
}

// What came of an objective belongs to the entry that set it, the newest version stands,
// and it says so when an entry it stands on was put right.
func TestOutcomes(t *testing.T) {
	log := deskLog(t, kinds.ObjectiveSet{Objective: "keep it off the creek"})
	foam, set := string(log[1].ID), string(log[2].ID)
	stood := reviewed(log).Review.EvidenceOf([]string{foam})
	written := func(actual string) kinds.OutcomeWritten {
		return kinds.OutcomeWritten{Objective: set, Outcome: "reached", Actual: actual, Entry: []string{foam}, Stood: stood}
	}
	desk := []events.Payload{kinds.ObjectiveSet{Objective: "keep it off the creek"}, written("dry"), kinds.OutcomeWritten{Objective: "no fire", Outcome: "reached"}, written("dry bed")}
	got := reviewed(deskLog(t, desk...)).State().Review.Outcomes
	if len(got) != 2 || got[0].Actual != "dry bed" || !slices.Equal(got[0].Of, []events.Seq{3}) || !slices.Equal(got[0].Evidence, []events.Seq{2}) || got[0].Changed || got[0].Objective != "" {
		t.Errorf("got %+v, want the newer outcome of entry 3, on entry 2, unchanged", got)
	}
	if len(got) == 2 && (len(got[1].Of) > 0 || got[1].Objective != "no fire") {
		t.Errorf("got %+v, want an outcome of what no entry set", got[1])
	}
	put := kinds.Correction{Entry: log[1].ID, Field: "solution", Was: "120 gal", Now: "220 gal"}
	if got := reviewed(deskLog(t, append(desk, put)...)).State().Review.Outcomes[0]; !got.Changed || slices.Equal(got.Stood, got.Stands) {
		t.Errorf("got %+v, want it changed, with what it was and is", got)
	}
}

// A finding says so when what it stands on was put right after it was written, with
// both versions; one that was read again and written anew is at rest.
func TestEvidenceChanged(t *testing.T) {
	foam := deskLog(t)[1]
	own := kinds.FindingWritten{Name: "own-1", Statement: "foam in time", Entry: []string{string(foam.ID)}}
	own.Stood = reviewed(deskLog(t)).Review.EvidenceOf(own.Entry)
	fix := kinds.Correction{Entry: foam.ID, Field: "solution", Was: "120 gal", Now: "220 gal"}

	for _, c := range []struct {
		what    string
		desk    []events.Payload
		changed bool
	}{
		{"as it was", []events.Payload{own}, false},
		{"something unrelated", []events.Payload{own, kinds.Note{Text: "rain"}}, false},
		{"put right", []events.Payload{own, fix}, true},
		{"struck", []events.Payload{own, kinds.Struck{Entry: foam.ID}}, true},
	} {
		f := reviewed(deskLog(t, c.desk...)).State().Review.Findings[0]
		if f.Changed != c.changed || slices.Equal(f.Stood, f.Stands) == c.changed {
			t.Errorf("%s: changed %v, want %v; then %q, now %q", c.what, f.Changed, c.changed, f.Stood, f.Stands)
		}
	}

	again := own
	again.Stood = reviewed(deskLog(t, own, fix)).Review.EvidenceOf(own.Entry)
	if fs := reviewed(deskLog(t, own, fix, again)).State().Review.Findings; len(fs) != 1 || fs[0].Changed {
		t.Errorf("written anew: got %+v, want one finding whose evidence is as it was", fs)
	}
}

// A finding of the rules that they find no more stays with the chief's words, marked.
func TestTakenFindingGone(t *testing.T) {
	inc := reviewed(deskLog(t, kinds.FindingTaken{Finding: "foam-overdue/2", Statement: "foam was late", Stood: []string{"foam late"}}))
	inc.Findings = []Finding{{ID: "foam-overdue/2", Statement: "foam late"}}
	if f := inc.State().Review.Findings[0]; f.Changed || f.Statement != "foam was late" {
		t.Errorf("got %+v, want the chief's words, unchanged", f)
	}
	inc.Findings = nil
	if f := inc.State().Review.Findings[0]; !f.Changed || f.Statement != "foam was late" || len(f.Stands) > 0 {
		t.Errorf("got %+v, want the chief's words, changed", f)
	}
}

// Signing: a second signature right behind the first is under the same report; an entry
// after the last asks for an addendum; a signature after that is a new issue.
func TestStages(t *testing.T) {
	sig, lab := kinds.ReportSigned{Name: "Chief 1", Code: "7f3a-91bc"}, kinds.Note{Text: "laboratory result"}
	unsigned, elsewhere := kinds.ReportSigned{Name: "Chief 1", Statement: "signed by hand"}, signing(sig, events.Hash{1})
	renamed := signing(sig, deskLog(t)[1].Hash)
	if r := reviewed(deskLog(t, renamed)).State().Review; r.Stage != "signed" {
		t.Fatalf("a signature over the entry before it: %s", r.Stage)
	}
	renamed.Name = "Chief 2"
	for _, c := range []struct {
		desk     []events.Payload
		stage    string
		addendum int
	}{
		{nil, "draft", 0},
		{[]events.Payload{kinds.ReportMoved{State: "out for comment"}}, "out for comment", 0},
		{[]events.Payload{sig}, "signed", 0},
		{[]events.Payload{unsigned}, "draft", 0},
		{[]events.Payload{elsewhere}, "draft", 0},
		{[]events.Payload{renamed}, "draft", 0},
		{[]events.Payload{sig, sig}, "signed", 0},
		{[]events.Payload{sig, lab}, "signed", 1},
		{[]events.Payload{sig, lab, sig}, "reissued", 0},
		{[]events.Payload{sig, lab, sig, lab, lab}, "reissued", 2},
	} {
		r := reviewed(deskLog(t, c.desk...)).State().Review
		if r.Stage != c.stage || len(r.Addendum) != c.addendum {
			t.Errorf("%v: got %s with %v after it, want %s with %d", c.desk, r.Stage, r.Addendum, c.stage, c.addendum)
		}
	}
}
