package projections

import (
	"fmt"
	"math"

	"tankside/events/quantity"
	"tankside/projections/calc/loss"
)

// Estimate is an amount outside the trucks that nobody measured, worked out by a rule
// from what was logged. It is in no balance: it stands beside what was measured, and
// what was said of the same thing beside it.
type Estimate struct {
	What    string   `json:"what"` // leak, pool, evaporated, burned
	Place   string   `json:"place"`
	Product string   `json:"product"`
	Start   Moment   `json:"start"`
	Stop    Moment   `json:"stop"`    // null while it goes on
	Minutes Figure   `json:"minutes"` // of a pool none
	Rate    Figure   `json:"rate"`    // at the beginning, gal/min; of a pool none
	Amount  Figure   `json:"amount"`  // gal
	How     string   `json:"how"`     // what went into it
	Source  string   `json:"source"`
	Beside  []Beside `json:"beside"`
}

// Beside is what somebody said of the same thing, and whether the two can both be so.
type Beside struct {
	What   string `json:"what"` // rate, amount
	Said   Figure `json:"said"`
	Agrees bool   `json:"agrees"`
}

// The things that are estimated.
const (
	estLeak       = "leak"
	estPool       = "pool"
	estEvaporated = "evaporated"
	estBurned     = "burned"
)

// estimates are all that the log gives enough for, and what is missing to the others.
func (k *ledger) estimates() []Estimate {
	out := []Estimate{}
	for i := range k.leaks {
		if o := &k.leaks[i]; o.Opening.Known {
			out = append(out, k.orifice(o))
		}
	}
	for _, p := range k.v.Losses.lastPools() {
		out = append(out, k.pool(p), k.evaporating(p))
	}
	for i, f := range k.v.Losses.Fires {
		if f.State == "started" && f.product(k.v.products) {
			out = append(out, k.burning(i))
		}
	}
	return out
}

// three is a figure from its least, likeliest and greatest, the order put right.
func three(low, best, high float64, unit, method string, from ...Figure) Figure {
	f := Range(min(low, best, high), best, max(low, best, high), unit, method)
	for _, o := range from {
		f.From = union(f.From, o.From)
	}
	return f
}

// beside sets what was said against an estimate: by its own bounds where it has some,
// else within twice its doubt, else within the share.
func (s *Estimate) beside(what string, said, estimated Figure, share float64) {
	if !said.Known || !estimated.Known && !estimated.bounded() {
		return
	}
	reach := math.Max(2*said.U, 2*share*said.Value)
	low, high := math.Min(said.Low, said.Value-reach), math.Max(said.High, said.Value+reach)
	s.Beside = append(s.Beside, Beside{what, said, high >= estimated.Low && low <= estimated.High})
}

// orifice is what a leak let out by the size of its opening and the liquid above it.
func (k *ledger) orifice(o *Outflow) Estimate {
	s := Estimate{
		What: estLeak, Place: o.Place, Product: k.product[o.Compartment], Start: o.Start, Stop: o.unchanged(), Beside: []Beside{},
		Source: loss.OrificeSource, Amount: Lacking("gal"), Rate: Lacking("gpm"),
	}
	s.Minutes = floor(Elapsed(s.Start, s.Stop, k.now))
	if !o.Head.Known {
		missing := "how much liquid stands above the opening at " + orElse(o.Place, "the leak")
		s.Rate, s.Amount = floor(Lacking("gpm", missing)), floor(Lacking("gal", missing))
		return s
	}
	rate := func(d, c, h float64) float64 {
		return float64(loss.Flow(quantity.Inches(math.Max(0, d)), c, quantity.Inches(h)))
	}
	edge, d, h := loss.AnyEdge, o.Opening, o.Head
	s.Rate = three(rate(d.Low, edge.Low, h.Low), rate(d.Value, edge.Best, h.Value), rate(d.High, edge.High, h.High), "gpm", "flow through an orifice", d, h)
	s.How = fmt.Sprintf("opening %s in, taken as round, its edge as any; %s in of liquid above it", quantity.Digits(d.Value), quantity.Digits(h.Value))
	walls, how := k.walls(o)
	if s.How = join(s.How, how); walls == nil {
		s.Amount = s.atMost(how)
	} else {
		s.Amount = s.fallen(o, walls)
	}
	said, share := o.firstSaid()
	s.beside("rate", said, s.Rate, share)
	s.beside("amount", o.Lost, s.Amount, bucketShare)
	return s
}

// atMost bounds a leak by its first rate, which the head only lowers.
func (s *Estimate) atMost(missing string) Figure {
	f := floor(Lacking("gal", missing))
	f.High, f.From = s.Rate.High*s.Minutes.High, union(s.Rate.From, s.Minutes.From)
	return f
}

// fallen is what a leak let out while its head fell: before the head was read at the
// rate it then had, which is the least, and from then on less and less.
func (s *Estimate) fallen(o *Outflow, walls func(quantity.Inches) quantity.Gallons) Figure {
	before := floor(Elapsed(o.Start, o.sized, s.Stop.Best))
	lost := func(d, c, h, rate, sooner, all float64) float64 {
		leak := loss.Leak{Diameter: quantity.Inches(d), Edge: loss.Edge{Low: c, Best: c, High: c}, PerInch: walls}
		b, err := leak.Lost(quantity.Inches(h), quantity.Minutes(math.Max(0, all-sooner)))
		if err != nil { // no hole, or no liquid above it
			return 0
		}
		return rate*math.Min(sooner, all) + float64(b.Best)
	}
	edge, d, h := loss.AnyEdge, o.Opening, o.Head
	if math.IsInf(s.Minutes.High, 0) || math.IsInf(before.High, 0) {
		return floor(Lacking("gal", "since when the leak at "+o.Place+" ran"))
	}
	return three(lost(d.Low, edge.Low, h.Low, s.Rate.Low, before.Low, s.Minutes.Low), lost(d.Value, edge.Best, h.Value, s.Rate.Value, before.Value, s.Minutes.Value),
		lost(d.High, edge.High, h.High, s.Rate.High, before.High, s.Minutes.High), "gal", "opening and falling head", d, h, s.Minutes)
}

// walls is how many gallons an inch of head holds above the leak: by the shape of its
// compartment, else by its load as if the walls were upright and all of it stood above
// the opening. nil when neither is known, and how then says what is missing.
func (k *ledger) walls(o *Outflow) (perInch func(quantity.Inches) quantity.Gallons, how string) {
	load := k.v.Load.part(o.Compartment).Gross
	if perInch = k.v.gauging.above(o.Compartment, load, o.Head.Value); perInch != nil {
		return perInch, "head falling by the shape of " + o.Compartment
	}
	if o.Compartment == "" || !load.Known || o.Head.Value <= 0 {
		return nil, "the shape or the load of the compartment that leaks, to know how its head falls"
	}
	each := quantity.Gallons(load.Value / o.Head.Value)
	return func(quantity.Inches) quantity.Gallons { return each }, "head falling as if the walls of " + o.Compartment + " were upright and its load stood above the opening"
}

// unchanged is until when the opening was as it was seen: until somebody slowed or
// stopped the leak, or it dwindled.
func (o *Outflow) unchanged() Moment {
	for _, r := range o.Rates {
		if r.changed {
			return r.At
		}
	}
	return o.Stop
}

// firstSaid is the rate that somebody had of the leak before it was changed, measured
// before guessed, and how far it may be off as a share: a guess may be twice too much
// or half of it.
func (o *Outflow) firstSaid() (said Figure, share float64) {
	said, share = Lacking("gpm"), bucketShare
	for _, r := range o.Rates {
		switch {
		case r.changed:
			return said, share
		case r.Rate.Known && !r.Guess:
			return r.Rate, bucketShare
		case r.Rate.Known && !said.Known:
			said, share = r.Rate, 0
			said.Low, said.High = said.Low/guessFactor, said.High*guessFactor
		}
	}
	return said, share
}
