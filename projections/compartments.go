package projections

import (
	"slices"
	"strings"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

// Compartment is one hold of the overturned tank.
type Compartment struct {
	ID     string `json:"compartment"`
	State  string `json:"state"` // full, leaking, slowed, being pumped, pumped, dry, plugged, dipped
	Since  Moment `json:"since"`
	Damage string `json:"damage,omitempty"`
	Water  Figure `json:"water"` // found in it, gal
}

// CompartmentState is a compartment with its volumes as they stand.
type CompartmentState struct {
	*Compartment
	Product     string  `json:"product"`
	Load        Figure  `json:"load"`
	Delivered   Figure  `json:"delivered"`
	Transferred Figure  `json:"transferred"` // by its legs, each by its best measurement
	Released    Figure  `json:"released"`
	Dip         Figure  `json:"dip"`
	Aboard      Figure  `json:"should_be_aboard"`
	Best        Figure  `json:"best"`      // net, what its legs took as all readings agree
	LeftOver    Figure  `json:"left_over"` // load less drops, legs and dip: the release, if nothing else went
	Section     Section `json:"section"`
}

// compartment returns the compartment with the id, a new one if it is not known.
func (v *Volume) compartment(id string) *Compartment {
	for _, c := range v.compartments {
		if c.ID == id {
			return c
		}
	}
	c := &Compartment{ID: id, State: "not said", Water: Lacking("gal")}
	v.compartments = append(v.compartments, c)
	slices.SortFunc(v.compartments, func(a, b *Compartment) int { return natural(a.ID, b.ID) })
	return c
}

func (v *Volume) state(e *events.Entry, compartment, state string) {
	if compartment != "" {
		c := v.compartment(compartment)
		c.State, c.Since = state, MomentOf(e)
	}
}

// states follows what is going on with each compartment.
func (v *Volume) states(e *events.Entry) {
	switch k := e.Payload.(type) {
	case kinds.LoadStated:
		for _, c := range k.C {
			if v.compartment(c.Key).State == "not said" {
				v.state(e, c.Key, "full")
			}
		}
	case kinds.DamageFound:
		for _, c := range k.C {
			v.compartment(c.Key).Damage = c.Value
		}
	case kinds.LeakSeen:
		v.state(e, compartmentOf(e.Where), orElse(map[bool]string{true: "leak fixed"}[k.Fixed != ""], "leaking"))
	case kinds.LeakRate:
		v.state(e, compartmentOf(e.Where), "leaking")
	case kinds.LeakSlowed:
		v.state(e, compartmentOf(e.Where), "leak slowed")
	case kinds.LeakStopped:
		v.state(e, compartmentOf(e.Where), "leak stopped")
	case kinds.PumpOn:
		v.state(e, compartmentOf(orElse(k.From, source(e.Where))), "being pumped")
	case kinds.PumpOff:
		v.pumped(e, k)
	case kinds.WaterFound:
		if c := compartmentOf(e.Where); c != "" {
			v.compartment(c).Water = FigureOf(k.Water, orElse(k.By, "found"), e.Seq)
		}
	case kinds.HolePlugged:
		for _, h := range k.Hole {
			v.state(e, compartmentOf(h), "plugged")
		}
	case kinds.DipRead:
		for _, c := range k.C {
			v.state(e, c.Key, "dipped")
		}
		for _, c := range k.CDepth {
			v.state(e, strings.TrimSuffix(c.Key, "_depth"), "dipped")
		}
	case kinds.CompartmentEmptied:
		v.state(e, orElse(k.Compartment, compartmentOf(e.Where)), orElse(k.State, "emptied"))
	}
}

func (v *Volume) pumped(e *events.Entry, k kinds.PumpOff) {
	from := orElse(k.From, source(e.Where))
	if l := v.legs[k.Leg]; l != nil {
		from = l.From
	}
	state := "pumped"
	if strings.Contains(e.Words+k.Why, "dry") {
		state = "dry"
	}
	v.state(e, compartmentOf(from), state)
}

// source is the first half of "C4 to R1".
func source(where string) string {
	from, _, _ := strings.Cut(where, " to ")
	return from
}

// The standard uncertainty of a dip that is said in gallons: that of a heel, gal, and
// beyond it a share of what is said, as of a volume off a chart (judgement).
const (
	dipDoubt      = 2.0
	dipDoubtShare = 0.03
)

// dips are the last dips of the tank.
type dips struct {
	last  map[string]dip
	total dip // where only the sum was said
}

type dip struct {
	at      Moment
	product Gross
	water   Gross
	depth   Figure // in, of all the liquid, where no gallons were said
}

func (d *dips) apply(e *events.Entry) {
	switch k := e.Payload.(type) {
	case kinds.DipRead:
		for _, c := range k.C {
			d.take(e, c.Key, c.Value, k.CWater.Get(c.Key+"_water"))
		}
		for _, c := range k.CDepth {
			if name := strings.TrimSuffix(c.Key, "_depth"); !k.C.Get(name).Said() {
				d.deep(e, name, c.Value, k.CWater.Get(name+"_water"))
			}
		}
		if len(k.C) == 0 && k.Total.Said() {
			d.total = dip{at: MomentOf(e), product: dipOf(e, k.Total), water: noGross()}
		}
	case kinds.CompartmentEmptied:
		if c := orElse(k.Compartment, compartmentOf(e.Where)); c != "" && k.Residual.Said() {
			d.take(e, c, k.Residual, quantity.Amount[quantity.Gallons]{})
		}
	}
}

func dipOf(e *events.Entry, a quantity.Amount[quantity.Gallons]) Gross {
	g := grossOf(a, "dip", e)
	if g.Known && g.U == 0 {
		g.U = max(dipDoubt, dipDoubtShare*g.Value)
	}
	return g
}

func (d *dips) take(e *events.Entry, compartment string, product, water quantity.Amount[quantity.Gallons]) {
	if !product.Said() {
		return
	}
	if d.last == nil {
		d.last = map[string]dip{}
	}
	d.last[compartment] = dip{at: MomentOf(e), product: dipOf(e, product), water: grossOf(water, "dip", e)}
}

// deep takes a dip that gives the depth of the liquid and no gallons.
func (d *dips) deep(e *events.Entry, compartment string, depth quantity.Amount[quantity.Inches], water quantity.Amount[quantity.Gallons]) {
	if !depth.Said() {
		return
	}
	if d.last == nil {
		d.last = map[string]dip{}
	}
	d.last[compartment] = dip{at: MomentOf(e), water: grossOf(water, "dip", e), depth: FigureOf(depth, "dip", e.Seq)}
}

// left is what a compartment holds by its last dip, unknown when it was not dipped
// or was pumped since.
func (k *ledger) left(compartment string) Gross {
	d, ok := k.v.dips.last[compartment]
	if !ok {
		return noGross("dip of " + compartment)
	}
	if k.pumpedSince(d.at.Best, compartment, "") { // "": a leg from nobody knows which
		return noGross("dip of " + compartment + " after it was pumped")
	}
	if !d.depth.Known {
		return d.product
	}
	all := k.v.gauging.gallons(compartment, d.depth)
	if d.water.Known {
		return Gross{floor(all.Minus(d.water).Figure)}
	}
	return all
}

// pumpedSince reports whether a leg drew from one of the compartments after t.
func (k *ledger) pumpedSince(t time.Time, compartments ...string) bool {
	return slices.ContainsFunc(compartments, func(c string) bool {
		return slices.ContainsFunc(k.drawn[c], func(l *Leg) bool { return l.open() || l.Stop.Best.After(t) })
	})
}

// holds lists the compartments of the tank that anything is known of.
func (v *Volume) holds() []string {
	out := v.Load.compartments()
	for _, l := range v.Legs {
		if l.Compartment != "" && !slices.Contains(out, l.Compartment) {
			out = append(out, l.Compartment)
		}
	}
	for _, c := range v.compartments {
		if !slices.Contains(out, c.ID) {
			out = append(out, c.ID)
		}
	}
	slices.SortFunc(out, natural)
	return out
}
