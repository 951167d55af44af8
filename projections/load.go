package projections

import (
	"math"
	"slices"
	"strings"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

// Load is what was in the tank before the mishap, by whoever said so.
type Load struct {
	Statements []LoadStatement `json:"statements"`
	Deliveries []Delivery      `json:"deliveries"`
	Named      []ProductSaid   `json:"products"`
	Gravities  []Hydrometer    `json:"gravities"` // as read
	Notes      []Note          `json:"notes"`

	rulings  []ruling
	products products
}

// LoadStatement is one statement of the load.
type LoadStatement struct {
	At       Moment     `json:"at"`
	By       string     `json:"by"`    // who told
	Paper    string     `json:"where"` // the paper or the person it was read from
	Trust    string     `json:"trust,omitempty"`
	Standing string     `json:"standing"`
	Basis    string     `json:"basis"`
	Assumed  bool       `json:"basis_assumed,omitempty"` // nobody said the basis
	Temp     Figure     `json:"temperature"`
	Parts    []LoadPart `json:"compartments"`
	Total    LoadPart   `json:"total"`
	Net60    Net        `json:"stated_net"` // the total at 60 °F that the paper prints

	rank    int
	gravity quantity.APIGravity // 0 where it says none, or one for several products
	one     string              // the product of all of it, as said

	products products
}

// LoadPart is what one statement says of one compartment, or of all together.
type LoadPart struct {
	Compartment string `json:"compartment,omitempty"`
	Product     string `json:"product,omitempty"`
	Gross       Gross  `json:"gross"`
	Net         Net    `json:"net"`
}

// Delivery is a drop made before the mishap.
type Delivery struct {
	At     Moment   `json:"at"`
	Ticket string   `json:"ticket,omitempty"`
	Part   LoadPart `json:"delivered"`
	// Basis is net or gross; of a gross one whose temperature nobody read the net is
	// that at 60 °F, within bounds.
	Basis   string `json:"basis"`
	Assumed bool   `json:"basis_assumed,omitempty"` // nobody said the basis
	Temp    Figure `json:"temperature"`
}

// ProductSaid is what somebody named a product.
type ProductSaid struct {
	At          Moment     `json:"at"`
	Compartment string     `json:"compartment,omitempty"`
	Product     string     `json:"product"`
	Trust       string     `json:"trust,omitempty"`
	UN          string     `json:"un,omitempty"`
	By          string     `json:"by"`
	Seq         events.Seq `json:"seq"`
}

type ruling struct {
	at    Moment
	about string
}

// standing is how far a statement of the load goes.
type standing struct {
	name  string
	words []string // that give it, lower case
}

// Standings is the order in which statements of the load are believed, least
// first: a shipping paper beats a memory. Common practice, no source.
var standings = []standing{
	{"guess", []string{"guess", "eyeball"}},
	{"memory", []string{"memory", "driver", "by phone", "thinks"}},
	{"stated", nil},
	{"gauged", []string{"gauge", "dip", "stick", "measured"}},
	{"paper", []string{"bill", "lading", "paper", "ticket", "manifest", "invoice", "rack"}},
}

const statedRank = 2

// standingOf finds the standing of a statement in the words of its trust, its
// place and its method, in this order.
func standingOf(texts ...string) int {
	for _, text := range texts {
		said := strings.ToLower(text)
		for i, s := range standings {
			if slices.ContainsFunc(s.words, func(w string) bool { return strings.Contains(said, w) }) {
				return i
			}
		}
	}
	return statedRank
}

func (l *Load) apply(e *events.Entry) {
	switch k := e.Payload.(type) {
	case kinds.LoadStated:
		l.stated(e, k)
	case kinds.ProductNamed:
		if k.Product != "" {
			l.Named = append(l.Named, ProductSaid{MomentOf(e), compartmentOf(e.Where), k.Product, k.Trust, k.UN, e.ObservedBy, e.Seq})
		}
	case kinds.GravityRead:
		l.hydrometer(e, k)
	case kinds.DoubtSettled:
		l.rulings = append(l.rulings, ruling{MomentOf(e), strings.ToLower(orElse(k.About, e.Where))})
	}
}

func (l *Load) stated(e *events.Entry, k kinds.LoadStated) {
	if k.Delivered.Said() {
		l.delivered(e, k)
	}
	if len(k.C) == 0 && !k.Total.Said() {
		return
	}
	s := LoadStatement{At: MomentOf(e), By: e.ObservedBy, Paper: e.Where, Trust: k.Trust, Basis: orElse(k.Basis, kinds.Gross), Assumed: k.Basis == "",
		Temp: FigureOf(k.Temp, "", e.Seq), Net60: Net{FigureOf(k.Net60, "as the paper prints it", e.Seq)}, gravity: k.API.Or(0), Parts: []LoadPart{}, products: l.products}
	s.Net60.Unit = netUnit
	one, several := l.several(k.C)
	if s.one = orElse(one, k.Total.Words); several && s.gravity != 0 {
		s.gravity = 0
		l.note(e, "one gravity for several products: it is used for none; log each with gravity_read")
	}
	s.rank = standingOf(k.Trust, e.Where, k.Method, string(e.Trust))
	s.Standing = standings[s.rank].name
	for _, c := range k.C {
		s.Parts = append(s.Parts, s.part(e, c.Key, c.Value))
	}
	s.Total = s.part(e, "", k.Total)
	l.check(e, s)
	l.Statements = append(l.Statements, s)
}

// loadDoubt is the standard uncertainty of a load by its paper, as a share of it
// (judgement; the rack meter itself is better).
const loadDoubt = 0.005

// part takes an amount of the statement in the basis it was said in and works out
// the other.
func (s *LoadStatement) part(e *events.Entry, compartment string, a quantity.Amount[quantity.Gallons]) LoadPart {
	g := grossOf(a, s.Standing, e)
	if g.Known && g.U == 0 {
		g.U = loadDoubt * g.Value
	}
	liq := s.products.liquid(a.Words, gravities{products: s.products, paper: s.gravity, one: s.one}, s.Temp)
	p := LoadPart{Compartment: compartment, Product: a.Words}
	if s.Basis == kinds.Net {
		p.Net = Net(g)
		p.Net.Unit = netUnit
		p.Gross = liq.gross(p.Net)
	} else {
		p.Gross, p.Net = g, liq.net(g)
	}
	return p
}

func (l *Load) delivered(e *events.Entry, k kinds.LoadStated) {
	for _, d := range l.Deliveries {
		if k.Ticket != "" && d.Ticket == k.Ticket {
			l.note(e, "delivery ticket "+k.Ticket+" was already counted; it counts once")
			return
		}
	}
	s := LoadStatement{Standing: "delivery", Basis: orElse(k.Basis, kinds.Gross), Temp: FigureOf(k.Temp, "", e.Seq), gravity: k.API.Or(0), products: l.products}
	l.Deliveries = append(l.Deliveries, Delivery{MomentOf(e), k.Ticket, s.part(e, compartmentOf(k.From), k.Delivered), s.Basis, k.Basis == "", s.Temp})
}

func (l *Load) note(e *events.Entry, text string) { l.Notes = append(l.Notes, Note{e.Seq, text}) }

// check compares what a statement says with itself.
func (l *Load) check(e *events.Entry, s LoadStatement) {
	sum := s.sum()
	if !sum.Net.Known || len(s.Parts) == 0 {
		return
	}
	if d := sum.Gross.Value - s.Total.Gross.Value; s.Total.Gross.Known && s.Basis == kinds.Gross && math.Abs(d) > 0.5 {
		l.note(e, "the compartments come to "+gallons(sum.Gross.Value)+", the total says "+gallons(s.Total.Gross.Value))
	}
	if d := sum.Net.Value - s.Net60.Value; s.Net60.Known && math.Abs(d) > 1+0.0005*sum.Net.Value {
		l.note(e, "the paper prints "+gallons(s.Net60.Value)+" at 60 F; the compartments reduce to "+gallons(sum.Net.Value))
	}
}

// sum is the whole of a statement: its compartments where it has them, else its
// total.
func (s *LoadStatement) sum() LoadPart {
	if len(s.Parts) == 0 {
		return s.Total
	}
	return sumParts(s.Parts)
}

func sumParts(parts []LoadPart) LoadPart {
	sum := LoadPart{Gross: Gross{Exact(0, "gal", "")}, Net: Net{Exact(0, netUnit, "")}}
	for _, p := range parts {
		sum.Gross, sum.Net = sum.Gross.Plus(p.Gross), sum.Net.Plus(p.Net)
	}
	return sum
}

// reducible reports whether the statement that counts can be reduced to 60 °F: it
// is net, or its temperature was said.
func (l *Load) reducible() bool {
	s := l.counts("")
	return s != nil && (s.Basis == kinds.Net || s.Temp.Known)
}

// counts returns the statement that counts for a compartment, or with "" for the
// whole: the one that stands highest, of equals the last. nil when there is none.
func (l *Load) counts(compartment string) (best *LoadStatement) {
	for i := range l.Statements {
		s := &l.Statements[i]
		if compartment != "" && s.find(compartment) == nil {
			continue
		}
		if best == nil || s.rank >= best.rank {
			best = s
		}
	}
	return best
}

func (s *LoadStatement) find(compartment string) *LoadPart {
	for i := range s.Parts {
		if s.Parts[i].Compartment == compartment {
			return &s.Parts[i]
		}
	}
	return nil
}

// compartments lists the compartments that any statement names, front to rear.
func (l *Load) compartments() (out []string) {
	for _, s := range l.Statements {
		for _, p := range s.Parts {
			if !slices.Contains(out, p.Compartment) {
				out = append(out, p.Compartment)
			}
		}
	}
	slices.SortFunc(out, natural)
	return out
}

// listed is the load with no list left out.
func (l Load) listed() Load {
	l.Statements, l.Deliveries, l.Named, l.Gravities, l.Notes = list(l.Statements), list(l.Deliveries), list(l.Named), list(l.Gravities), list(l.Notes)
	return l
}
