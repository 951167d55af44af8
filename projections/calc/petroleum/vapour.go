package petroleum

import (
	"math"

	"tankside/events/quantity"
)

// Vapour returns the true vapour pressure, in psia, that A and B of a product give
// at t: exp(A − B/(t + 459.67)). t must be above −459.67 °F; fair from 0 to 120.
//
// Source: US EPA AP-42, chapter 7.
func Vapour(a, b float64, t quantity.Fahrenheit) float64 {
	return math.Exp(a - b/(float64(t)+459.67))
}

// GasolineVapour returns A and B of Vapour for a gasoline of Reid vapour pressure
// rvp, in psi above 0, as distilled in motor gasolines:
//
//	A = 15.64 − 1.854·√S − (0.8742 − 0.3280·√S)·ln RVP
//	B = 8742 − 1042·√S − (1049 − 179.4·√S)·ln RVP,  S = 3
//
// Source: US EPA AP-42, chapter 7, table 7.1-2.
func GasolineVapour(rvp float64) (a, b float64) {
	s, l := math.Sqrt(3), math.Log(rvp)
	return 15.64 - 1.854*s - (0.8742-0.3280*s)*l, 8742 - 1042*s - (1049-179.4*s)*l
}

// Vapour returns the least and the greatest true vapour pressure, in psia, that the
// product is taken to have at t. They are apart because a gasoline's volatility
// follows the season. Both are 0 for a product with no figures.
func (p Product) Vapour(t quantity.Fahrenheit) (low, high float64) {
	switch {
	case p.RVPHigh > 0:
		a, b := GasolineVapour(p.RVPLow)
		c, d := GasolineVapour(p.RVPHigh)
		return Vapour(a, b, t), Vapour(c, d, t)
	case p.VapourB > 0:
		v := Vapour(p.VapourA, p.VapourB, t)
		return v, v
	}
	return 0, 0
}
