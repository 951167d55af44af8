// Package loss estimates what left a tank and was not pumped: through a hole, into a
// pool, into the air, into a fire.
//
// None of it is a measurement. Every answer is a Band with its source, to be shown
// as an estimate and never added silently to what was measured: the balance of what
// was measured is nearly always the better figure for a spill.
package loss

import (
	"math"

	"tankside/events/quantity"
)

// Band is an estimate: the likeliest value, the least and the greatest that it is
// held for, and where the rule comes from.
type Band[Q quantity.Quantity] struct {
	Low, Best, High Q
	Source          string
}

// bandOf works a rule out for the least, likeliest and greatest of what it depends on.
func bandOf[Q quantity.Quantity](low, best, high float64, source string, rule func(float64) Q) Band[Q] {
	a, b, c := rule(low), rule(best), rule(high)
	return Band[Q]{min(a, b, c), b, max(a, b, c), source}
}

// The units of the formulas, exact by definition.
const (
	gallon    = quantity.LitresPerGallon / 1000 // m³
	inch      = 0.0254                          // m
	foot      = 0.3048                          // m
	pound     = 0.45359237                      // kg
	mileHour  = 0.44704                         // m/s
	gravity   = 9.80665                         // m/s²
	torrPSI   = 51.714932572                    // mmHg
	pascalPSI = 6894.757293168                  // Pa
)

func kelvin(t quantity.Fahrenheit) float64 { return (float64(t) + 459.67) / 1.8 }

func squareMetres(a quantity.SquareFeet) float64 { return float64(a) * foot * foot }

// across is the diameter in m of a round pool of the area.
func across(a quantity.SquareFeet) float64 { return math.Sqrt(4 * squareMetres(a) / math.Pi) }
