package petroleum

import (
	"fmt"
	"math"

	"tankside/events/quantity"
)

// perKilogram is 1 kg/m³ in pounds a gallon, exact by definition of both.
const perKilogram = quantity.LitresPerGallon / 1000 / 0.45359237

// Density returns the density at 60 °F, in kg/m³:
//
//	ρ = 141.5/(API + 131.5) · ρ_water
//
// with the water of the 1980 edition. Source: definition of the API gravity.
// Gravities from −131.5 down have no density; the result is then not positive.
func Density(g quantity.APIGravity) float64 { return density(g, Water60) }

func density(g quantity.APIGravity, water float64) float64 {
	return 141.5 / (float64(g) + 131.5) * water
}

// Gravity returns the API gravity of a density at 60 °F in kg/m³, above 0; it is
// the inverse of Density.
func Gravity(rho float64) quantity.APIGravity {
	return quantity.APIGravity(141.5*Water60/rho - 131.5)
}

// PoundsPerGallon returns the mass of a gallon, in lb, of a liquid of rho kg/m³: its
// weight in vacuo, which no scale shows. See InAir.
func PoundsPerGallon(rho float64) float64 { return rho * perKilogram }

// InAir returns what a scale shows of a mass of 1, in air, of a liquid of rho kg/m³:
//
//	(1 − 1.2/ρ)/(1 − 1.2/8000)
//
// the air being 1.2 kg/m³ and the scale's weights 8,000 kg/m³. Gasoline shows
// 0.9985, diesel 0.9987. Source: OIML practice (from memory).
func InAir(rho float64) float64 { return (1 - 1.2/rho) / (1 - 1.2/8000) }

// GravityAt60 returns the API gravity at 60 °F of a product whose gravity was read
// at t. A glass hydrometer was graduated at 60 °F and has grown since; glass says
// that one was read, and not a digital meter:
//
//	ρ_t = ρ(reading)·(1 − 1.278e-5·Δt − 6.2e-9·Δt²),  ρ_60 = ρ_t/VCF(ρ_60, t)
//
// solved by halving, since the groups do not join and an iteration may jump to and
// fro between two of them. t must lie between −80 and 250 °F and the answer in the
// group's range.
//
// Source: API MPMS chapter 11.1, 1980 edition, tables 5A, 5B and 5D.
func GravityAt60(group Group, reading quantity.APIGravity, t quantity.Fahrenheit, glass bool) (quantity.APIGravity, error) {
	if err := checkTemperature(t); err != nil {
		return 0, err
	}
	dt, at := float64(t)-60, Density(reading)
	if glass {
		at *= 1 - 1.278e-5*dt - 6.2e-9*dt*dt
	}
	range60 := rows[group]
	low, high := range60[0].from, math.Nextafter(range60[len(range60)-1].to, 0)
	denser := func(rho float64) bool { f, _ := vcf(group, rho, t); return rho*f > at } // in range, so no error
	if denser(low) || !denser(high) {
		return 0, fmt.Errorf("petroleum: %g API at %g F is outside the tables of its group; read it again", reading, t)
	}
	for range 60 {
		if mid := (low + high) / 2; denser(mid) {
			high = mid
		} else {
			low = mid
		}
	}
	return Gravity((low + high) / 2), nil
}
