// Package heat works out how hot it is for somebody at work in a suit, and sets it
// beside the limits for work without rest.
//
// All of it is information. In a suit that lets no vapour through the limit is passed
// on most days, so what counts on the ground is work and rest, what is drunk, and how
// people are: by the department's own procedure and its medical control.
package heat

import (
	"fmt"
	"math"

	"tankside/events/quantity"
)

// Celsius is a temperature, or a difference of two.
type Celsius float64

// Watts is the heat a body makes at work.
type Watts float64

// FromFahrenheit returns a temperature in °C.
func FromFahrenheit(f quantity.Fahrenheit) Celsius { return Celsius((float64(f) - 32) / 1.8) }

// Fahrenheit returns a temperature in °F.
func (c Celsius) Fahrenheit() quantity.Fahrenheit { return quantity.Fahrenheit(float64(c)*1.8 + 32) }

// Outdoors returns the wet bulb globe temperature in the sun:
//
//	0.7·wet + 0.2·globe + 0.1·air
//
// wet is the natural wet bulb. Source: ISO 7243.
func Outdoors(wet, globe, air Celsius) Celsius { return 0.7*wet + 0.2*globe + 0.1*air }

// Indoors returns the same without sun: 0.7·wet + 0.3·globe. Source: ISO 7243.
func Indoors(wet, globe Celsius) Celsius { return 0.7*wet + 0.3*globe }

// Clothing is what a suit adds to the wet bulb globe temperature.
type Clothing struct {
	Name string
	Adds Celsius
}

// Clothes are the usual sorts. Source: table of ACGIH and OSHA as quoted in a course
// text.
var Clothes = []Clothing{
	{"work clothes", 0}, {"coveralls", 0}, {"double layer, woven", 3}, {"SMS polypropylene", 0.5}, {"polyolefin", 1}, {"vapour barrier, encapsulating, turnout", 11},
}

// Unacclimatised returns the wet bulb globe temperature up to which somebody who is
// not used to the heat may work without rest, the RAL:
//
//	59.9 − 14.1·log10(M)
//
// M is above 0 and an average over the hour. Source: NIOSH 2016-106, section 8.1, as
// coded in several independent places.
func Unacclimatised(m Watts) (Celsius, error) { return limit(59.9, 14.1, m) }

// Acclimatised returns the same for somebody who is used to it, the REL:
//
//	56.7 − 11.5·log10(M)
func Acclimatised(m Watts) (Celsius, error) { return limit(56.7, 11.5, m) }

func limit(a, b float64, m Watts) (Celsius, error) {
	if !(m > 0) || math.IsInf(float64(m), 0) {
		return 0, fmt.Errorf("heat: work at %g W: want a rate above 0", m)
	}
	return Celsius(a - b*math.Log10(float64(m))), nil
}

// Band returns an hour's limit for work that is known no better than by eye: 30 %
// more and 30 % less than m. Source: doubt of a rate read off a table of tasks, from
// memory.
func Band(limit func(Watts) (Celsius, error), m Watts) (low, high Celsius, err error) {
	if low, err = limit(1.3 * m); err != nil {
		return 0, 0, err
	}
	high, err = limit(0.7 * m)
	return low, high, err
}

// Stretch is a time at one rate of work.
type Stretch struct {
	Minutes quantity.Minutes
	Rate    Watts
}

// Average returns the rate over all stretches weighted by their minutes:
//
//	Σ(minutes·rate)/Σminutes
func Average(stretches []Stretch) (Watts, error) {
	var sum, over float64
	for _, s := range stretches {
		if !(s.Minutes >= 0 && s.Rate >= 0) {
			return 0, fmt.Errorf("heat: %g min at %g W: neither may be below 0", s.Minutes, s.Rate)
		}
		sum, over = sum+float64(s.Minutes)*float64(s.Rate), over+float64(s.Minutes)
	}
	if over == 0 {
		return 0, fmt.Errorf("heat: %d stretches with no minutes in them: no average", len(stretches))
	}
	return Watts(sum / over), nil
}

// Adjusted returns the air temperature with the sun on a sealed suit:
//
//	air °F + 0.13·sun
//
// sun is the per cent of sunshine, 0 to 100. Source: a waste site's safety plan of the
// 1990s.
func Adjusted(air quantity.Fahrenheit, sun float64) (quantity.Fahrenheit, error) {
	if !(sun >= 0 && sun <= 100) {
		return 0, fmt.Errorf("heat: %g %% of sunshine is outside 0 to 100", sun)
	}
	return air + quantity.Fahrenheit(0.13*sun), nil
}

// CheckEvery returns how often somebody in a sealed suit was looked at by that plan, at
// an adjusted temperature and light work (250 kcal an hour): 15 minutes from 90 °F on,
// then 30, 60, 90 and 120. Below 72.5 °F it is 120. The bands under 87.5 °F are from
// memory.
func CheckEvery(adjusted quantity.Fahrenheit) quantity.Minutes {
	for _, b := range []struct {
		from  quantity.Fahrenheit
		every quantity.Minutes
	}{{90, 15}, {87.5, 30}, {82.5, 60}, {77.5, 90}} {
		if adjusted >= b.from {
			return b.every
		}
	}
	return 120
}
