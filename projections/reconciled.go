package projections

import (
	"fmt"
	"math"
	"slices"

	"tankside/events"
	"tankside/projections/calc/reconcile"
)

// reconciledBy is the method of a figure on which all readings that count agree.
const reconciledBy = "reconciled"

// mostTogether is the most streams that are reconciled at once. No job fills that
// many loads into one truck; a log that says so must not keep the board waiting
// (judgement).
const mostTogether = 80

// solve makes the readings of a group agree. Where they do not and the trucks alone
// cannot tell which of them is wrong, the tank is asked.
func (k *ledger) solve(receivers []*Receiver, legs []*Leg) *network {
	n := k.build(receivers, legs, false)
	if streams := len(n.problem.Streams); streams > mostTogether {
		n.why = fmt.Sprintf("%d streams run into one load, more than the %d that are reconciled at once; the order of trust counts. Log a truck that left and came back", streams, mostTogether)
		return n
	}
	r, err := reconcile.Reconcile(&n.problem)
	if err != nil && len(n.problem.Relations) > 0 {
		n.why = "the laboratory is left out, as no answer comes near it: " + err.Error()
		n.problem.Relations = nil
		r, err = reconcile.Reconcile(&n.problem)
	}
	if err == nil && len(r.Suspects) > 0 && n.askTank(r) {
		r, err = reconcile.Reconcile(&n.problem)
	}
	if err != nil {
		n.why = err.Error()
		return n
	}
	n.result = r
	n.weighHeavier()
	return n
}

// weighHeavier answers the problem again with gallons that weigh more, where weight
// counts, the same readings set aside. Without an answer the bounds are two standard
// errors.
func (n *network) weighHeavier() {
	if !slices.ContainsFunc(n.reads, func(r reading) bool { return r.method == "scale" && r.leg == nil }) {
		return
	}
	h := n.k.build(n.receivers, n.legs, true)
	if len(n.problem.Relations) == 0 {
		h.problem.Relations = nil
	}
	for i := range h.problem.Streams {
		if n.aside(i) {
			h.problem.Streams[i].Ruling = reconcile.Excluded
		}
	}
	n.heavier, _ = reconcile.Solve(&h.problem)
}

// farOff is how many standard errors a leg's reading must lie from what its
// compartment lost before that speaks against it (judgement).
const farOff = 3

// askTank holds the suspects that are of legs against what their compartments lost,
// and reports whether that speaks against any.
func (n *network) askTank(r *reconcile.Result) (told bool) {
	for _, s := range slices.Concat(r.Suspects...) {
		i := slices.IndexFunc(n.reads, func(r reading) bool { return r.stream == s })
		if i < 0 || n.reads[i].leg == nil {
			continue
		}
		l, seen := n.reads[i].leg, n.reads[i].seen
		lost := n.k.lostBy(l)
		if !lost.Known || !seen.Known {
			continue
		}
		if d := seen.Value - lost.Value; math.Abs(d) > farOff*math.Hypot(seen.U, lost.U) {
			n.problem.Streams[s].Doubt = fmt.Sprintf("%s by the load of %s less all else that left it and its dip, %s by the %s",
				gallons(lost.Value), l.Compartment, gallons(seen.Value), n.reads[i].method)
			told = true
		}
	}
	return told
}

// lostBy is what the compartment of a leg must have given to it: its load less its
// drops, its other legs, its releases and its dip. Net; unknown where one of them is.
func (k *ledger) lostBy(l *Leg) Figure {
	c := l.Compartment
	if c == "" || !k.net || len(k.drawn[""]) > 0 {
		return k.lacking("what the compartment of leg " + l.ID + " lost")
	}
	f := k.pick(k.v.Load.part(c).Gross, k.v.Load.part(c).Net).Minus(k.asIs(k.left(c), k.product[c]))
	f = f.Minus(k.dropsOf(c).Figure).Minus(k.lossesOf(c).Figure)
	for _, other := range k.drawn[c] {
		if other != l {
			best := k.best(other)
			f = f.Minus(k.pick(best.Gross, best.Net))
		}
	}
	return f
}

// checked reports whether any reading of the network was checked by another: only
// then is there anything to reconcile.
func (n *network) checked() bool {
	return n.result != nil && (n.result.DF > 0 || len(n.result.SetAside) > 0)
}

// told reports whether a stream can be told from the readings.
func (n *network) told(stream int) bool {
	return n.result != nil && n.result.Estimates[stream].Standing != reconcile.Untold
}

// figure is the sum of terms, net, with its doubt. Where the readings disagree and
// nobody can tell which is wrong, the doubt is stretched by the root of chi-square
// over its degrees of freedom, so that it covers what they say (Birge 1932, from
// memory). The bounds are two standard errors and, where weight counts, what gallons
// heavier or lighter by their own doubt would change.
func (n *network) figure(terms ...reconcile.Term) Figure {
	f := Exact(0, netUnit, reconciledBy, n.from()...)
	f.Value, f.U = n.result.Sum(terms...)
	if math.IsNaN(f.Value) {
		return floor(Lacking(netUnit, "readings of "+n.String()+" that tell it"))
	}
	if n.result.Verdict == reconcile.Disagree {
		f.Method += ", though the readings disagree"
		f.U *= math.Sqrt(n.result.ChiSquare / float64(n.result.DF))
	}
	half := 2 * f.U
	if n.heavier != nil {
		if v, _ := n.heavier.Sum(terms...); !math.IsNaN(v) {
			half += math.Abs(v - f.Value)
		}
	}
	f.Low, f.High = f.Value-half, f.Value+half
	return f
}

// leg is the net product of a leg.
func (n *network) leg(l *Leg) Figure { return n.amount(one(n.product[l])) }

// amount is a figure of what cannot be less than nothing: its bounds are not, and what
// rounding leaves below it is nothing. Where the readings leave no other answer than
// one below nothing, that is what it says.
func (n *network) amount(terms ...reconcile.Term) Figure {
	f := n.figure(terms...)
	if f.Value < 0 && f.Value > -1e-6 {
		f.Value, f.High = 0, math.Max(0, f.High)
	}
	if f.Value >= 0 {
		return floor(f)
	}
	return f
}

func one(stream int) reconcile.Term { return reconcile.Term{Stream: stream, Coef: 1} }

// reconcile makes the readings of every truck agree, and marks what was set aside.
func (k *ledger) reconcile() {
	k.nets = k.networks()
	k.netOf, k.netIn = map[*Leg]*network{}, map[*Receiver]*network{}
	for _, n := range k.nets {
		for _, l := range n.legs {
			k.netOf[l] = n
		}
		for _, r := range n.receivers {
			k.netIn[r] = n
		}
	}
	for _, l := range k.v.Legs {
		k.legs[l].reconciled(k)
	}
	for i := range k.receivers {
		k.receivers[i].reconciled(k)
	}
}

// reconciled puts the answer of the network into a leg.
func (s *LegState) reconciled(k *ledger) {
	n := k.netOf[s.Leg]
	s.Best, s.BestWater = k.unreconciled(n, "leg "+s.ID), Lacking("gal", "no water known of in leg "+s.ID)
	if n != nil && n.result != nil {
		s.Best = n.leg(s.Leg)
	}
	if s.most != nil && !s.Best.Known {
		s.Best = s.most.Net.Figure
	}
	if n == nil || n.result == nil {
		return
	}
	if w, ok := n.water[s.Leg]; ok {
		s.BestWater = waterOf(n, w)
	}
	if n.judge(s.Measured, func(m Measurement) func(reading) bool {
		return func(r reading) bool { return r.leg == s.Leg && r.method == m.Method }
	}, s.Best) {
		choose(s.Measured, k.v.trust())
		s.choose()
		s.volumes()
	}
}

// waterOf is a volume of water: it has the same gallons at any temperature.
func waterOf(n *network, stream int) Figure {
	f := n.amount(one(stream))
	f.Unit = "gal"
	return f
}

func (k *ledger) unreconciled(n *network, of string) Figure {
	if n != nil && n.why != "" {
		return floor(Lacking(netUnit, "an answer for "+of+": "+n.why))
	}
	return floor(Lacking(netUnit, "a reading of "+of))
}

// reconciled puts the answer of the network into a receiver.
func (s *ReceiverState) reconciled(k *ledger) {
	n := k.netIn[s.Receiver]
	s.Best, s.BestWater = k.unreconciled(n, s.ID), Lacking("gal", "no water known of in "+s.ID)
	if n == nil || n.result == nil {
		return
	}
	s.Best = n.amount(one(n.inside[s.Receiver]))
	if w, ok := n.wet[s.Receiver]; ok {
		s.BestWater = waterOf(n, w)
	}
	changed := n.judge(s.Measured, func(m Measurement) func(reading) bool {
		return func(r reading) bool {
			return r.leg == nil && r.method == m.Method && (r.of == s.Receiver || m.Method == "scale" && r.of == n.receivers[0])
		}
	}, s.Best)
	if s.legsAside(n) || changed {
		choose(s.Measured, k.v.trust())
		s.choose()
	}
}

// legsAside sets the sum of the legs aside where it holds a reading that the tests
// set aside, and reports whether it did.
func (s *ReceiverState) legsAside(n *network) (changed bool) {
	for _, a := range n.result.SetAside {
		i := slices.IndexFunc(n.reads, func(r reading) bool { return r.stream == a.Stream })
		r := n.reads[i]
		if a.ByRule || r.leg == nil || !slices.Contains(s.legs, r.leg) {
			continue
		}
		for j := range s.Measured {
			m := &s.Measured[j]
			if at := slices.Index(s.legs, r.leg); at < len(m.holds) && m.holds[at] == r.method && m.SetAside == "" {
				m.SetAside, changed = "holds the "+r.method+" of "+r.what, true
			}
		}
	}
	return changed
}

// judge says of each measurement whether it agrees with all others, and reports
// whether the tests set one aside that counted until now. Measurements that are
// sums or differences of readings are judged by their distance from the answer.
func (n *network) judge(ms []Measurement, is func(Measurement) func(reading) bool, best Figure) (changed bool) {
	for i := range ms {
		m := &ms[i]
		j := lastIndex(n.reads, is(*m))
		if j < 0 {
			m.judged(distance(m.Net.Figure, best), n.limit())
			continue
		}
		s := n.reads[j].stream
		k := slices.IndexFunc(n.result.SetAside, func(a reconcile.SetAside) bool { return a.Stream == s })
		if k < 0 {
			m.judged(n.result.Estimates[s].Z, n.limit())
			continue
		}
		a := n.result.SetAside[k]
		m.judged(a.Z, 0)
		if !a.ByRule && m.SetAside == "" {
			m.SetAside, changed = a.Why, true
		}
	}
	return changed
}

func lastIndex(reads []reading, is func(reading) bool) int {
	for i, r := range slices.Backward(reads) {
		if is(r) {
			return i
		}
	}
	return -1
}

// limit is the number of standard errors from which on a reading disagrees.
func (n *network) limit() float64 {
	if math.IsNaN(n.result.LimitZ) {
		return math.Inf(1)
	}
	return n.result.LimitZ
}

// distance is how many standard errors a measurement lies from an answer that it is
// part of; NaN where nothing but itself is in the answer.
func distance(m, best Figure) float64 {
	if !m.Known || !best.Known || m.U*m.U-best.U*best.U <= 1e-6*m.U*m.U {
		return math.NaN()
	}
	return (m.Value - best.Value) / math.Sqrt(m.U*m.U-best.U*best.U)
}

// judged writes down how far a measurement is away, and the words for it.
func (m *Measurement) judged(z, limit float64) {
	m.Away, m.Agrees = finite(z), "agrees"
	switch {
	case math.IsNaN(z):
		m.Agrees = "not checked"
	case math.Abs(z) > limit:
		m.Agrees = "disagrees"
	}
}

// newest is the newest entry behind the readings of the network.
func (n *network) newest() (last events.Seq) {
	for _, r := range n.reads {
		last = max(last, lastOf(r.seen.From))
	}
	return last
}
