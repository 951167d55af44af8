package projections

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
	"tankside/projections/calc/petroleum"
)

// Receiver is one hold of a truck that takes product or recovered liquid in.
type Receiver struct {
	ID     string  `json:"receiver"` // R1, or the hole R3A of truck R3; "R1 load 2" when the truck came back
	Truck  string  `json:"truck"`
	Load   int     `json:"load"` // 1 until the truck left and came back
	Usable Figure  `json:"usable"`
	Heel   Gross   `json:"heel"` // what it held on arrival
	Gauges []Gauge `json:"sticks"`
	Notes  []Note  `json:"notes"`

	hole  string
	legs  []*Leg
	going []*Leg // those of legs that have not stopped
	since []*Leg // legs since the last gauge
	out   []setAside
	kept  []setAside // what a person vouches for
}

// Gauge is one reading of how much a receiver holds, all told and by layer.
type Gauge struct {
	At      Moment `json:"at"`
	All     Gross  `json:"all"`
	Product Gross  `json:"product"`
	Water   Gross  `json:"water"`
	Temp    Figure `json:"temperature"`
	Method  string `json:"method"`

	settled bool // no leg was running into the receiver
	ran     int  // how many of the receiver's legs had run
}

// Ticket is a weighing of a truck, which is of all its holes together.
type Ticket struct {
	At       Moment `json:"at"`
	Truck    string `json:"truck"`
	Ticket   string `json:"ticket,omitempty"`
	Net      Figure `json:"net"`      // lb, as the ticket has it
	Expected Figure `json:"expected"` // lb, what the other measurements of its holes would weigh

	of []*Receiver // the holes it weighs
}

// scaleDoubt is the standard uncertainty of the net weight on a ticket, in lb:
// two weighings of 20 to 30 lb each (judgement).
const scaleDoubt = 40

// The standard uncertainty of a stick (judgement): a quarter of an inch of depth,
// at the 41.6 gal an inch of a hole eight feet wide and eight long, and a share of
// the volume, half a per cent each for the chart and for a truck off level.
const (
	stickDepth = 10.4 // gal
	stickShare = 0.00707
)

// stickDoubt is the standard uncertainty of a stick that shows v gallons.
func stickDoubt(v float64) float64 { return math.Hypot(stickDepth, stickShare*v) }

// layerDoubt is that of a layer of v gallons found by paste: the edge between oil
// and water is no sharper than the stick.
func layerDoubt(v float64) float64 { return math.Hypot(math.Sqrt2*stickDepth, stickShare*v) }

// TruckOf is the truck a receiver belongs to: a last capital letter after a number
// names the hole.
func TruckOf(receiver string) string {
	n := len(receiver)
	if n > 2 && receiver[n-1] >= 'A' && receiver[n-1] <= 'Z' && digits(receiver[n-2:]) == 1 {
		return receiver[:n-1]
	}
	return receiver
}

func newReceiver(id string) *Receiver {
	return &Receiver{ID: id, hole: id, Load: 1, Gauges: []Gauge{}, Notes: []Note{}, Truck: TruckOf(id), Usable: Lacking("gal", "usable volume of "+id), Heel: noGross("what " + id + " held on arrival")}
}

func (r *Receiver) note(e *events.Entry, text string) { r.Notes = append(r.Notes, Note{e.Seq, text}) }

func (r *Receiver) checked(e *events.Entry, k kinds.TruckChecked) {
	switch {
	case k.Heel.Said():
		r.Heel = grossOf(k.Heel, "as checked", e)
	case yes(k.Dry) || yes(k.Drained):
		r.Heel = Gross{Exact(0, "gal", "checked empty", e.Seq)}
	case k.Dry != "" || k.Drained != "":
		r.note(e, "not dry on arrival, and how much it held was not said")
	}
}

// gauge takes a stick of the receiver. Where just one leg ran since it was known
// what the receiver held, the difference is that leg's.
func (r *Receiver) gauge(e *events.Entry, g Gauge) {
	r.going = slices.DeleteFunc(r.going, func(l *Leg) bool { return !l.Stop.IsZero() })
	g.settled = !slices.ContainsFunc(r.going, (*Leg).open)
	g.ran = len(r.legs)
	g.doubted()
	if g.settled && len(r.since) == 1 {
		r.difference(e, r.since[0], g)
	}
	if g.settled {
		r.since = nil
	}
	r.Gauges = append(r.Gauges, g)
}

// doubted gives each part of a gauge that was told without one its usual doubt.
func (g *Gauge) doubted() {
	layer := stickDoubt
	if g.Water.Known {
		layer = layerDoubt
	}
	for _, part := range []struct {
		of    *Gross
		doubt func(float64) float64
	}{{&g.All, stickDoubt}, {&g.Product, layer}, {&g.Water, layerDoubt}} {
		if part.of.Known && part.of.U == 0 {
			part.of.U = part.doubt(part.of.Value)
		}
	}
}

func (r *Receiver) difference(e *events.Entry, l *Leg, g Gauge) {
	before := r.level(e)
	s := &sticked{all: g.All.Minus(before.All), product: g.All.Minus(before.All), water: noGross()}
	if g.Product.Known {
		s.product, s.water = g.Product.Minus(before.Product), g.Water.Minus(before.Water)
	}
	l.stick = s
}

// level is what the receiver held at the last gauge, or on arrival. What was not
// recorded is taken as empty, and noted.
func (r *Receiver) level(e *events.Entry) Gauge {
	for _, g := range slices.Backward(r.Gauges) {
		if g.settled {
			if !g.Product.Known {
				g.Product, g.Water = g.All, Gross{Exact(0, "gal", "")}
			}
			return g
		}
	}
	zero := Gross{Exact(0, "gal", "")}
	if r.Heel.Known {
		return Gauge{All: r.Heel, Product: r.Heel, Water: zero}
	}
	r.note(e, "what it held on arrival was not recorded; it is taken as empty")
	return Gauge{All: zero, Product: zero, Water: zero}
}

// ReceiverState is a receiver as it stands.
type ReceiverState struct {
	*Receiver
	Product  string        `json:"product"`
	Legs     []string      `json:"legs"`
	Measured []Measurement `json:"measurements"`
	Gross    Gross         `json:"product_gross"` // by the best for now
	Net      Net           `json:"product_net"`
	Water    Gross         `json:"water"`
	Room     Figure        `json:"room"`
	RoomBy   string        `json:"room_by"` // the limit that binds, "" where none is known
	Limits   []RoomLimit   `json:"limits"`  // the least first
	Spread   Figure        `json:"spread"`  // largest less smallest measurement, net
	// Best is the net product it took in on which all its readings agree, BestWater
	// the water.
	Best      Figure `json:"best"`
	BestWater Figure `json:"best_water"`
}

// state works out what the receiver took in. Legs that draw from elsewhere than
// the tank make its product recovered liquid.
func (r *Receiver) state(k *ledger) ReceiverState {
	s := ReceiverState{Receiver: r, Water: noGross("water in " + r.ID), Legs: []string{}}
	for _, l := range r.legs {
		s.Legs = append(s.Legs, l.ID)
	}
	s.Product = r.product(k)
	s.Measured = slices.Concat(r.byLegs(k, s.Product), r.byStick(k, s.Product), r.byScale(k, s.Product))
	for i := range s.Measured {
		for _, o := range r.out {
			if o.method == s.Measured[i].Method {
				s.Measured[i].SetAside = o.why
			}
		}
	}
	choose(s.Measured, k.v.trust())
	s.choose()
	s.Spread, s.Measured = spread(s.Measured), list(s.Measured)
	if n := len(r.Gauges); n > 0 && r.Gauges[n-1].Water.Known {
		s.Water = r.Gauges[n-1].Water
	}
	s.Product = orElse(s.Product, r.mixture(k))
	return s
}

// mixture names what went into the receiver where that is several products, and
// nothing where what a leg moved is not known.
func (r *Receiver) mixture(k *ledger) string {
	var all []string
	for _, l := range r.legs {
		p := k.moves(l)
		if p == "" {
			return ""
		}
		if !slices.Contains(all, p) {
			all = append(all, p)
		}
	}
	return strings.Join(all, " and ")
}

// choose takes the measurement that counts.
func (s *ReceiverState) choose() {
	s.Gross, s.Net = noGross("what "+s.ID+" took in"), noNet("what "+s.ID+" took in")
	for _, m := range s.Measured {
		if m.Counts {
			s.Gross, s.Net = m.Gross, m.Net
		}
	}
}

// held is all that lies in the receiver: the last stick where no leg ran since,
// else what it held before and took in.
func (s *ReceiverState) held() Figure {
	if n := len(s.Gauges); n > 0 && len(s.since) == 0 {
		return s.Gauges[n-1].All.Figure
	}
	if len(s.legs) == 0 {
		if s.Heel.Known {
			return s.Heel.Figure
		}
		return Exact(0, "gal", "no leg into it")
	}
	if s.Heel.Known {
		return s.Gross.Plus(s.Heel).Figure
	}
	return s.Gross.Figure
}

// product is what the legs bring into the receiver, "" when they bring several.
func (r *Receiver) product(k *ledger) string {
	one := ""
	for _, l := range r.legs {
		p := k.moves(l)
		if one != "" && !k.v.products.same(p, one) {
			return ""
		}
		one = p
	}
	return one
}

// legsAdded begins the method of a receiver's legs added up.
const legsAdded = "legs added up, "

// byLegs adds up the legs into the receiver: their meters where each leg has one, and
// each by its best where those are of several ways. Meters hold one that was set aside
// only in brackets. What a ruling took from the ticket of the truck is no second
// witness beside it.
func (r *Receiver) byLegs(k *ledger, product string) (out []Measurement) {
	var meters, best []Measurement
	mixed, ruled := false, false
	for _, l := range r.legs {
		b := k.best(l)
		best = append(best, b)
		mixed, ruled = mixed || b.Method != best[0].Method, ruled || b.Method == byRuling
		if i := slices.IndexFunc(k.legs[l].Measured, func(m Measurement) bool { return m.Method == "meter" && m.Gross.Known }); i >= 0 {
			meters = append(meters, k.legs[l].Measured[i])
		}
	}
	metered := len(meters) > 0 && len(meters) == len(r.legs)
	if metered {
		out = append(out, r.added(k, "meter", product, meters))
	}
	switch {
	case len(best) == 0 || !mixed && best[0].Method == "" || ruled && k.tickets[r] != nil:
	case mixed:
		out = append(out, r.added(k, legsByBest, product, best))
	case !metered || best[0].Method != "meter":
		out = append(out, r.added(k, best[0].Method, product, best))
	}
	return out
}

// legsByBest is the method of legs added up that were measured in several ways.
const legsByBest = "legs, each by its best"

// added is the sum of one measurement of each leg.
func (r *Receiver) added(k *ledger, method, product string, each []Measurement) Measurement {
	m := Measurement{Method: method, Product: product, Gross: Gross{Exact(0, "gal", "")}, Net: Net{Exact(0, netUnit, "")}, Water: noGross(), Temp: Lacking("F")}
	for i, leg := range each {
		m.Gross, m.Net = m.Gross.Plus(leg.Gross), m.Net.Plus(leg.Net)
		if leg.SetAside != "" && m.SetAside == "" {
			m.SetAside = "holds the " + leg.Method + " of leg " + r.legs[i].ID
		}
		m.holds = append(m.holds, leg.Method)
	}
	m.Gross.U, m.Net.U = k.oneMeter(r.legs, each)
	m.Gross.Method, m.Net.Method = legsAdded+method, legsAdded+method
	return m
}

func (r *Receiver) byStick(k *ledger, product string) []Measurement {
	n := len(r.Gauges)
	if n == 0 || len(r.legs) == 0 || len(r.since) > 0 || !r.Gauges[n-1].settled || r.stickIsLegs() {
		return nil
	}
	g := r.Gauges[n-1]
	vol := g.Product
	if !vol.Known {
		vol = g.All
	}
	if r.Heel.Known {
		vol = vol.Minus(r.Heel)
	}
	liq := k.v.products.liquid(product, k.gravity, r.temp(g))
	return []Measurement{{Method: "stick", Gross: vol, Net: liq.net(vol), Product: product, Water: g.Water, Temp: liq.temp}}
}

// stickIsLegs reports whether the stick is all that is known of the legs, so that
// showing it beside them would look like two witnesses.
func (r *Receiver) stickIsLegs() bool {
	return !slices.ContainsFunc(r.legs, func(l *Leg) bool { return l.stick == nil || len(l.Readings) > 0 || len(l.told) > 0 })
}

// temp is the temperature of what lies in the receiver: as gauged, else that of
// the legs, from the coldest to the warmest.
func (r *Receiver) temp(g Gauge) Figure {
	if g.Temp.Known {
		return g.Temp
	}
	var f Figure
	for _, l := range r.legs {
		switch t := l.Temp; {
		case !t.Known:
			return t
		case !f.Known:
			f = t
		default:
			f.Low, f.High = math.Min(f.Low, t.Low), math.Max(f.High, t.High)
			f.Value, f.From = (f.Low+f.High)/2, union(f.From, t.From)
		}
	}
	return f
}

// byScale turns the ticket of the truck into volume where it can be: one hole
// used, one product, no water. Else the ticket stays a check of the whole truck.
func (r *Receiver) byScale(k *ledger, product string) []Measurement {
	t := k.tickets[r]
	if t == nil || len(r.legs) == 0 {
		return nil
	}
	m := Measurement{Method: "scale", Product: product, Water: noGross(), Temp: Lacking("F"), Gross: noGross(), Net: noNet()}
	p, known := k.v.products.find(product)
	switch {
	case used(t.of) > 1:
		m.Net = noNet("one ticket for all holes of " + r.Truck)
	case r.wet() || slices.ContainsFunc(r.legs, func(l *Leg) bool { return !l.fromTank() }):
		m.Net = noNet("product and water on one ticket")
	case !known:
		m.Net = noNet("the weight of a gallon of " + orElse(product, "what is in "+r.ID))
	case r.legs[len(r.legs)-1].Start.Best.After(t.At.Best):
		m.Net = noNet("a weight taken after the last leg into " + r.ID)
	default:
		per, u := p.Weight(k.gravity.of(product))
		// The doubt of a gallon's weight is one for all tickets and does not average
		// out: it goes into the bounds, the doubt of the scale into U.
		best, sd := petroleum.ByWeight(quantity.Pounds(t.Net.Value), quantity.Pounds(t.Net.U), per, 0)
		f := Range(t.Net.Low/(per+u), float64(best), t.Net.High/(per-u), netUnit, fmt.Sprintf("scale, %.2f lb a gallon", per), t.Net.From...)
		f.U = float64(sd)
		m.Net, m.Temp = Net{f}, r.temp(Gauge{})
		m.Gross = k.v.products.liquid(product, k.gravity, m.Temp).gross(m.Net)
	}
	m.Gross.Missing = m.Net.Missing
	return []Measurement{m}
}

// wet reports whether the receiver holds a water layer.
func (r *Receiver) wet() bool {
	return slices.ContainsFunc(r.Gauges, func(g Gauge) bool { return g.Water.Known && g.Water.Value > 0 })
}

// used counts the receivers that took anything in.
func used(receivers []*Receiver) (n int) {
	for _, r := range receivers {
		if len(r.legs) > 0 {
			n++
		}
	}
	return n
}

// spread is the largest less the smallest net volume measured, of those that are
// not set aside.
func spread(ms []Measurement) Figure {
	low, high := math.Inf(1), math.Inf(-1)
	var from []events.Seq
	n := 0
	for _, m := range ms {
		if m.Net.Known && m.SetAside == "" {
			low, high, from, n = math.Min(low, m.Net.Value), math.Max(high, m.Net.Value), union(from, m.Net.From), n+1
		}
	}
	if n < 2 {
		return Lacking(netUnit, "a second measurement")
	}
	return Exact(high-low, netUnit, "largest less smallest measurement", from...)
}

// receiverIn returns the first of the words that names a receiver in a place, as R1 or V1 or R3A.
func receiverIn(where string) string {
	for _, w := range strings.FieldsFunc(where, func(r rune) bool { return r == ' ' || r == ',' }) {
		t := TruckOf(w)
		if len(t) > 1 && t[0] >= 'A' && t[0] <= 'Z' && t[0] != 'C' && digits(t[1:]) == len(t)-1 {
			return w
		}
	}
	return ""
}
