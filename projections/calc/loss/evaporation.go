package loss

import (
	"fmt"
	"math"

	"tankside/events/quantity"
)

// Pool is a pool that evaporates.
type Pool struct {
	Area      quantity.SquareFeet
	Wind      quantity.MPH
	Liquid    quantity.Fahrenheit // temperature of the liquid, not of the air
	Vapour    float64             // its true vapour pressure, psia
	Weight    float64             // of a mole of the vapour, g
	PerGallon float64             // lb of a gallon of the liquid
}

// schmidt is the Schmidt number of petrol vapour in air, 1.8 to 2.2 (from memory).
const schmidt = 2

// AirSource is where Pool.Rate comes from.
const AirSource = "EPA 550-B-99-009, appendix D, and Mackay and Matsugu 1973 (both from memory), as a band"

// epa returns the rate of evaporation in lb/min:
//
//	Q = 0.284·U^0.78·M^⅔·A·P/(82.05·T)
//
// with A in ft², U in m/s, P in mmHg, T in K. Source: US EPA, Risk Management
// Program guidance for offsite consequence analysis, EPA 550-B-99-009, appendix D
// (from memory; the rule and its printed example agree).
func (p Pool) epa() float64 {
	u := float64(p.Wind) * mileHour
	return 0.284 * math.Pow(u, 0.78) * math.Cbrt(p.Weight*p.Weight) * float64(p.Area) * p.Vapour * torrPSI / (82.05 * kelvin(p.Liquid))
}

// exchange is one reading of the law of mass transfer between a pool and the wind.
type exchange struct{ c, s float64 }

// The readings. By most accounts the Schmidt number stands to the power of −⅔ with
// 0.0048 before it; one has it to −0.47 with 0.0292 for wind in m/h. Which is right
// is open, so the band takes in both.
var (
	usual = exchange{0.0048, 2. / 3}
	other = exchange{0.0292 * math.Pow(3600, 7./9) / 3600, 0.47}
)

// velocity returns the mass transfer coefficient in m/s, for wind in m/s and a pool
// so many m across:
//
//	k = c·U^(7/9)·X^(−1/9)·Sc^−s
//
// Source: Mackay and Matsugu 1973 (from memory).
func (e exchange) velocity(wind, across, sc float64) float64 {
	return e.c * math.Pow(wind, 7./9) * math.Pow(across, -1./9) * math.Pow(sc, -e.s)
}

// mackay returns the rate of evaporation in lb/min: flux = k·M·P/(R·T), over the area.
func (p Pool) mackay(e exchange, sc float64) float64 {
	k := e.velocity(float64(p.Wind)*mileHour, across(p.Area), sc)
	const gas = 8.314462618 // J/(mol·K)
	flux := k * p.Weight / 1000 * p.Vapour * pascalPSI / (gas * kelvin(p.Liquid))
	return flux * squareMetres(p.Area) / pound * 60
}

// Rate returns how fast a fresh pool evaporates, in gallons of liquid a minute: from
// the least to the greatest of the two models, which lie about a factor of 2 apart;
// the likeliest is their geometric mean (our judgement). It is the rate of the
// beginning: a gasoline loses its light end first.
//
// The vapour pressure must be above 0 and below that of the air, 14.7 psia: what
// boils has another law. Without wind the models have no answer; give the least air
// movement there is, 2 mph or so.
func (p Pool) Rate() (Band[quantity.GallonsPerMinute], error) {
	switch {
	case !(p.Vapour > 0 && p.Vapour < 14.7):
		return Band[quantity.GallonsPerMinute]{}, fmt.Errorf("loss: vapour pressure %g psia is outside 0 to 14.7 psia; a product with no figure has no estimate", p.Vapour)
	case !(p.Area > 0 && p.Wind > 0 && p.Weight > 0 && p.PerGallon > 0 && p.Liquid > -100 && p.Liquid < 200):
		return Band[quantity.GallonsPerMinute]{}, fmt.Errorf("loss: pool of %g ft2 in %g mph at %g F, %g g/mol, %g lb/gal: all must be above 0, and the temperature between -100 and 200 F", p.Area, p.Wind, p.Liquid, p.Weight, p.PerGallon)
	}
	gpm := func(pounds float64) quantity.GallonsPerMinute { return quantity.GallonsPerMinute(pounds / p.PerGallon) }
	a, b, c := p.epa(), p.mackay(usual, schmidt), p.mackay(other, schmidt)
	return Band[quantity.GallonsPerMinute]{
		gpm(min(a, b, c)), gpm(math.Sqrt(a * b)), gpm(max(a, b, c)), AirSource,
	}, nil
}

// What a pool loses in time, all of it our judgement: the light end is an eighth,
// the rest goes half as fast, and half stays.
const (
	lightEnd  = 0.125
	afterward = 0.5
	most      = 0.5
)

// Evaporated returns what a pool of v gallons has lost to the air after a time.
func (p Pool) Evaporated(v quantity.Gallons, t quantity.Minutes) (Band[quantity.Gallons], error) {
	rate, err := p.Rate()
	if err != nil {
		return Band[quantity.Gallons]{}, err
	}
	if !(v > 0 && t >= 0) {
		return Band[quantity.Gallons]{}, fmt.Errorf("loss: pool of %g gal after %g min; want a volume above 0 and a time of 0 or more", v, t)
	}
	return bandOf(float64(rate.Low), float64(rate.Best), float64(rate.High), AirSource+"; slower once the light end is gone (judgement)", func(gpm float64) quantity.Gallons {
		gone, light := gpm*float64(t), lightEnd*float64(v)
		if gone > light {
			gone = light + afterward*(gone-light)
		}
		return quantity.Gallons(min(gone, most*float64(v)))
	}), nil
}
