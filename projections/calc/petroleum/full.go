package petroleum

import (
	"fmt"
	"math"

	"tankside/events/quantity"
)

// Water60In2004 is the density of water at 60 °F in kg/m³, as the 2004 edition of
// API MPMS chapter 11.1 takes it.
const Water60In2004 = 999.016

// The tables of 1980 were made in temperatures of 1968, and so are their constants:
// 60 °F of today's scale is base68, which is shift above 60.
const (
	base68 = 60.0068749
	shift  = 0.01374979547
)

// scale68 are the coefficients of the difference between the two scales.
var scale68 = [...]float64{-0.148759, -0.267408, 1.080760, 1.269056, -4.089591, -1.871251, 7.438081, -3.536296}

// ipts68 turns a temperature of today's scale, ITS-90, into that of IPTS-68:
//
//	t68 = t90 − τ·(a₁ + τ·(a₂ + … + τ·a₈)),  τ = t90/630, °C
func ipts68(t quantity.Fahrenheit) float64 {
	c := (float64(t) - 32) / 1.8
	tau, d := c/630, 0.0
	for i := len(scale68) - 1; i >= 0; i-- {
		d = (d + scale68[i]) * tau
	}
	return 1.8*(c-d) + 32
}

// CTL returns the factor that reduces a volume at t to its volume at 60 °F, in the
// full form with today's temperature scale:
//
//	ρ* = ρ·(1 + (exp(A·(1 + 0.8·A)) − 1)/(1 + A·(1 + 1.6·A)·B))
//	A  = δ/2·((K0/ρ + K1)/ρ + K2),  B = (2·K0 + K1·ρ)/(K0 + (K1 + K2·ρ)·ρ)
//	CTL = exp(−α*·Δt·(1 + 0.8·α*·(Δt + δ))),  Δt = t68 − 60.0068749, δ = 0.01374979547
//
// rho is the density at 60 °F in kg/m³ and must lie in the group's range; t lies
// between −80 and 250 °F. The factor is not rounded: the standard prints five
// decimals. No five-digit value of the official tables was at hand to hold it to;
// all printed four-digit values but one meet it, that one by a unit.
//
// Source: API MPMS chapter 11.1, 2004 edition, section 11.1.6.
func CTL(group Group, rho float64, t quantity.Fahrenheit) (float64, error) {
	if err := checkTemperature(t); err != nil {
		return 0, err
	}
	for _, r := range rows[group] {
		if rho >= r.from && rho < r.to {
			starred := r.at1968(rho)
			a, dt := (r.k0/starred+r.k1)/starred+r.k2, ipts68(t)-base68
			return math.Exp(-a * dt * (1 + 0.8*a*(dt+shift))), nil
		}
	}
	return 0, fmt.Errorf("petroleum: %.1f kg/m3 is outside the tables of its group; use the product's rounded shrinkage", rho)
}

// at1968 is the density at what was 60 °F in 1968, from that at 60 °F of today.
func (r row) at1968(rho float64) float64 {
	a := shift / 2 * ((r.k0/rho+r.k1)/rho + r.k2)
	b := (2*r.k0 + r.k1*rho) / (r.k0 + (r.k1+r.k2*rho)*rho)
	return rho * (1 + math.Expm1(a*(1+0.8*a))/(1+a*(1+1.6*a)*b))
}

// CPL returns the factor that reduces a volume under a gauge pressure to its volume
// at none:
//
//	CPL = 1/(1 − F·P),  F = 1e-5·exp(−1.9947 + 0.00013427·t + (793920 + 2326·t)/ρ²)
//
// rho is the density at 60 °F in kg/m³. At the 50 psi of a pump it is below 1.0005:
// in the field it is left out.
//
// Source: API MPMS chapter 11.1, 2004 edition.
func CPL(rho float64, t quantity.Fahrenheit, p quantity.PSI) float64 {
	f := 1e-5 * math.Exp(-1.9947+0.00013427*float64(t)+(793920+2326*float64(t))/(rho*rho))
	return 1 / (1 - f*float64(p))
}

// CCF returns the one factor by which the count of a proved meter is made net: the
// product of its meter factor, CTL and CPL, rounded to four decimals.
//
// Source: API MPMS chapter 12.2, part 1.
func CCF(meterFactor, ctl, cpl float64) float64 {
	return math.Round(meterFactor*ctl*cpl*1e4) / 1e4
}
