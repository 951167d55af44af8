package projections

import (
	"slices"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

func TestQuarryBendFoam(t *testing.T) {
	inc := folded(t, "quarry-bend", events.View{})
	s := inc.Foam.State(inc.AsOf)
	if len(s.Applications) != 8 {
		t.Fatalf("%d applications, want 8", len(s.Applications))
	}
	near1(t, "solution", s.Solution, 4750, 0)
	near1(t, "concentrate", s.Concentrate, 142.5, 1e-9)
	late := 0
	for i, want := range []float64{50, 52, 76, 72, 70, 79, 54} {
		near1(t, "gap", s.Gaps[i].Minutes, want, 0)
		if o := s.Gaps[i].Over; o.Known && o.Value > 0 {
			late++
		}
	}
	if late != 4 {
		t.Errorf("%d gaps go past the hour, want 4", late)
	}
	if o := s.Gaps[0].Over; o.Known {
		t.Errorf("the first gap began before the rule was given, and is %+v over it", o)
	}
}

// What was not said of an application is worked out from what was, and nothing is
// made up where it cannot be.
func TestFoamWorkedOut(t *testing.T) {
	inc := toldOf(t,
		line{"10:00", "ditch", kinds.FoamApplied{Flow: quantity.Of[quantity.GallonsPerMinute](125), Ran: quantity.Of[quantity.Minutes](4), Mix: quantity.Of[quantity.Percent](3)}},
		line{"10:30", "ditch", kinds.FoamApplied{}},
	)
	a := inc.Foam.Applications
	near1(t, "solution", a[0].Solution, 500, 0)
	near1(t, "concentrate", a[0].Concentrate, 15, 1e-9)
	if a[1].Solution.Known || a[1].Concentrate.Known {
		t.Errorf("made up: %+v", a[1])
	}
	if s := inc.Foam.State(inc.AsOf).Solution; s.Low != 500 || len(s.From) == 0 || s.High == s.Low {
		t.Errorf("with one amount not said the sum is at least 500: %+v", s)
	}
}

func TestQuarryBendHoles(t *testing.T) {
	all := folded(t, "quarry-bend", events.View{}).Holes.List()
	liquid, vapour, lost := 0, 0, 0.0
	for _, h := range all {
		switch {
		case h.Use == "liquid" && !h.Plugged.IsZero():
			liquid++
		case h.Use == "vapour" && h.Plugged.IsZero():
			vapour++
		}
		if h.Lost.Known {
			lost += h.Lost.Value
		}
	}
	if len(all) != 10 || liquid != 5 || vapour != 5 || lost != 16 {
		t.Errorf("%d holes, %d liquid plugged, %d vapour with no plug recorded, %g gal into pans; want 10, 5, 5, 16", len(all), liquid, vapour, lost)
	}
	if h := all[0]; h.ID != "C4-V" || h.Compartment != "C4" || h.Size.Value != 1.5 || h.Lube != "water" {
		t.Errorf("first hole: %+v", h)
	}
}

func TestHarrowMillHoles(t *testing.T) {
	all := folded(t, "harrow-mill", events.View{}).Holes.List()
	i := slices.IndexFunc(all, func(h Hole) bool { return h.ID == "C3-L" })
	near1(t, "open for", Elapsed(all[i].Through, all[i].Plugged, all[i].Plugged.Best), 31, 0)
	if len(all) != 3 || all[0].Sort != "outlet" || all[1].Sort != "outlet" || all[i].Sort != "drilled" {
		t.Errorf("want two outlets and one hole: %+v", all)
	}
}

// A hole is through once; an entry that adds to it later does not move the time.
func TestHoleIsThroughOnce(t *testing.T) {
	h := kinds.HoleDrilled{Hole: []string{"C1-L"}}
	inc := toldOf(t, line{"10:00", "C1", h}, line{"10:20", "C1", kinds.HoleDrilled{Hole: h.Hole, Lube: "water"}})
	if got := inc.Holes.List()[0]; clock(got.Through.Best) != "10:00" || got.Lube != "water" {
		t.Errorf("through at %s with lube %q, want 10:00 and water", clock(got.Through.Best), got.Lube)
	}
}

func TestPlugWithoutHole(t *testing.T) {
	inc := toldOf(t, line{"10:00", "C1", kinds.HolePlugged{Hole: []string{"C1-L"}}})
	if len(inc.Holes.Notes) != 1 || len(inc.Holes.List()) != 1 {
		t.Errorf("notes %+v, holes %+v", inc.Holes.Notes, inc.Holes.List())
	}
}

func truckNamed(t *testing.T, inc *Incident, name string) Truck {
	t.Helper()
	all := inc.Trucks.List()
	i := slices.IndexFunc(all, func(k Truck) bool { return k.Name == name })
	if i < 0 {
		t.Fatalf("no truck %s", name)
	}
	return all[i]
}

// Lateness is against the first time promised, over midnight too.
func TestTrucksLate(t *testing.T) {
	for incident, late := range map[string]map[string]float64{
		"quarry-bend": {"R1": 3, "R2": 124, "R3": 10}, "harrow-mill": {"R1": 8, "V1": 34},
	} {
		inc := folded(t, incident, events.View{})
		if len(inc.Trucks.List()) != len(late) || len(inc.Trucks.Notes) != 0 {
			t.Errorf("%s: trucks %+v, notes %+v", incident, inc.Trucks.List(), inc.Trucks.Notes)
		}
		for name, want := range late {
			near1(t, incident+" "+name, truckNamed(t, inc, name).Late, want, 0)
		}
	}
}

func TestQuarryBendTruckR2(t *testing.T) {
	r2 := truckNamed(t, folded(t, "quarry-bend", events.View{}), "R2")
	var etas []string
	for _, e := range r2.ETAs {
		etas = append(etas, e.For.Best.Format("2 15:04"))
	}
	if want := []string{"14 22:30", "14 23:15", "15 00:15"}; !slices.Equal(etas, want) {
		t.Errorf("promised %v, want %v", etas, want)
	}
	if len(r2.Bonds) != 2 || r2.Bonds[0].Resistance.Value != 1850 || r2.Bonds[1].Resistance.Value != 0.7 {
		t.Errorf("bonds: %+v", r2.Bonds)
	}
	if len(r2.Loading) != 2 || r2.Loading[1].End.Best.Format("15:04") != "03:02" || len(r2.Weighed) != 1 || len(r2.Signed) != 1 {
		t.Errorf("loading %+v, weighed %v, signed %v", r2.Loading, r2.Weighed, r2.Signed)
	}
	if got := r2.Gone.Best.Format("15:04") + " " + r2.To; got != "03:22 Corrowby scale" {
		t.Errorf("gone %s", got)
	}
	near1(t, "R3, both holes", truckNamed(t, folded(t, "quarry-bend", events.View{}), "R3").Usable, 1900, 0)
}

// A load that one site turned away and another took had no site in between, and the
// site that refused never had it.
func TestHarrowMillCustody(t *testing.T) {
	inc := folded(t, "harrow-mill", events.View{})
	i := slices.IndexFunc(inc.Custody.Chains, func(c *Chain) bool { return c.Load == "V1" })
	v1 := inc.Custody.Chains[i]
	if want := []string{"Tolvey Heating Supply", "Oxbarrow Vacuum", "Dunmarrow Treatment"}; !slices.Equal(v1.Owners(), want) {
		t.Errorf("the load went %v, want %v", v1.Owners(), want)
	}
	if u := v1.Unplaced; len(u) != 1 || u[0].Start.Best.Format("15:04") != "11:05" || u[0].End.Best.Format("15:04") != "12:40" {
		t.Errorf("without a site: %+v", u)
	}
	if got := v1.Holder(at(t, "2026-01-22T12:50:00-06:00")); got != "Oxbarrow Vacuum" {
		t.Errorf("at 12:50 %q has it", got)
	}
	if len(v1.Sites) != 2 || !v1.Sites[0].Refused || v1.Sites[1].Refused {
		t.Errorf("sites: %+v", v1.Sites)
	}
	for _, p := range v1.Passes {
		if p.Odd != "" {
			t.Errorf("a good chain is called odd: %s", p.Odd)
		}
	}
}

func TestCustodyBroken(t *testing.T) {
	inc := toldOf(t,
		line{"10:00", "R1", kinds.CustodyPassed{From: "owner", To: "hauler"}},
		line{"11:00", "R1", kinds.CustodyPassed{From: "somebody", To: "site"}},
	)
	if odd := inc.Custody.Chains[0].Passes[1].Odd; odd != "passed by somebody, but hauler had it last" {
		t.Errorf("the broken chain reads %q", odd)
	}
}

func TestHarrowMillEnvironment(t *testing.T) {
	s := folded(t, "harrow-mill", events.View{}).Environment.State()
	if len(s.Sheens) != 1 || s.Sheens[0].Length.Value != 150 || len(s.Booms) != 2 || s.Booms[1].Kind != "hard skirt" {
		t.Errorf("sheens %+v, booms %+v", s.Sheens, s.Booms)
	}
	near1(t, "pads, wet", s.Pads[0].Wet, 372, 0)
}

// A truck that left and came back carries another load: what was measured of the
// first says nothing of the second.
func TestTruckComesBack(t *testing.T) {
	gal := quantity.Of[quantity.Gallons]
	inc := toldOf(t,
		line{"10:00", "hauler", kinds.TruckOrdered{Truck: "R1", Usable: gal(1000)}},
		line{"10:10", "staging", kinds.OnScene{Truck: "R1"}},
		line{"10:20", "C1 to R1", kinds.PumpOn{Leg: "L1", Start: gal(0)}},
		line{"10:40", "C1 to R1", kinds.PumpOff{Leg: "L1", Meter: gal(900)}},
		line{"10:45", "R1", kinds.StickRead{Reads: gal(905)}},
		line{"10:50", "staging", kinds.LeftScene{Truck: "R1"}},
		line{"12:00", "staging", kinds.OnScene{Truck: "R1"}},
		line{"12:10", "C1 to R1", kinds.PumpOn{Leg: "L2", Start: gal(900)}},
		line{"12:20", "C1 to R1", kinds.PumpOff{Leg: "L2", Meter: gal(1300)}},
		line{"12:25", "R1", kinds.StickRead{Reads: gal(395)}},
	)
	s := inc.Volume.State(inc.AsOf)
	near1(t, "first load", receiver(t, s, "R1").Gross.Figure, 900, 0)
	second := receiver(t, s, "R1 load 2")
	near1(t, "second load", second.Gross.Figure, 400, 0)
	near1(t, "second load by stick", method(t, second.Measured, "stick").Gross.Figure, 395, 0)
	near1(t, "room", second.Room, 605, 0)
	near1(t, "transferred", s.Transferred, 1300, 0)
}
