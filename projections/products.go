package projections

import (
	"strings"

	"tankside/events/quantity"
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

func (p products) liquid(product string, gravity quantity.APIGravity, temp Figure) liquid {
	return liquid{p, product, gravity, temp}
}
