package projections

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
	"tankside/projections/calc/foam"
)

// TestTripsThatTouch: who goes in again in the minute in which a stay ended was not in
// twice, and who comes out in a minute is out in it.
func TestTripsThatTouch(t *testing.T) {
	span := story(t, line{"10:05", "", kinds.InHot{Pair: "1"}}, line{"10:25", "", kinds.InHot{Pair: "1"}}, line{"10:40", "", kinds.OutHot{Pair: "1"}})
	span.Entries[0].Occurred.Form = events.Span
	span.Entries[0].Occurred.To = span.Entries[0].Occurred.At.Add(20 * time.Minute)
	inc := Fold(kinds.Catalogue(), span)
	if len(inc.People.Notes) != 0 {
		t.Errorf("in again as the stay before ended: notes %v, want none", inc.People.Notes)
	}
	both := []string{"P1A", "P1B"}
	for minute, want := range map[time.Duration][]string{4: {}, 5: both, 25: both, 39: both, 40: {}} {
		got := inc.People.InAt(span.Entries[0].Time().Add((minute - 5) * time.Minute))
		if !slices.Equal(got, want) {
			t.Errorf("in at 10:%02d: got %v, want %v", minute, got, want)
		}
	}
}

// A pair that comes out by its number takes nobody else out.
func TestOnePairOutLeavesTheOtherIn(t *testing.T) {
	inc := toldOf(t, line{"10:00", "", kinds.InHot{Pair: "1"}}, line{"10:05", "", kinds.InHot{Pair: "2"}}, line{"10:20", "", kinds.OutHot{Pair: "1"}})
	if got := inc.People.InAt(inc.AsOf); !slices.Equal(got, []string{"P2A", "P2B"}) {
		t.Errorf("pair 1 came out: in are %v, want pair 2", got)
	}
}

// A stretch is held against the roll call rule that was given when it began.
func TestRollRuleOfItsTime(t *testing.T) {
	inc := toldOf(t,
		line{"09:00", "", kinds.OrderGiven{Rule: []string{"PAR every 20 min while anyone is in"}}}, line{"10:00", "", kinds.InHot{Pair: "1"}},
		line{"10:15", "", kinds.RollCall{}}, line{"10:20", "", kinds.OrderGiven{Rule: []string{"PAR every 10 min while anyone is in"}}}, line{"10:25", "", kinds.RollCall{}},
		line{"10:30", "", kinds.OutHot{Pair: "1"}},
	)
	var got []float64
	for _, g := range inc.RollGaps() {
		got = append(got, g.Limit.Value)
	}
	if want := []float64{20, 20, 10}; !slices.Equal(got, want) {
		t.Errorf("limits of the stretches: %v, want %v", got, want)
	}
}

func bottles(a, b float64) events.KeyedAmounts[quantity.PSI] {
	return events.KeyedAmounts[quantity.PSI]{{Key: "P1A", Value: quantity.Of(quantity.PSI(a))}, {Key: "P1B", Value: quantity.Of(quantity.PSI(b))}}
}

// TestSupplyAtItsEdges: two readings of one bottle may lie 100 psi apart, and an order
// given after a trip names neither its bottle nor where it was to turn round.
func TestSupplyAtItsEdges(t *testing.T) {
	inc := toldOf(t,
		line{"10:00", "", kinds.InHot{Pair: "1", Pressures: bottles(4400, 4400)}}, line{"10:20", "", kinds.OutHot{Pair: "1", Pressures: bottles(2000, 2000)}},
		line{"10:30", "", kinds.InHot{Pair: "1", Pressures: bottles(2100, 2101)}}, line{"10:35", "", kinds.OutHot{Pair: "1", Pressures: bottles(1700, 1700)}},
		line{"10:40", "", kinds.OrderGiven{Rule: []string{"60 min bottles", "turn back at 2000 psi"}}},
		line{"10:50", "", kinds.InHot{Pair: "1", Pressures: bottles(4400, 4400)}},
	)
	for i, s := range inc.Supplies() {
		after := i >= 4
		if (s.Bottle != "") != after || (s.TurnBack.Method == "as ordered") != after {
			t.Errorf("%s in at %s, ordered at 10:40: bottle %q by %s, turn back %+v", s.Person, clock(s.Start.Best), s.Bottle, s.BottleBy, s.TurnBack)
		}
		if again := i == 2; s.Reused != again {
			t.Errorf("%s in at %s on %g psi: on the same bottle %t, want %t", s.Person, clock(s.Start.Best), s.Began.Value, s.Reused, again)
		}
	}
}

// TestEstimateAtItsEdges: out at the very alarm is out above it; the low bound of what is
// left goes by the fastest breathing; a gauge that has not fallen tells no rate; and a
// team is who went in as one.
func TestEstimateAtItsEdges(t *testing.T) {
	bottle := line{"09:00", "", kinds.OrderGiven{Rule: []string{"45 min bottles"}}} // 4500 psi, alarm at 1485
	out := toldOf(t, bottle, line{"10:00", "", kinds.InHot{Pair: "1", Pressures: bottles(4500, 4500)}}, line{"10:20", "", kinds.OutHot{Pair: "1", Pressures: bottles(1485, 1484)}})
	for i, want := range []string{AirOver, AirUnder} {
		if s := out.Supplies()[i]; s.Verdict != want {
			t.Errorf("%s out on %g psi, alarm at %g: %s, want %s", s.Person, s.Ended.Value, s.AlarmAt.Value, s.Verdict, want)
		}
	}
	in := toldOf(t, bottle,
		line{"10:00", "", kinds.InHot{Pair: "1", Pressures: bottles(4500, 4500)}},
		line{"10:00", "", kinds.InHot{Pair: "2", Person: []string{"P2A"}, Pressures: events.KeyedAmounts[quantity.PSI]{{Key: "P2A", Value: quantity.Of(quantity.PSI(2500))}}}},
		line{"10:05", "", kinds.PressureRead{Pressures: bottles(4500, 4400)}},
	)
	in = in.At(in.People.AirRules[0].At.Best.Add(70 * time.Minute)) // 10:10
	a, b, other := in.Supplies()[0], in.Supplies()[1], in.Supplies()[2]
	if strings.Contains(a.Rate.Method, "readings") || a.Rate.Value <= 0 {
		t.Errorf("a gauge that stood still gives the rate %+v, want a usual one", a.Rate)
	}
	if !strings.Contains(b.Rate.Method, "readings") || b.Rate.Value != 20 {
		t.Errorf("100 psi in 5 min give the rate %+v, want 20 psi/min", b.Rate)
	}
	if !(a.Now.Low < a.Now.Value && a.Now.Value < a.Now.High) {
		t.Errorf("left %g, from %g to %g: want the low bound lowest", a.Now.Value, a.Now.Low, a.Now.High)
	}
	if other.ToAlarm.Value >= a.ToAlarm.Value || a.TeamAlarm.Value <= other.ToAlarm.Value {
		t.Errorf("pair 1 has %g min as a team, and %s of another has %g", a.TeamAlarm.Value, other.Person, other.ToAlarm.Value)
	}
}

// TestRestBeforeTheLogWasClosed: a rest of which nobody told the end lasted at least to
// the next way in; that the log was closed later takes nothing from it.
func TestRestBeforeTheLogWasClosed(t *testing.T) {
	inc := toldOf(t,
		line{"10:00", "", kinds.InHot{Pair: "1"}}, line{"10:25", "", kinds.OutHot{Pair: "1"}}, line{"10:30", "", kinds.RehabIn{Pair: "1"}},
		line{"10:55", "", kinds.InHot{Pair: "1"}}, line{"11:10", "", kinds.OutHot{Pair: "1"}}, line{"12:00", "", kinds.LogClosed{}},
	)
	if r := inc.Rests()[0].Rested; !r.Known || r.Value != 25 {
		t.Errorf("rehab at 10:30, in again at 10:55: rested %+v, want 25 min", r)
	}
}

// A pair's own readings speak for its stay only while it was in.
func TestOwnReadingsWhileIn(t *testing.T) {
	read := kinds.AirRead{Benzene: quantity.Of(quantity.PPM(2))}
	tl := story(t, line{"10:00", "C1 dome", kinds.InHot{Pair: "1"}}, line{"09:55", "Ditch", read}, line{"10:10", "Ditch", read}, line{"10:20", "C1 dome", kinds.OutHot{Pair: "1"}}, line{"10:30", "Ditch", read})
	for _, e := range tl.Entries {
		e.ObservedBy = "pair 1"
	}
	inc := Fold(kinds.Catalogue(), tl)
	stay := inc.stays(inc.People.persons["P1A"])[0]
	if got, _ := inc.readFor(&stay, "benzene"); len(got) != 1 || clock(got[0].At.Best) != "10:10" {
		t.Errorf("in from 10:00 to 10:20: %d readings speak for it, want that of 10:10 alone", len(got))
	}
}

// Who was stopped at work before going in was at work then, and went in besides.
func TestStoppedBeforeGoingIn(t *testing.T) {
	inc := toldOf(t, line{"10:00", "R1 hose end", kinds.StopWork{Worker: "P1A"}}, line{"11:00", "C1 dome", kinds.InHot{Pair: "1"}}, line{"11:20", "", kinds.OutHot{Pair: "1"}})
	var got []string
	for _, w := range inc.stays(inc.People.persons["P1A"]) {
		got = append(got, w.How)
	}
	if want := []string{stoppedAt, inHotZone}; !slices.Equal(got, want) {
		t.Errorf("at work: %v, want %v", got, want)
	}
}

// TestFoamAtItsEdges: the most alcohol aboard counts whatever else is named after it; a
// share runs from the least part of the greatest whole to the greatest part of the
// least; foam is taken off a count that came before it, and lasts no month.
func TestFoamAtItsEdges(t *testing.T) {
	e85, slops := quantity.Of(quantity.Gallons(1000)), quantity.Of(quantity.Gallons(1000))
	e85.Words, slops.Words = "E85", "slops"
	load := kinds.LoadStated{C: events.KeyedAmounts[quantity.Gallons]{{Key: "C1", Value: e85}, {Key: "C2", Value: slops}}}
	if f := toldOf(t, line{"09:00", "", load}).Fuel(); f.Kind != foam.Polar || f.Product != "E85" {
		t.Errorf("E85 and slops aboard: the foam meets %+v, want E85, polar", f)
	}
	s := shareOf(Range(8, 10, 12, "gal", ""), Range(16, 20, 24, "gal", ""), "")
	if s.Value != 50 || math.Abs(s.Low-100./3) > 1e-9 || s.High != 75 {
		t.Errorf("8 to 12 of 16 to 24: %+v, want 50 %%, 33.3 to 75", s)
	}
	used := kinds.FoamApplied{Concentrate: quantity.Of(quantity.Gallons(1))}
	for at, want := range map[string]float64{"09:59": 20000, "10:00": 20000, "10:01": 19999} {
		inc := toldOf(t, line{"09:50", "", kinds.OrderGiven{Rule: []string{"foam again at 30 min"}}}, line{"10:00", "Engine", kinds.FoamSupply{Concentrate: quantity.Of(quantity.Gallons(20000))}}, line{at, "Ditch", used})
		h := inc.Foam.OnHand(inc.AsOf)
		if h.Concentrate.Value != want || h.Until != nil {
			t.Errorf("20,000 gal counted at 10:00, 1 used at %s: %g left until %v, want %g and no end in a month", at, h.Concentrate.Value, h.Until, want)
		}
	}
}

// The way in for air at one truck's compartment is none at another's.
func TestWayInForAirIsOfTheCompartment(t *testing.T) {
	inc := toldOf(t,
		line{"08:00", "Haulier", kinds.TruckOrdered{Truck: "R1"}}, line{"08:00", "Haulier", kinds.TruckOrdered{Truck: "R10"}},
		line{"09:00", "C1 dome", kinds.HoleDrilled{Hole: []string{"C1-V"}, Use: "vapour"}},
		line{"10:00", "C1 to R1", kinds.PumpOn{Leg: "L1"}}, line{"10:10", "C1 to R1", kinds.PumpOff{Leg: "L1"}},
		line{"10:20", "C2 to R10", kinds.PumpOn{Leg: "L2"}},
	)
	for truck, want := range map[string]bool{"R1": true, "R10": false} {
		if g := gateOf(t, inc.Gates(), "first pumping into "+truck, "way in for air at the compartment"); (g.Record == InPlace) != want {
			t.Errorf("C1 has a way in for air, C2 none; into %s: %s, want in place %t", truck, g.Record, want)
		}
	}
}

// What was worked out by one set of rules is not shown under another.
func TestSuppliesByTheRulesOfTheirTime(t *testing.T) {
	inc := toldOf(t, line{"10:00", "", kinds.InHot{Pair: "1", Pressures: bottles(4500, 4500)}}, line{"10:20", "", kinds.OutHot{Pair: "1", Pressures: bottles(2000, 2000)}})
	for share, want := range map[float64]string{0.33: AirOver, 0.5: AirUnder} {
		inc.Crew = UsualCrewRules
		inc.Crew.Alarm = share
		if got := inc.Supplies()[0].Verdict; got != want {
			t.Errorf("alarm at %g of full, out on 2000 of 4500 psi: %s, want %s", share, got, want)
		}
	}
}
