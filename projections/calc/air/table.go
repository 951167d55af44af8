package air

import (
	"strings"

	"tankside/events/quantity"
)

// Gas is what conversions need of a gas or vapour.
type Gas struct {
	Name     string
	LEL, UEL quantity.Percent // of the volume of air; UEL 0 where none stands here
	Mole     float64          // weight of a mole in g; 0 for a mixture
	PID      float64          // factor on a 10.6 eV lamp set on isobutylene; 0 where none stands here
	PIDOther float64          // another that is printed; 0 where the makers agree
	Source   string
	Status   string // seen or memory; of what differs from it the source says so
}

// Gases are the fuels and what is in them. Weights of moles are sums of atomic
// weights. Of limits that differ in print the lower stands, which alarms earlier.
var Gases = []Gas{
	{"gasoline", 1.4, 7.6, 0, 1.1, 0.9, "site plans and supplier data sheets, some print 1.2 to 1.3; PID a supplier's note", "seen"},
	{"E85", 1.4, 19, 0, 0, 0, "the limit of gasoline, to be cautious", "memory"},
	{"diesel", 0.6, 7.5, 0, 0.75, 0, "handbooks; PID a supplier's note", "memory"},
	{"kerosene", 0.7, 5, 0, 0, 0, "NIOSH Pocket Guide", "seen"},
	{"ethanol", 3.3, 19, 46.07, 8.7, 10, "NIOSH Pocket Guide; PID a supplier's note", "seen"},
	{"benzene", 1.2, 7.8, 78.11, 0.5, 0.53, "NIOSH Pocket Guide; PID a supplier's note", "seen"},
	{"toluene", 1.1, 7.1, 92.14, 0.5, 0.51, "NIOSH Pocket Guide; PID technical note TN-106", "seen"},
	{"xylenes", 0.9, 7.0, 106.17, 0.43, 0, "NIOSH Pocket Guide, o-xylene; PID technical note TN-106, m-xylene", "seen"},
	{"n-hexane", 1.1, 7.5, 86.18, 3.3, 4.3, "NIOSH Pocket Guide; PID a supplier's note", "seen"},
	{"pentane", 1.4, 0, 72.15, 0, 0, "catalogue of combustible factors", "seen"},
	{"nonane", 0.8, 0, 128.26, 0, 0, "catalogue of combustible factors", "seen"},
	{"propane", 2.1, 0, 44.10, 0, 0, "catalogue of combustible factors", "seen"},
	{"methane", 5, 0, 16.04, 0, 0, "OSHA preamble to 29 CFR 1910.146", "seen"},
	{"CO", 12.5, 74, 28.01, 0, 0, "NIOSH Pocket Guide; a PID does not see it", "seen"},
	{"H2S", 4, 0, 34.08, 0, 0, "NIOSH Pocket Guide", "seen"},
}

// GasNamed returns the gas of a name.
func GasNamed(name string) (Gas, bool) {
	for _, g := range Gases {
		if strings.EqualFold(g.Name, strings.TrimSpace(name)) {
			return g, true
		}
	}
	return Gas{}, false
}

// Factor is how much less of a gas a combustible sensor shows than there is, by the
// gas that it is calibrated on: bounds where it is known no better.
type Factor struct {
	Low, High float64
	Source    string
	Status    string // seen or memory
}

// Mid is the middle of the factor.
func (f Factor) Mid() float64 { return (f.Low + f.High) / 2 }

// spread is how far a factor may be off from sensor to sensor, as a share. Source: a
// manual of fixed detectors (±15 %).
const spread = 0.15

// Bounds widens the factor by what sensors differ from one another.
func (f Factor) Bounds() (low, high float64) { return f.Low * (1 - spread), f.High * (1 + spread) }

// calibrations are the columns of responses.
var calibrations = []string{"methane", "pentane", "propane", "hexane"}

// responses are the factors for gases met, by calibration. Source: a catalogue of
// combustible-sensor factors. A factor and its inverse agree to 2 %.
var responses = map[string][4]float64{
	"methane": {1.00, 0.50, 0.62, 0.35},
	"pentane": {2.02, 1.00, 1.25, 0.71},
	"hexane":  {2.86, 1.42, 1.77, 1.00},
	"benzene": {1.9, 1.0, 1.2, 0.8},
	"toluene": {2.55, 1.26, 1.57, 0.89},
	"xylene":  {2.5, 1.3, 1.6, 1.1},
	"ethanol": {1.49, 0.74, 0.92, 0.52},
	"nonane":  {3.71, 1.84, 2.29, 1.30},
}

// gasoline lies between pentane and toluene; the catalogue has no row for it.
var gasoline = map[string]Factor{
	"methane": {1.6, 2.6, "between pentane and toluene", "memory"},
	"pentane": {1.0, 1.3, "between pentane and toluene", "memory"},
}

// FactorFor returns the factor of a gas met on a sensor calibrated on another. Words
// may stand round the name of the gas, as in "pentane 50 % LEL"; ok is false where
// either is not in the table.
func FactorFor(met, calibrated string) (f Factor, ok bool) {
	met, calibrated = strings.ToLower(met), strings.ToLower(calibrated)
	for i, on := range calibrations {
		if !strings.Contains(calibrated, on) {
			continue
		}
		if strings.Contains(met, "gasoline") {
			f, ok = gasoline[on]
			return f, ok
		}
		row, ok := responses[strings.TrimSuffix(strings.TrimPrefix(met, "n-"), "s")]
		return Factor{row[i], row[i], "catalogue of combustible-sensor factors", "seen"}, ok
	}
	return Factor{}, false
}

// OxygenNeeded is the share of oxygen below which a combustible sensor does not burn
// what it meets as it should. Source: technical note TN-156.
const OxygenNeeded quantity.Percent = 10

// OxygenLow and OxygenHigh are the ends of what is not hazardous: below the one and
// above the other it is. Source: 29 CFR 1910.146(b).
const (
	OxygenLow  quantity.Percent = 19.5
	OxygenHigh quantity.Percent = 23.5
)

// Oxygen reports whether the air is hazardous for its oxygen.
func Oxygen(share quantity.Percent) bool { return share < OxygenLow || share > OxygenHigh }

// PermitLEL is the share of the lower explosive limit above which a space is
// hazardous; a share equal to it is not. Source: 29 CFR 1910.146(b).
const PermitLEL quantity.PercentLEL = 10

// Flammable reports whether the air is hazardous for what may burn in it.
func Flammable(share quantity.PercentLEL) bool { return share > PermitLEL }
