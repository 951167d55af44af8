package projections

import (
	"strings"
	"testing"
	"time"

	"tankside/events/kinds"
	"tankside/events/quantity"
)

func foamOn(area, flow, minutes, mix float64, foam string) kinds.FoamApplied {
	k := kinds.FoamApplied{Flow: quantity.Of(quantity.GallonsPerMinute(flow)), Ran: quantity.Of(quantity.Minutes(minutes)), Mix: quantity.Of(quantity.Percent(mix)), Foam: foam}
	if area > 0 {
		k.Area = quantity.Of(quantity.SquareFeet(area))
	}
	return k
}

// An area takes what its foam and fuel take; only the first application at a place is
// held against it, and nothing is held against an area nobody said.
func TestFoamNeeded(t *testing.T) {
	inc := toldOf(
		t,
		line{"09:50", "", kinds.ProductNamed{Product: "E10"}},
		line{"10:00", "Ditch", foamOn(2000, 125, 8, 3, "AFFF")},
		line{"10:30", "ditch", foamOn(2000, 125, 4, 3, "AFFF")},
		line{"10:40", "Bank", foamOn(0, 125, 4, 3, "AFFF")},
		line{"10:50", "Pan", foamOn(100, 95, 2, 3, "")},
	)
	s := inc.FoamState()
	n := s.Applications[0].Need
	if n == nil || n.Foam != "AFFF" || n.Fuel != "hydrocarbon" || len(n.Taken) != 0 {
		t.Fatalf("need of the ditch: %+v, want AFFF on a hydrocarbon with nothing taken", n)
	}
	near1(t, "solution", n.Solution, 3000, 1e-9)
	near1(t, "concentrate", n.Concentrate, 90, 1e-9)
	near1(t, "water", n.Water, 2910, 1e-9)
	near1(t, "share", n.Share, 100.0*30/90, 1e-9)
	if s.Applications[1].Need != nil || s.Applications[2].Need != nil {
		t.Errorf("a blanket that was topped up, and one of no area, are held against a need: %+v, %+v", s.Applications[1].Need, s.Applications[2].Need)
	}
	if pan := s.Applications[3].Need; pan == nil || len(pan.Taken) != 1 || !strings.Contains(pan.Taken[0], "kind of foam not recorded") {
		t.Errorf("need of the pan: %+v, want the kind of foam to be said as taken", pan)
	}
}

// Gasoline with much alcohol counts as polar, whoever said so and in whatever way.
func TestFuelOfFoam(t *testing.T) {
	for _, tt := range []struct {
		said kinds.ProductNamed
		want string
	}{
		{kinds.ProductNamed{Product: "E85"}, "polar"},
		{kinds.ProductNamed{Product: "gasoline", UN: "UN3475"}, "polar"},
		{kinds.ProductNamed{Product: "E10"}, "hydrocarbon"},
		{kinds.ProductNamed{Product: "gasoline"}, "hydrocarbon"},
		{kinds.ProductNamed{}, ""},
	} {
		s := toldOf(t, line{"10:00", "C1", tt.said}, line{"10:05", "Ditch", foamOn(500, 125, 4, 3, "AFFF")}).FoamState()
		if s.Fuel != tt.want {
			t.Errorf("%+v is %q, want %q", tt.said, s.Fuel, tt.want)
		}
		if n := s.Applications[0].Need; tt.want == "polar" && n != nil {
			t.Errorf("AFFF has no rate on %+v, and the need is %+v", tt.said, n)
		}
	}
}

// What is on hand is the count less what went on since, lasts by the flow and by the
// applications, and its end is at the interval ordered.
func TestFoamOnHand(t *testing.T) {
	rows := []line{
		{"09:00", "", kinds.OrderGiven{Rule: []string{"foam again at 60 min"}}},
		{"10:00", "Ditch", foamOn(0, 125, 4, 3, "")}, // 15 gal, before the count
		{"10:30", "", kinds.FoamSupply{Concentrate: quantity.Of[quantity.Gallons](100), Water: quantity.Of[quantity.Gallons](2000)}},
		{"11:00", "Ditch", foamOn(0, 125, 4, 3, "")},
	}
	inc := toldOf(t, rows...)
	s := inc.FoamState()
	h := s.OnHand
	near1(t, "concentrate", h.Concentrate, 85, 1e-9)
	near1(t, "water", h.Water, 2000-485, 1e-9)
	near1(t, "runs", h.Runs, 85/(125*0.03), 1e-9)
	near1(t, "more", h.More, 5, 0)
	near1(t, "age", inc.Foam.Age(s.Applications[1].At.Best.Add(20*time.Minute)), 20, 0)
	if s.Next == nil || clock(*s.Next) != "12:00" || h.Until == nil || clock(*h.Until) != "16:00" {
		t.Errorf("next %v, used up %v; want 12:00 and 16:00", s.Next, h.Until)
	}
	if s := toldOf(t, rows[:2]...).FoamState(); s.OnHand != nil {
		t.Errorf("nobody counted, and %+v is on hand", s.OnHand)
	}
	none := toldOf(t, rows[0]).FoamState()
	if none.Age.Known || none.Next != nil || none.OnHand != nil {
		t.Errorf("no foam recorded: age %+v, next %v", none.Age, none.Next)
	}
	uncounted := toldOf(t, rows[2], line{"11:00", "Ditch", kinds.FoamApplied{}}).FoamState()
	if h := uncounted.OnHand; h.Concentrate.Known || h.Runs.Known || h.More.Known {
		t.Errorf("an application of unknown size leaves %+v", h)
	}
}
