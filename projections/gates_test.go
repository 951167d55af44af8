package projections

import (
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

// gateOf finds a gate; the test ends where there is none.
func gateOf(t *testing.T, gs []Gate, step, need string) Gate {
	t.Helper()
	for _, g := range gs {
		if g.Step == step && g.Need == need {
			return g
		}
	}
	t.Fatalf("no gate %q before %q", need, step)
	return Gate{}
}

// TestGatesQuarryBend: margins worked by hand from the rows of the incident.
func TestGatesQuarryBend(t *testing.T) {
	gs := folded(t, "quarry-bend", events.View{}).Gates()
	for _, tt := range []struct {
		step, need string
		record     Standing
		margin     float64 // min, by hand
		from       events.Seq
	}{
		{"first entry", "decon ready", InPlace, 3, 21},                                // 21:33 to 21:36
		{"first entry", "backup ready", InPlace, 2, 22},                               // 21:34 to 21:36
		{"first entry", "safety briefing", NoRecord, 0, 0},                            // no row
		{"first hole or outlet open", "ground read within limit", InPlace, 32, 42},    // 22:16 to 22:48
		{"first hole or outlet open", "air read", InPlace, 15, 49},                    // 22:33 by the true clock to 22:48
		{"first pumping into R2", "bond to the truck within limit", InPlace, 18, 123}, // 01:15 to 01:33; 1850 ohm before it
		{"first pumping into R3", "truck checked", NoRecord, 0, 0},                    // no row
		{"lift", "compartments emptied or dipped", InPlace, 7, 195},                   // 04:24 to 04:31
	} {
		g := gateOf(t, gs, tt.step, tt.need)
		if g.Record != tt.record || g.Margin.Known != (tt.record != NoRecord) || g.Margin.Value != tt.margin {
			t.Errorf("%s before %s: %s, margin %+v; want %s, %g min", tt.need, tt.step, g.Record, g.Margin, tt.record, tt.margin)
		}
		if tt.from != 0 && g.Met.From[0] != tt.from {
			t.Errorf("%s before %s rests on entry %d, want %d", tt.need, tt.step, g.Met.From[0], tt.from)
		}
	}
}

func ohms(path string, v float64) kinds.ResistanceRead {
	return kinds.ResistanceRead{Path: path, Resistance: quantity.Of[quantity.Ohms](quantity.Ohms(v)), Limit: quantity.Of[quantity.Ohms](10)}
}

// TestGates: what came after, what had gone bad again, and steps never taken.
func TestGates(t *testing.T) {
	gs := toldOf(t,
		line{"22:00", "NE corner", kinds.InHot{Pair: "1"}},
		line{"22:04", "NE corner", kinds.DeconReady{}},
		line{"22:10", "Tank shell to R1", ohms("bond", 0.5)},
		line{"22:20", "Tank shell to R1", ohms("bond", 900)},
		line{"22:30", "C1", kinds.HoleDrilled{Hole: []string{"C1-L"}}},
	).Gates()
	if g := gateOf(t, gs, "first entry", "decon ready"); g.Record != OnlyAfter || g.Margin.Value != -4 {
		t.Errorf("decon ready 4 min after the entry: got %s, margin %+v", g.Record, g.Margin)
	}
	if g := gateOf(t, gs, "first hole or outlet open", "bond read within limit"); g.Record != NoRecord || g.Why == "" {
		t.Errorf("a bond last read over its limit: got %s %q, want no record and why", g.Record, g.Why)
	}
	for _, g := range gs {
		if g.Step == "lift" {
			t.Errorf("a lift that was not recorded has the gate %q", g.Need)
		}
	}
}

// A limit that was ordered or stated before holds for a reading that names none; where
// nobody said one, the gate says that it was read.
func TestGatesByLimitInForce(t *testing.T) {
	read := func(v float64) kinds.ResistanceRead {
		return kinds.ResistanceRead{Resistance: quantity.Of(quantity.Ohms(v))}
	}
	pump := line{"12:30", "C4 to R1", kinds.PumpOn{Leg: "L1"}}
	for _, tt := range []struct {
		name   string
		rows   []line
		record Standing
		why    string
	}{
		{"ordered", []line{{"12:00", "", kinds.OrderGiven{Rule: []string{"bond under 5 ohm"}}}, {"12:10", "Tank shell to R1", read(3)}, pump}, InPlace, ""},
		{"over what was ordered", []line{{"12:00", "", kinds.OrderGiven{Rule: []string{"bond under 5 ohm"}}}, {"12:10", "bond R1", read(7)}, pump}, NoRecord, "the last reading before it was over the limit"},
		{"no limit said", []line{{"12:10", "Tank shell to R1", read(3)}, pump}, NoRecord, "it was read before it, and no limit was said"},
		{"not read", []line{pump}, NoRecord, ""},
	} {
		inc := toldOf(t, tt.rows...)
		g := gateOf(t, inc.Gates(), "first pumping into R1", "bond to the truck within limit")
		if g.Record != tt.record || g.Why != tt.why {
			t.Errorf("%s: %s, %q; want %s, %q", tt.name, g.Record, g.Why, tt.record, tt.why)
		}
		if within := !inc.Phases.at[atBondGood].IsZero(); within != (tt.record == InPlace) {
			t.Errorf("%s: bond within limit as a benchmark: %v", tt.name, within)
		}
	}
}

func TestTruckAt(t *testing.T) {
	for place, want := range map[string]string{
		"Tank shell to R2": "R2", "Tank shell to R3A": "R3", "R1 to C4": "", "Tank shell to rods": "", "bond R2": "R2", "R1": "R1", "V1 east clamp": "V1", "C4 to G1": "", "C4": "", "Rod G1": "",
		"R1 and R2": "", "P1A": "", "Tank shell": "", "": "", "Hose L3": "",
	} {
		if got := truckAt(place); got != want {
			t.Errorf("the truck of %q is %q, want %q", place, got, want)
		}
	}
}
