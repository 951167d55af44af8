package report

import (
	"strings"
	"testing"

	"tankside/events"
)

// TestExposureTables: the hose end is over its limit, the tender may have been, and the
// crews nobody read benzene for are named.
func TestExposureTables(t *testing.T) {
	d := built(incident(t, "quarry-bend.csv", "Quarry Bend"), events.View{})
	if got := d.Exposure.Places[0]; got.Places[0] != "R1 hose end" || got.Short != "over 5" || !got.Past {
		t.Errorf("first place %v: %q, want R1 hose end over 5", got.Places, got.Short)
	}
	if got := d.Exposure.People[0]; got.Person != "P4A" || got.Short != "possibly over 5" || got.Past || got.Shift != "not over 1" {
		t.Errorf("first person %s: %q and %q", got.Person, got.Short, got.Shift)
	}
	if got := strings.Join(d.Exposure.Without[0].Who, "; "); !strings.HasPrefix(got, "P1A 103 min; P1B 75 min;") || strings.Contains(got, "P4A") {
		t.Errorf("nobody read benzene for %q", got)
	}
	md := markdownOf(t, d)
	for _, want := range []string{"6.64 ppm (4.9 to 7.64); by straight lines 6.27 ppm; **over 5**", "start *not recorded* to 23:44", "benzene, 15 min average 5 ppm: 29 CFR 1910.1028(c)(2)", "by local procedure"} {
		if !strings.Contains(md, want) {
			t.Errorf("the report does not say %q", want)
		}
	}
	if md := markdownOf(t, built(incident(t, "harrow-mill.csv", "Harrow Mill"), events.View{})); !strings.Contains(md, "*not measured*") {
		t.Error("where nothing was measured the report does not say so")
	}
}
