package report

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

// at is a moment of the test incident.
func at(minutes int) time.Time { return said(minutes, "", "", kinds.Note{}).Occurred.At }

// awkward is a log with an entry of each sort that the timeline must explain.
func awkward(t testing.TB) []events.Recorded {
	soon := said(10, "Staging", "truck is here", kinds.Note{Text: "truck here"})
	late := said(5, "Hot line", "should have called it", kinds.Note{Text: "went back in"})
	late.Reported = at(34)
	day := said(0, "Ditch", "", kinds.Note{Text: "smell the day before"})
	day.Occurred = events.OnDay(at(-24 * 60))
	bracket := said(20, "Road", "", kinds.Note{Text: "hose burst"})
	bracket.Occurred = events.Between(at(18), at(22))
	span := said(25, "Ditch", "", kinds.Note{Text: "pumping"})
	span.Occurred = events.When{Form: events.Span, At: at(25), To: at(29)}
	before := said(9, "Road", "", kinds.Note{Text: "engine stopped"})
	before.Occurred, before.Reported = events.When{Form: events.Before, Entry: soon.ID}, at(12)
	ohms := said(30, "R2", "", kinds.ResistanceRead{Path: "bond", Resistance: quantity.Of[quantity.Ohms](18)})
	right := said(31, "R2", "eighteen fifty", kinds.Correction{Entry: ohms.ID, Field: "resistance", Was: "18 ohm", Now: "1850 ohm", Why: "misheard"})
	moved := said(32, "Staging", "", kinds.Correction{Entry: soon.ID, Field: "time", Was: soon.Occurred.At.Format(time.RFC3339), Now: at(11).Format(time.RFC3339), Why: "wrong watch"})
	wrong := said(33, "R1", "", kinds.Note{Text: "twelve psi"})
	strike := said(34, "R1", "", kinds.Struck{Entry: wrong.ID, Why: "other channel"})
	twice := said(10, "Staging", "R1 pulls in", kinds.Note{Text: "a truck"})
	twice.ObservedBy = "Safety Officer"
	joined := said(35, "", "", kinds.Joined{Entry: soon.ID, With: twice.ID})
	doubt := said(36, "R2", "", kinds.DoubtRaised{About: "the bond", Entry: []string{string(ohms.ID)}})
	return sealed(t, []events.Draft{soon, late, day, bracket, span, before, ohms, right, moved, wrong, strike, twice, joined, doubt, said(40, "", "", kinds.Note{Text: "future"})})
}

// fromTheFuture turns the last entry into one of a kind that nobody knows yet.
func fromTheFuture(t testing.TB, recorded []events.Recorded) []events.Recorded {
	t.Helper()
	last := &recorded[len(recorded)-1]
	raw := bytes.Replace(last.Raw, []byte(`"kind":"note"`), []byte(`"kind":"drone_seen"`), 1)
	r, err := kinds.Catalogue().Open(raw)
	if err != nil {
		t.Fatal(err)
	}
	*last = r
	return recorded
}

func TestTimelineTells(t *testing.T) {
	md := markdownOf(t, built(fromTheFuture(t, awkward(t)), events.View{}))
	_, timeline, _ := strings.Cut(md, "## Appendix A")
	for _, tt := range []struct{ name, want string }{
		{"days apart", "### Friday 28 February 2025\n\n#### e3\n"},
		{"a day without a time", "**28 Feb, time of day not said** Note: smell the day before."},
		{"late", "**late 29:** told 22:34"},
		{"late by a day or more", "**late at least 1,321:** told 22:01 (1 Mar)"},
		{"bracket", "**between 22:18 and 22:22** Note: hose burst."},
		{"span", "**22:25 to 22:29** Note: pumping."},
		{"before", "**before [e1](#e1)** Note: engine stopped."},
		{"words", "“should have called it”"},
		{"value as put right", "**22:30** Resistance read: bond, 1850 ohm."},
		{"value as first recorded", "was: ~~Resistance read: bond, 18 ohm.~~"},
		{"who put it right", "**put right** by [e8](#e8): was 18 ohm, now 1850 ohm; told 22:32 by Entry leader; why: misheard"},
		{"time as put right", "#### e1\n\n**22:11** "},
		{"time as first recorded", "was at: ~~22:10~~"},
		{"struck", "~~Note: twelve psi.~~"},
		{"who struck it", "**struck** by [e11](#e11); told 22:35 by Entry leader; why: other channel"},
		{"second witness", "second witness of [e1](#e1)"},
		{"its witness", "**second witness:** [e12](#e12), Safety Officer"},
		{"in doubt", "in doubt by [e14](#e14), open"},
		{"unknown kind", "**22:40** drone_seen (a kind this program does not know)"},
	} {
		if !strings.Contains(timeline, tt.want) {
			t.Errorf("%s: the timeline does not say %q", tt.name, tt.want)
		}
	}
	if t.Failed() {
		t.Log(timeline)
	}
	p := readPage(t, htmlOf(t, built(fromTheFuture(t, awkward(t)), events.View{})))
	p.resolve(t)
}

// TestEveryEntryOnce: the timeline holds each entry of a log, at any view, once.
func TestEveryEntryOnce(t *testing.T) {
	recorded := incident(t, "quarry-bend.csv", "Quarry Bend")
	for _, v := range []events.View{{}, {AsOf: recorded[100].Occurred.At}, {KnownAt: recorded[64].Reported}} {
		tl := kinds.Catalogue().NewTimeline(recorded, v)
		md := markdownOf(t, built(recorded, v))
		if got := strings.Count(md, "\n#### e"); got != len(tl.Entries) {
			t.Errorf("view %+v: %d entries in the report, want %d", v, got, len(tl.Entries))
		}
		for _, e := range tl.Entries {
			if n := strings.Count(md, "\n#### "+anchor(e.Seq)+"\n"); n != 1 {
				t.Errorf("view %+v: entry %d stands %d times", v, e.Seq, n)
			}
		}
	}
}

// TestAsKnownThen: what was told later is not in a report as known before.
func TestAsKnownThen(t *testing.T) {
	recorded := incident(t, "quarry-bend.csv", "Quarry Bend")
	const trip = "| P3A | 22:52"
	for _, tt := range []struct {
		known string
		want  bool
	}{{"2025-10-14T23:20:00-05:00", false}, {"2025-10-14T23:22:00-05:00", true}} {
		known, err := time.Parse(time.RFC3339, tt.known)
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Contains(markdownOf(t, built(recorded, events.View{KnownAt: known})), trip); got != tt.want {
			t.Errorf("as known at %s the trip of pair 3 told at 23:21:10 is in the report: %v, want %v", tt.known, got, tt.want)
		}
	}
}

// TestSeveralLogs: a report that joins two logs names the log of each entry, gives
// both fingerprints, and says what the numbers mean.
func TestSeveralLogs(t *testing.T) {
	here := sealed(t, []events.Draft{said(1, "Staging", "", kinds.Note{Text: "one"})})
	r, err := kinds.Catalogue().Seal(said(2, "Ditch", "", kinds.Note{Text: "two"}), "second", nil, at(3))
	if err != nil {
		t.Fatal(err)
	}
	d := built(append(here, r), events.View{})
	md := markdownOf(t, d)
	for _, want := range []string{"log of node", "log of second", "Fingerprint of the log of second:** code **" + r.Hash.String()[:4], "Numbers of entries"} {
		if !strings.Contains(md, want) {
			t.Errorf("the report of two logs does not say %q", want)
		}
	}
	p := readPage(t, htmlOf(t, d))
	p.resolve(t)
}

// TestSmokeIsExplainedBesideTheMishap: what was reported as smoke is not left to
// read as a fire where a later entry says what it was.
func TestSmokeIsExplainedBesideTheMishap(t *testing.T) {
	crash := said(0, "Mill", "", kinds.Mishap{Smoke: "reported"})
	steam := said(16, "Tractor", "nothing burning", kinds.Note{Smoke: "steam", Fire: "no"})
	fire := said(16, "Tractor", "", kinds.FireSeen{})
	for _, tt := range []struct {
		name   string
		drafts []events.Draft
		want   string // of the lines after the mishap's; "" for none
	}{
		{"explained", []events.Draft{crash, steam}, "- **What smoke or fire there was,** 22:16\u00a0[e2](#e2), Tractor: Note: smoke: steam, fire: no. “nothing burning”\n"},
		{"a fire", []events.Draft{crash, fire}, "- **What smoke or fire there was,** 22:16\u00a0[e2](#e2), Tractor: Fire.\n"},
		{"not explained", []events.Draft{crash}, "- **What the smoke or fire was:** *not recorded*\n"},
		{"none reported", []events.Draft{said(0, "Mill", "", kinds.Mishap{Smoke: "none", Fire: "no"})}, ""},
	} {
		_, facts, _ := strings.Cut(markdownOf(t, built(sealed(t, tt.drafts), events.View{})), "## 16. Facts of the incident\n\n")
		_, got, _ := strings.Cut(facts, "\n") // after the mishap
		got, _, _ = strings.Cut(got, "- **Size-up:**")
		if got != tt.want {
			t.Errorf("%s: after the mishap\n got %q\nwant %q", tt.name, got, tt.want)
		}
	}
}
