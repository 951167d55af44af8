package projections

import (
	"slices"
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

// What the state says must not be more than what was told.

func TestNobodyIsTheLastOutWhileSomebodyIsIn(t *testing.T) {
	in := func(pair string) kinds.InHot { return kinds.InHot{Pair: pair} }
	out := func(pair string) kinds.OutHot { return kinds.OutHot{Pair: pair} }
	rows := []line{{"01:00", "", in("1")}, {"01:10", "", in("2")}, {"01:40", "", out("2")}, {"02:00", "", out("1")}}
	for n, want := range map[int]bool{1: false, 2: false, 3: false, 4: true} {
		got := slices.ContainsFunc(toldOf(t, rows[:n]...).State().Benchmarks, func(b Benchmark) bool { return b.Name == markNames[atLastExit] })
		if got != want {
			t.Errorf("after %d entries somebody was the last out of the hot zone: %v, want %v", n, got, want)
		}
	}
}

func TestDoubtOfADip(t *testing.T) {
	for _, tt := range []struct{ said, doubt float64 }{{25, 2}, {60, 2}, {100, 3}, {1900, 57}} {
		dip := kinds.DipRead{Total: quantity.Of(quantity.Gallons(tt.said))}
		if got := toldOf(t, line{"01:00", "tank", dip}).Volume.dips.total.product.U; got != tt.doubt {
			t.Errorf("a dip of %v gal is good for ± %v gal, want %v", tt.said, got, tt.doubt)
		}
	}
}

func TestBoundsInsideTheDoubtAreNotWritten(t *testing.T) {
	for _, tt := range []struct {
		f    Figure
		want string
	}{
		{Figure{Known: true, Value: 20, Low: 19, High: 21, U: 14}, "20 gal ± 14 gal"},
		{Figure{Known: true, Value: 20, Low: -30, High: 21, U: 14}, "20 gal (between −30 gal and 21 gal) ± 14 gal"},
		{Figure{Known: true, Value: 20, Low: 19, High: 60, U: 14}, "20 gal (between 19 gal and 60 gal) ± 14 gal"},
		{Figure{Known: true, Value: 3000, Low: 2800, High: 3200}, "3,000 gal (between 2,800 gal and 3,200 gal)"},
	} {
		if got := strings.ReplaceAll(within(tt.f), "-", "−"); got != tt.want {
			t.Errorf("got %q, want %q", got, tt.want)
		}
	}
}

// TestReleaseThatNobodyTold: what is left over of a product of which no leak and no
// spill was told is not said to have been let out, and what both trucks' products
// leave over is said to be let out only with an if. The truck held both.
func TestReleaseThatNobodyTold(t *testing.T) {
	gal := func(v float64, product string) quantity.Amount[quantity.Gallons] {
		return quantity.Amount[quantity.Gallons]{Qual: quantity.Exactly, Best: v, Unit: "gal", Words: product}
	}
	load := kinds.LoadStated{Basis: "net", C: events.KeyedAmounts[quantity.Gallons]{{Key: "C1", Value: gal(3000, "gasoline")}, {Key: "C2", Value: gal(2000, "diesel")}}}
	moved := func(from string, v float64) line {
		return line{"02:00", from + " to T1", kinds.GallonsTransferred{From: from, To: "T1", Amount: gal(v, "")}}
	}
	dip := kinds.DipRead{C: events.KeyedAmounts[quantity.Gallons]{{Key: "C1", Value: gal(40, "")}, {Key: "C2", Value: gal(30, "")}}}
	st := toldOf(t, line{"01:00", "bill", load}, line{"01:10", "C1 vent", kinds.LeakSeen{}}, moved("C1", 2500), moved("C2", 1950), line{"03:00", "tank", dip}).State()
	want := map[string]string{"gasoline": "if all that is left over of the load", "diesel": "missing: how much was released", "all": "if all that is left over of the load"}
	for _, b := range st.Volume.Balances {
		if b.Of == "released" && !strings.Contains(b.Verdict, want[b.Product]) {
			t.Errorf("%s let out: %q, want it to have %q", b.Product, b.Verdict, want[b.Product])
		}
	}
	if got := st.Volume.Receivers[0].Product; got != "gasoline and diesel" {
		t.Errorf("the truck took %q, want gasoline and diesel", got)
	}
}

// TestNothingLastsLessThanNoTime: where both ends lie in one bracket nobody can tell
// how long it was, and it is neither no time nor less.
func TestNothingLastsLessThanNoTime(t *testing.T) {
	from, to := at(t, "2025-03-01T15:00:00-05:00"), at(t, "2025-03-01T21:00:00-05:00")
	some := Moment{Best: from.Add(to.Sub(from) / 2), Earliest: from, Latest: to}
	sharp := func(s string) Moment { x := at(t, s); return Moment{Best: x, Earliest: x, Latest: x} }
	for _, tt := range []struct {
		name       string
		start, end Moment
		known      bool
		low, high  float64
	}{
		{"one bracket", some, some, false, 0, 360},
		{"an end in the bracket of the start", some, sharp("2025-03-01T20:00:00-05:00"), true, 0, 300},
		{"two that are apart", sharp("2025-03-01T12:00:00-05:00"), some, true, 180, 540},
		{"ends before it began", sharp("2025-03-01T12:00:00-05:00"), sharp("2025-03-01T11:00:00-05:00"), true, -60, -60},
	} {
		if f := lasting(tt.start, tt.end, to); f.Known != tt.known || f.Low != tt.low || f.High != tt.high {
			t.Errorf("%s: %+v, want known %v, %v to %v", tt.name, f, tt.known, tt.low, tt.high)
		}
	}
}
