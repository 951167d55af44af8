package ground

import (
	"fmt"
	"math"

	"tankside/events/quantity"
)

// Inner is where the inner probe stands in a test by the fall of potential, as a
// share of the way to the outer one: (√5 − 1)/2, where the errors of the two cancel
// in even soil. Source: the 62 % rule of testers' manuals; p² + p − 1 = 0.
var Inner = (math.Sqrt(5) - 1) / 2

// OuterRods is how many rod lengths the outer probe ought to be away. From memory of
// testers' manuals.
const OuterRods = 5

// FallOfPotential returns what a test by the fall of potential reads of an electrode
// that is worth a hemisphere of radius r, with the outer probe at d and the inner one
// at a share p of the way, and by what share that is off:
//
//	R = ρ/(2π)·(1/r − 1/d − 1/x + 1/(d − x)), x = p·d
//
// It wants 0 < r < x < d. Source: MIL-HDBK-419A, volume 1.
func FallOfPotential(rho OhmMetres, r, d quantity.Feet, p float64) (read quantity.Ohms, off float64, err error) {
	radius, outer := float64(r)*foot, float64(d)*foot
	x := p * outer
	if !(rho > 0 && radius > 0 && x > radius && x < outer) || math.IsInf(float64(rho)*outer, 0) {
		return 0, 0, fmt.Errorf("ground: fall of potential in %g ohm-m at %g of %g ft from an electrode of %g ft; want the inner probe between the electrode and the outer probe", rho, p, d, r)
	}
	per := float64(rho) / (2 * math.Pi)
	ohms, truth := per*(1/radius-1/outer-1/x+1/(outer-x)), per/radius
	return quantity.Ohms(ohms), ohms/truth - 1, nil
}

// Hemisphere returns the radius of the hemisphere with the resistance of the rod, for
// FallOfPotential: L/(ln(4L/a) − 1).
func (r Rod) Hemisphere() (quantity.Feet, error) {
	if err := r.check(1); err != nil {
		return 0, err
	}
	return quantity.Feet(r.metres() / (math.Log(4*r.metres()/r.radius()) - 1) / foot), nil
}

// PlateauLimit is the share by which the readings at 52, 62 and 72 % of the way may
// differ for the test to hold. Common practice, no source.
const PlateauLimit = 0.05

// Plateau is what three readings by the fall of potential come to.
type Plateau struct {
	Ohms   quantity.Ohms // at 62 %
	Spread float64       // highest less lowest, as a share of it
	Holds  bool          // Spread is PlateauLimit or less
}

// PlateauOf holds the readings at 52, 62 and 72 % of the way against each other. Where
// they differ the probes stand in each other's way: the outer one belongs farther out.
// All three are above 0.
func PlateauOf(at52, at62, at72 quantity.Ohms) (Plateau, error) {
	low, high := min(at52, at62, at72), max(at52, at62, at72)
	if !(low > 0) || math.IsInf(float64(high), 0) {
		return Plateau{}, fmt.Errorf("ground: readings of %g, %g and %g ohm; want all three above 0", at52, at62, at72)
	}
	p := Plateau{Ohms: at62, Spread: float64((high - low) / at62)}
	p.Holds = p.Spread <= PlateauLimit+1e-12 // 95, 100 and 100 differ by 5 %, whatever binary fractions make of it
	return p, nil
}
