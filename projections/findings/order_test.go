package findings

import (
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

// ruleCase is a small story in which a rule finds so many things.
type ruleCase struct {
	rule, name string
	want       int
	lines      []line
}

func runCases(t *testing.T, cases []ruleCase) {
	t.Helper()
	for _, tt := range cases {
		t.Run(tt.rule+" "+tt.name, func(t *testing.T) {
			t.Helper()
			got := told(judged(story(t, tt.lines...), events.View{}, Defaults()), tt.rule)
			if len(got) != tt.want {
				t.Errorf("%s found %d times, want %d: %+v", tt.rule, len(got), tt.want, got)
			}
			for _, f := range got {
				if f.ID == "" || len(f.From) == 0 || f.Statement == "" || f.Clears == "" {
					t.Errorf("%s: a finding without id, entries, statement or what clears it: %+v", tt.rule, f)
				}
			}
		})
	}
}

func gal(v float64) quantity.Amount[quantity.Gallons] {
	return quantity.Of(quantity.Gallons(v))
}

// load is a paper that names the product of C1 and C2.
func load(at string) line {
	c1, c2 := gal(2000), gal(1000)
	c1.Words, c2.Words = "E10", "diesel"
	return line{at, "bill of lading", kinds.LoadStated{C: events.KeyedAmounts[quantity.Gallons]{{Key: "C1", Value: c1}, {Key: "C2", Value: c2}}}}
}

func hole(at, id, use string) line {
	return line{at, id[:2] + " side", kinds.HoleDrilled{Hole: []string{id}, Use: use}}
}

func on(at, leg, from, to string) line {
	return line{at, from + " to " + to, kinds.PumpOn{Leg: leg, Meter: "skid M", Start: gal(0)}}
}

func off(at, leg, from, to string, meter float64) line {
	return line{at, from + " to " + to, kinds.PumpOff{Leg: leg, Meter: gal(meter)}}
}

func TestOrderRules(t *testing.T) {
	drilled := hole("10:00", "C1-L", "liquid")
	pumped := []line{load("09:00"), drilled, on("10:05", "L1", "C1", "R1"), off("10:30", "L1", "C1", "R1", 1000)}
	with := func(more ...line) []line { return append(append([]line{}, pumped...), more...) }
	runCases(t, []ruleCase{
		{"drilled-before-braced", "nothing said", 1, []line{drilled}},
		{"drilled-before-braced", "braced first", 0, []line{{"09:50", "Tank", kinds.Braced{}}, drilled}},
		{"drilled-before-braced", "braced after", 1, []line{drilled, {"10:20", "Tank", kinds.Braced{}}}},
		{"drilled-before-braced", "a task with that aim", 0, []line{{"09:40", "Gate", kinds.InHot{Pair: "1", Task: "look and chock"}}, drilled}},
		{"drilled-before-braced", "no opening", 0, []line{load("09:00")}},
		{"drilled-product-unknown", "nothing said", 1, []line{drilled}},
		{"drilled-product-unknown", "by paper", 0, []line{load("09:00"), drilled}},
		{"drilled-product-unknown", "by a later paper", 1, []line{drilled, load("11:00")}},
		{"drilled-product-unknown", "by placard alone", 1, []line{{"09:00", "C1", kinds.ProductNamed{Product: "gasoline", Trust: "placard"}}, drilled}},
		{"drilled-product-unknown", "by a jar", 0, []line{{"09:00", "C1", kinds.ProductNamed{Product: "gasoline", Trust: "jar"}}, drilled}},
		{"ignition-control-not-recorded", "nothing said", 1, []line{drilled}},
		{"ignition-control-not-recorded", "before", 0, []line{{"09:00", "Cab", kinds.IgnitionControlled{Source: "battery", Act: "off"}}, drilled}},
		{"ignition-control-not-recorded", "moved to 99 ft", 1, []line{{"09:00", "Cab", kinds.IgnitionControlled{Source: "generator", Distance: quantity.Of[quantity.Feet](99)}}, drilled}},
		{"ignition-control-not-recorded", "moved to 100 ft", 0, []line{{"09:00", "Cab", kinds.IgnitionControlled{Source: "generator", Distance: quantity.Of[quantity.Feet](100)}}, drilled}},
		{"two-compartments-at-once", "overlap", 1, []line{on("10:00", "L1", "C1", "R1"), on("10:10", "L2", "C2", "R2"), off("10:30", "L1", "C1", "R1", 900), off("10:40", "L2", "C2", "R2", 900)}},
		{"two-compartments-at-once", "one after the other", 0, []line{on("10:00", "L1", "C1", "R1"), off("10:10", "L1", "C1", "R1", 400), on("10:10", "L2", "C2", "R2"), off("10:40", "L2", "C2", "R2", 900)}},
		{"hole-not-plugged", "30 min after the pump", 0, with(line{"11:00", "C1", kinds.HolePlugged{Hole: []string{"C1-L"}}})},
		{"hole-not-plugged", "31 min after the pump", 1, with(line{"11:01", "C1", kinds.HolePlugged{Hole: []string{"C1-L"}}})},
		{"hole-not-plugged", "lifted before", 1, with(line{"10:40", "Tank", kinds.LiftBegun{}}, line{"10:45", "C1", kinds.HolePlugged{Hole: []string{"C1-L"}}})},
		{"hole-not-plugged", "still time", 0, with(line{"10:50", "", kinds.Note{Text: "break"}})},
		{"hole-not-plugged", "two for air count as one", 1, []line{load("09:00"), hole("10:00", "C1-V", "vapour"), hole("10:02", "C2-V", "vapour"), {"11:00", "Tank", kinds.LiftBegun{}}}},
		{"air-pressure-on-tank", "said", 1, []line{{"10:00", "C1", kinds.Note{Text: "put shop air on the tank to push it over"}}}},
		{"air-pressure-on-tank", "with a hose", 1, []line{{"10:00", "C1", kinds.Decision{Choice: "push the product out with compressed air"}}}},
		{"air-pressure-on-tank", "forbidden", 0, []line{{"10:00", "", kinds.OrderGiven{Act: "no air pressure on the tank"}}}},
		{"air-pressure-on-tank", "the motor of a pump", 0, []line{{"10:00", "C1 to R1", kinds.PumpOn{Leg: "L1", Pump: "air diaphragm, compressor at 110 psi"}}}},
		{"step-before-ready", "one for a step", 1, []line{{"10:00", "Gate", kinds.InHot{Pair: "1"}}}},
	})
}
