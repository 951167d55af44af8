// Package foam says what a foam blanket takes: how much solution, concentrate and
// water for an area, how long what is on hand lasts, and whether the foam is made for
// the fuel.
//
// It informs. Rates are those for a burning spill that nothing holds in; none is
// published for keeping the vapour of an unlit one down, where the same rate is
// advised. The listing of the concentrate and the officer at the nozzle go before it.
package foam

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"tankside/events/quantity"
)

// cubicInches are in a gallon, by definition.
const cubicInches = 231

// Fuel is what a foam meets.
type Fuel string

// The fuels.
const (
	Hydrocarbon Fuel = "hydrocarbon" // gasoline, diesel, jet fuel
	Polar       Fuel = "polar"       // ethanol, and gasoline with more than AlcoholLimit of it
)

// AlcoholLimit is the share of alcohol above which a blend needs a foam that resists
// it, in %. From memory of NFPA 11; with the ERG's guide 127 confirmed for more than
// 10 % by a PHMSA letter of 24 May 2006.
const AlcoholLimit quantity.Percent = 10

// OfBlend returns what a fuel with a share of alcohol is for a foam.
func OfBlend(alcohol quantity.Percent) Fuel {
	if alcohol > AlcoholLimit {
		return Polar
	}
	return Hydrocarbon
}

// Rate is how much solution a foam wants on a fuel.
type Rate struct {
	Flow    float64 // gpm for each ft²; 0 where the foam is not made for the fuel
	Minutes quantity.Minutes
	Listing bool // the listing of the concentrate has its own, and this one is a floor
	Source  string
	Status  string
}

// SquareMetre returns a rate in litres a minute for each m².
func (r Rate) SquareMetre() float64 {
	return r.Flow * quantity.LitresPerGallon / (0.3048 * 0.3048)
}

// Foam is a kind of concentrate.
type Foam struct {
	Name               string
	Words              []string // how a drum or a scribe writes it, lower case
	AlcoholResistant   bool
	Hydrocarbon, Polar Rate
	Interval           quantity.Minutes // after which a blanket is gone over again
}

const (
	spill = "NFPA 11 spill table, as summarised in foam training texts"
	// fieldInterval is what crews keep to: 10 to 20 min for film-forming foams, 20 to
	// 30 for the others, sooner with rain, wind, heat and traffic. Common practice, no
	// source.
	fieldInterval = 15
	slowInterval  = 30
)

var (
	filmRate    = Rate{0.10, 15, false, spill, "second hand"}
	proteinRate = Rate{0.16, 15, false, spill + "; the minutes from memory", "second hand"}
	polarRate   = Rate{0.20, 15, true, "foam training texts, generic; the listing governs", "second hand"}
	freeRate    = Rate{0.30, 15, true, "one maker's minimum; the listing governs, minutes included", "second hand"}
)

// Foams are the kinds known, those with the longer words first.
var Foams = []Foam{
	{"AR-SFFF", []string{"ar-sfff", "ar sfff", "ar-f3", "ar fluorine-free"}, true, freeRate, freeRate, slowInterval},
	{"SFFF", []string{"sfff", "fluorine-free", "fluorine free", "f3"}, false, freeRate, Rate{}, fieldInterval},
	{"AR-AFFF", []string{"ar-afff", "ar afff", "alcohol-resistant", "alcohol resistant", "atc", "3x6", "3x3", "ar foam"}, true, filmRate, polarRate, slowInterval},
	{"AR-FFFP", []string{"ar-fffp", "ar fffp"}, true, filmRate, polarRate, slowInterval},
	{"AFFF", []string{"afff", "aqueous film"}, false, filmRate, Rate{}, fieldInterval},
	{"FFFP", []string{"fffp"}, false, filmRate, Rate{}, fieldInterval},
	{"fluoroprotein", []string{"fluoroprotein"}, false, proteinRate, Rate{}, slowInterval},
	{"protein", []string{"protein"}, false, proteinRate, Rate{}, slowInterval},
}

// Named finds the foam that a drum or a scribe speaks of.
func Named(words string) (Foam, bool) {
	words = strings.ToLower(words)
	for _, f := range Foams {
		for _, w := range f.Words {
			if strings.Contains(words, w) {
				return f, true
			}
		}
	}
	return Foam{}, false
}

// Names are the names of the foams, in their order.
func Names() (out []string) {
	for _, f := range Foams {
		out = append(out, f.Name)
	}
	return out
}

// On returns the rate of the foam on a fuel. A foam that does not resist alcohol has
// none on a polar fuel, and that is an error which says so.
func (f Foam) On(fuel Fuel) (Rate, error) {
	r := f.Hydrocarbon
	if fuel == Polar {
		r = f.Polar
	}
	if r.Flow == 0 {
		return Rate{}, fmt.Errorf("foam: %s does not resist alcohol, and a %s fuel has more than %g %% of it; take an AR foam", f.Name, fuel, AlcoholLimit)
	}
	return r, nil
}

// Need is what an area takes.
type Need struct {
	Flow            quantity.GallonsPerMinute // of solution
	ConcentrateFlow quantity.GallonsPerMinute
	Solution        quantity.Gallons
	Concentrate     quantity.Gallons
	Water           quantity.Gallons
}

// Required returns what a spill of an area takes at a rate in gpm for each ft², for so
// many minutes, with concentrate mixed in at mix %:
//
//	solution = area × rate × minutes; concentrate = solution × mix; water is the rest
//
// All are above 0, and mix is below 100. Source: NFPA 11, by its definitions.
func Required(area quantity.SquareFeet, rate float64, minutes quantity.Minutes, mix quantity.Percent) (Need, error) {
	if !(area > 0 && rate > 0 && minutes > 0) || math.IsInf(float64(area)*rate*float64(minutes), 0) {
		return Need{}, fmt.Errorf("foam: %g ft2 at %g gpm/ft2 for %g min; want all three above 0", area, rate, minutes)
	}
	if err := mixed(mix); err != nil {
		return Need{}, err
	}
	n := Need{Flow: quantity.GallonsPerMinute(float64(area) * rate)}
	n.Solution = quantity.Gallons(float64(n.Flow) * float64(minutes))
	n.ConcentrateFlow = n.Flow * quantity.GallonsPerMinute(mix) / 100
	n.Concentrate = n.Solution * quantity.Gallons(mix) / 100
	n.Water = n.Solution - n.Concentrate
	return n, nil
}

func mixed(mix quantity.Percent) error {
	if !(mix > 0 && mix < 100) {
		return fmt.Errorf("foam: mixed at %g %%; want above 0 and below 100 %%, such as 3 %%", mix)
	}
	return nil
}

// Covers returns the area that a flow is enough for at a rate above 0 in gpm for each
// ft².
func Covers(flow quantity.GallonsPerMinute, rate float64) quantity.SquareFeet {
	return quantity.SquareFeet(float64(flow) / rate)
}

// Dilution returns how many gallons of solution one of concentrate makes at mix %.
func Dilution(mix quantity.Percent) (float64, error) {
	if err := mixed(mix); err != nil {
		return 0, err
	}
	return 100 / float64(mix), nil
}

// Lasts returns how long concentrate lasts at a flow of solution, both above 0.
func Lasts(concentrate quantity.Gallons, flow quantity.GallonsPerMinute, mix quantity.Percent) (quantity.Minutes, error) {
	per, err := Dilution(mix)
	if err != nil {
		return 0, err
	}
	if !(concentrate >= 0 && flow > 0) {
		return 0, fmt.Errorf("foam: %g gal of concentrate at %g gpm; want no less than 0 and a flow above 0", concentrate, flow)
	}
	return quantity.Minutes(float64(concentrate) * per / float64(flow)), nil
}

// LastsWater returns how long water lasts at a flow of solution, both above 0.
func LastsWater(water quantity.Gallons, flow quantity.GallonsPerMinute, mix quantity.Percent) (quantity.Minutes, error) {
	if err := mixed(mix); err != nil {
		return 0, err
	}
	if !(water >= 0 && flow > 0) {
		return 0, fmt.Errorf("foam: %g gal of water at %g gpm; want no less than 0 and a flow above 0", water, flow)
	}
	return quantity.Minutes(float64(water) / (float64(flow) * (1 - float64(mix)/100))), nil
}

// Blanket returns the volume of foam that stands so deep on an area, and the solution
// it is made of at an expansion. Area, depth and expansion are above 0; an expansion
// of 1 is no foam.
func Blanket(area quantity.SquareFeet, depth quantity.Inches, expansion float64) (foam, solution quantity.Gallons, err error) {
	if !(area > 0 && depth > 0 && expansion >= 1) {
		return 0, 0, fmt.Errorf("foam: blanket %g in deep on %g ft2, expansion %g; want area and depth above 0 and an expansion of 1 or more", depth, area, expansion)
	}
	foam = quantity.Gallons(float64(area) * 144 * float64(depth) / cubicInches)
	return foam, foam / quantity.Gallons(expansion), nil
}

// Expansion is how much larger foam is than what it was made of.
type Expansion float64

// Class returns what the trade calls an expansion: low to 20, medium to 200, high
// above. Source: foam standards, as restated in training texts.
func (e Expansion) Class() string {
	switch {
	case e <= 20:
		return "low"
	case e <= 200:
		return "medium"
	}
	return "high"
}

// AlcoholOf reads from the name of a product, or its UN number, how much alcohol it
// has, in %. A name that says nothing of it, such as gasoline, is not ok: pump
// gasoline may have up to 10 %.
func AlcoholOf(product string) (alcohol quantity.Percent, ok bool) {
	for _, word := range strings.FieldsFunc(strings.ToLower(product), func(r rune) bool { return !('a' <= r && r <= 'z' || '0' <= r && r <= '9') }) {
		switch word {
		case "ethanol", "methanol", "alcohol", "un1170", "un1987", "1170", "1987":
			return 100, true
		case "flex", "un3475", "3475": // E85, whose share goes down in winter
			return 85, true
		case "diesel", "kerosene", "heating", "jet":
			return 0, true
		}
		if share, err := strconv.ParseUint(strings.TrimPrefix(word, "e"), 10, 8); err == nil && word[0] == 'e' && share <= 100 {
			return quantity.Percent(share), true
		}
	}
	return 0, false
}

// UsualMix returns the share of concentrate that a foam is mixed at where nobody said:
// 3 %, and 6 % on a polar fuel for one that its drum calls 3x6. From memory of makers'
// sheets; the drum says.
func UsualMix(drum string, fuel Fuel) quantity.Percent {
	if fuel == Polar && strings.Contains(strings.ToLower(drum), "3x6") {
		return 6
	}
	return 3
}
