// Package hose says what a hose does to a transfer: how much pressure it takes, how
// high a pump can lift out of a hole, and how fast liquid may go before it charges
// itself.
package hose

import (
	"fmt"
	"math"

	"tankside/events/quantity"
)

// The units of the formulas, exact by definition.
const (
	gallon  = quantity.LitresPerGallon / 1000 // m³
	inch    = 0.0254                          // m
	foot    = 0.3048                          // m
	psi     = 6894.757293168                  // Pa
	gravity = 9.80665                         // m/s²
)

// Liquid is what flows.
type Liquid struct {
	Name      string
	Density   float64 // kg/m³
	Viscosity float64 // Pa·s at 60 °F
}

// Liquids are the usual ones, from memory of handbooks.
var Liquids = []Liquid{{"gasoline", 740, 0.0005}, {"diesel", 845, 0.0028}}

// Smooth is the roughness of a smooth rubber hose in m (from memory). A corrugated
// composite hose takes twice the pressure.
const Smooth = 1e-5

// Velocity returns the speed, in m/s, of a flow through a hose of the inside
// diameter, which is above 0.
func Velocity(q quantity.GallonsPerMinute, d quantity.Inches) float64 {
	return float64(q) * gallon / 60 / bore(d)
}

func bore(d quantity.Inches) float64 { return math.Pi / 4 * float64(d*d) * inch * inch }

// Friction returns Darcy's friction factor for a Reynolds number above 0 and a
// roughness as a share of the diameter: 64/Re below 2,300, and above it
//
//	f = 0.25/log10(ε/(3.7·d) + 5.74/Re^0.9)²
//
// which is made for Re above 5,000; between the two the flow is neither, and f the
// larger. Source: Swamee and Jain 1976; Colebrook's law is within 1 %.
func Friction(reynolds, rough float64) float64 {
	if reynolds < 2300 {
		return 64 / reynolds
	}
	l := math.Log10(rough/3.7 + 5.74/math.Pow(reynolds, 0.9))
	return 0.25 / (l * l)
}

// Loss returns the pressure that a straight hose takes:
//
//	Δp = f·(L/d)·ρ·v²/2
//
// rough is the roughness of its wall in m. Diameter, density and viscosity are above
// 0; flow and length 0 or more. Source: Darcy and Weisbach.
func Loss(q quantity.GallonsPerMinute, d quantity.Inches, length quantity.Feet, l Liquid, rough float64) (quantity.PSI, error) {
	if !(q >= 0 && d > 0 && length >= 0 && l.Density > 0 && l.Viscosity > 0 && rough >= 0) {
		return 0, fmt.Errorf("hose: %g gpm through %g ft of %g in, %g kg/m3, %g Pa·s: want diameter, density and viscosity above 0 and no figure below it", q, length, d, l.Density, l.Viscosity)
	}
	if q == 0 {
		return 0, nil
	}
	v, bore := Velocity(q, d), float64(d)*inch
	f := Friction(l.Density*v*bore/l.Viscosity, rough/bore)
	return quantity.PSI(f * float64(length) * foot / bore * l.Density * v * v / 2 / psi), nil
}

// Head returns how high a column of the liquid a pressure holds, in ft.
func Head(p quantity.PSI, l Liquid) quantity.Feet {
	return quantity.Feet(float64(p) * psi / (l.Density * gravity) / foot)
}

// Air returns the pressure of the air in psia at a height above the sea:
//
//	101325 Pa·(1 − 2.25577e-5·z)^5.25588
//
// Source: ICAO standard atmosphere, to 11 km.
func Air(height quantity.Feet) quantity.PSI {
	return quantity.PSI(101325 * math.Pow(1-2.25577e-5*float64(height)*foot, 5.25588) / psi)
}

// Lift returns how high a pump draws:
//
//	(p_air − p_vapour)/(ρ·g) − friction − what the pump needs
//
// air and vapour are in psia; friction and need, the NPSH of the pump, in ft. At or
// below 0 the liquid boils in the hose before it reaches the pump. Source:
// definition of the net positive suction head.
func Lift(air, vapour quantity.PSI, l Liquid, friction, need quantity.Feet) quantity.Feet {
	return Head(air-vapour, l) - friction - need
}

// Slow is the speed, in m/s, at which a tank is begun: until its inlet is covered.
// Source: NFPA 77.
const Slow = 1.0

// ceiling is the speed, in m/s, that is never passed.
const ceiling = 7.0

// Charging is how easily a liquid keeps a charge, by what it may flow: the limit of
// speed times diameter in m²/s.
type Charging float64

// The limits. Fuel of low sulfur whose conductivity nobody knows, which is all road
// fuel, has the least by IEC 60079-32-1 (as restated by a safety institute); NFPA
// 77 has 0.5 for all.
const (
	AnyNFPA  Charging = 0.5  // NFPA 77
	Middling Charging = 0.38 // sulfur over 50 ppm and conductivity to 10 pS/m or unknown; or up to 50 ppm and 10 to 50 pS/m
	Least    Charging = 0.25 // sulfur up to 50 ppm and conductivity to 10 pS/m or unknown
)

// Fastest returns the speed, in m/s, and the flow up to which a hose of the diameter,
// above 0, may be run once the inlet is covered: min(7 m/s, limit/d).
func Fastest(d quantity.Inches, c Charging) (speed float64, flow quantity.GallonsPerMinute) {
	speed = min(ceiling, float64(c)/(float64(d)*inch))
	return speed, FlowAt(speed, d)
}

// FlowAt returns the flow at a speed in m/s.
func FlowAt(speed float64, d quantity.Inches) quantity.GallonsPerMinute {
	return quantity.GallonsPerMinute(speed * bore(d) / gallon * 60)
}

// Relaxation returns the time in which a charge falls to 37 %:
//
//	τ = ε0·εr/κ
//
// permittivity is relative to vacuum, about 2 for fuels; conductivity is in pS/m and
// above 0. Source: NFPA 77; ε0 = 8.8541878128e-12 F/m.
func Relaxation(permittivity, conductivity float64) quantity.Seconds {
	return quantity.Seconds(8.8541878128e-12 * permittivity / (conductivity * 1e-12))
}
