package tank

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"
)

// angles and weights are the nodes of Gauss and Legendre between 0 and π.
var angles, weights = legendre(24)

func legendre(n int) (x, w []float64) {
	x, w = make([]float64, n), make([]float64, n)
	quad.Legendre{}.FixedLocations(x, w, 0, math.Pi)
	return x, w
}

// integrate adds up f along the tank, between the places where the surface passes
// a level at which the section changes its law. The substitution x = −cos θ takes
// the square roots out of the ends.
func (l *Lying) integrate(y float64, f func(scale, level float64) float64) (sum float64) {
	for _, s := range l.spans {
		cuts := l.cuts(s, y)
		for i := range cuts[1:] {
			mid, half := (cuts[i]+cuts[i+1])/2, (cuts[i+1]-cuts[i])/2
			for j, theta := range angles {
				sin, cos := math.Sincos(theta)
				x := mid - half*cos
				if scale := s.scale(x); scale > 0 {
					sum += weights[j] * half * sin * f(scale, y-l.slope*x)
				}
			}
		}
	}
	return sum
}

// cuts returns the ends of a stretch and the places between them where the surface
// passes one of the section's levels. A stretch so short that the surface dips past
// a level and back within a sixteenth of it is not cut: nothing of note is there.
func (l *Lying) cuts(s span, y float64) []float64 {
	out := []float64{s.from, s.to}
	if math.IsInf(y, 0) {
		return out
	}
	const steps = 16
	for _, level := range l.section.levels {
		above := func(x float64) bool { return s.scale(x)*level > y-l.slope*x }
		width := (s.to - s.from) / steps
		for i := range steps {
			a := s.from + float64(i)*width
			if above(a) != above(a+width) {
				out = append(out, halve(a, a+width, above))
			}
		}
	}
	slices.Sort(out)
	return out
}

// halve returns the place between a and b where is changes its answer.
func halve(a, b float64, is func(x float64) bool) float64 {
	first := is(a)
	for range 60 {
		if mid := (a + b) / 2; is(mid) == first {
			a = mid
		} else {
			b = mid
		}
	}
	return (a + b) / 2
}
