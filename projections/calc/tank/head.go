package tank

import (
	"fmt"
	"math"

	"tankside/events/quantity"
)

// Shape is the form of a tank's end.
type Shape int

// The shapes. Flat is the zero value: the bulkheads between compartments and the
// heads of most road tankers for fuel are flat or nearly so.
const (
	Flat Shape = iota
	Conical
	Ellipsoidal
	Spherical     // a part of a sphere, dished by Depth
	Torispherical // a dish with a knuckle
)

// Head is one end of a tank. It bulges outwards; where a section is not round, it
// is narrowed along the bulge as a round one of the same height is.
type Head struct {
	Shape Shape
	// Depth is how far it bulges beyond the shell, for Conical, Ellipsoidal and
	// Spherical.
	Depth quantity.Inches
	// Dish and Knuckle are the two radii of a Torispherical head, as shares of the
	// diameter: ordinarily 1 and 0.06.
	Dish, Knuckle float64
}

// bulge is a stretch of a head: at x inches beyond the shell the section is scaled.
type bulge struct {
	from, to float64
	scale    func(x float64) float64
}

// bulges returns the stretches of the head of a tank of half height r, from the
// shell outwards.
func (h Head) bulges(r float64) ([]bulge, error) {
	a := float64(h.Depth)
	if h.Shape == Flat && a == 0 {
		return nil, nil
	}
	if h.Shape == Torispherical {
		return h.torispherical(r)
	}
	if !(a > 0 && a < 1000) || h.Shape == Spherical && a > r {
		return nil, fmt.Errorf("one that bulges by %g in does not fit a section of half height %g in; a flat one bulges by 0", a, r)
	}
	switch h.Shape {
	case Conical:
		return []bulge{{0, a, func(x float64) float64 { return 1 - x/a }}}, nil
	case Ellipsoidal:
		return []bulge{{0, a, func(x float64) float64 { return math.Sqrt(max(0, 1-x*x/(a*a))) }}}, nil
	case Spherical:
		ball := (r*r + a*a) / (2 * a) // radius of the sphere
		return []bulge{{0, a, func(x float64) float64 { return chordOf(ball, x+ball-a) / r }}}, nil
	}
	return nil, fmt.Errorf("shape %d is not known; take flat, conical, ellipsoidal, spherical or torispherical", h.Shape)
}

// torispherical gives the knuckle, an arc of a small circle about r − k, and the
// dish, an arc of a large one about the axis, that run smoothly into each other.
func (h Head) torispherical(r float64) ([]bulge, error) {
	f, k := 2*r*h.Dish, 2*r*h.Knuckle
	if !(h.Knuckle > 0 && k < r && f > r) {
		return nil, fmt.Errorf("dish %g and knuckle %g of the diameter; want a dish above 0.5 and a knuckle between 0 and 0.5", h.Dish, h.Knuckle)
	}
	slope := math.Asin((r - k) / (f - k)) // of the joint, from the axis
	joint := k * math.Cos(slope)
	deep := f - (f-k)*math.Cos(slope)
	return []bulge{
		{0, joint, func(x float64) float64 { return (r - k + chordOf(k, x)) / r }},
		{joint, deep, func(x float64) float64 { return chordOf(f, x+f-deep) / r }},
	}, nil
}

// chordOf is half the chord of a circle of radius r at the distance x from its centre.
func chordOf(r, x float64) float64 { return math.Sqrt(max(0, r*r-x*x)) }
