package loss

import (
	"cmp"
	"math"

	"tankside/events/quantity"
)

// Within is what is known of something: the likeliest, and what it lies between.
type Within[Q quantity.Quantity] struct{ Low, Best, High Q }

// Exactly is a value without doubt.
func Exactly[Q quantity.Quantity](v Q) Within[Q] { return Within[Q]{v, v, v} }

// spanning is a band over three answers, whichever of them is the least.
func spanning[Q quantity.Quantity](low, best, high Q, source string) Band[Q] {
	return Band[Q]{min(low, best, high), best, max(low, best, high), source}
}

// Opening is a leak as somebody sized it up: how wide, and how much liquid stood above
// it at that moment.
type Opening struct {
	Across, Head Within[quantity.Inches]
	Edge         Edge // the zero Edge is AnyEdge
	// Walls are PerInch of Leak. nil where nobody knows how the head falls.
	Walls func(head quantity.Inches) quantity.Gallons
}

func (o Opening) edge() Edge { return cmp.Or(o.Edge, AnyEdge) }

// Rate returns the flow at the head that was read, from the narrowest and lowest to the
// widest and highest.
func (o Opening) Rate() Band[quantity.GallonsPerMinute] {
	e := o.edge()
	return spanning(Flow(o.Across.Low, e.Low, o.Head.Low), Flow(o.Across.Best, e.Best, o.Head.Best), Flow(o.Across.High, e.High, o.Head.High), OrificeSource)
}

// Lost returns what ran out in all, of which sooner is before the head was read: until
// then at the rate of that moment, which is the least, and from then on less and less.
// Without Walls the head is held to stay: an upper bound.
func (o Opening) Lost(all, sooner Within[quantity.Minutes]) (Band[quantity.Gallons], error) {
	e, rate := o.edge(), o.Rate()
	low, err := o.lost(o.Across.Low, e.Low, o.Head.Low, rate.Low, all.Low, sooner.Low)
	best, e1 := o.lost(o.Across.Best, e.Best, o.Head.Best, rate.Best, all.Best, sooner.Best)
	high, e2 := o.lost(o.Across.High, e.High, o.Head.High, rate.High, all.High, sooner.High)
	return spanning(low, best, high, OrificeSource), cmp.Or(err, e1, e2)
}

func (o Opening) lost(across quantity.Inches, c float64, head quantity.Inches, rate quantity.GallonsPerMinute, all, sooner quantity.Minutes) (quantity.Gallons, error) {
	all = max(0, all)
	sooner = min(max(0, sooner), all)
	before := quantity.Gallons(float64(rate) * float64(sooner))
	switch {
	case rate == 0: // no hole, or nothing above it
		return 0, nil
	case o.Walls == nil:
		return quantity.Gallons(float64(rate) * float64(all)), nil
	}
	b, err := Leak{Diameter: across, Edge: Edge{Low: c, Best: c, High: c}, PerInch: o.Walls}.Lost(head, all-sooner)
	return before + b.Best, err
}

// Upright are the walls of a tank that stand upright, v gallons of it above a head.
func Upright(v quantity.Gallons, head quantity.Inches) func(quantity.Inches) quantity.Gallons {
	each := v / quantity.Gallons(head)
	return func(quantity.Inches) quantity.Gallons { return each }
}

// PoolHolds returns PoolVolume over all that the area may be.
func PoolHolds(area Within[quantity.SquareFeet], g Ground) (Band[quantity.Gallons], error) {
	best, err := PoolVolume(area.Best, g)
	low, e1 := PoolVolume(area.Low, g)
	high, e2 := PoolVolume(area.High, g)
	return spanning(low.Low, best.Best, high.High, PoolSource), cmp.Or(err, e1, e2)
}

// Open is a pool that lies in the open, as far as its surroundings are known.
type Open struct {
	Area              Within[quantity.SquareFeet]
	Wind              Within[quantity.MPH]
	Liquid            Within[quantity.Fahrenheit]
	Vapour            func(quantity.Fahrenheit) (low, high float64) // psia
	Weight, PerGallon float64                                       // as of Pool
}

// LeastWind is the least that the air moves over a pool (judgement): without wind the
// models of evaporation have no answer.
const LeastWind quantity.MPH = 2

// pools are the pool at its least, likeliest and greatest evaporation.
func (o Open) pools() (low, best, high Pool) {
	at := func(a quantity.SquareFeet, w quantity.MPH, t quantity.Fahrenheit, vapour float64) Pool {
		return Pool{Area: a, Wind: max(LeastWind, w), Liquid: t, Vapour: vapour, Weight: o.Weight, PerGallon: o.PerGallon}
	}
	a, _ := o.Vapour(o.Liquid.Low)
	b, c := o.Vapour(o.Liquid.Best)
	_, d := o.Vapour(o.Liquid.High)
	return at(o.Area.Low, o.Wind.Low, o.Liquid.Low, a), at(o.Area.Best, o.Wind.Best, o.Liquid.Best, math.Sqrt(b*c)), at(o.Area.High, o.Wind.High, o.Liquid.High, d)
}

// Rate returns how fast the pool evaporates while it is fresh.
func (o Open) Rate() (Band[quantity.GallonsPerMinute], error) {
	low, best, high := o.pools()
	a, err := low.Rate()
	b, e1 := best.Rate()
	c, e2 := high.Rate()
	return spanning(a.Low, b.Best, c.High, AirSource), cmp.Or(err, e1, e2)
}

// Evaporated returns what the pool of v gallons has lost after a time.
func (o Open) Evaporated(v Within[quantity.Gallons], t Within[quantity.Minutes]) (Band[quantity.Gallons], error) {
	low, best, high := o.pools()
	a, err := low.Evaporated(v.Low, max(0, t.Low))
	b, e1 := best.Evaporated(v.Best, max(0, t.Best))
	c, e2 := high.Evaporated(v.High, max(0, t.High))
	return spanning(a.Low, b.Best, c.High, b.Source), cmp.Or(err, e1, e2)
}

// Burns returns Burned over all that area and time may be.
func (f Fuel) Burns(area Within[quantity.SquareFeet], t Within[quantity.Minutes]) (Band[quantity.Gallons], error) {
	a, err := f.Burned(area.Low, max(0, t.Low))
	b, e1 := f.Burned(area.Best, max(0, t.Best))
	c, e2 := f.Burned(area.High, max(0, t.High))
	return spanning(a.Low, b.Best, c.High, FireSource), cmp.Or(err, e1, e2)
}
