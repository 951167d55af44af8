package projections

import (
	"math"
	"slices"
	"strings"
)

// Conflict is a disagreement that stays open until a person or a better look
// settles it.
type Conflict struct {
	About   string `json:"about"` // C3, total
	What    string `json:"what"`  // product, amount
	Sides   []Side `json:"sides"` // the one that counts first
	Since   Moment `json:"since"`
	Settled Moment `json:"settled"`
	By      string `json:"settled_by,omitempty"`
}

// Side is what one teller says in a conflict.
type Side struct {
	By    string `json:"by"`
	Says  string `json:"says"`
	Entry Moment `json:"entry"`
}

// part returns the load of a compartment by the statement that counts, with the
// product as the last good look at it named it.
func (l *Load) part(compartment string) LoadPart {
	s := l.counts(compartment)
	if compartment == "" || s == nil {
		return LoadPart{Compartment: compartment, Product: l.product(compartment), Gross: noGross("load of " + compartment), Net: noNet("load of " + compartment)}
	}
	p := *s.find(compartment)
	p.Product = l.product(compartment)
	if s.Basis != "net" {
		p.Net = l.liquid(s, p.Product).net(p.Gross)
	}
	p.Gross.Figure, p.Net.Figure = l.doubted(p.Gross.Figure, compartment, s), l.doubted(p.Net.Figure, compartment, s)
	return p
}

// liquid is a product as a statement has it, its gravity as somebody read it since.
func (l *Load) liquid(s *LoadStatement, product string) liquid {
	return s.products.liquid(product, l.gravities(s), s.Temp)
}

// product is what a compartment holds: what was seen of it, else what the
// statement that counts says, else what all of the load is.
func (l *Load) product(compartment string) string {
	if compartment == "" {
		return l.only()
	}
	said := ""
	if s := l.counts(compartment); s != nil {
		said = s.find(compartment).Product
	}
	for _, n := range l.Named {
		if n.Compartment == compartment && (said == "" || seen(n.Trust)) && !l.products.same(said, n.Product) {
			said = n.Product
		}
	}
	if said == "" {
		return l.only()
	}
	return said
}

// seen reports whether a product was named by a look at it rather than by a paper.
func seen(trust string) bool {
	t := strings.ToLower(trust)
	return slices.ContainsFunc([]string{"jar", "sample", "lab", "seen", "measured", "test"}, func(w string) bool { return strings.Contains(t, w) })
}

// only is the product of the whole load where just one was ever named, else "".
func (l *Load) only() string {
	one := ""
	add := func(p string) bool {
		if p != "" && one != "" && !l.products.same(p, one) {
			return false
		}
		one = orElse(one, p)
		return true
	}
	if s := l.counts(""); s != nil {
		for _, p := range append(slices.Clone(s.Parts), s.Total) {
			if !add(p.Product) {
				return ""
			}
		}
	}
	for _, n := range l.Named {
		if !add(n.Product) {
			return ""
		}
	}
	return one
}

// Total returns the load as it was before any delivery.
func (l *Load) total() LoadPart {
	best := l.counts("")
	if best == nil {
		return LoadPart{Gross: noGross("load"), Net: noNet("load")}
	}
	if len(best.Parts) == 0 {
		t := best.Total
		t.Product = l.only()
		if best.Basis != "net" {
			t.Net = l.liquid(best, t.Product).net(t.Gross)
		}
		t.Gross.Figure, t.Net.Figure = l.doubted(t.Gross.Figure, "", best), l.doubted(t.Net.Figure, "", best)
		return t
	}
	var parts []LoadPart
	for _, c := range l.compartments() {
		parts = append(parts, l.part(c))
	}
	return sumParts(parts)
}

// doubted widens a figure to what other statements of the same standing, by other
// tellers, say of the same thing, until somebody settles it.
func (l *Load) doubted(f Figure, compartment string, counts *LoadStatement) Figure {
	for _, c := range l.amountConflicts(compartment, counts) {
		if c.rank == counts.rank && l.ruled(compartment, c.At).IsZero() && f.Known {
			o := c.value(compartment)
			if f.Unit == netUnit {
				o.Figure = l.liquid(counts, "").net(Gross{o.Figure}).Figure
			}
			f.Low, f.High = math.Min(f.Low, o.Value), math.Max(f.High, o.Value)
			f.From = union(f.From, o.From)
		}
	}
	return f
}

func (s *LoadStatement) value(compartment string) Gross {
	if compartment == "" {
		return s.sum().Gross
	}
	return s.find(compartment).Gross
}

// manifestly is how far, as a share, a statement of lower standing may be off
// before it is called a conflict: memories are round. Common practice, no source.
const manifestly = 0.05

// amountConflicts returns the statements that disagree with the one that counts:
// of the same standing by another teller, or of a lower one and far off.
func (l *Load) amountConflicts(compartment string, counts *LoadStatement) (out []*LoadStatement) {
	for i := range l.Statements {
		s := &l.Statements[i]
		if s == counts || compartment != "" && s.find(compartment) == nil {
			continue
		}
		a, b := counts.value(compartment), s.value(compartment)
		if !a.Known || !b.Known || a.High >= b.Low && b.High >= a.Low {
			continue
		}
		off := math.Abs(a.Value-b.Value) > manifestly*a.Value
		if s.rank == counts.rank && s.By != counts.By || s.rank < counts.rank && off {
			out = append(out, s)
		}
	}
	return out
}

// ruled returns when a person settled a doubt about a compartment or the load,
// after since.
func (l *Load) ruled(compartment string, since Moment) Moment {
	for _, r := range l.rulings {
		about := strings.Contains(r.about, "load") || compartment != "" && compartmentOf(strings.ToUpper(r.about)) == compartment
		if about && !r.at.Best.Before(since.Best) {
			return r.at
		}
	}
	return Moment{}
}

// Conflicts returns every disagreement about the load, open or settled.
func (l *Load) Conflicts() []Conflict {
	out := l.productConflicts()
	for _, c := range append([]string{""}, l.compartments()...) {
		counts := l.counts(c)
		if counts == nil {
			continue
		}
		for _, s := range l.amountConflicts(c, counts) {
			a, b := counts.value(c), s.value(c)
			out = append(out, Conflict{
				About: orElse(c, "total"), What: "amount", Since: later(counts.At, s.At), Settled: l.ruled(c, later(counts.At, s.At)), By: "",
				Sides: []Side{{counts.teller(), gallons(a.Value), counts.At}, {s.teller(), gallons(b.Value), s.At}},
			})
		}
	}
	return out
}

func later(a, b Moment) Moment {
	if b.Best.After(a.Best) {
		return b
	}
	return a
}

func (s *LoadStatement) teller() string { return orElse(s.Paper, s.By) }

// productConflicts compares the products of every statement with those that count.
func (l *Load) productConflicts() (out []Conflict) {
	for i := range l.Statements {
		s := &l.Statements[i]
		for _, p := range s.Parts {
			counts := l.counts(p.Compartment)
			q := counts.find(p.Compartment)
			if s == counts || p.Product == "" || q.Product == "" || l.products.same(p.Product, q.Product) {
				continue
			}
			c := Conflict{
				About: p.Compartment, What: "product", Since: later(counts.At, s.At),
				Sides: []Side{{counts.teller(), q.Product, counts.At}, {s.teller(), p.Product, s.At}},
			}
			c.Settled, c.By = l.settledBy(counts, s, p.Compartment)
			out = append(out, c)
		}
	}
	return out
}

// settledBy finds what settles a conflict of products between two statements: a
// ruling, a look into the compartment itself, or a look into another compartment
// about which the two disagree that bears out the one that counts.
func (l *Load) settledBy(counts, other *LoadStatement, compartment string) (Moment, string) {
	since := later(counts.At, other.At)
	if at := l.ruled(compartment, since); !at.IsZero() {
		return at, "ruling"
	}
	for _, n := range l.Named {
		a, b := counts.find(n.Compartment), other.find(n.Compartment)
		if a == nil || b == nil || l.products.same(a.Product, b.Product) || !seen(n.Trust) {
			continue
		}
		if n.Compartment == compartment || l.products.same(n.Product, a.Product) {
			return n.At, n.Product + " in " + n.Compartment + " by " + n.Trust
		}
	}
	return Moment{}, ""
}

// conflicts are the pairs of accounts of one place that cannot both be right in the
// amount, or that name other products.
func (s *Losses) conflicts() (out []Conflict) {
	for i, a := range slices.Backward(s.accounts) {
		for _, b := range slices.Backward(s.accounts[:i]) {
			if what := s.differ(a, b); a.place == b.place && what != "" {
				out = append(out, Conflict{
					About: orElse(a.place, "spill"), What: what, Since: later(s.lastOf(a), s.lastOf(b)),
					Sides: []Side{{a.by, s.says(a), s.lastOf(a)}, {b.by, s.says(b), s.lastOf(b)}},
				})
			}
		}
	}
	return out
}

// differ says in what two accounts cannot both be right, "" when they can. A product
// that one of them leaves open is no difference.
func (s *Losses) differ(a, b account) string {
	every := func(*Loss) bool { return true }
	x, _ := s.sum(a, every)
	y, _ := s.sum(b, every)
	p, q := s.productsOf(a), s.productsOf(b)
	var what []string
	if !slices.Contains(p, "") && !slices.Contains(q, "") && !slices.Equal(p, q) {
		what = append(what, "product")
	}
	if apart(x, y) {
		what = append(what, "amount")
	}
	return strings.Join(what, " and ")
}

func (s *Losses) productsOf(a account) (out []string) {
	for _, i := range a.spills {
		out = append(out, s.products.name(s.Spills[i].Product))
	}
	slices.Sort(out)
	return out
}

func (s *Losses) lastOf(a account) Moment { return s.Spills[a.spills[len(a.spills)-1]].At }

// says writes an account: "1,700 gal diesel and 2,500 gal gasoline".
func (s *Losses) says(a account) string {
	var parts []string
	for _, i := range a.spills {
		l := &s.Spills[i]
		g := l.Gross.Figure
		g.U = 0
		parts = append(parts, strings.TrimSpace(within(g)+" "+l.Product))
	}
	return strings.Join(parts, " and ")
}
