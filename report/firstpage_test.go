package report

import (
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections"
)

// TestObjectivesAgainstOutcomes puts each outcome beside the objective it is of.
func TestObjectivesAgainstOutcomes(t *testing.T) {
	set := said(0, "CP", "", kinds.ObjectiveSet{Objective: "keep it off the creek", Criterion: "no sheen at the weir"})
	foam := said(2, "Ditch", "", kinds.FoamApplied{})
	log := sealed(t, []events.Draft{
		set, foam, said(3, "CP", "", kinds.ObjectiveSet{Objective: "open the road"}),
		said(9000, "", "", kinds.OutcomeWritten{Objective: string(set.ID), Outcome: "reached", Actual: "dry bed", Sustain: "booms first", Entry: []string{string(foam.ID)}}),
		said(9001, "", "", kinds.OutcomeWritten{Objective: "nobody hurt", Outcome: "reached"}),
	})
	md := markdownOf(t, as(t, log, Options{}))
	for _, want := range []string{
		"| keep it off the creek 22:00\u00a0[e1](#e1) | reached when no sheen at the weir | **reached**; dry bed\u00a0[e4](#e4); stands on\u00a0[e2](#e2); **evidence changed since this was written** | booms first |",
		"| open the road 22:03\u00a0[e3](#e3) | when it is reached *not recorded* | not written yet | – |",
		"| nobody hurt | *not recorded* | **reached**\u00a0[e5](#e5); opinion, no entries named | – |",
	} {
		if !strings.Contains(md, want) {
			t.Errorf("the report lacks %q in\n%.1500s", want, md[strings.Index(md, "### Objectives against"):])
		}
	}
	public := markdownOf(t, as(t, log, Options{Edition: Public}))
	if strings.Contains(public, "evidence then") {
		t.Error("the public edition quotes the evidence of an outcome")
	}
}

// TestVerdict says of people and product what the log bears, and no more.
func TestVerdict(t *testing.T) {
	known := func(v, low, high float64) projections.Figure {
		return projections.Figure{Known: true, Value: v, Low: low, High: high, Unit: "gal"}
	}
	load := projections.Exact(100, "gal", "")
	for _, c := range []struct {
		left, load projections.Figure
		want       string
	}{
		{known(5, -3, 9), load, "within the doubt"},
		{known(5, 1, 9), load, "Part of the product is not accounted for"},
		{known(-5, -9, -1), load, "More product is accounted for than there was"},
		{projections.Figure{Unit: "gal", High: -184}, load, "More product"},
		{projections.Figure{Unit: "gal", Low: 20}, load, "Part of the product"},
		{projections.Figure{Unit: "gal", High: 20}, load, "cannot be said yet"},
		{projections.Lacking("gal", "dip"), load, "cannot be said yet"},
		{projections.Lacking("gal", "dip"), projections.Lacking("gal", "load"), "not recorded"},
	} {
		if got := productVerdict(c.left, c.load); !strings.Contains(got, c.want) {
			t.Errorf("%+v: got %q, want %q", c.left, got, c.want)
		}
	}
}

// TestFirstPoints takes what the chief wrote before what he took, and that before what
// the rules and the log offer; the public edition has nothing that nobody took.
func TestFirstPoints(t *testing.T) {
	quarry := draftsOf(t, "quarry-bend.csv", "Quarry Bend")
	offered := as(t, sealed(t, quarry), Options{}).FirstPoints()
	if !offered[0].Candidate || len(offered[0].List) != ofOne || !strings.Contains(offered[0].List[0].Text, "all on the list was in place before the first pumping into R1") {
		t.Errorf("got %+v, want three candidates, the first a step with all it needs", offered[0])
	}
	own := quarry[0]
	own.Payload = kinds.FindingWritten{Name: "own-1", Statement: "the crew was calm", Sort: "kept up"}
	own.ID = events.ContentID(own.Occurred.At, "own")
	own.Occurred = quarry[len(quarry)-1].Occurred
	got := as(t, sealed(t, append(quarry, own)), Options{}).FirstPoints()
	if got[0].Candidate || len(got[0].List) != 1 || got[0].List[0].Text != "the crew was calm" {
		t.Errorf("got %+v, want what the chief wrote alone", got[0])
	}
	own.Payload, own.ID = kinds.SectionWritten{Section: "well", Text: "calm work"}, events.ContentID(own.Occurred.At, "well")
	if got := as(t, sealed(t, append(quarry, own)), Options{}).FirstPoints(); got[0].Own == nil || got[0].Own.Text != "calm work" {
		t.Errorf("got %+v, want the chief's own text", got[0])
	}
}

// TestFindingsGrouped says once what findings of a rule say alike, and loses no word of any.
func TestFindingsGrouped(t *testing.T) {
	finding := func(rule, statement string, s projections.Severity) projections.Finding {
		return projections.Finding{Rule: rule, Severity: s, Statement: statement}
	}
	d := Document{State: projections.State{Findings: []projections.Finding{
		finding("air", "no reading anywhere for 22 min while somebody was in", projections.Caution),
		finding("foam", "76 min from the foam", projections.Caution),
		finding("foam", "72 minutes since", projections.Caution),
		finding("air", "no reading anywhere for 73 min while somebody was in", projections.Caution),
		finding("air", "no reading anywhere for 90 min while somebody was in", projections.Serious),
		finding("air", "no reading anywhere for while somebody was in", projections.Caution),
	}}}
	got := d.FindingGroups()
	if len(got) != 3 || got[0].Severity != projections.Serious || got[0].Alike != "" || got[1].Alike != "no reading anywhere for … while somebody was in" || got[2].Alike != "" {
		t.Fatalf("got %+v, want the serious one, three alike and two that are not", got)
	}
	for _, g := range got {
		for i, f := range g.Findings {
			if whole := strings.Join(strings.Fields(strings.Replace(either(g.Alike, "…"), "…", g.Own[i], 1)), " "); whole != f.Statement {
				t.Errorf("put together again: %q, want %q", whole, f.Statement)
			}
		}
	}
	if !got[1].Brief() {
		t.Error("what each of three says alone is short, and not found so")
	}
}

// TestEmptyColumns takes out what no row says, and says so; two columns stay.
func TestEmptyColumns(t *testing.T) {
	const nr = string(notRecorded)
	for in, want := range map[string]string{
		"| A | B | C |\n|---|---|---:|\n| 1 | " + nr + " | 3 |\n| 2 | – | 4 |\n": "| A | C |\n|---|---:|\n| 1 | 3 |\n| 2 | 4 |\n\nIn none of these recorded: B.\n",
		"| A | B | C |\n|---|---|---|\n| 1 | – | 3 |\n":                          "| A | C |\n|---|---|\n| 1 | 3 |\n",
		"| A | B |\n|---|---|\n| 1 | " + nr + " |\n":                             "",
		"| A | B | C |\n|---|---|---|\n| 1 | " + nr + " x | 3 |\n":               "",
		"| A | B | C |\n|---|---|---|\n| a \\| b | – | x\\\\ |\n":                "| A | C |\n|---|---|\n| a \\| b | x\\\\ |\n",
		"| | | |\n|---|---|---|\n| | | |\n":                                      "",
	} {
		if want == "" {
			want = in
		}
		if got := string(withoutEmptyColumns([]byte("x\n\n" + in + "\ny\n"))); got != "x\n\n"+want+"\ny\n" {
			t.Errorf("%q became\n%s\nwant\n%s", in, got, want)
		}
	}
}

// TestMetricSentences turns the amounts of a sentence of ours and puts them behind what
// somebody said. An inch and the standard temperature are left alone.
func TestMetricSentences(t *testing.T) {
	for _, c := range []struct{ said, own, beside string }{
		{"lost 5 gal, maybe", "lost 18.9 L, maybe", "lost 5 gal (18.9 L), maybe"},
		{"capacity 9200 gal, 5 compartments", "capacity 34,826 L, 5 compartments", "capacity 9200 gal (34,826 L), 5 compartments"},
		{"unaccounted: 15 gal (between −109 gal and 176 gal) ± 58 gal", "unaccounted: 56.8 L (between −413 L and 666 L) ± 220 L", ""},
		{"4 to 6 gal", "15.1 to 22.7 L", "4 to 6 gal (15.1 to 22.7 L)"},
		{"94.6 F", "34.8 C", "94.6 F (34.8 C)"},
		{"21 ± 2 F", "−6.11 ± 1.11 C", ""},
		{"net gallons at 60 F", "net gallons at 60 F", "net gallons at 60 F"},
		{"3,537 gal at 60 F", "13,389 L at 60 F", ""},
		{"2 in; 96 ppm, 10 %, 22 min, R3 took it", "2 in; 96 ppm, 10 %, 22 min, R3 took it", "2 in; 96 ppm, 10 %, 22 min, R3 took it"},
		{"48.4 gpm at 90 psi/min", "183 L/min at 621 kPa/min", ""},
		{"0.69 % for each 10 F", "0.69 % for each 5.56 C", "0.69 % for each 10 F (5.56 C)"},
		{"MC-306 gal", "MC-306 gal", "MC-306 gal"},
	} {
		if got := metricWords(c.said); got != c.own {
			t.Errorf("%q became %q, want %q", c.said, got, c.own)
		}
		if got := besideMetric(c.said); c.beside != "" && got != c.beside {
			t.Errorf("%q became %q, want %q", c.said, got, c.beside)
		}
	}
}

// TestMetricKeepsWhatWasSaid wants each amount that somebody said in a report in SI as it
// was said, and no sentence of the rules or the balance in gallons.
func TestMetricKeepsWhatWasSaid(t *testing.T) {
	md := markdownOf(t, as(t, incident(t, "quarry-bend.csv", "Quarry Bend"), Options{Units: SI}))
	for _, want := range []string{"capacity 9200 gal (34,826 L)", "Balance of what was let out: unaccounted: 734 L", "leg L3: meter: 201 L in 7 min"} {
		if !strings.Contains(md, want) {
			t.Errorf("the report in SI lacks %q", want)
		}
	}
}
