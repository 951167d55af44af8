package transfer

import (
	"math"

	"tankside/events/quantity"
)

// RateAtAir scales the rate of an air-driven diaphragm pump from one air pressure
// to another, the head staying the same:
//
//	Q₂ = Q₁ · √(P₂/P₁)
//
// Pressures are gauge and above 0; otherwise the result is NaN. It is a fit for
// 40 to 100 psi and carries a standard error of about 15 % (from memory, pump
// makers' curves; no published formula).
func RateAtAir(rate quantity.GallonsPerMinute, from, to quantity.PSI) quantity.GallonsPerMinute {
	if !(from > 0 && to > 0) {
		return quantity.GallonsPerMinute(Unread)
	}
	return rate * quantity.GallonsPerMinute(math.Sqrt(float64(to)/float64(from)))
}

// StrokeVolume is the volume of so many strokes and its standard error:
//
//	V = n·d,  u² = (d·u_n)² + (n·u_d)²
//
// with the standard errors of the count and of the volume of one stroke. Ask
// whether strokes or cycles were counted: a cycle is two strokes.
//
// Source: JCGM 100 (GUM), 5.1.2, errors taken as independent.
func StrokeVolume(strokes, strokesSD float64, perStroke, perStrokeSD quantity.Gallons) (volume, sd quantity.Gallons) {
	d, ud := float64(perStroke), float64(perStrokeSD)
	return quantity.Gallons(strokes * d), quantity.Gallons(math.Hypot(d*strokesSD, strokes*ud))
}
