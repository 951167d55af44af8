package report

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections"
)

// TestFindingsStandInTheReport prints a finding, a rule that was not held and a timer.
func TestFindingsStandInTheReport(t *testing.T) {
	c := kinds.Catalogue()
	tl := c.NewTimeline(nil, events.View{})
	inc := projections.Fold(c, tl)
	at := time.Date(2025, 10, 14, 22, 54, 0, 0, time.FixedZone("", -5*3600))
	start := projections.Moment{Best: at, Earliest: at, Latest: at, From: []events.Seq{57}}
	end := start
	end.Best, end.From = at.Add(22*time.Minute), []events.Seq{65}
	end.Earliest, end.Latest = end.Best, end.Best
	inc.RuleBook = "1 rules, fingerprint 00000000"
	inc.Findings = []projections.Finding{{
		Rule: "roll-call-late", Ref: "PAR", Severity: projections.Caution, Start: start, End: end, Statement: "no roll call is recorded for 22 min",
		Limit: &projections.Threshold{Op: ">", Value: 20, Unit: "min", Source: "set at the site", Status: "site setting", From: []events.Seq{20}},
		From:  []events.Seq{20, 57, 65},
	}}
	inc.RulesOff = []projections.RuleOff{{Rule: "suit-heat", Ref: "S37", Why: "no suits on this team"}}
	inc.Due = []projections.Due{{What: "written report, DOT F 5800.1", Subject: "product was released", At: at.AddDate(0, 0, 30), Owner: "carrier", From: []events.Seq{6}}}
	inc.Duties = []projections.Duty{
		{What: "national call", Why: "SR-88 was closed", Begun: start, At: at.Add(12 * time.Hour), Margin: projections.Exact(-30, "min", "so far", 57), Owner: "IC", Limit: inc.Findings[0].Limit},
		{What: "written report", Why: "a release", Begun: start, At: at.AddDate(0, 0, 30), Made: end, Margin: projections.Exact(90, "min", "when it was made", 65), Owner: "carrier", Limit: inc.Findings[0].Limit},
	}
	var b bytes.Buffer
	if err := Build(c, inc, tl, at).Markdown(&b); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"no roll call is recorded for 22 min (PAR roll-call-late)", "at most 20 min; set at the site\u00a0[e20](#e20)",
		"**Not held against this log:** S37 suit-heat: no suits on this team", "**Still due:** written report, DOT F 5800.1, product was released, by 1",
		"| *no record* | −30 min", "| 90 min\u00a0[e65](#e65), when it was made |",
	} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("the report lacks %q", want)
		}
	}
}
