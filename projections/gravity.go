package projections

import (
	"slices"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
	"tankside/projections/calc/petroleum"
)

// Hydrometer is a gravity as somebody read it, with what it comes to at 60 °F.
type Hydrometer struct {
	At      Moment `json:"at"`
	Place   string `json:"place,omitempty"`
	Product string `json:"product"` // as said, else what is at the place
	With    string `json:"with"`
	Reads   Figure `json:"reads"` // API, at the temperature of the sample
	Temp    Figure `json:"temperature"`
	At60    Figure `json:"at_60"` // API
}

// hydrometer takes a gravity and brings it to 60 °F by the tables.
func (l *Load) hydrometer(e *events.Entry, k kinds.GravityRead) {
	h := Hydrometer{
		At: MomentOf(e), Place: e.Where, Product: k.Product, With: orElse(k.With, kinds.GlassHydrometer),
		Reads: FigureOf(k.Reads, k.By, e.Seq), Temp: FigureOf(k.Temp, "", e.Seq),
	}
	h.At60 = h.to60()
	l.Gravities = append(l.Gravities, h)
}

func (h *Hydrometer) to60() Figure {
	switch {
	case !h.Reads.Known:
		return Lacking("API", "what the hydrometer read")
	case !h.Temp.Known:
		return Lacking("API", "the temperature of the sample")
	}
	at := func(reads float64) (float64, error) {
		g, err := petroleum.GravityAt60(petroleum.Refined, quantity.APIGravity(reads), quantity.Fahrenheit(h.Temp.Value), h.With != kinds.DigitalMeter)
		return float64(g), err
	}
	best, err := at(h.Reads.Value)
	low, no := at(h.Reads.Low)
	high, never := at(h.Reads.High)
	if err != nil || no != nil || never != nil {
		return Lacking("API", "a gravity that the tables hold; read it again")
	}
	f := Range(low, best, high, "API", "read at "+quantity.Digits(h.Temp.Value)+" F, brought to 60 F by API MPMS 11.1", union(h.Reads.From, h.Temp.From)...)
	f.U = h.Reads.U
	return f
}

// gravities are what is known of the gravity of each product: as read, and as one
// paper has it.
type gravities struct {
	products products
	read     []Hydrometer
	paper    quantity.APIGravity // 0 where it says none
	one      string              // what the paper's is of; "" where nobody named it
}

// of is the gravity of a product at 60 °F: the last that was read, else the paper's, 0
// where nobody knows.
func (g gravities) of(product string) quantity.APIGravity {
	for i := len(g.read) - 1; i >= 0; i-- {
		if h := &g.read[i]; h.At60.Known && (h.Product == "" || g.products.same(h.Product, product)) {
			return quantity.APIGravity(h.At60.Value)
		}
	}
	if g.one == "" || product == "" || g.products.same(g.one, product) {
		return g.paper
	}
	return 0
}

// gravities are those read, with the product at their place where nobody named it, and
// that of a statement.
func (l *Load) gravities(s *LoadStatement) gravities {
	g := gravities{products: l.products, read: slices.Clone(l.Gravities)}
	for i := range g.read {
		if h := &g.read[i]; h.Product == "" {
			h.Product = l.product(compartmentOf(h.Place))
		}
	}
	if s != nil {
		g.paper, g.one = s.gravity, s.one
	}
	return g
}

// several returns the product that amounts name, or reports that they name more than one.
func (l *Load) several(parts events.KeyedAmounts[quantity.Gallons]) (one string, several bool) {
	for _, c := range parts {
		if one != "" && c.Value.Words != "" && !l.products.same(one, c.Value.Words) {
			return "", true
		}
		one = orElse(one, c.Value.Words)
	}
	return one, false
}
