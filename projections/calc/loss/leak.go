package loss

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"

	"tankside/events/quantity"
)

// Edge is what a hole's edge does to the jet: the share of the ideal flow, least,
// likeliest and greatest.
type Edge struct {
	Name            string
	Low, Best, High float64
}

// Edges are the edges known, from memory of engineering handbooks; EPA's guidance
// takes 0.8 throughout, the safe side for the size of a release.
var Edges = []Edge{
	{"sharp hole in thin plate", 0.60, 0.61, 0.65},
	{"hole in thick plate or short pipe", 0.65, 0.75, 0.80},
	{"jagged tear", 0.50, 0.60, 0.70},
}

// AnyEdge takes in all of them, where nobody said what the edge of the hole is like.
var AnyEdge = Edge{"edge not known", 0.50, 0.61, 0.80}

// OrificeSource is where Flow comes from, and how far to trust it.
const OrificeSource = "flow through an orifice (Torricelli); an upper bound where no vent is open"

// Flow returns the flow out of a round hole under a head of liquid:
//
//	Q = C·A·√(2·g·h)
//
// diameter is above 0; head is from the middle of the hole up to the surface, and
// without it there is no flow. c is the share of the ideal flow, 0.61 for a sharp
// edge. A closed compartment draws a vacuum, and glugs: the flow is then less.
//
// Source: Torricelli; any handbook of hydraulics.
func Flow(diameter quantity.Inches, c float64, head quantity.Inches) quantity.GallonsPerMinute {
	d, h := float64(diameter)*inch, max(0, float64(head)*inch)
	return quantity.GallonsPerMinute(c * math.Pi / 4 * d * d * math.Sqrt(2*gravity*h) / gallon * 60)
}

// FlowBand returns Flow for all that the edge of the hole may be.
func FlowBand(diameter quantity.Inches, e Edge, head quantity.Inches) Band[quantity.GallonsPerMinute] {
	return bandOf(e.Low, e.Best, e.High, OrificeSource, func(c float64) quantity.GallonsPerMinute {
		return Flow(diameter, c, head)
	})
}

// Leak is a hole in a tank that nothing is added to.
type Leak struct {
	Diameter quantity.Inches
	Edge     Edge
	// PerInch returns the gallons that one more inch of head holds, at a head above
	// the hole: from the shape of the tank, or its chart.
	PerInch func(head quantity.Inches) quantity.Gallons
}

func (l Leak) check(from, to quantity.Inches) error {
	switch {
	case !(l.Diameter > 0 && l.Diameter < 100):
		return fmt.Errorf("loss: hole %g in across; want above 0 and below 100 in", l.Diameter)
	case !(l.Edge.Low > 0 && l.Edge.Low <= l.Edge.Best && l.Edge.Best <= l.Edge.High && l.Edge.High <= 1):
		return fmt.Errorf("loss: edge %g, %g, %g; want three shares of the ideal flow in order, above 0 and up to 1", l.Edge.Low, l.Edge.Best, l.Edge.High)
	case !(to >= 0 && from >= to && from < 1e5):
		return fmt.Errorf("loss: head from %g in to %g in; want it falling, and not below the hole", from, to)
	}
	return nil
}

// Time returns how long the head takes to fall:
//
//	t = ∫ dV/Q = ∫ (dV/dh)/Q(h) dh
//
// from and to are heads above the hole, falling and not below 0.
func (l Leak) Time(from, to quantity.Inches) (Band[quantity.Minutes], error) {
	if err := l.check(from, to); err != nil {
		return Band[quantity.Minutes]{}, err
	}
	fall := l.fall(float64(from), float64(to))
	return bandOf(l.Edge.Low, l.Edge.Best, l.Edge.High, OrificeSource, func(c float64) quantity.Minutes {
		return quantity.Minutes(fall.minutes[panels] / c)
	}), nil
}

// Lost returns what a leak has let out after a time, the head falling as it did:
// never more than what stood above the hole.
func (l Leak) Lost(from quantity.Inches, t quantity.Minutes) (Band[quantity.Gallons], error) {
	if err := l.check(from, 0); err != nil {
		return Band[quantity.Gallons]{}, err
	}
	if !(t >= 0) {
		return Band[quantity.Gallons]{}, fmt.Errorf("loss: a leak of %g min; want 0 or more", t)
	}
	fall := l.fall(float64(from), 0)
	return bandOf(l.Edge.Low, l.Edge.Best, l.Edge.High, OrificeSource, func(c float64) quantity.Gallons {
		return quantity.Gallons(fall.lost(float64(t) * c))
	}), nil
}

// panels is into how many steps a fall is cut.
const panels = 48

// fall is how a tank empties through an ideal hole, at the ends of the panels.
type fall struct{ minutes, gallons, gpm [panels + 1]float64 }

// nodes and weights are those of Gauss and Legendre for a panel from 0 to 1.
var nodes, weights = legendre(6)

func legendre(n int) (x, w []float64) {
	x, w = make([]float64, n), make([]float64, n)
	quad.Legendre{}.FixedLocations(x, w, 0, 1)
	return x, w
}

// fall adds up time and volume as the head falls. With h = s² the flow is in
// proportion to s, and what is left to integrate is smooth down to the empty tank:
//
//	dt = (dV/dh)·2·s ds / (Q(1)·s)
//
// s = mid + half·cos θ takes the square root out of a full one, where its walls
// close in.
func (l Leak) fall(from, to float64) (f fall) {
	high, low, one := math.Sqrt(from), math.Sqrt(to), float64(Flow(l.Diameter, 1, 1))
	mid, half, step := (high+low)/2, (high-low)/2, math.Pi/panels
	f.gpm[0] = one * high
	for i := range panels {
		f.minutes[i+1], f.gallons[i+1] = f.minutes[i], f.gallons[i]
		f.gpm[i+1] = one * (mid + half*math.Cos(float64(i+1)*step))
		for j, x := range nodes {
			sin, cos := math.Sincos((float64(i) + x) * step)
			s := mid + half*cos
			g := weights[j] * step * half * sin * 2 * float64(l.PerInch(quantity.Inches(s*s)))
			f.minutes[i+1] += g / one
			f.gallons[i+1] += g * s
		}
	}
	return f
}

// lost is what has run out after so many minutes: between the ends of the panels the
// cubic that has the flow for its slope there.
func (f fall) lost(minutes float64) float64 {
	if minutes >= f.minutes[panels] {
		return f.gallons[panels]
	}
	if minutes == 0 {
		return 0
	}
	i, _ := slices.BinarySearch(f.minutes[:], minutes) // where a panel ends that takes time
	step := f.minutes[i] - f.minutes[i-1]
	x := (minutes - f.minutes[i-1]) / step
	y := 1 - x
	return f.gallons[i-1]*y*y*(1+2*x) + f.gallons[i]*x*x*(1+2*y) + step*x*y*(f.gpm[i-1]*y-f.gpm[i]*x)
}
