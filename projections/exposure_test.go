package projections

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

// exposedOf finds what a person, or for "" a place, had to breathe.
func exposedOf(t *testing.T, inc *Incident, who, substance string) Exposed {
	t.Helper()
	for _, x := range inc.Exposures() {
		if x.Substance == substance && (x.Person == who || x.Person == "" && x.Places[0] == who) {
			return x
		}
	}
	t.Fatalf("nothing of %s for %s", substance, who)
	return Exposed{}
}

// brief writes the figures that a test holds on to.
func (x *Exposed) brief() string {
	var gaps []string
	for _, u := range x.Unmonitored {
		gaps = append(gaps, fmt.Sprintf("%s %g", u.Start.In(x.ruler.base.Location()).Format("15:04"), u.Minutes))
	}
	bound := func(v *float64) string {
		if v == nil {
			return "open"
		}
		return fmt.Sprintf("%.2f", *v)
	}
	short := fmt.Sprintf("%.2f %.2f of %s to %s", x.Rolling15.Hold.Value, x.Rolling15.Straight.Value, bound(x.Rolling15.Low), bound(x.Rolling15.High))
	return fmt.Sprintf("%d at %s; %s; %g min, unread %s; %s", x.Readings, strings.Join(x.Places, "+"), short, x.Measured.Value, strings.Join(gaps, ", "), x.Worn)
}

// outcome is what comes of a limit.
func (x *Exposed) outcome(basis string) string {
	i := slices.IndexFunc(x.Limits, func(h HeldAgainst) bool { return h.Basis == basis })
	if i < 0 {
		return ""
	}
	return x.Limits[i].Outcome
}

// TestExposureQuarryBend: worked by hand from the readings at 23:35, 38, 41, 44, 47
// and 50. The tender's own time ends with the stop at 23:44; when it began was not
// logged.
func TestExposureQuarryBend(t *testing.T) {
	inc := folded(t, "quarry-bend", events.View{})
	for _, tt := range []struct{ who, substance, want, short, shift string }{
		{"R1 hose end", "benzene", "8 at R1 hose end; 6.64 6.27 of 4.90 to 7.64; 65 min, unread 23:06 24, 00:40 17; ", "over", ""},
		{"R2 hose end", "benzene", "1 at R2 hose end; 1.40 1.40 of 0.00 to 1.40; 20 min, unread 01:33 7, 02:00 20, 02:34 28; ", "not over", ""},
		{"P4A", "benzene", "4 at R1 hose end; 4.62 4.87 of 4.12 to 9.60; 9 min, unread ; not recorded", "possibly over", "not over"},
		{"P6A", "benzene", "0 at ; 0.00 0.00 of open to open; 0 min, unread 03:51 20.5, 04:54 8; air pack, by its pressure", "not known", "not known"},
		// pair 1 read the dome itself; its later trips have no reading
		{"P1B", "gasoline", "2 at C4 dome; 393.00 269.00 of 69.60 to 671.00; 21 min, unread 21:36 4, 23:05 28, 01:18 13, 02:24 9; air pack, by its pressure", "possibly over", "not over"},
	} {
		x := exposedOf(t, inc, tt.who, tt.substance)
		if got := x.brief(); got != tt.want {
			t.Errorf("%s: %s; want %s", tt.who, got, tt.want)
		}
		if a, b := x.outcome("15 min average"), x.outcome("8 h average"); a != tt.short || b != tt.shift {
			t.Errorf("%s: 15 min %q and 8 h %q, want %q and %q", tt.who, a, b, tt.short, tt.shift)
		}
	}
	x := exposedOf(t, inc, "R1 hose end", "benzene")
	if w := x.Rolling15.Window; clock(w.Start) != "23:35" || clock(w.End) != "23:50" {
		t.Errorf("the highest 15 min are %s to %s, want 23:35 to 23:50", clock(w.Start), clock(w.End))
	}
	if got, want := fmt.Sprint(x.Rolling15.Hold.From), "[76 78 80 81 84 85]"; got != want {
		t.Errorf("they stand on %s, want %s", got, want)
	}
	tender := exposedOf(t, inc, "P4A", "benzene")
	if !tender.Start.IsZero() || clock(tender.End.Best) != "23:44" || !math.IsInf(tender.Unread.High, 1) || tender.TWA8.High != nil {
		t.Errorf("the tender was there %v to %v, unread up to %v, 8 h up to %v: want no start, 23:44 and no bounds", tender.Start, tender.End, tender.Unread.High, tender.TWA8.High)
	}
}

// TestExposureHarrowMill: nobody read benzene and the load is heating oil, so there is
// nothing to hold to a limit.
func TestExposureHarrowMill(t *testing.T) {
	if got := folded(t, "harrow-mill", events.View{}).Exposures(); len(got) != 0 {
		t.Errorf("exposures: %+v, want none", got)
	}
}

func benzene(v quantity.PPM) kinds.AirRead { return kinds.AirRead{Benzene: quantity.Of(v)} }

// TestExposureOfStays: a reading counts for whoever was there, while there, and for
// nobody else.
func TestExposureOfStays(t *testing.T) {
	inc := toldOf(t,
		line{"10:00", "R1 hose end", kinds.PostTaken{Person: "P4A", Air: "APR half mask"}},
		line{"10:00", "R1", kinds.PostTaken{Person: "P4B", Air: "none"}},
		line{"10:00", "R2 hose end", kinds.PostTaken{Person: "P5A"}},
		line{"10:05", "R1 hose end", benzene(4)},
		line{"10:15", "R1 hose end", benzene(8)},
		line{"10:25", "R1 hose end", kinds.PostLeft{Person: "P4A"}},
		line{"11:00", "R1", kinds.PostLeft{Person: "P4B"}},
		line{"11:00", "R2 hose end", kinds.PostLeft{Person: "P5A"}},
	)
	for who, want := range map[string]string{
		// 4 for 10 min and 8 for 10: the highest 15 min have (4·5 + 8·10)/15, by lines (7·5 + 8·10)/15
		"P4A": "2 at R1 hose end; 6.67 7.67 of 2.67 to 8.00; 20 min, unread 10:00 5; APR half mask",
		// 8 for 15 of the 20 min that a reading holds; "R1" is the truck whose hose end was read
		"P4B": "2 at R1 hose end; 8.00 8.00 of 2.67 to 8.00; 30 min, unread 10:00 5, 10:35 25; none",
		"P5A": "0 at ; 0.00 0.00 of open to open; 0 min, unread 10:00 60; not recorded",
	} {
		x := exposedOf(t, inc, who, "benzene")
		if got := x.brief(); got != want {
			t.Errorf("%s: %s; want %s", who, got, want)
		}
	}
	masked, bare := exposedOf(t, inc, "P4A", "benzene"), exposedOf(t, inc, "P4B", "benzene")
	if masked.Factor != 10 || math.Abs(masked.Inside.Value-masked.Rolling15.Hold.Value/10) > 1e-12 || masked.outcome("15 min average") != "over" {
		t.Errorf("a half mask: factor %g, inside %g, outside %s; want a tenth inside and over outside", masked.Factor, masked.Inside.Value, masked.outcome("15 min average"))
	}
	if bare.Factor != 0 || bare.Inside.Known {
		t.Errorf("no mask: factor %g, inside %+v", bare.Factor, bare.Inside)
	}
}

// TestBeyondScale: a monitor past its scale bounds nothing from above, one that finds
// nothing is between zero and its limit.
func TestBeyondScale(t *testing.T) {
	inc := toldOf(t,
		line{"10:00", "Sump", kinds.AirRead{OverRange: "LEL, benzene 200 ppm", Under: "CO 1 ppm, H2S"}},
		line{"10:10", "Sump", kinds.AirRead{Benzene: quantity.Amount[quantity.PPM]{Qual: quantity.Under, Best: 0.1, Unit: "ppm"}}},
	)
	got := map[string]string{}
	for _, s := range inc.AirList() {
		v := s.Readings[0].Value
		got[s.Quantity] = fmt.Sprintf("%g, %g to %g", v.Value, v.Low, v.High)
	}
	want := map[string]string{"LEL": "100, 100 to +Inf", "benzene": "200, 200 to +Inf", "CO": "1, -Inf to 1"}
	if fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("readings %v, want %v: H2S without its limit is not known", got, want)
	}
	x := exposedOf(t, inc, "Sump", "benzene")
	// 200 for 10 min, then half of 0.1
	if v := x.Rolling15; math.Abs(v.Hold.Value-(2000+0.05*5)/15) > 1e-9 || v.High != nil || len(x.Flags) != 2 {
		t.Errorf("15 min %g up to %v, flags %q", v.Hold.Value, v.High, x.Flags)
	}
}

// TestCorrectedLEL: what a sensor shows is turned into what it means in the fuel, once
// it is known how it was set.
func TestCorrectedLEL(t *testing.T) {
	load := kinds.LoadStated{C: events.KeyedAmounts[quantity.Gallons]{{Key: "C1", Value: quantity.Amount[quantity.Gallons]{Qual: quantity.Exactly, Best: 2000, Unit: "gal", Words: "E10"}}}}
	lel := func(v quantity.PercentLEL) kinds.AirRead { return kinds.AirRead{LEL: quantity.Of(v), Instrument: "M1"} }
	inc := toldOf(t,
		line{"09:00", "Post", kinds.OrderGiven{Rule: []string{"stop at 10 % LEL in work area"}}},
		line{"10:00", "C1", lel(4)},
		line{"10:05", "M1", kinds.InstrumentChecked{Instrument: "M1", Gas: "methane 50 % LEL"}},
		line{"10:10", "C1", lel(5)},
		line{"10:20", "Post", kinds.GearReady{CalGas: "pentane", Factor: quantity.Of[quantity.Ratio](1.2)}},
		line{"10:30", "C1", lel(10)},
		line{"11:00", "Bill", load},
	)
	var got []string
	for _, r := range inc.AirList()[0].Readings {
		c := "raw"
		if r.Corrected != nil {
			c = fmt.Sprintf("%.1f (%.1f to %.1f)", r.Corrected.Value, r.Corrected.Low, r.Corrected.High)
		}
		got = append(got, fmt.Sprintf("%s %t", c, r.Over))
	}
	// gasoline on methane 1.6 to 2.6, ±15 %
	want := []string{"raw false", "10.5 (6.8 to 14.9) true", "12.0 (12.0 to 12.0) true"}
	if !slices.Equal(got, want) {
		t.Errorf("LEL %q, want %q", got, want)
	}
}

// TestLastQuarterHour: what the safety officer asks at the hose end. At 23:45 the last
// fifteen minutes begin at 23:30, of which the first five were not read.
func TestLastQuarterHour(t *testing.T) {
	inc := folded(t, "quarry-bend", events.View{AsOf: at(t, "2025-10-14T23:45:00-05:00")})
	x := exposedOf(t, inc, "R1 hose end", "benzene").Last15
	// 4.6, 8.9 and 9.6 for 3 min each, 7.1 for one
	if want := (3*(4.6+8.9+9.6) + 7.1) / 15; math.Abs(x.Hold.Value-want) > 1e-9 || x.Window.End.Sub(x.Window.Start).Minutes() != 15 {
		t.Errorf("last 15 min %g, want %g", x.Hold.Value, want)
	}
	if later := exposedOf(t, folded(t, "quarry-bend", events.View{}), "R1 hose end", "benzene").Last15; later.Hold.Known {
		t.Errorf("hours after the last reading: %g ppm, want not known", later.Hold.Value)
	}
}
