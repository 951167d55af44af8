// Package ground says what a ground rod is worth: the resistance of one rod, of two
// and of several in a soil, what soil a reading speaks for, how many rods a limit
// takes, whether a reading by the fall of potential holds, and what a resistance
// means for static.
//
// It informs. Whether a ground is good enough is decided at the scene, by whoever is
// trained and answerable for it, with a meter.
package ground

import (
	"fmt"
	"math"
	"slices"

	"tankside/events/quantity"
)

const (
	foot = 0.3048 // m
	inch = 0.0254 // m
)

// OhmMetres is the resistivity of soil; one is 100 ohm-cm.
type OhmMetres float64

// Rod is a round rod driven upright.
type Rod struct {
	Length   quantity.Feet   // in the earth
	Diameter quantity.Inches // outside
}

// UsualDiameter is taken where nobody said how thick a rod is: 5/8 in is what is
// sold most. From 1/2 to 1 in the resistance changes by a tenth. Common practice, no
// source.
const UsualDiameter quantity.Inches = 0.625

// check reports what makes it no rod, or no soil.
func (r Rod) check(rho OhmMetres) error {
	if !(r.Length > 0 && r.Diameter > 0 && rho > 0) || math.IsInf(float64(r.Length)*float64(r.Diameter)*float64(rho), 0) {
		return fmt.Errorf("ground: rod %g ft long and %g in thick in soil of %g ohm-m; want all three above 0", r.Length, r.Diameter, rho)
	}
	if r.metres() < 2*r.radius() {
		return fmt.Errorf("ground: a rod %g ft long and %g in thick is no rod but a plate; the formula wants a length of many diameters", r.Length, r.Diameter)
	}
	return nil
}

func (r Rod) metres() float64 { return float64(r.Length) * foot }
func (r Rod) radius() float64 { return float64(r.Diameter) * inch / 2 }

// Resistance returns the resistance to earth of one rod in even soil:
//
//	R1 = ρ/(2πL)·(ln(4L/a) − 1)
//
// with the length L and the radius a of the rod. Length, diameter and resistivity are
// above 0. Source: Dwight 1936, as IEEE 142 has it. A form without the −1 and with 2L
// also circulates and is about 5 % higher.
func (r Rod) Resistance(rho OhmMetres) (quantity.Ohms, error) {
	if err := r.check(rho); err != nil {
		return 0, err
	}
	return quantity.Ohms(r.share(rho)), nil
}

func (r Rod) share(rho OhmMetres) float64 {
	l := r.metres()
	return float64(rho) / (2 * math.Pi * l) * (math.Log(4*l/r.radius()) - 1)
}

// Two returns the resistance of two like rods, joined, at a spacing s, above 0:
//
//	s ≥ L:  ρ/(4πL)·(ln(4L/a) − 1) + ρ/(4πs)·(1 − L²/(3s²) + 2L⁴/(5s⁴))
//	s < L:  ρ/(4πL)·(ln(4L/a) + ln(4L/s) − 2 + s/(2L) − s²/(16L²) + s⁴/(512L⁴))
//
// The two series are cut short as published and do not meet at s = L: the step there
// is 3.4 %. Source: Dwight 1936, as IEEE 142 has it.
func (r Rod) Two(rho OhmMetres, spacing quantity.Feet) (quantity.Ohms, error) {
	if err := r.check(rho); err != nil {
		return 0, err
	}
	s, l, a := float64(spacing)*foot, r.metres(), r.radius()
	if !(s > 2*a) || math.IsInf(s, 0) {
		return 0, fmt.Errorf("ground: two rods %g ft apart; want them apart by more than they are thick", spacing)
	}
	if x := l / s; x <= 1 {
		apart := float64(rho) / (4 * math.Pi * s) * (1 - x*x/3 + 2*x*x*x*x/5)
		return quantity.Ohms(r.share(rho)/2 + apart), nil
	}
	x := s / l
	near := math.Log(4*l/a) + math.Log(4/x) - 2 + x/2 - x*x/16 + x*x*x*x/512
	return quantity.Ohms(float64(rho) / (4 * math.Pi * l) * near), nil
}

// Soil returns the resistivity that the reading of one rod, above 0 Ω, speaks for:
// that of the soil within a few rod lengths, as wet as it was.
func (r Rod) Soil(read quantity.Ohms) (OhmMetres, error) {
	return soil(read, func() (quantity.Ohms, error) { return r.Resistance(1) })
}

// SoilOfTwo is Soil for the reading of two like rods, joined.
func (r Rod) SoilOfTwo(read quantity.Ohms, spacing quantity.Feet) (OhmMetres, error) {
	return soil(read, func() (quantity.Ohms, error) { return r.Two(1, spacing) })
}

// SoilOfMany is Soil for the reading of n like rods a rod length apart, joined.
func (r Rod) SoilOfMany(read quantity.Ohms, n int) (OhmMetres, error) {
	return soil(read, func() (quantity.Ohms, error) {
		one, err := r.Resistance(1)
		if err != nil {
			return 0, err
		}
		return Many(one, n)
	})
}

// soil turns a resistance around: it is in proportion to the soil's.
func soil(read quantity.Ohms, unit func() (quantity.Ohms, error)) (OhmMetres, error) {
	one, err := unit()
	if err != nil {
		return 0, err
	}
	if !(read > 0) || math.IsInf(float64(read), 0) {
		return 0, fmt.Errorf("ground: a reading of %g ohm; want one above 0", read)
	}
	return OhmMetres(read / one), nil
}

// Factor is how far several rods, joined, fall short of an equal share each.
type Factor struct {
	Rods   int
	Factor float64
}

// Factors are those of like rods one rod length apart in a line, a triangle, a circle
// or a square; rods within the outline add little. Source: IEEE 142, table 14, as
// quoted on a public engineering mailing list.
var Factors = []Factor{{1, 1}, {2, 1.16}, {3, 1.29}, {4, 1.36}, {8, 1.68}, {12, 1.80}, {16, 1.92}, {20, 2.00}, {24, 2.16}}

// Most is the largest number of rods with a published factor.
const Most = 24

// FactorOf returns the factor of n rods, 1 to Most; between those published it runs
// straight, a few per cent too low at most (our judgement).
func FactorOf(n int) (float64, error) {
	if n < 1 || n > Most {
		return 0, fmt.Errorf("ground: %d rods; factors are published for 1 to %d", n, Most)
	}
	i := slices.IndexFunc(Factors, func(f Factor) bool { return f.Rods >= n })
	to := Factors[i]
	if to.Rods == n {
		return to.Factor, nil
	}
	from := Factors[i-1]
	return from.Factor + (to.Factor-from.Factor)*float64(n-from.Rods)/float64(to.Rods-from.Rods), nil
}

// Together returns the resistance of n like rods, n above 0, by the resistance of one
// and a factor: R1/n × F.
func Together(one quantity.Ohms, n int, factor float64) quantity.Ohms {
	return one / quantity.Ohms(n) * quantity.Ohms(factor)
}

// Many returns the resistance of n like rods, 1 to Most, a rod length apart.
func Many(one quantity.Ohms, n int) (quantity.Ohms, error) {
	f, err := FactorOf(n)
	if err != nil {
		return 0, err
	}
	return Together(one, n, f), nil
}

// Needed returns how many like rods, a rod length apart, bring the resistance of one
// to the limit or below it. Where Most of them do not, it says what they come to.
func Needed(one, limit quantity.Ohms) (n int, with quantity.Ohms, err error) {
	if !(one > 0 && limit > 0) || math.IsInf(float64(one), 0) {
		return 0, 0, fmt.Errorf("ground: one rod of %g ohm, limit %g ohm; want both above 0", one, limit)
	}
	for n = 1; n <= Most; n++ {
		if with, err = Many(one, n); err != nil || with <= limit {
			return n, with, err
		}
	}
	return 0, with, fmt.Errorf("ground: %d rods of %.3g ohm each still have %.3g ohm, over the limit of %g ohm; longer rods, wet ground, a plate in water or another place do more", Most, one, with, limit)
}
