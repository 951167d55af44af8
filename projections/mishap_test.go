package projections

import (
	"testing"

	"tankside/events/kinds"
	"tankside/events/quantity"
)

func TestLanesGivenBackOneByOne(t *testing.T) {
	lanes := quantity.Of[quantity.Count]
	for _, tt := range []struct {
		name                 string
		back                 []quantity.Amount[quantity.Count] // at 02:00, 03:00 …
		closed, partly       float64
		stillFull, stillPart bool
	}{
		{"none", nil, 300, 0, true, false},
		{"two of four", []quantity.Amount[quantity.Count]{lanes(2)}, 60, 240, false, true},
		{"one, then three", []quantity.Amount[quantity.Count]{lanes(1), lanes(3)}, 60, 60, false, false},
		{"two, then the road", []quantity.Amount[quantity.Count]{lanes(2), {}}, 60, 60, false, false},
		{"the road at once", []quantity.Amount[quantity.Count]{{}}, 60, 0, false, false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			rows := []line{{"01:00", "", kinds.RoadClosed{Road: "SR-9", Direction: "east", Lanes: lanes(4)}}}
			for i, back := range tt.back {
				rows = append(rows, line{[]string{"02:00", "03:00"}[i], "", kinds.RoadOpened{Road: "SR-9", Direction: "east", Lanes: back}})
			}
			inc := toldOf(t, rows...)
			got := inc.Zones.Closures(at(t, "2025-03-01T06:00:00-05:00"))
			if len(got) != 1 {
				t.Fatalf("%d closures, want 1", len(got))
			}
			c := got[0]
			if c.Closed.Value != tt.closed || c.PartlyFor.Value != tt.partly || (c.open() != nil) != tt.stillFull || (c.part() != nil) != tt.stillPart {
				t.Errorf("closed %v min, partly %v min, open ended %v and %v; want %+v", c.Closed.Value, c.PartlyFor.Value, c.open(), c.part(), tt)
			}
		})
	}
}

func TestLastUnitLeft(t *testing.T) {
	here := func(u string) kinds.OnScene { return kinds.OnScene{Unit: []string{u}} }
	gone := func(u string) kinds.LeftScene { return kinds.LeftScene{Unit: []string{u}} }
	rows := []line{
		{"01:00", "", here("Engine 7")}, {"01:05", "", here("Tanker 5")}, {"02:00", "", gone("Engine 7")}, {"03:00", "", gone("Tanker 5")},
		{"04:00", "", kinds.LeftScene{Carrying: "the wreck"}}, {"05:00", "", here("Engine 9")},
	}
	for i, want := range map[int]string{3: "", 4: "03:00", 5: "03:00", 6: ""} {
		got := toldOf(t, rows[:i]...).Phases.at[atLastLeft]
		if s := map[bool]string{true: "", false: clock(got.Best)}[got.IsZero()]; s != want {
			t.Errorf("after %d entries the last unit left at %q, want %q", i, s, want)
		}
	}
	if got := toldOf(t, rows...).Phases.at[atWreckGone]; clock(got.Best) != "04:00" {
		t.Errorf("the wreck left at %s, want 04:00", clock(got.Best))
	}
}

func TestSourceOfALeg(t *testing.T) {
	for from, tank := range map[string]bool{
		"C4": true, "C1, C2": true, "tank": true, "the pup trailer": true, "all compartments": true,
		"ditch": false, "pan at C": false, "saddle tank": false, "": false,
	} {
		if got := namesTank(from); got != tank {
			t.Errorf("%q draws from the tank: %v, want %v", from, got, tank)
		}
	}
}

func TestMishapToldTwiceByOne(t *testing.T) {
	inc := toldOf(t, line{"01:00", "", kinds.Mishap{}}, line{"02:00", "", kinds.Mishap{Lies: "on its roof"}})
	if got := inc.Phases.at[atCrash]; got.Soft() || clock(got.Best) != "01:00" || len(inc.Phases.Notes) != 0 {
		t.Errorf("mishap at %v with notes %v, want 01:00 sharp and none: the same teller again is no contradiction", got, inc.Phases.Notes)
	}
}
