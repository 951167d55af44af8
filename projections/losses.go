package projections

import (
	"math"
	"slices"
	"strings"

	"tankside/events"
	"tankside/events/kinds"
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
	Lost      []Lost     `json:"lost"`
	Conflicts []Conflict `json:"conflicts"`

	products products
	pools    []pool
	accounts []account // of spills, whoever spoke last at the end
}

// account is what one teller says lies at one place: of each product the last
// amount.
type account struct {
	place, by string
	spills    []int // in Spills
}

// Loss is one such amount.
type Loss struct {
	At          Moment `json:"at"`
	Place       string `json:"place"`
	Compartment string `json:"compartment,omitempty"`
	Product     string `json:"product,omitempty"`
	By          string `json:"by"`
	Gross       Gross  `json:"gross"`
	Superseded  Moment `json:"superseded"` // by the same teller, later
	Counts      bool   `json:"counts"`     // false when superseded, or told by another since
}

// Fire is a fire that somebody saw.
type Fire struct {
	At    Moment `json:"at"`
	Place string `json:"place,omitempty"`
	State string `json:"state"`
	What  string `json:"what,omitempty"`
	Area  Figure `json:"area"` // of product that burns
}

// product reports whether product burned, as far as the words tell: a fire that
// nobody said the fuel of may have burned product.
func (f Fire) product(p products) bool {
	said := strings.ToLower(f.What)
	_, named := p.find(said)
	return named || said == "" || slices.ContainsFunc([]string{"product", "fuel", "cargo", "pool", "spill", "tank", "compartment", "vapo"},
		func(w string) bool { return strings.Contains(said, w) })
}

func lossOf(e *events.Entry, product string, g Gross) Loss {
	return Loss{Counts: true, At: MomentOf(e), Place: e.Where, Compartment: compartmentOf(e.Where), Product: product, By: e.ObservedBy, Gross: g}
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
	case kinds.ProductLost:
		s.lost(e, k)
	case kinds.FireSeen:
		s.Fires = append(s.Fires, Fire{MomentOf(e), e.Where, k.State, k.What, FigureOf(k.Area, "as said", e.Seq)})
	}
}

func (s *Losses) pan(e *events.Entry, hole string, g Gross) {
	if g.Known {
		l := lossOf(e, "", g)
		l.Compartment = compartmentOf(hole)
		s.Pans = append(s.Pans, l)
	}
}

// areaDepth is the method of a pool that somebody measured out instead of naming its
// gallons.
const areaDepth = "area x depth"

// gallonsPerFoot is the gallons in a pool of one square foot, one inch deep.
const gallonsPerFoot = 1728.0 / 231 / 12

// spill takes a statement of how much lies on the ground. A later statement of the
// same teller about the same place and product supersedes.
func (s *Losses) spill(e *events.Entry, k kinds.SpillSeen) {
	g := grossOf(k.Amount, "stated", e)
	if k.Area.Said() {
		s.pools = append(s.pools, pool{MomentOf(e), e.Where, orElse(k.Product, k.Amount.Words), join(k.On, k.Into), FigureOf(k.Area, "as said", e.Seq), FigureOf(k.Depth, "as said", e.Seq), g})
	}
	if !g.Known && k.Area.Said() && k.Depth.Said() {
		area, depth := FigureOf(k.Area, "", e.Seq), FigureOf(k.Depth, "", e.Seq)
		depth.Value, depth.Low, depth.High = depth.Value*gallonsPerFoot, depth.Low*gallonsPerFoot, depth.High*gallonsPerFoot
		g = Gross{times(area, depth, "gal", areaDepth)}
		g.U = poolShare * g.Value
	}
	if !g.Known {
		return
	}
	l := lossOf(e, orElse(k.Product, k.Amount.Words), g)
	a := s.speaks(l.Place, l.By)
	a.spills = slices.DeleteFunc(a.spills, func(i int) bool {
		same := s.products.same(s.Spills[i].Product, l.Product)
		if same {
			s.Spills[i].Superseded = l.At
		}
		return same
	})
	a.spills = append(a.spills, len(s.Spills))
	s.Spills = append(s.Spills, l)
}

// speaks returns the account of a teller, moved to the end of the list.
func (s *Losses) speaks(place, by string) *account {
	a := account{place: place, by: by}
	if i := slices.IndexFunc(s.accounts, func(o account) bool { return o.place == place && o.by == by }); i >= 0 {
		a = s.accounts[i]
		s.accounts = slices.Delete(s.accounts, i, i+1)
	}
	s.accounts = append(s.accounts, a)
	return &s.accounts[len(s.accounts)-1]
}

// sum adds up what an account says of the losses that pass.
func (s *Losses) sum(a account, pass func(*Loss) bool) (Gross, bool) {
	sum, n := Gross{Exact(0, "gal", "stated")}, 0
	for _, i := range a.spills {
		if l := &s.Spills[i]; pass(l) {
			sum, n = sum.Plus(l.Gross), n+1
		}
	}
	return sum, n > 0
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
func (l *Loss) volume(t products, product string) Gross {
	g := l.Gross
	if g.Unit != "lb" {
		return g
	}
	p, ok := t.find(orElse(l.Product, product))
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

// spilled adds up, over the places, the losses that pass, each by whoever spoke
// last. Where others contradict that, what lies there runs from the least to the
// most that any of them says.
func (s *Losses) spilled(pass func(*Loss) bool) Gross {
	sum := Gross{Exact(0, "gal", "")}
	var places []string
	for _, a := range slices.Backward(s.accounts) {
		if told, ok := s.sum(a, pass); ok && !slices.Contains(places, a.place) {
			places = append(places, a.place)
			sum = sum.Plus(s.against(told, a.place, pass))
		}
	}
	if len(places) == 0 {
		return noGross("how much was released")
	}
	sum.Method = "stated"
	if slices.ContainsFunc(s.Spills, func(l Loss) bool {
		return pass(&l) && l.Superseded.IsZero() && l.Gross.Method == areaDepth
	}) {
		sum.Method += ", " + areaDepth
	}
	return sum
}

// against widens an account to those of the same place that contradict it.
func (s *Losses) against(told Gross, place string, pass func(*Loss) bool) Gross {
	out := told
	for _, a := range s.accounts {
		if o, ok := s.sum(a, pass); ok && a.place == place && apart(told, o) {
			out.Low, out.High, out.From = math.Min(out.Low, o.Low), math.Max(out.High, o.High), union(out.From, o.From)
		}
	}
	return out
}

// apart reports whether two volumes cannot both be right.
func apart(a, b Gross) bool { return a.High < b.Low || b.High < a.Low }

// listed is the losses with no list left out.
func (s Losses) listed() Losses {
	s.Conflicts, s.Spills = list(s.conflicts()), s.counted()
	s.Pans, s.Recovered, s.Sorbed = list(s.Pans), list(s.Recovered), list(s.Sorbed)
	s.Soil, s.Fires, s.Lost = list(s.Soil), list(s.Fires), list(s.Lost)
	return s
}

// counted marks the spills that are in the sum.
func (s *Losses) counted() []Loss {
	out := slices.Clone(list(s.Spills))
	for i := range out {
		out[i].Counts = false
	}
	var places []string
	for _, a := range slices.Backward(s.accounts) {
		if !slices.Contains(places, a.place) {
			places = append(places, a.place)
			for _, i := range a.spills {
				out[i].Counts = true
			}
		}
	}
	return out
}
