package transfer

import (
	"math"
	"reflect"
	"slices"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"tankside/events/quantity"
)

// healthy draws a leg whose pump keeps its volume per stroke within 10 % and
// whose register is read to the gallon.
func healthy(t *rapid.T) []Reading {
	perStroke := rapid.Float64Range(0.3, 1.5).Draw(t, "gal per stroke")
	counted := rapid.Bool().Draw(t, "strokes counted")
	at, total := 0.0, rapid.Float64Range(0, 5000).Draw(t, "start")
	strokes := rapid.Float64Range(60, 100).Draw(t, "strokes")
	out := []Reading{{0, quantity.Gallons(math.Round(total)), quantity.PerMinute(Unread), quantity.PSI(Unread)}}
	for range rapid.IntRange(2, 8).Draw(t, "intervals") {
		minutes := rapid.Float64Range(3, 20).Draw(t, "minutes")
		total += minutes * strokes * perStroke * rapid.Float64Range(0.95, 1.05).Draw(t, "health")
		at += minutes
		r := Reading{quantity.Minutes(at), quantity.Gallons(math.Round(total)), quantity.PerMinute(Unread), quantity.PSI(Unread)}
		if counted {
			r.Strokes = quantity.PerMinute(strokes)
		}
		out = append(out, r)
	}
	return out
}

func TestHealthyPumpIsLeftAlone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		for i, v := range Intervals(healthy(t), Unknown, Usual) {
			if want := i > 0; v.Verdict > Fits || (v.Verdict == Fits) != want {
				t.Fatalf("interval %d: %v at %v against %v", i, v.Verdict, v.Rate, v.Expected)
			}
		}
	})
}

// TestStandingMeterIsSeen stops the register for one interval of at least ten
// minutes: that interval and no other is said to have too little, and what is
// missing is what the pump moved.
func TestStandingMeterIsSeen(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		leg := healthy(t)
		stop := rapid.IntRange(2, len(leg)-1).Draw(t, "stop")
		lost := leg[stop].Total - leg[stop-1].Total
		more := quantity.Minutes(0)
		if d := leg[stop].At - leg[stop-1].At; d < 10 { // stretch it, the pump going on as before
			more = 10 - d
			lost *= quantity.Gallons(10 / d)
		}
		counted := leg[stop].Total - leg[stop-1].Total
		for i := stop; i < len(leg); i++ {
			leg[i].At += more
			leg[i].Total -= counted
		}
		for i, v := range Intervals(leg, Unknown, Usual) {
			if (v.Verdict == Slow) != (i == stop-1) {
				t.Fatalf("interval %d: %v, the meter stood in %d", i, v.Verdict, stop-1)
			}
			if v.Verdict == Slow && math.Abs(float64(v.Missing/lost)-1) > 0.15 {
				t.Fatalf("missing %v, the pump moved %v", v.Missing, lost)
			}
		}
	})
}

// TestNothingLaterIsKnown cuts a leg short: what was said of the part that is left
// stays as it was.
func TestNothingLaterIsKnown(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		leg := healthy(t)
		for i := range leg {
			leg[i].Total += quantity.Gallons(rapid.SampledFrom([]float64{0, 0, 0, -700, 3000}).Draw(t, "slip"))
		}
		all := Intervals(leg, Unknown, Usual)
		cut := rapid.IntRange(0, len(leg)).Draw(t, "cut")
		part := Intervals(leg[:cut], Unknown, Usual)
		for i := range part {
			if a, b := known(part[i]), known(all[i]); !reflect.DeepEqual(a, b) {
				t.Fatalf("interval %d: %+v became %+v", i, a, b)
			}
		}
	})
}

// known replaces what is not known, which is not equal to itself.
func known(v Interval) Interval {
	plain := func(x float64) float64 {
		if math.IsNaN(x) {
			return -1
		}
		return x
	}
	v.PerStroke, v.Missing = quantity.Gallons(plain(float64(v.PerStroke))), quantity.Gallons(plain(float64(v.Missing)))
	v.Expected, v.Rate = quantity.GallonsPerMinute(plain(float64(v.Expected))), quantity.GallonsPerMinute(plain(float64(v.Rate)))
	v.strokes, v.air = quantity.PerMinute(plain(float64(v.strokes))), quantity.PSI(plain(float64(v.air)))
	return v
}

// TestEverySlipIsFound makes each slip in a number known to fit: if the slipped
// number does not fit, the slip is among the suspects with the number meant.
func TestEverySlipIsFound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		meant := math.Round(rapid.Float64Range(12, 9999).Draw(t, "meant"))
		fits := Range{meant * 0.9, meant, meant * 1.1}
		kind := rapid.SampledFrom([]Kind{Volume, Pressure, Temperature}).Draw(t, "kind")
		slipped := map[Slip]float64{DigitTooMany: meant * 10, DigitTooFew: meant / 10}
		switch kind {
		case Volume:
			slipped[LitresAsGallons], slipped[GallonsAsLitres] = meant*quantity.LitresPerGallon, meant/quantity.LitresPerGallon
		case Pressure:
			slipped[BarAsPSI], slipped[PSIAsBar] = meant/psiPerBar, meant*psiPerBar
		case Temperature:
			slipped[CelsiusAsFahrenheit], slipped[FahrenheitAsCelsius] = (meant-32)/1.8, meant*1.8+32
		}
		digits := []byte(strconv.FormatFloat(meant, 'f', -1, 64))
		if i := rapid.IntRange(0, len(digits)-2).Draw(t, "digit"); digits[i+1] != '0' {
			digits[i], digits[i+1] = digits[i+1], digits[i]
			if v, err := strconv.ParseFloat(string(digits), 64); err == nil {
				slipped[SwappedDigits] = v
			}
		}
		for slip, logged := range slipped {
			found := slices.ContainsFunc(Slips(kind, logged, fits), func(s Suspect) bool {
				return s.Slip == slip && math.Abs(s.Value-meant) < 1e-6*meant
			})
			if !found && !fits.holds(logged) {
				t.Fatalf("%v: %v logged as %v, suspects %v", slip, meant, logged, Slips(kind, logged, fits))
			}
		}
	})
}
