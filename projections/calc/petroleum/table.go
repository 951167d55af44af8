package petroleum

import (
	"fmt"
	"slices"
	"strings"

	"tankside/events/quantity"
)

// Table is a list of products, most particular names first: the first whose name
// stands in what was said is meant. The nil Table is that of the trade.
type Table []Product

// Defaults returns the products as the trade has them.
func Defaults() Table { return slices.Clone(defaults) }

// Find returns the product that words name. It fails when they name none.
func (t Table) Find(words string) (Product, bool) {
	if t == nil {
		t = defaults
	}
	said := " " + strings.ToLower(words) + " "
	for _, p := range t {
		if slices.ContainsFunc(p.Names, func(n string) bool { return hasWord(said, n) }) {
			return p, true
		}
	}
	return Product{}, false
}

// Named returns the place of the product with the name, -1 where there is none.
func (t Table) Named(name string) int {
	return slices.IndexFunc(t, func(p Product) bool { return strings.EqualFold(p.Name, name) })
}

// With returns the table with a product in it: in the place of the one that has its
// name, else before all others.
func (t Table) With(p Product) Table {
	out := slices.Clone(t)
	if i := t.Named(p.Name); i >= 0 {
		out[i] = p
		return out
	}
	return slices.Insert(out, 0, p)
}

// The gravities, in API, between which a liquid fuel lies: those of a heavy residue and
// of the lightest liquid of a natural gas.
const (
	heaviest = -5
	lightest = 100
)

// OfGravity returns the product with another ordinary gravity, with the weight that
// goes with it and, unless the tables do not hold it, the shrinkage. It fails when
// the tables have no such density.
func (p Product) OfGravity(g quantity.APIGravity) (Product, error) {
	if !(g >= heaviest && g <= lightest) {
		return p, fmt.Errorf("petroleum: %s: gravity %.4g is outside %d to %d API", p.Name, g, heaviest, lightest)
	}
	p.API = g
	p.PerGallon, p.PerU = p.Weight(g)
	if p.Blend {
		return p, nil
	}
	a, err := expansion(rows, p.Group, Density(g))
	if err != nil {
		return p, err
	}
	p.Alpha, p.AlphaBy = a, fmt.Sprintf("that of %.4g API at 60 F", g)
	return p, nil
}

// Check returns what in the product cannot be so of any liquid fuel, nil when nothing
// is. The bounds are wide: they catch a slipped digit and a wrong unit, no more.
func (p Product) Check() error {
	switch {
	case strings.TrimSpace(p.Name) == "":
		return fmt.Errorf("petroleum: a product has no name")
	case len(p.Names) == 0:
		return fmt.Errorf("petroleum: %s: no aliases; nothing that is said would name it", p.Name)
	case strings.TrimSpace(p.Source) == "":
		return fmt.Errorf("petroleum: %s: no source; say who says so", p.Name)
	}
	for _, n := range p.Names {
		if n != strings.ToLower(n) || strings.TrimSpace(n) != n || n == "" {
			return fmt.Errorf("petroleum: %s: alias %q; write it in lower case, without blanks around it", p.Name, n)
		}
	}
	for _, b := range []struct {
		what         string
		v, low, high float64
		unit         string
	}{
		{"gravity", float64(p.API), heaviest, lightest, "API"}, {"shrinkage", p.Alpha, 0.0001, 0.002, "a F"}, {"doubt of the shrinkage", p.AlphaU, 0, 0.0005, "a F"}, {"doubt of the tables", p.TableU, 0, 0.0005, "a F"},
		{"weight", p.PerGallon, 4, 12, "lb a gallon"}, {"doubt of the weight", p.PerU, 0, 2, "lb a gallon"},
		{"share that may be filled", p.Fill, 0.5, 1, "of the tank"},
		{"Reid vapour pressure, low", p.RVPLow, 0, 40, "psi"}, {"Reid vapour pressure, high", p.RVPHigh, p.RVPLow, 40, "psi"},
		{"vapour constant A", p.VapourA, 0, 30, "(natural logarithm of psi)"}, {"vapour constant B", p.VapourB, 0, 20000, "R"}, {"weight of a mole of vapour", p.VapourWeight, 0, 400, "g"},
	} {
		if !(b.v >= b.low && b.v <= b.high) {
			return fmt.Errorf("petroleum: %s: %s %g is outside %g to %g %s", p.Name, b.what, b.v, b.low, b.high, b.unit)
		}
	}
	return nil
}
