package projections

import (
	"cmp"
	"slices"
	"strings"

	"tankside/projections/calc/petroleum"
)

// products is the table of products in force, the trade's where no other was given.
type products struct{ table petroleum.Table }

// Option is what a fold is given besides the entries.
type Option func(*Incident)

// WithProducts takes the figures of products from a table, such as the department's
// own. Without it they are those of the trade.
func WithProducts(t petroleum.Table) Option {
	return func(inc *Incident) {
		p := products{t}
		inc.Volume.products, inc.Volume.Load.products, inc.Volume.Losses.products = p, p, p
	}
}

// ProductFigures are the figures taken for a product of the incident where nobody
// measured it.
type ProductFigures struct {
	Product   string `json:"product"`
	Weight    Figure `json:"lb_per_gallon"`
	Shrinkage Figure `json:"shrinkage"`
	Source    string `json:"source"`
}

// figures lists the figures taken for the products of the load and of what was spilled.
func (k *ledger) figures() []ProductFigures {
	out := []ProductFigures{}
	add := func(words string) {
		p, ok := k.v.products.find(words)
		if !ok || slices.ContainsFunc(out, func(f ProductFigures) bool { return f.Product == p.Name }) {
			return
		}
		weight, alpha := Exact(p.PerGallon, "lb/gal", p.Source), Exact(1000*p.Alpha, "% for each 10 F", cmp.Or(p.AlphaBy, p.Source))
		weight.U, alpha.U = p.PerU, 1000*p.AlphaU
		out = append(out, ProductFigures{p.Name, weight, alpha, p.Source})
	}
	for _, c := range append([]string{""}, k.holds...) {
		add(k.product[c])
	}
	for _, l := range k.v.Losses.Spills {
		add(l.Product)
	}
	return out
}

func (p products) find(words string) (petroleum.Product, bool) { return p.table.Find(words) }

// name is the name a product is counted under: the table's where the words hold one,
// else the words.
func (p products) name(words string) string {
	if found, ok := p.find(words); ok {
		return found.Name
	}
	return strings.ToLower(strings.TrimSpace(words))
}

// same reports whether two names are the same product, as far as the names go.
func (p products) same(a, b string) bool { return p.name(a) == p.name(b) }

// of reports whether a product is the one asked for.
func (p products) of(product, asked string) bool { return asked == every || p.same(product, asked) }

func (p products) liquid(product string, gravity gravities, temp Figure) liquid {
	return liquid{p, product, gravity, temp}
}
