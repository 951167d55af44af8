package loss

import (
	"fmt"

	"tankside/events/quantity"
)

// Ground is how deep a free pool of fuel stands on a kind of ground.
type Ground struct {
	Name            string
	Low, Best, High quantity.Inches
}

const millimetre = 1 / 25.4 // in

// Grounds are the depths known, from memory of the SFPE handbook's chapter on spills
// and EPA's guidance; a pool on soil or gravel hides what has soaked in.
var Grounds = []Ground{
	{"smooth concrete", 0.7 * millimetre, 1.4 * millimetre, 2.8 * millimetre},
	{"asphalt or rough concrete", 2.5 * millimetre, 5 * millimetre, 10 * millimetre},
	{"grass or gravel", 10 * millimetre, 20 * millimetre, 40 * millimetre},
	{"planning (EPA)", 5 * millimetre, 10 * millimetre, 20 * millimetre},
}

// PoolSource is where PoolVolume comes from.
const PoolSource = "area times the usual depth of a pool, within a factor of 2 (from memory, SFPE handbook)"

// PoolVolume returns what lies in a free pool by its area. The area must be above 0.
func PoolVolume(area quantity.SquareFeet, g Ground) (Band[quantity.Gallons], error) {
	if !(area > 0) || !g.sound() {
		return Band[quantity.Gallons]{}, fmt.Errorf("loss: pool of %g ft2, %g to %g in deep; want an area above 0 and depths in order", area, g.Low, g.High)
	}
	return bandOf(float64(g.Low), float64(g.Best), float64(g.High), PoolSource, func(depth float64) quantity.Gallons {
		return quantity.Gallons(squareMetres(area) * depth * inch / gallon)
	}), nil
}

// PoolArea returns how far a volume spreads where nothing holds it. The volume must
// be above 0.
func PoolArea(v quantity.Gallons, g Ground) (Band[quantity.SquareFeet], error) {
	if !(v > 0) || !g.sound() {
		return Band[quantity.SquareFeet]{}, fmt.Errorf("loss: pool of %g gal, %g to %g in deep; want a volume above 0 and depths in order", v, g.Low, g.High)
	}
	return bandOf(float64(g.Low), float64(g.Best), float64(g.High), PoolSource, func(depth float64) quantity.SquareFeet {
		return quantity.SquareFeet(float64(v) * gallon / (depth * inch) / (foot * foot))
	}), nil
}

func (g Ground) sound() bool { return g.Low > 0 && g.Low <= g.Best && g.Best <= g.High }
