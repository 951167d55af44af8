package projections

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

// What the readings of the two scenes speak for: 38 ohm with one rod of 5 ft is soil of
// 64 ohm-m, and two such rods would do for 25; 240 ohm in frozen ground would take 20.
func TestRodEstimates(t *testing.T) {
	for _, tt := range []struct {
		incident string
		want     []string
	}{
		{"quarry-bend", []string{
			"Rod G1: soil 64 (62 to 70) of [G1], needs 2 for 22 ohm; told as gravel, which is printed at 590 to 4580 ohm-m",
			"Rods G1+G2: soil 47 (46 to 51) of [G1 G2], needs not known; told as gravel, which is printed at 590 to 4580 ohm-m; G2 was wetted: soil as wet as it was",
		}},
		{"harrow-mill", []string{"Rod G1: soil not known of [G1], needs 20 for 24 ohm", "G1+G2: none"}},
	} {
		var got []string
		for _, p := range folded(t, tt.incident, events.View{}).Grounding.List() {
			for _, r := range p.Readings {
				if p.Path != "ground" {
					continue
				}
				e := r.Estimate
				if e == nil {
					got = append(got, p.Place+": none")
					continue
				}
				needs := "needs not known"
				if e.Needed.Known {
					needs = fmt.Sprintf("needs %.0f for %.0f ohm", e.Needed.Value, e.Comes.Value)
				}
				soil := "not known"
				if e.Soil.Known {
					soil = fmt.Sprintf("%.0f (%.0f to %.0f)", e.Soil.Value, e.Soil.Low, e.Soil.High)
				}
				text := fmt.Sprintf("%s: soil %s of %v, %s", p.Place, soil, e.Rods, needs)
				got = append(got, strings.Join(append([]string{text}, e.Notes...), "; "))
			}
		}
		if !slices.Equal(got, tt.want) {
			t.Errorf("%s:\n got %q\nwant %q", tt.incident, got, tt.want)
		}
	}
}

// Static and what somebody set are two questions; a reading far over the department's
// target still drains a charge.
func TestStaticApart(t *testing.T) {
	ohms := func(v float64) kinds.ResistanceRead {
		return kinds.ResistanceRead{Path: "bond", From: "tank shell", To: "R2", Resistance: quantity.Of(quantity.Ohms(v)), Limit: quantity.Of[quantity.Ohms](10)}
	}
	p := toldOf(t, line{"10:00", "", ohms(1850)}, line{"10:05", "", ohms(1e6)}, line{"10:10", "", ohms(1.1e6)}).Grounding.List()[0]
	var got []string
	for _, r := range p.Readings {
		got = append(got, string(r.Verdict)+", static "+string(r.Static))
	}
	want := []string{"over limit, static within limit", "over limit, static within limit", "over limit, static over limit"}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

// A rule set at the site is the limit from then on, of its own path alone; a reading
// that names one goes before it.
func TestOrderedResistance(t *testing.T) {
	read := func(path string, v float64) kinds.ResistanceRead {
		return kinds.ResistanceRead{Path: path, Resistance: quantity.Of(quantity.Ohms(v))}
	}
	own := read("bond", 7)
	own.Limit = quantity.Of[quantity.Ohms](8)
	inc := toldOf(
		t,
		line{"10:00", "A", read("bond", 7)},
		line{"10:05", "", kinds.OrderGiven{Rule: []string{"bond under 5 ohm", "foam again at 60 min", "Ground rods to read 10 ohms or less"}}},
		line{"10:10", "B", read("bond", 7)}, line{"10:11", "C", read("ground", 9)}, line{"10:12", "D", own},
	)
	var got []string
	for _, p := range inc.Grounding.List() {
		got = append(got, fmt.Sprintf("%s %s %v %s", p.Place, p.Verdict, p.Readings[0].Limit.From, p.Readings[0].Limit.Method))
	}
	want := []string{"A no limit given [] ", "B over limit [2] as ordered", "C within limit [2] as ordered", "D within limit [5] as stated"}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

// A bond taken off and put on again has not been read.
func TestBondMadeAnew(t *testing.T) {
	bond := func(state string) kinds.BondMade { return kinds.BondMade{State: state, From: "tank shell", To: "R1"} }
	inc := toldOf(
		t,
		line{"10:00", "", bond("connected")},
		line{"10:01", "", kinds.ResistanceRead{Path: "bond", From: "tank shell", To: "R1", Resistance: quantity.Of[quantity.Ohms](0.5), Limit: quantity.Of[quantity.Ohms](10)}},
		line{"10:30", "", bond("removed")}, line{"11:00", "", bond("connected")},
	)
	if p := inc.Grounding.Bond("R1"); p.Verdict != NoReading || !p.Removed.IsZero() || len(p.Readings) != 1 {
		t.Errorf("a bond made anew: %+v, want one old reading and no verdict", p)
	}
}
