package projections

import (
	"math"
	"slices"
	"strings"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections/calc/petroleum"
)

// Losses are amounts outside the tank that somebody stated: spilled, lost into
// pans, taken up again.
type Losses struct {
	Spills    []Loss     `json:"spills"`
	Pans      []Loss     `json:"pans"`
	Recovered []Loss     `json:"recovered"` // free product that no leg moved
	Sorbed    []Loss     `json:"sorbed"`
	Soil      []Loss     `json:"soil"`
	Fires     []Fire     `json:"fires"`
	Conflicts []Conflict `json:"conflicts"`

	standing map[string]int // the spill that stands, by place and product
}

// Loss is one such amount.
type Loss struct {
	At          Moment `json:"at"`
	Place       string `json:"place"`
	Compartment string `json:"compartment,omitempty"`
	Product     string `json:"product,omitempty"`
	By          string `json:"by"`
	Gross       Gross  `json:"gross"`
	Superseded  Moment `json:"superseded"`

	against Gross // from the least to the most that others say who contradict it
}

// Fire is a fire that somebody saw.
type Fire struct {
	At    Moment `json:"at"`
	State string `json:"state"`
	What  string `json:"what,omitempty"`
}

// product reports whether product burned, as far as the words tell: a fire that
// nobody said the fuel of may have burned product.
func (f Fire) product() bool {
	said := strings.ToLower(f.What)
	_, named := petroleum.Find(said)
	return named || said == "" || slices.ContainsFunc([]string{"product", "fuel", "cargo", "pool", "spill", "tank", "compartment", "vapo"},
		func(w string) bool { return strings.Contains(said, w) })
}

func lossOf(e *events.Entry, product string, g Gross) Loss {
	return Loss{At: MomentOf(e), Place: e.Where, Compartment: compartmentOf(e.Where), Product: product, By: e.ObservedBy, Gross: g}
}

// Doubts, as a share, of amounts outside the tank (judgement): a pool by the eye
// is known within a factor of about two.
const (
	poolShare = 0.50
	padShare  = 0.15
)

func (s *Losses) apply(e *events.Entry) {
	switch k := e.Payload.(type) {
	case kinds.SpillSeen:
		s.spill(e, k)
	case kinds.HoleDrilled:
		s.pan(e, orElse(strings.Join(k.Hole, " "), e.Where), grossOf(k.Lost, "into the pan", e))
	case kinds.OutletOpened:
		s.pan(e, orElse(strings.Join(k.Outlet, " "), e.Where), grossOf(k.Lost, "into the pan", e))
	case kinds.PadsWeighed:
		s.pads(e, k)
	case kinds.ProductRecovered:
		s.recovered(e, k)
	case kinds.FireSeen:
		s.Fires = append(s.Fires, Fire{MomentOf(e), k.State, k.What})
	}
}

func (s *Losses) pan(e *events.Entry, hole string, g Gross) {
	if g.Known {
		l := lossOf(e, "", g)
		l.Compartment = compartmentOf(hole)
		s.Pans = append(s.Pans, l)
	}
}

// gallonsPerFoot is the gallons in a pool of one square foot, one inch deep.
const gallonsPerFoot = 1728.0 / 231 / 12

// spill takes a statement of how much lies on the ground. A later statement of the
// same place and product supersedes; where two tellers cannot both be right it is
// a conflict as well.
func (s *Losses) spill(e *events.Entry, k kinds.SpillSeen) {
	g := grossOf(k.Amount, "stated", e)
	if !g.Known && k.Area.Said() && k.Depth.Said() {
		area, depth := FigureOf(k.Area, "", e.Seq), FigureOf(k.Depth, "", e.Seq)
		depth.Value, depth.Low, depth.High = depth.Value*gallonsPerFoot, depth.Low*gallonsPerFoot, depth.High*gallonsPerFoot
		g = Gross{times(area, depth, "gal", "area x depth")}
		g.U = poolShare * g.Value
	}
	if !g.Known {
		return
	}
	l := lossOf(e, k.Amount.Words, g)
	l.against = g
	key := l.Place + "\x00" + productName(l.Product)
	if i, ok := s.standing[key]; ok {
		s.supersede(&s.Spills[i], &l)
	}
	if s.standing == nil {
		s.standing = map[string]int{}
	}
	s.standing[key] = len(s.Spills)
	s.Spills = append(s.Spills, l)
}

func (s *Losses) supersede(old, l *Loss) {
	old.Superseded = l.At
	if old.By == l.By || old.Gross.High >= l.Gross.Low && l.Gross.High >= old.Gross.Low {
		return
	}
	l.against.Low, l.against.High = math.Min(l.Gross.Low, old.against.Low), math.Max(l.Gross.High, old.against.High)
	l.against.From = union(l.Gross.From, old.against.From)
	s.Conflicts = append(s.Conflicts, Conflict{
		About: orElse(l.Place, "spill"), What: "amount", Since: l.At,
		Sides: []Side{{l.By, gallons(l.Gross.Value), l.At}, {old.By, gallons(old.Gross.Value), old.At}},
	})
}

// pads turns weighed sorbents into product: wet less dry less water, by the weight
// of a gallon; the product is filled in when the volume is worked out.
func (s *Losses) pads(e *events.Entry, k kinds.PadsWeighed) {
	l := lossOf(e, k.Product.Words, grossOf(k.Product, "stated", e))
	if !l.Gross.Known {
		wet, dry, water := FigureOf(k.Wet, "", e.Seq), FigureOf(k.Dry, "", e.Seq), FigureOf(k.Water, "", e.Seq)
		switch {
		case !wet.Known || !dry.Known:
			return
		case water.Known:
			l.Gross = Gross{floor(wet.Minus(dry).Minus(water))}
		default: // all of it may be water
			w := wet.Minus(dry)
			w.Low = 0
			l.Gross = Gross{w}
		}
		l.Gross.Method = "sorbents weighed"
	}
	s.Sorbed = append(s.Sorbed, l)
}

// volume is the loss in gallons: a weight is turned into volume by the product.
func (l *Loss) volume(product string) Gross {
	g := l.Gross
	if g.Unit != "lb" {
		return g
	}
	p, ok := petroleum.Find(orElse(l.Product, product))
	if !ok {
		return noGross("the product in the sorbents, to turn their weight into gallons")
	}
	g.Value, g.Low, g.High, g.Unit = g.Value/p.PerGallon, g.Low/p.PerGallon, g.High/p.PerGallon, "gal"
	g.U = padShare * g.Value
	return g
}

func (s *Losses) recovered(e *events.Entry, k kinds.ProductRecovered) {
	g := grossOf(k.Product, orElse(k.Method, "stated"), e)
	if !g.Known && k.Form != kinds.Soil && k.Form != kinds.Sorbent {
		return
	}
	if !g.Known {
		g = noGross("product in the " + k.Form + " taken up")
	}
	l := lossOf(e, k.Product.Words, g)
	switch k.Form {
	case kinds.Soil:
		s.Soil = append(s.Soil, l)
	case kinds.Sorbent:
		s.Sorbed = append(s.Sorbed, l)
	default:
		s.Recovered = append(s.Recovered, l)
	}
}

// spilled adds up the statements that stand, of those that pass. Where tellers
// contradict each other the sum runs from the least to the most that any of them
// says.
func (s *Losses) spilled(pass func(*Loss) bool) Gross {
	sum, n := Gross{Exact(0, "gal", "")}, 0
	for i := range s.Spills {
		if l := &s.Spills[i]; l.Superseded.IsZero() && pass(l) {
			sum, n = sum.Plus(l.against), n+1
		}
	}
	if n == 0 {
		return noGross("how much was released")
	}
	sum.Method = "stated"
	return sum
}

// listed is the losses with no list left out.
func (s Losses) listed() Losses {
	s.Spills, s.Pans, s.Recovered, s.Sorbed = list(s.Spills), list(s.Pans), list(s.Recovered), list(s.Sorbed)
	s.Soil, s.Fires, s.Conflicts = list(s.Soil), list(s.Fires), list(s.Conflicts)
	return s
}
