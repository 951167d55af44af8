package ground

import (
	"fmt"
	"math"

	"tankside/events/quantity"
)

// Limit is a resistance that somebody has set or printed.
type Limit struct {
	Name                    string
	Ohms                    quantity.Ohms
	Source, Edition, Status string
}

// The limits. They are for three things and none stands for another: Static drains a
// charge, Bond shows a sound metal path, Target is what a department wants of a rod.
var (
	Static = Limit{"static", 1e6, "NFPA 77, 6.4.1.3, as cited on permit drawings", "edition not shown", "second hand"}
	Bond   = Limit{"bond", 10, "NFPA 77, as cited on permit drawings", "edition not shown", "second hand"}
	Target = Limit{"target", 25, "NEC 250.53, one made electrode", "edition not shown", "memory"}
)

// Farads is the capacitance of a thing that can be charged.
type Farads float64

// What can be charged. From memory of NFPA 77.
const (
	TankTruck Farads = 5000e-12
	Person    Farads = 200e-12
)

// IgnitionEnergy, in J, is enough to light the vapour of gasoline at its worst. From
// memory of NFPA 77.
const IgnitionEnergy = 0.25e-3

// ChargingCurrent, in A, is the most that the flow of fuel makes. From memory of NFPA
// 77.
const ChargingCurrent = 1e-6

// Spark returns the voltage at which a thing of a capacitance above 0 holds an energy
// in J, 0 or more:
//
//	U = √(2E/C)
//
// Source: the energy of a capacitor.
func Spark(energy float64, c Farads) (float64, error) {
	if !(energy >= 0 && c > 0) {
		return 0, fmt.Errorf("ground: spark of %g J off %g F; want an energy of 0 or more and a capacitance above 0", energy, float64(c))
	}
	return math.Sqrt(2 * energy / float64(c)), nil
}

// Standing returns the voltage at which a thing stands that is charged by a current in
// A and drains through a resistance: U = I·R.
func Standing(current float64, r quantity.Ohms) float64 { return current * float64(r) }

// Drains returns the time in which a charge falls to 37 % through a resistance:
// τ = R·C.
func Drains(r quantity.Ohms, c Farads) quantity.Seconds {
	return quantity.Seconds(float64(r) * float64(c))
}
