package projections

import (
	"math"
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

func inches(t *testing.T, text string) quantity.Amount[quantity.Inches] {
	t.Helper()
	return parsed[quantity.Inches](t, text)
}

// estimate is the only estimate of a thing.
func estimate(t *testing.T, what string, rows ...line) Estimate {
	t.Helper()
	var found []Estimate
	for _, s := range volumeOf(t, rows...).Estimates {
		if s.What == what {
			found = append(found, s)
		}
	}
	if len(found) != 1 {
		t.Fatalf("%d estimates of %s: %+v; want one", len(found), what, found)
	}
	return found[0]
}

// aLoad is 2,000 gal of gasoline in C4.
var aLoad = line{"09:00", "bill of lading", kinds.LoadStated{C: events.KeyedAmounts[quantity.Gallons]{{Key: "C4", Value: gasoline(2000)}}}}

func gasoline(gallons quantity.Gallons) quantity.Amount[quantity.Gallons] {
	a := quantity.Of(gallons)
	a.Words = "gasoline"
	return a
}

// A hole 1 in across under 39.37 in (1 m) of liquid runs 21.69705 gpm by Torricelli
// with 0.61. By hand for upright walls of 2,000 gal over 39.37 in: it empties in
// 2·2000/21.697 = 184.4 min, and in t of them loses 2000·(1 − (1 − t/184.4)²).
func TestOrificeEstimate(t *testing.T) {
	rows := []line{
		aLoad,
		{"09:10", "highway", kinds.Mishap{}},
		{"09:10", "C4 shell", kinds.LeakSeen{Opening: inches(t, "1 in"), Head: inches(t, "39.3700787 in"), GuessRate: parsed[quantity.GallonsPerMinute](t, "15 gpm"), Trust: "guess"}},
		{"10:10", "C4 shell", kinds.LeakStopped{By: "plug"}},
	}
	s := estimate(t, "leak", rows...)
	left := 1 - 60/(2*2000/21.69705)
	if want := 2000 * (1 - left*left); math.Abs(s.Rate.Value-21.69705) > 1e-4 || math.Abs(s.Amount.Value-want) > 0.01 {
		t.Errorf("%.5f gpm, %.3f gal in an hour; want 21.69705 and %.3f", s.Rate.Value, s.Amount.Value, want)
	}
	if !(s.Rate.Low < 0.83*s.Rate.Value && s.Rate.High > 1.3*s.Rate.Value && s.Amount.Low < s.Amount.Value && s.Amount.Value < s.Amount.High) {
		t.Errorf("rate %+v, amount %+v; want the doubt of the edge in them", s.Rate, s.Amount)
	}
	if len(s.Beside) != 1 || !s.Beside[0].Agrees || s.Beside[0].What != "rate" {
		t.Errorf("beside %+v; want a guess of 15 gpm that agrees", s.Beside)
	}
	if all := volumeOf(t, rows...); all.Released.Known {
		t.Errorf("released %+v; want an estimate in no total", all.Released)
	}
}

// What was measured and what was said are held against the estimate.
func TestOrificeDisagrees(t *testing.T) {
	s := estimate(t, "leak", aLoad,
		line{"09:10", "C4 shell", kinds.LeakSeen{Opening: inches(t, "1 in"), Head: inches(t, "40 in")}},
		line{"09:20", "C4 shell", kinds.LeakRate{Rate: parsed[quantity.GallonsPerMinute](t, "3 gpm"), By: "bucket"}},
		line{"10:10", "C4 shell", kinds.LeakStopped{Lost: parsed[quantity.Gallons](t, "150 gal")}})
	if len(s.Beside) != 2 || s.Beside[0].Agrees || s.Beside[1].Agrees {
		t.Errorf("beside %+v; want 3 gpm and 150 gal against 22 gpm and 1,100 gal: both disagree", s.Beside)
	}
}

// The walls of a half full drum close in below; the falling head knows.
func TestOrificeByShape(t *testing.T) {
	shape := line{"08:50", "C4", kinds.TankMeasured{Compartment: "C4", Shape: "circle", Height: inches(t, "66 in"), Length: inches(t, "100 in"), Pitch: parsed[quantity.Degrees](t, "0 deg")}}
	leak := line{"09:10", "C4", kinds.LeakSeen{Opening: inches(t, "2 in"), Head: inches(t, "33 in")}}
	half := quantity.Of(quantity.Gallons(math.Pi * 33 * 33 * 100 / 231 / 2))
	load := line{"09:00", "bill of lading", kinds.LoadStated{C: events.KeyedAmounts[quantity.Gallons]{{Key: "C4", Value: half}}}}
	s := estimate(t, "leak", shape, load, leak, line{"18:00", "C4", kinds.LeakStopped{}})
	if math.Abs(s.Amount.Value-float64(half.Value())) > 0.5 || !strings.Contains(s.How, "shape of C4") {
		t.Errorf("%+v, %s; want all %.1f gal of it gone by evening", s.Amount, s.How, float64(half.Value()))
	}
}

// What is missing is said, and a rate that can only fall bounds what ran out.
func TestOrificeLacks(t *testing.T) {
	s := estimate(t, "leak", aLoad, line{"09:10", "C4", kinds.LeakSeen{Opening: inches(t, "1 in")}})
	if s.Amount.Known || s.Rate.Known || !strings.Contains(strings.Join(s.Amount.Missing, ""), "stands above the opening") {
		t.Errorf("%+v; want the head missing", s)
	}
	s = estimate(t, "leak", line{"09:10", "rear", kinds.LeakSeen{Opening: inches(t, "1 in"), Head: inches(t, "39.37 in")}},
		line{"09:40", "rear", kinds.LeakStopped{}})
	if s.Amount.Known || math.Abs(s.Amount.High-30*s.Rate.High) > 0.01 || s.Amount.Low != 0 {
		t.Errorf("%+v; want no value, at most half an hour of %.1f gpm", s.Amount, s.Rate.High)
	}
}

// 1,000 ft² on a gravel shoulder, 10 to 40 mm deep: 20 mm are 490.9 gal. By EPA's law
// and Mackay's a gasoline in 4.5 mph at 68 °F loses some 10 gpm at first.
func TestPoolAndEvaporation(t *testing.T) {
	rows := []line{
		aLoad,
		{"09:05", "post", kinds.Weather{Wind: parsed[quantity.MPH](t, "4.47388 mph"), Temp: parsed[quantity.Fahrenheit](t, "68 F")}},
		{"09:10", "shoulder", kinds.SpillSeen{Area: parsed[quantity.SquareFeet](t, "1000 ft2"), On: "gravel shoulder of the road", Product: "gasoline"}},
		{"09:30", "shoulder", kinds.FoamApplied{Solution: parsed[quantity.Gallons](t, "100 gal")}},
	}
	s := estimate(t, "pool", rows...)
	if want := 1000 * 0.3048 * 0.3048 * 0.020 / 0.003785411784; math.Abs(s.Amount.Value-want) > 0.01 || math.Abs(s.Amount.High-2*want) > 0.01 || len(s.Beside) != 0 {
		t.Errorf("pool %+v; want %.1f gal within a factor of 2", s.Amount, want)
	}
	e := estimate(t, "evaporated", rows...)
	if !(e.Rate.Low > 1 && e.Rate.Low < e.Rate.Value && e.Rate.High < 60) || e.Minutes.Value != 20 || e.Amount.High > s.Amount.High/2 || e.Amount.Value < 10*e.Minutes.Value/4 {
		t.Errorf("evaporated %+v at %+v in %+v; want a band that foam ended after 20 min", e.Amount, e.Rate, e.Minutes)
	}
	if v := volumeOf(t, rows...); v.Released.Known || v.Evaporated.Known {
		t.Errorf("released %+v, evaporated %+v; want both unknown", v.Released, v.Evaporated)
	}
	lacks := estimate(t, "evaporated", rows[0], rows[2])
	if got := strings.Join(lacks.Amount.Missing, ", "); got != "how fast the wind was, how warm the air was" {
		t.Errorf("missing %q", got)
	}
}

// 40 gal said of a pool of 1,000 ft² half an inch deep is not what such a pool holds.
func TestPoolDisagrees(t *testing.T) {
	s := estimate(t, "pool", line{"09:10", "ditch", kinds.SpillSeen{
		Amount: quantity.Of[quantity.Gallons](40), Area: parsed[quantity.SquareFeet](t, "1000 ft2"), Depth: inches(t, "0.5 in"),
	}})
	if len(s.Beside) != 1 || s.Beside[0].Agrees || math.Abs(s.Amount.Value-1000*144*0.5/231) > 0.01 {
		t.Errorf("%+v; want %.1f gal, and 40 gal said to disagree", s, 1000*144*0.5/231)
	}
}

// 100 m² of burning gasoline take 500 gal in 254.655 s in a wide pool (Babrauskas 1983).
func TestFireEstimate(t *testing.T) {
	s := estimate(t, "burned", aLoad,
		line{"09:10", "lane", kinds.FireSeen{State: "started", What: "pool of gasoline", Area: parsed[quantity.SquareFeet](t, "1076.391042 ft2")}},
		line{"09:14", "lane", kinds.FireSeen{State: "knocked down"}})
	if want := 500 * 240 / 254.655; math.Abs(s.Amount.Value-want) > 0.5 || math.Abs(s.Amount.High-1.3*s.Amount.Value) > 0.01 {
		t.Errorf("burned %+v; want %.1f gal ± 30 %%", s.Amount, want)
	}
	lacks := estimate(t, "burned", aLoad, line{"09:10", "lane", kinds.FireSeen{State: "started", What: "fuel"}})
	if lacks.Amount.Known || lacks.Amount.Missing[0] != "the area that burned" {
		t.Errorf("%+v; want the area missing", lacks.Amount)
	}
	for _, s := range volumeOf(t, aLoad, line{"09:10", "bank", kinds.FireSeen{State: "started", What: "grass"}}).Estimates {
		t.Errorf("grass burns no product: %+v", s)
	}
}

// A pool that somebody measured out instead of naming its gallons counts as said, and
// the balance says how it was told.
func TestPoolInTheBalanceSaysSo(t *testing.T) {
	v := volumeOf(t, line{"09:10", "ditch", kinds.SpillSeen{Area: parsed[quantity.SquareFeet](t, "1000 ft2"), Depth: inches(t, "0.5 in")}})
	if !v.Released.Known || !strings.Contains(v.Released.Method, "area and depth") {
		t.Errorf("released %+v; want it to say that an area and a depth are in it", v.Released)
	}
}
