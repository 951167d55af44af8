package report

import (
	"slices"
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
	"tankside/projections"
	"tankside/report/chart"
)

// fills counts the bars of a lane by their fill.
func fills(l chart.Lane) map[chart.Fill]int {
	out := map[chart.Fill]int{}
	for _, b := range l.Bars {
		out[b.Fill]++
	}
	return out
}

func TestCrewPicture(t *testing.T) {
	d := built(incident(t, "quarry-bend.csv", "Quarry Bend"), events.View{})
	elsewhere := projections.Finding{Rule: "backup-elsewhere", Subject: "P4A", Start: d.State.Accountability.RollCalls[3].At, End: d.State.Accountability.RollCalls[4].At}
	d.State.Findings = []projections.Finding{elsewhere}
	l, ok := d.crew()
	if !ok || len(l.Lanes) != 14 {
		t.Fatalf("%d lanes, %v; want 12 people, the backup and the roll calls", len(l.Lanes), ok)
	}
	for _, tt := range []struct {
		label  string
		fill   chart.Fill
		n      int
		marked int
	}{
		{"P3A", chart.Solid, 4, 0}, {"P3A", chart.ToldLate, 1, 0}, {"P1A", chart.Rest, 1, 0}, {"P4A", chart.Solid, 0, 0},
		{"backup", chart.Named, 5, 0}, {"backup", chart.Hole, 12, 0}, {"roll calls", chart.Hole, 2, 18},
	} {
		i := slices.IndexFunc(l.Lanes, func(l chart.Lane) bool { return l.Label == tt.label })
		if i < 0 {
			t.Errorf("no lane %s", tt.label)
			continue
		}
		if lane := l.Lanes[i]; fills(lane)[tt.fill] != tt.n || len(lane.Marks) != tt.marked {
			t.Errorf("%s: bars %v and %d marks, want %d of fill %v and %d marks", tt.label, fills(lane), len(lane.Marks), tt.n, tt.fill, tt.marked)
		}
	}
}

func TestTripsOnPaper(t *testing.T) {
	md := markdownOf(t, built(incident(t, "quarry-bend.csv", "Quarry Bend"), events.View{}))
	for _, want := range []string{
		"reset clamp; told 29.2 min late; no fresh bottle |", "look and wedge; **out below the alarm** |", "taken for a bottle nobody named", "23:46\u00a0[e83](#e83), 2 bottles | 3 | *not recorded* |",
	} {
		if !strings.Contains(md, want) {
			t.Errorf("the report does not say %q", want)
		}
	}
	if md := markdownOf(t, built(incident(t, "harrow-mill.csv", "Harrow Mill"), events.View{})); !strings.Contains(md, "No pressures and no bottles are recorded.") || strings.Contains(md, "Low-air alarm") {
		t.Error("the report of Harrow Mill speaks of air that nobody had")
	}
}

// Who is in stands with the air left by estimate.
func TestAirLeftOnPaper(t *testing.T) {
	in := said(0, "Line", "in", kinds.InHot{Bottle: "45 min", Pressures: events.KeyedAmounts[quantity.PSI]{{Key: "P1A", Value: quantity.Of(quantity.PSI(4400))}}})
	read := said(10, "Line", "air", kinds.PressureRead{Pressures: events.KeyedAmounts[quantity.PSI]{{Key: "P1A", Value: quantity.Of(quantity.PSI(3400))}}})
	md := markdownOf(t, built(sealed(t, []events.Draft{in, read}), events.View{}))
	for _, want := range []string{"Air of those who are in, by estimate", "| P1A | 3,400 psi | 3,300 psi | 100 psi/min |", "Bottle: 45 min, 4500 psi, said"} {
		if !strings.Contains(md, want) {
			t.Errorf("the report does not say %q", want)
		}
	}
}
