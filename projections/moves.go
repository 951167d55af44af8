package projections

import (
	"math"

	"tankside/projections/calc/reconcile"
)

// moved adds up what receivers and legs took: each at the reconciled value, with the
// doubts they share inside a truck, where there is one, else by the measurement that
// counts for now.
func (k *ledger) moved(receivers []*ReceiverState, legs []*Leg) tally {
	t, terms := tally{Figure: k.zero()}, map[*network][]reconcile.Term{}
	var order []*network
	sum := func(n *network, stream func() int, other Figure) {
		t.n++
		if !k.net || n == nil || !n.checked() || !n.told(stream()) {
			t.Figure = t.Figure.Plus(other)
			return
		}
		if terms[n] == nil {
			order = append(order, n)
		}
		terms[n] = append(terms[n], one(stream()))
	}
	for _, r := range receivers {
		n := k.netIn[r.Receiver]
		sum(n, func() int { return n.inside[r.Receiver] }, k.pick(r.Gross, r.Net))
	}
	for _, l := range legs {
		n, best := k.netOf[l], k.best(l)
		sum(n, func() int { return n.product[l] }, k.pick(best.Gross, best.Net))
	}
	for _, n := range order {
		t.Figure, t.reconciled = t.Figure.Plus(n.amount(terms[n]...)), true
	}
	return t
}

// oneMeter is the doubt of legs added up, gross and net, each by the measurement beside
// it: those off one meter with one product share one error, so that their doubts add up
// straight; the others add in squares.
func (k *ledger) oneMeter(legs []*Leg, measured []Measurement) (gross, net float64) {
	type meter struct{ name, product string }
	straight := map[meter][2]float64{}
	for i, l := range legs {
		best := measured[i]
		if best.Method != "meter" {
			gross, net = math.Hypot(gross, best.Gross.U), math.Hypot(net, best.Net.U)
			continue
		}
		m := meter{l.Instrument, k.v.products.name(k.moves(l))}
		u := straight[m]
		straight[m] = [2]float64{u[0] + best.Gross.U, u[1] + best.Net.U}
	}
	for _, l := range legs { // in their order, so that two renderings are the same
		m := meter{l.Instrument, k.v.products.name(k.moves(l))}
		gross, net = math.Hypot(gross, straight[m][0]), math.Hypot(net, straight[m][1])
		delete(straight, m)
	}
	return gross, net
}

// bestOf is what the legs of a compartment took, unknown where any of them cannot be
// told.
func (k *ledger) bestOf(compartment string) Figure {
	sum, legs := Exact(0, netUnit, reconciledBy), k.drawn[compartment]
	for _, l := range legs {
		sum = sum.Plus(k.legs[l].Best)
	}
	if len(legs) == 0 {
		return floor(Lacking(netUnit, "a leg from "+compartment))
	}
	if t := k.moved(nil, legs); t.reconciled {
		return t.Figure
	}
	return sum
}

// shared is the covariance of two sums of legs: what left the tank and what came off
// the ground may lie in one truck, and the less of it is one, the more is the other.
func (k *ledger) shared(a, b []*Leg) (cov float64) {
	beside := map[*network][]*Leg{}
	for _, y := range b {
		beside[k.netOf[y]] = append(beside[k.netOf[y]], y)
	}
	for _, x := range a {
		for _, y := range beside[k.netOf[x]] {
			if n := k.netOf[x]; k.net && n.checked() && n.told(n.product[x]) && n.told(n.product[y]) {
				cov += n.result.Covariance(n.product[x], n.product[y])
			}
		}
	}
	return cov
}
