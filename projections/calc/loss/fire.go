package loss

import (
	"fmt"
	"math"
	"slices"

	"tankside/events/quantity"
)

// Fuel is how a liquid burns in a pool.
type Fuel struct {
	Name    string
	Flux    float64 // burned by a very wide pool, kg/(m²·s)
	KBeta   float64 // how soon a pool is wide, 1/m
	Density float64 // kg/m³
}

// Fuels are the fuels known. Source: NUREG-1805, tables of pool fires, but for the
// density of diesel, 918 there, which is no road diesel's.
var Fuels = []Fuel{
	{"gasoline", 0.055, 2.1, 740},
	{"kerosene", 0.039, 3.5, 820},
	{"diesel", 0.045, 2.1, 845},
	{"JP-4", 0.051, 3.6, 760},
	{"JP-5", 0.054, 1.6, 810},
	{"ethanol", 0.015, 100, 794},
}

// rate returns what burns of a pool so many m across, kg/(m²·s):
//
//	m″ = m∞·(1 − exp(−kβ·D))
//
// Source: Babrauskas 1983.
func (f Fuel) rate(across float64) float64 { return f.Flux * -math.Expm1(-f.KBeta*across) }

// fireDoubt is the share by which a burning pool is held to burn more or less: wind,
// depth, foam. Our judgement.
const fireDoubt = 0.3

// FireSource is where Burned comes from.
const FireSource = "Babrauskas 1983, pool fires, ±30 % (judgement)"

// FuelOf returns the fuel that burns as a product of that ordinary gravity does:
// alcohol for a blend outside the tables of petroleum, else the nearest of gasoline,
// kerosene and diesel (our judgement).
func FuelOf(g quantity.APIGravity, alcohol bool) Fuel {
	name := "diesel"
	switch {
	case alcohol:
		name = "ethanol"
	case g >= 50:
		name = "gasoline"
	case g > 38:
		name = "kerosene"
	}
	return Fuels[slices.IndexFunc(Fuels, func(f Fuel) bool { return f.Name == name })]
}

// Burned returns what a burning pool consumes in a time. The area must be above 0.
func (f Fuel) Burned(area quantity.SquareFeet, t quantity.Minutes) (Band[quantity.Gallons], error) {
	if !(area > 0 && t >= 0 && f.Density > 0) {
		return Band[quantity.Gallons]{}, fmt.Errorf("loss: fire of %g ft2 for %g min, fuel %g kg/m3; want areas and densities above 0 and a time of 0 or more", area, t, f.Density)
	}
	gallons := f.rate(across(area)) * squareMetres(area) * 60 * float64(t) / f.Density / gallon
	return bandOf(1-fireDoubt, 1, 1+fireDoubt, FireSource, func(share float64) quantity.Gallons {
		return quantity.Gallons(gallons * share)
	}), nil
}
