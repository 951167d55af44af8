package transfer

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"tankside/events/quantity"
)

// Slip is a way in which a number goes wrong between the gauge and the log.
type Slip int

// The slips. Their order is that of Suspect lists: a wrong unit explains more than
// a wrong digit.
const (
	LitresAsGallons     Slip = iota // litres read, gallons logged
	GallonsAsLitres                 // gallons read, litres logged
	BarAsPSI                        // bar read, psi logged
	PSIAsBar                        // psi read, bar logged
	CelsiusAsFahrenheit             // °C read, °F logged
	FahrenheitAsCelsius             // °F read, °C logged
	RolledOver                      // the register passed its last digit and began again
	Reset                           // the register was set back to zero in between
	DigitTooMany                    // ten times too large
	DigitTooFew                     // ten times too small
	SwappedDigits                   // two neighbouring digits exchanged
)

// String returns the slip in plain words.
func (s Slip) String() string {
	return [...]string{
		"litres logged as gallons", "gallons logged as litres", "bar logged as psi", "psi logged as bar",
		"Celsius logged as Fahrenheit", "Fahrenheit logged as Celsius", "register rolled over", "register was reset",
		"one digit too many", "one digit too few", "two digits swapped",
	}[s]
}

// Kind is what sort of number may have slipped.
type Kind int

// The kinds.
const (
	Volume      Kind = iota // gallons
	Pressure                // psi
	Temperature             // °F
)

// Suspect is one slip that would explain a number that does not fit.
type Suspect struct {
	Slip Slip
	// Value is what was meant, in the unit of the log. For RolledOver it is what
	// the register would show with one more digit; for Reset it is the least: what
	// was counted before the reset is not known.
	Value float64
}

// Range is what fits: by capacity, by load, by the pump's rate. Best is the
// likeliest value, Unread where there is none.
type Range struct{ Low, Best, High float64 }

func (r Range) holds(v float64) bool { return v >= r.Low && v <= r.High }

const (
	psiPerBar = 14.503773773 // 100 kPa over 6.894757293 kPa (pound-force at standard gravity, NIST SP 811)
	tenfold   = 10
)

// undo gives for each kind of number the units it is mistaken in and what was
// meant, from what was logged.
var undo = map[Kind][]struct {
	slip  Slip
	meant func(logged float64) float64
}{
	Volume: {
		{LitresAsGallons, func(v float64) float64 { return v / quantity.LitresPerGallon }},
		{GallonsAsLitres, func(v float64) float64 { return v * quantity.LitresPerGallon }},
	},
	Pressure: {
		{BarAsPSI, func(v float64) float64 { return v * psiPerBar }},
		{PSIAsBar, func(v float64) float64 { return v / psiPerBar }},
	},
	Temperature: {
		{CelsiusAsFahrenheit, func(v float64) float64 { return v*1.8 + 32 }},
		{FahrenheitAsCelsius, func(v float64) float64 { return (v - 32) / 1.8 }},
	},
}

// Slips lists the slips that turn a logged number that does not fit into one that
// does: a wrong unit, ten times too large or too small, two neighbouring digits
// exchanged. Within one sort of slip the value nearest to fits.Best comes first.
// A number that fits, or that is none, has no suspects. The number itself is left
// as it is: a person decides.
func Slips(kind Kind, logged float64, fits Range) []Suspect {
	if math.IsNaN(logged) || math.IsInf(logged, 0) || fits.holds(logged) {
		return nil
	}
	var out []Suspect
	add := func(s Slip, v float64) {
		if fits.holds(v) && v != logged {
			out = append(out, Suspect{s, v})
		}
	}
	for _, u := range undo[kind] {
		add(u.slip, u.meant(logged))
	}
	add(DigitTooMany, logged/tenfold)
	add(DigitTooFew, logged*tenfold)
	for _, v := range swaps(logged) {
		add(SwappedDigits, v)
	}
	slices.SortStableFunc(out, func(a, b Suspect) int {
		if d := cmp.Compare(a.Slip, b.Slip); d != 0 || math.IsNaN(fits.Best) {
			return d
		}
		return cmp.Compare(math.Abs(a.Value-fits.Best), math.Abs(b.Value-fits.Best))
	})
	return out
}

// swaps returns what the number is with each pair of different neighbouring
// digits exchanged; nobody writes a number with a zero in front.
func swaps(v float64) (out []float64) {
	digits := []byte(strconv.FormatFloat(math.Abs(v), 'f', -1, 64))
	for i := range len(digits) - 1 {
		a, b := digits[i], digits[i+1]
		if a == b || a == '.' || b == '.' || i == 0 && b == '0' {
			continue
		}
		swapped := slices.Clone(digits)
		swapped[i], swapped[i+1] = b, a
		if w, err := strconv.ParseFloat(string(swapped), 64); err == nil {
			out = append(out, math.Copysign(w, v))
		}
	}
	return out
}

// lowered lists what may make a register show less than before. Where the number
// of its digits is not known, the fewest that could show first are taken.
func lowered(first, last quantity.Gallons, digits int, fits Range) []Suspect {
	if !(first >= 0 && last >= 0) || math.IsInf(float64(first), 0) {
		return nil // a register shows no number below zero
	}
	if digits <= 0 {
		digits = len(strconv.FormatFloat(math.Floor(float64(first)), 'f', 0, 64))
	}
	var out []Suspect
	if v := float64(last) + math.Pow(tenfold, float64(digits)); fits.holds(v) {
		out = append(out, Suspect{RolledOver, v})
	}
	if float64(first+last) <= fits.High {
		out = append(out, Suspect{Reset, float64(first + last)})
	}
	return out
}
