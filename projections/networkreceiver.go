package projections

import (
	"math"
	"slices"

	"tankside/projections/calc/petroleum"
	"tankside/projections/calc/reconcile"
)

// addReceiver adds what a receiver took in and all that was read of it.
func (n *network) addReceiver(r *Receiver) {
	var in, water []int
	for _, l := range r.legs {
		in = append(in, n.product[l])
		if w, ok := n.water[l]; ok {
			water = append(water, w)
		}
	}
	n.inside[r] = n.total("in "+r.ID, in...)
	if len(water) > 0 {
		n.wet[r] = n.total("water in "+r.ID, water...)
	}
	n.addHeel(r)
	for _, g := range r.Gauges {
		if g.settled {
			n.addGauge(r, g)
		}
	}
	n.addLab(r)
}

// addHeel adds what the receiver held before its first leg. What was not recorded is
// taken as nothing, and noted with the receiver.
func (n *network) addHeel(r *Receiver) {
	before := slices.ContainsFunc(r.Gauges, func(g Gauge) bool { return g.settled && g.ran == 0 && g.All.Known && g.All.Value > 0 })
	if !before && !(r.Heel.Known && r.Heel.Value > 0) {
		return
	}
	n.heel[r] = n.stream("heel of " + r.ID)
	if r.Heel.Known {
		f := r.Heel.Figure
		if f.U == 0 {
			f.U = stickDoubt(f.Value)
		}
		n.read(reading{what: r.ID, method: "as checked", of: r, gross: r.Heel, seen: f}, f.Value, f.U, reconcile.Term{Stream: n.heel[r], Coef: 1})
	}
}

// addGauge adds a stick: of all that lies in the hold, and of its water where the
// layers were told. The product layer is the difference and tells nothing more.
func (n *network) addGauge(r *Receiver, g Gauge) {
	terms := n.contents(r.legs[:g.ran], g.Temp)
	if h, ok := n.heel[r]; ok {
		terms = append(terms, reconcile.Term{Stream: h, Coef: 1})
	}
	if len(terms) == 0 {
		return
	}
	var water []reconcile.Term
	for _, l := range r.legs[:g.ran] {
		if w, ok := n.water[l]; ok {
			water = append(water, reconcile.Term{Stream: w, Coef: 1})
		}
	}
	if all := g.All; all.Known {
		u := math.Hypot(spreadOf(all.Figure, "stick"), all.Value*n.unread(r.legs[:g.ran], g.Temp))
		n.read(reading{what: r.ID, method: "stick", of: r, gross: all, seen: all.Figure}, all.Value, u, terms...)
		n.tieSticks(r)
	}
	if g.Water.Known && len(water) > 0 {
		n.read(reading{what: r.ID, method: "water layer", of: r, gross: g.Water, seen: g.Water.Figure}, g.Water.Value, spreadOf(g.Water.Figure, "stick"), water...)
	}
}

// tieSticks ties the last stick of a hold to those before it: chart and trim are off
// by the same share each time.
func (n *network) tieSticks(r *Receiver) {
	last := len(n.reads) - 1
	at := func(i int) (v, sd float64) {
		s := n.problem.Streams[n.reads[i].stream]
		return s.Reading, s.SD
	}
	v, sd := at(last)
	for i := range last {
		if o := n.reads[i]; o.of == r && o.leg == nil && o.method == "stick" {
			w, sw := at(i)
			shared := math.Min(1, stickShare*v/sd*stickShare*w/sw)
			n.problem.Correlations = append(n.problem.Correlations, reconcile.Correlation{A: o.stream, B: n.reads[last].stream, R: shared})
		}
	}
}

// unread is the doubt of a volume, as a share of it, that comes of temperatures
// that nobody read.
func (n *network) unread(legs []*Leg, temp Figure) (share float64) {
	for _, l := range legs {
		f := n.factor(l, temp)
		share = math.Max(share, (f.high-f.low)/f.best/math.Sqrt(12))
	}
	return share
}

// labShare is the standard uncertainty of the water in a sample that stands for a
// hold (judgement).
const labShare = 0.01

// addLab adds what a laboratory says of the water: water = share × all, gross.
func (n *network) addLab(r *Receiver) {
	water, ok := n.wet[r]
	for _, lab := range n.k.v.Labs {
		if !ok || lab.of != r || !lab.Water.Known {
			continue
		}
		product := n.stream("gross in " + r.ID)
		terms := []reconcile.Term{{Stream: product, Coef: -1}}
		for _, l := range r.legs {
			terms = append(terms, reconcile.Term{Stream: n.product[l], Coef: 1 / n.factor(l, Lacking("F")).best})
		}
		n.problem.Balances = append(n.problem.Balances, reconcile.Balance{Name: "gross in " + r.ID, Terms: terms})
		share := n.stream("water share of " + r.ID)
		n.read(reading{what: r.ID, method: "lab", of: r, gross: noGross("a volume in a share"), seen: lab.Water}, lab.Water.Value/100,
			math.Max(lab.Water.U/100, labShare), reconcile.Term{Stream: share, Coef: 1})
		n.problem.Relations = append(n.problem.Relations, reconcile.Relation{
			Name: "lab of " + r.ID, Streams: []int{water, product, share},
			At: func(v []float64) (float64, []float64) {
				return v[0] - v[2]*(v[0]+v[1]), []float64{1 - v[2], -v[2], -(v[0] + v[1])}
			},
		})
	}
}

// addTicket adds the weight of the truck where it weighs what is known: product of
// the tank and its water. What a hole took off the ground alone, foam and mud in it,
// has no weight a gallon; the ticket then stays a check.
func (n *network) addTicket() {
	if len(n.receivers) == 0 || n.k.tickets[n.receivers[0]] == nil {
		return
	}
	t := n.k.tickets[n.receivers[0]]
	var terms []reconcile.Term
	for _, r := range n.receivers {
		if len(r.legs) > 0 && !slices.ContainsFunc(r.legs, (*Leg).fromTank) {
			return
		}
		for _, l := range r.legs {
			p, known := n.k.v.products.find(n.k.moves(l))
			if !known || l.begun().After(t.At.Best) || l.open() {
				return
			}
			per, u := p.Weight(n.k.gravity.of(n.k.moves(l)))
			if n.heavy {
				per += u
			}
			terms = append(terms, reconcile.Term{Stream: n.product[l], Coef: per})
			if w, ok := n.water[l]; ok {
				terms = append(terms, reconcile.Term{Stream: w, Coef: petroleum.WaterPerGallon})
			}
		}
	}
	r := reading{what: t.Truck, method: "scale", of: n.receivers[0], gross: noGross("a volume on a ticket"), seen: t.Net}
	n.read(r, t.Net.Value, math.Max(t.Net.U, (t.Net.High-t.Net.Low)/math.Sqrt(12)), terms...)
}
