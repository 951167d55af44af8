package projections

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"tankside/events/quantity"
	"tankside/projections/calc/loss"
	"tankside/projections/calc/petroleum"
)

// pool is product on the ground whose area somebody told.
type pool struct {
	at                 Moment
	place, product, on string
	area, depth        Figure // depth unknown where nobody told it
	amount             Gross  // as stated with it
}

// lastPools are the pools as they were last told, one for each place.
func (s *Losses) lastPools() (out []pool) {
	for i, p := range s.pools {
		if !slices.ContainsFunc(s.pools[i+1:], func(o pool) bool { return o.place == p.place }) {
			out = append(out, p)
		}
	}
	return out
}

// since is when the pool was first told.
func (s *Losses) since(p pool) Moment {
	for _, o := range s.pools {
		if o.place == p.place {
			return o.at
		}
	}
	return p.at
}

// grounds are the words for a kind of ground, soft ground before hard: the shoulder of
// a road is not the road.
var grounds = []struct {
	at    int // in loss.Grounds
	words []string
}{
	{2, []string{"grass", "gravel", "soil", "dirt", "shoulder", "field", "sand", "median"}},
	{0, []string{"smooth", "slab"}},
	{1, []string{"asphalt", "concrete", "road", "pavement", "paved", "highway", "lane", "tarmac"}},
}

// ground is how deep the pool is taken to stand: as said, within a factor of 2 like all
// that an eye tells of a pool, else as on that kind of ground.
func (p pool) ground() loss.Ground {
	if p.depth.Known && p.depth.Value > 0 {
		d := quantity.Inches(p.depth.Value)
		return loss.Ground{Name: fmt.Sprintf("%.3g in deep as said, within a factor of 2", p.depth.Value), Low: d / 2, Best: d, High: 2 * d}
	}
	said := strings.ToLower(p.on)
	for _, g := range grounds {
		if slices.ContainsFunc(g.words, func(w string) bool { return strings.Contains(said, w) }) {
			return loss.Grounds[g.at]
		}
	}
	return loss.Grounds[len(loss.Grounds)-1]
}

// volume is what lies in the pool by its area and depth.
func (p pool) volume() Figure {
	b, err := loss.PoolHolds(asRange[quantity.SquareFeet](p.area), p.ground())
	if err != nil {
		return Lacking("gal", "an area above nothing")
	}
	return figureOf(b, "gal", p.area, p.depth)
}

// poolProduct is what the pool is, as said, else what is on the ground.
func (k *ledger) poolProduct(p pool) string { return orElse(p.product, k.ground) }

// pool is what lies in a pool by its area.
func (k *ledger) pool(p pool) Estimate {
	s := Estimate{
		What: estPool, Place: p.place, Product: k.poolProduct(p), Start: p.at, Minutes: Lacking("min", "no time in it"), Rate: Lacking("gpm", "no rate in it"),
		Amount: p.volume(), Source: loss.PoolSource, Beside: []Beside{},
		How: fmt.Sprintf("%s ft2, %s", quantity.Digits(p.area.Value), p.ground().Name),
	}
	if !p.amount.Known {
		p.amount.Figure = k.v.Losses.statedAt(p.place)
	}
	s.beside("amount", p.amount.Figure, s.Amount, 0, false)
	return s
}

// statedAt is what somebody last said in gallons of the pool at a place.
func (s *Losses) statedAt(place string) Figure {
	f := Lacking("gal")
	for _, l := range s.Spills {
		if l.Place == place && l.Gross.Method != areaDepth {
			f = l.Gross.Figure
		}
	}
	return f
}

// blanket is foam, that keeps a pool from the air.
type blanket struct {
	at    Moment
	place string
}

// covered is when the first foam went onto the place after a moment.
func (v *Volume) covered(place string, after time.Time) Moment {
	for _, c := range v.foamed {
		if samePlace(c.place, place) && !c.at.Best.Before(after) {
			return c.at
		}
	}
	return Moment{}
}

// sky is the wind and the warmth of the air over a stretch of time.
type sky struct{ wind, temp Figure }

// skyFrom is what the readings of the weather say of a stretch: the one in force at its
// beginning, or the first after it, is the likeliest, and all in it are bounds.
func (v *Volume) skyFrom(start, end time.Time) sky {
	return sky{
		prevailing(v.weather.Reads, start, end, func(r WeatherRead) Figure { return r.Wind }, "how fast the wind was"),
		prevailing(v.weather.Reads, start, end, func(r WeatherRead) Figure { return r.Temp }, "how warm the air was"),
	}
}

// prevailing is what of a reading held at the start of a stretch, bounded by all in it.
func prevailing(reads []WeatherRead, start, end time.Time, of func(WeatherRead) Figure, missing string) Figure {
	out := Lacking("", missing)
	for _, r := range reads {
		f := of(r)
		switch {
		case !f.Known:
		case !out.Known || !r.At.Best.After(start):
			out = f
		case !r.At.Best.After(end):
			out.Low, out.High, out.From = math.Min(out.Low, f.Low), math.Max(out.High, f.High), union(out.From, f.From)
		}
	}
	return out
}

// evaporating is what a pool lost to the air, from when it was first seen until foam lay
// on it.
func (k *ledger) evaporating(p pool) Estimate {
	start := k.v.Losses.since(p)
	s := Estimate{What: estEvaporated, Place: p.place, Product: k.poolProduct(p), Start: start, Stop: k.v.covered(p.place, start.Best), Beside: []Beside{},
		Rate: Lacking("gpm"), Amount: Lacking("gal"), Source: loss.AirSource}
	s.Minutes = floor(Elapsed(s.Start, s.Stop, k.now))
	end := s.Stop.Best
	if s.Stop.IsZero() {
		end = k.now
	}
	air := k.v.skyFrom(start.Best, end)
	product, ok := k.v.products.find(s.Product)
	missing := append(append([]string{}, air.wind.Missing...), air.temp.Missing...)
	if _, high := product.Vapour(60); !ok || high == 0 {
		missing = append(missing, "a vapour pressure of "+orElse(s.Product, "what lies there"))
	}
	if len(missing) > 0 {
		s.Rate.Missing, s.Amount.Missing = missing, missing
		return s
	}
	s.How = fmt.Sprintf("%s ft2 in the open, wind %s mph, liquid as warm as the air, %s F", quantity.Digits(p.area.Value), quantity.Digits(air.wind.Value), quantity.Digits(air.temp.Value))
	s.evaporate(p, product, air)
	s.beside("amount", k.evaporated(), s.Amount, lostShare, false)
	return s
}

// evaporate works the band out: least with the least of wind, warmth, area and vapour.
func (s *Estimate) evaporate(p pool, product petroleum.Product, air sky) {
	volume := p.volume()
	if p.amount.Known {
		volume = p.amount.Figure
	}
	open := loss.Open{
		Area: asRange[quantity.SquareFeet](p.area), Wind: asRange[quantity.MPH](air.wind), Liquid: asRange[quantity.Fahrenheit](air.temp),
		Vapour: product.Vapour, Weight: product.VapourWeight, PerGallon: product.PerGallon,
	}
	rate, err := open.Rate()
	lost, e1 := open.Evaporated(asRange[quantity.Gallons](volume), asRange[quantity.Minutes](s.Minutes))
	if err = cmp.Or(err, e1); err != nil {
		s.Rate.Missing, s.Amount.Missing = []string{err.Error()}, []string{err.Error()}
		return
	}
	s.Rate = figureOf(rate, "gpm", p.area, air.wind, air.temp)
	s.Amount = figureOf(lost, "gal", p.area, volume, air.wind, air.temp, s.Minutes)
}

// burning is what a fire of product consumed, from when it was seen until it was
// knocked down.
func (k *ledger) burning(at int) Estimate {
	fires := k.v.Losses.Fires
	f := fires[at]
	s := Estimate{What: estBurned, Place: f.Place, Start: f.At, Rate: Lacking("gpm"), Amount: Lacking("gal"), Source: loss.FireSource, Beside: []Beside{}}
	area := f.Area
	for _, o := range fires[at+1:] {
		if o.State == "started" || !samePlace(o.Place, f.Place) {
			continue
		}
		s.Stop = o.At
		break
	}
	s.Minutes = floor(Elapsed(s.Start, s.Stop, k.now))
	if s.Product = k.ground; k.knows(f.What) {
		s.Product = f.What
	}
	if !area.Known {
		area = k.poolAt(f.Place)
	}
	product, ok := k.v.products.find(s.Product)
	switch {
	case !ok:
		s.Rate.Missing, s.Amount.Missing = []string{"which product burned"}, []string{"which product burned"}
		return s
	case !area.Known || area.Low <= 0:
		s.Rate.Missing, s.Amount.Missing = []string{"the area that burned"}, []string{"the area that burned"}
		return s
	}
	fuel := loss.FuelOf(product.API, product.Blend)
	s.How = fmt.Sprintf("%s ft2 of %s", quantity.Digits(area.Value), fuel.Name)
	rate, _ := fuel.Burns(asRange[quantity.SquareFeet](area), loss.Exactly(quantity.Minutes(1))) // the area is above 0
	lost, _ := fuel.Burns(asRange[quantity.SquareFeet](area), asRange[quantity.Minutes](s.Minutes))
	s.Rate, s.Amount = figureOf(rate, "gpm", area), figureOf(lost, "gal", area, s.Minutes)
	if told, some := k.burned(s.Product, false); some {
		s.beside("amount", told, s.Amount, lostShare, false)
	}
	return s
}

func (k *ledger) knows(words string) bool { _, ok := k.v.products.find(words); return ok }

// poolAt is the area of the pool at a place, unknown where nobody told it.
func (k *ledger) poolAt(place string) Figure {
	area := Lacking("ft2")
	for _, p := range k.v.Losses.pools {
		if samePlace(p.place, place) {
			area = p.area
		}
	}
	return area
}
