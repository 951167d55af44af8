// Package air turns what a gas monitor shows into what is in the air: the response of
// combustible sensors and of photoionisation detectors, which show one gas as if it
// were another, and the conversions between parts per million, shares of the lower
// explosive limit and weight in air.
//
// Factors differ from sensor to sensor by a fifth and more. A corrected reading is
// shown beside the raw one and never instead of it.
package air

import (
	"fmt"
	"math"

	"tankside/events/quantity"
)

// LELPPM returns the concentration at a share of the lower explosive limit:
//
//	ppm = %LEL/100 · LEL · 10,000
//
// lel is the limit in per cent of the volume of air, above 0. Source: definition of
// the limit.
func LELPPM(share quantity.PercentLEL, lel quantity.Percent) quantity.PPM {
	return quantity.PPM(float64(share) * float64(lel) * 100)
}

// PPMLEL is the inverse of LELPPM.
func PPMLEL(level quantity.PPM, lel quantity.Percent) quantity.PercentLEL {
	return quantity.PercentLEL(float64(level) / float64(lel) / 100)
}

// molar is the volume of a mole of gas in L at 25 °C and one atmosphere, the state for
// which limits in ppm are made. Source: 29 CFR 1910.1000 table Z-1, footnotes.
const molar = 24.45

// Weight returns a concentration in mg/m³ at 25 °C and one atmosphere:
//
//	mg/m³ = ppm · M/24.45
//
// mole is the weight of a mole in g. Source: definition of the mole; the volume that
// of the limits for air contaminants.
func Weight(level quantity.PPM, mole float64) float64 { return float64(level) * mole / molar }

// OfWeight is the inverse of Weight; mole is above 0.
func OfWeight(mg, mole float64) quantity.PPM { return quantity.PPM(mg * molar / mole) }

// Corrected returns the true share of the lower explosive limit for what a combustible
// sensor shows, by the factor of the gas met on the gas it was calibrated with: the
// two multiplied. The factor is above 0. Source: makers' factor tables.
func Corrected(shown quantity.PercentLEL, factor float64) (quantity.PercentLEL, error) {
	if err := positive("factor", factor); err != nil {
		return 0, err
	}
	return quantity.PercentLEL(float64(shown) * factor), nil
}

func positive(name string, v float64) error {
	if !(v > 0) || math.IsInf(v, 0) {
		return fmt.Errorf("air: %s %g: want a number above 0", name, v)
	}
	return nil
}

// Part is one gas of a mixture: its share of the molecules, its factor on a detector,
// and its limit in ppm where that is asked for.
type Part struct{ Share, Factor, Limit float64 }

// MixtureFactor returns the factor of a mixture on a photoionisation detector:
//
//	CF = 1/Σ(Xi/CFi)
//
// Shares add up to 1, factors are above 0. Source: technical note TN-106.
func MixtureFactor(parts []Part) (float64, error) {
	return harmonic(parts, "factor", func(p Part) float64 { return p.Factor })
}

// MixtureLimit returns the limit of a mixture in ppm of the whole by the same rule
// over the limits. Source: technical note TN-106.
func MixtureLimit(parts []Part) (float64, error) {
	return harmonic(parts, "limit", func(p Part) float64 { return p.Limit })
}

func harmonic(parts []Part, name string, of func(Part) float64) (float64, error) {
	sum, shares := 0.0, 0.0
	for _, p := range parts {
		if err := positive(name, of(p)); err != nil {
			return 0, err
		}
		sum += p.Share / of(p)
		shares += p.Share
	}
	if !(math.Abs(shares-1) < 1e-6) {
		return 0, fmt.Errorf("air: shares of the mixture add up to %g: want 1", shares)
	}
	return 1 / sum, nil
}
