package transfer

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tankside/events/quantity"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.6g, want %g ± %g", what, got, want, tol)
	}
}

// around is a range that hardly any other value fits.
func around(v float64) Range { return Range{v - 1, v, v + 1} }

func TestPublished(t *testing.T) {
	calc := map[string]func(in []float64, want float64) float64{
		"U2": func(in []float64, _ float64) float64 {
			v, _ := StrokeVolume(in[0], in[1], quantity.Gallons(in[2]), quantity.Gallons(in[3]))
			return float64(v)
		},
		"U2u": func(in []float64, _ float64) float64 {
			_, sd := StrokeVolume(in[0], in[1], quantity.Gallons(in[2]), quantity.Gallons(in[3]))
			return float64(sd)
		},
		"P1": func(in []float64, _ float64) float64 {
			return float64(RateAtAir(quantity.GallonsPerMinute(in[0]), quantity.PSI(in[1]), quantity.PSI(in[2])))
		},
	}
	for id, kind := range map[string]Kind{
		"K1": Volume, "K2": Volume, "K3": Pressure, "K4": Pressure, "K5": Temperature, "K6": Temperature,
	} {
		calc[id] = func(in []float64, want float64) float64 {
			s := Slips(kind, in[0], around(want))
			if len(s) != 1 {
				t.Fatalf("%s: suspects %v, want one", id, s)
			}
			return s[0].Value
		}
	}
	f, err := os.Open(filepath.Join("..", "..", "..", "testdata", "published", "transfer.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	held := 0
	for _, row := range rows[1:] {
		id, source := row[0], row[6]
		if source == "" {
			t.Errorf("%s has no source", id)
		}
		if row[7] != "" {
			continue // the table says why
		}
		var in []float64
		for cell := range strings.SplitSeq(row[2], ";") {
			in = append(in, number(t, cell))
		}
		want := number(t, row[3])
		near(t, id+", "+row[1]+", by "+source, calc[id](in, want), want, number(t, row[4]))
		held++
	}
	if held != len(calc) {
		t.Errorf("%d rows held, %d calculations: one has no row", held, len(calc))
	}
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// leg turns minutes, totals and strokes into readings; strokes 0 is not said.
func leg(rows ...[3]float64) (out []Reading) {
	for _, r := range rows {
		v := Reading{quantity.Minutes(r[0]), quantity.Gallons(r[1]), quantity.PerMinute(Unread), quantity.PSI(Unread)}
		if r[2] > 0 {
			v.Strokes = quantity.PerMinute(r[2])
		}
		out = append(out, v)
	}
	return out
}

// quarryLeg3 is a leg whose meter stood still from 01:44:00 to 01:55:30 while the
// pump ran on: the times are minutes since 01:33.
var quarryLeg3 = leg(
	[3]float64{0, 0, 0}, [3]float64{10, 524, 84}, [3]float64{17, 577, 84},
	[3]float64{25, 706, 84}, [3]float64{35, 1230, 84}, [3]float64{47, 1859, 0},
)

// TestSkippingMeter must speak at the reading of 01:50, knowing nothing later.
func TestSkippingMeter(t *testing.T) {
	early := Intervals(quarryLeg3[:3], Unknown, Usual)
	if v := early[1]; v.Verdict != Slow || v.Basis != ByStrokes || len(v.Suspects) > 0 {
		t.Fatalf("01:43 to 01:50 %v by %v, suspects %v; want too little, by strokes, no slip that explains it", v.Verdict, v.Basis, v.Suspects)
	}
	near(t, "rate 01:43 to 01:50", float64(early[1].Rate), 7.6, 0.05)
	near(t, "expected", float64(early[1].Expected), 52.4, 0.05)
	near(t, "volume per stroke", float64(early[0].PerStroke), 52.4/84, 1e-9)

	all := Intervals(quarryLeg3, Unknown, Usual)
	want := []Verdict{NotCompared, Slow, Slow, Fits, Fits}
	missing := 0.0
	for i, v := range all {
		if v.Verdict != want[i] {
			t.Errorf("interval %d: %v by %v, want %v", i, v.Verdict, v.Basis, want[i])
		}
		if v.Verdict == Slow {
			missing += float64(v.Missing)
		}
	}
	near(t, "never counted", missing, 604, 5) // the register should have read 2463
}

// TestSkippingMeterWithoutStrokes sees it by the rate alone.
func TestSkippingMeterWithoutStrokes(t *testing.T) {
	bare := slices.Clone(quarryLeg3)
	for i := range bare {
		bare[i].Strokes = quantity.PerMinute(Unread)
	}
	v := Intervals(bare[:3], Unknown, Usual)[1]
	if v.Verdict != Slow || v.Basis != ByRate {
		t.Errorf("%v by %v, want too little by its own rate", v.Verdict, v.Basis)
	}
}

// TestHealthyLegs has the other legs of the same night.
func TestHealthyLegs(t *testing.T) {
	for name, readings := range map[string][]Reading{
		"L1": leg([3]float64{0, 0, 0}, [3]float64{8, 338, 0}, [3]float64{16, 675, 0}, [3]float64{24, 1012, 0}),
		"L2": leg([3]float64{0, 0, 0}, [3]float64{10, 484, 0}, [3]float64{20, 968, 0}, [3]float64{30, 1452, 0},
			[3]float64{39, 1888, 0}, [3]float64{51, 2469, 0}),
		"L4": leg([3]float64{0, 0, 0}, [3]float64{12, 587, 80}, [3]float64{28, 1370, 0}),
	} {
		for i, v := range Intervals(readings, Unknown, Usual) {
			want := Fits
			if i == 0 {
				want = NotCompared
			}
			if v.Verdict != want {
				t.Errorf("%s interval %d: %v, want %v", name, i, v.Verdict, want)
			}
		}
	}
}

func TestVerdicts(t *testing.T) {
	pump := Pump{Rate: 50, Air: 90, PerStroke: 0.6, Digits: 4}
	unread := quantity.PerMinute(Unread)
	for _, tt := range []struct {
		name    string
		to      Reading // ten minutes after 9800 gal
		verdict Verdict
		basis   Basis
		slips   []Suspect
	}{
		{"by strokes", Reading{10, 10300, 83, 40}, Fits, ByStrokes, nil},
		{"half the strokes, half the rate", Reading{10, 10050, 42, 90}, Fits, ByStrokes, nil},
		{"half the rate at full strokes", Reading{10, 10050, 83, 90}, Slow, ByStrokes, nil},
		{"standing pump, moving meter", Reading{10, 10300, 0, 90}, Fast, ByStrokes, nil},
		{"standing pump, standing meter", Reading{10, 9800, 0, 90}, Fits, ByStrokes, nil},
		{"less air, less rate", Reading{10, 10010, unread, 10}, Fits, ByAir, nil},
		{"little at full air", Reading{10, 9910, unread, 90}, Slow, ByAir, nil},
		{"no air reading", Reading{10, 10310, unread, quantity.PSI(Unread)}, Fits, ByRate, nil},
		{"litres", Reading{10, 38989, unread, quantity.PSI(Unread)}, Fast, ByRate, []Suspect{{LitresAsGallons, 38989 / 3.785411784}}},
		{"a digit too many", Reading{10, 103000, unread, quantity.PSI(Unread)}, Fast, ByRate, []Suspect{{DigitTooMany, 10300}}},
		{"a digit too few", Reading{10, 1030, unread, quantity.PSI(Unread)}, Backwards, ByRate, []Suspect{{DigitTooFew, 10300}}},
		{"rolled over", Reading{10, 300, unread, quantity.PSI(Unread)}, Backwards, ByRate, []Suspect{{RolledOver, 10300}, {Reset, 10100}}},
		{"reset", Reading{10, 480, unread, quantity.PSI(Unread)}, Backwards, ByRate, []Suspect{{RolledOver, 10480}, {Reset, 10280}}},
		{"too short to tell", Reading{0.8, 9900, unread, quantity.PSI(Unread)}, Fits, ByRate, nil},
		{"no time between", Reading{0, 9900, unread, quantity.PSI(Unread)}, NotCompared, ByRate, nil},
		{"no total", Reading{10, quantity.Gallons(Unread), unread, quantity.PSI(Unread)}, NotCompared, ByRate, nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			from := Reading{0, 9800, quantity.PerMinute(Unread), quantity.PSI(Unread)}
			v := Intervals([]Reading{from, tt.to}, pump, Usual)[0]
			if v.Verdict != tt.verdict || v.Basis != tt.basis || !slices.Equal(v.Suspects, tt.slips) {
				t.Errorf("%v by %v, suspects %v; want %v by %v, %v", v.Verdict, v.Basis, v.Suspects, tt.verdict, tt.basis, tt.slips)
			}
		})
	}
	if got := Slow.String() + ", " + ByAir.String() + ", " + RolledOver.String(); got != "too little, its rate and air pressure, register rolled over" {
		t.Errorf("words = %q", got)
	}
}

// TestRegisterOfUnknownLength goes down on a leg of which nothing is known.
func TestRegisterOfUnknownLength(t *testing.T) {
	v := Intervals(leg([3]float64{0, 980, 0}, [3]float64{10, 40, 0}), Unknown, Usual)[0]
	want := []Suspect{{RolledOver, 1040}, {Reset, 1020}}
	if v.Verdict != Backwards || !slices.Equal(v.Suspects, want) || !math.IsNaN(float64(v.Missing)) {
		t.Errorf("%v, suspects %v, missing %v; want register went down, %v, unknown", v.Verdict, v.Suspects, v.Missing, want)
	}
}

func TestSlips(t *testing.T) {
	for _, tt := range []struct {
		name   string
		kind   Kind
		logged float64
		fits   Range
		want   []Slip
	}{
		{"3537 out of a compartment of 1000, bill 945", Volume, 3537, Range{0, 945, 1000}, []Slip{LitresAsGallons, DigitTooMany}},
		{"-6 °F in a load that was at 22", Temperature, -6, Range{12, 22, 32}, []Slip{CelsiusAsFahrenheit}},
		{"7 psi on a compressor at 90 to 110", Pressure, 7, Range{90, 100, 110}, []Slip{BarAsPSI}},
		{"1452 said as 1542", Volume, 1542, Range{1440, 1455, 1470}, []Slip{SwappedDigits}},
		{"0.15 said as 1.5", Volume, 1.5, Range{0.1, 0.15, 0.2}, []Slip{DigitTooMany}},
		{"it fits", Volume, 900, Range{0, 945, 1000}, nil},
		{"nothing explains it", Volume, 5000, Range{1, Unread, 2}, nil},
		{"not a number", Volume, Unread, Range{0, 1, 2}, nil},
		{"infinite", Volume, math.Inf(1), Range{0, 1, 2}, nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var got []Slip
			for _, s := range Slips(tt.kind, tt.logged, tt.fits) {
				got = append(got, s.Slip)
			}
			if !slices.Equal(got, tt.want) {
				t.Errorf("Slips(%v) = %v, want %v", tt.logged, got, tt.want)
			}
		})
	}
}

// TestSwaps leaves out what nobody writes, a zero in front, and what changes
// nothing, a pair of equals; the likeliest comes first.
func TestSwaps(t *testing.T) {
	if got, want := swaps(-1001.5), []float64{-1010.5}; !slices.Equal(got, want) {
		t.Errorf("swaps = %v, want %v", got, want)
	}
	got := Slips(Volume, 123, Range{130, 205, 220})
	if want := []Suspect{{SwappedDigits, 213}, {SwappedDigits, 132}}; !slices.Equal(got, want) {
		t.Errorf("suspects = %v, want %v", got, want)
	}
}

func TestRateAtAirRefuses(t *testing.T) {
	for _, p := range [][2]quantity.PSI{{0, 90}, {90, 0}, {-1, 90}, {90, quantity.PSI(Unread)}} {
		if got := RateAtAir(100, p[0], p[1]); !math.IsNaN(float64(got)) {
			t.Errorf("RateAtAir(100, %v, %v) = %v, want none", p[0], p[1], got)
		}
	}
}
