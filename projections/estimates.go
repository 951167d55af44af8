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

// beside sets what was said against an estimate. What was said may be as far off as its
// bounds, twice its doubt, or half of it to as much again where it was a guess.
func (s *Estimate) beside(what string, said, estimated Figure, share float64, guess bool) {
	if !said.Known || !estimated.Known && !estimated.bounded() {
		return
	}
	reach := 2 * math.Max(said.U, share*said.Value)
	low, high := math.Min(said.Low, said.Value-reach), math.Max(said.High, said.Value+reach)
	if guess {
		low, high = low/guessFactor, high*guessFactor
	}
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
	s.How = fmt.Sprintf("opening %s in, taken as round, its edge as any; %s in of liquid above it", quantity.Digits(o.Opening.Value), quantity.Digits(o.Head.Value))
	opening := loss.Opening{Across: asRange[quantity.Inches](o.Opening), Head: asRange[quantity.Inches](o.Head)}
	s.Rate = figureOf(opening.Rate(), "gpm", o.Opening, o.Head)
	var how string
	opening.Walls, how = k.walls(o)
	lost := floor(Lacking("gal", "since when the leak at "+orElse(o.Place, "a place not said")+" ran"))
	sooner := floor(Elapsed(o.Start, o.sized, k.now))
	if !math.IsInf(s.Minutes.High, 0) && !math.IsInf(sooner.High, 0) {
		b, err := opening.Lost(asRange[quantity.Minutes](s.Minutes), asRange[quantity.Minutes](sooner))
		if lost = figureOf(b, "gal", o.Opening, o.Head, s.Minutes); err != nil {
			lost = floor(Lacking("gal", "an opening and a head that can be: "+err.Error()))
		}
	}
	if s.How, s.Amount = join(s.How, how), lost; opening.Walls == nil {
		s.Amount.Known, s.Amount.Low, s.Amount.Missing = false, 0, []string{how}
	}
	said, guess := o.firstSaid()
	share := bucketShare
	if guess {
		share = 0
	}
	s.beside("rate", said, s.Rate, share, guess)
	s.beside("amount", o.Lost, s.Amount, bucketShare, false)
	return s
}

// asRange is a figure as a rule takes it, its doubt as far as twice ± where it states no
// bounds.
func asRange[Q quantity.Quantity](f Figure) loss.Within[Q] {
	low, high := f.Low, f.High
	if math.IsInf(low, 0) || low == high {
		low = f.Value - 2*f.U
	}
	if math.IsInf(high, 0) || f.Low == f.High {
		high = f.Value + 2*f.U
	}
	return loss.Within[Q]{Low: Q(low), Best: Q(f.Value), High: Q(high)}
}

// figureOf is an estimate as a figure that remembers what it stands on.
func figureOf[Q quantity.Quantity](b loss.Band[Q], unit string, from ...Figure) Figure {
	f := Range(float64(b.Low), float64(b.Best), float64(b.High), unit, b.Source)
	for _, o := range from {
		f.From = union(f.From, o.From)
	}
	return f
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
	return loss.Upright(quantity.Gallons(load.Value), quantity.Inches(o.Head.Value)), "head falling as if the walls of " + o.Compartment + " were upright and its load stood above the opening"
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
// before guessed.
func (o *Outflow) firstSaid() (said Figure, guess bool) {
	said = Lacking("gpm")
	for _, r := range o.Rates {
		switch {
		case r.changed:
			return said, guess
		case r.Rate.Known && !r.Guess:
			return r.Rate, false
		case r.Rate.Known && !said.Known:
			said, guess = r.Rate, true
		}
	}
	return said, guess
}
