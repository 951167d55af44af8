package projections

import (
	"math"
	"slices"
	"strings"

	"tankside/events"
	"tankside/projections/calc/reconcile"
)

// network is the readings of liquid that hang together, made to agree: those of a
// truck under one ticket with the legs into it, or of one receiver, or of one leg
// that went nobody knows where. All of it is net gallons at 60 °F; water has no
// correction.
//
// What a compartment held ties trucks together only where nothing was left over,
// and what is left over is what the log is asked for. As an amount that nobody
// measures it takes the compartment's balance with it, so that each truck can be
// answered for itself, and a slip in one moves no other.
type network struct {
	k         *ledger
	problem   reconcile.Problem
	receivers []*Receiver
	legs      []*Leg
	heavy     bool // gallons are taken to weigh more, by the doubt of their weight

	product map[*Leg]int // streams: net product of a leg
	water   map[*Leg]int // the water that came with it, for legs that carry any
	inside  map[*Receiver]int
	wet     map[*Receiver]int
	heel    map[*Receiver]int
	reads   []reading

	result  *reconcile.Result // nil where there is none
	heavier *reconcile.Result // with gallons that weigh more
	why     string            // there is no result
}

// reading is one witness in a network.
type reading struct {
	stream int
	what   string // leg L3, R2
	method string
	leg    *Leg
	of     *Receiver
	gross  Gross // as read
	seen   Figure
}

// networks splits the legs and receivers into those that hang together.
func (k *ledger) networks() (out []*network) {
	done := map[*Receiver]bool{}
	for i := range k.receivers {
		r := k.receivers[i].Receiver
		if done[r] || len(r.legs) == 0 {
			continue
		}
		group := []*Receiver{r}
		if t := k.tickets[r]; t != nil {
			group = t.of
		}
		var legs []*Leg
		for _, g := range group {
			done[g] = true
			legs = append(legs, g.legs...)
		}
		out = append(out, k.solve(group, legs))
	}
	for _, l := range k.v.Legs {
		if receiverIn(l.To) == "" {
			out = append(out, k.solve(nil, []*Leg{l}))
		}
	}
	return out
}

// build writes down what is known of a group of receivers and legs.
func (k *ledger) build(receivers []*Receiver, legs []*Leg, heavy bool) *network {
	n := &network{
		k: k, receivers: receivers, legs: legs, heavy: heavy, product: map[*Leg]int{}, water: map[*Leg]int{},
		inside: map[*Receiver]int{}, wet: map[*Receiver]int{}, heel: map[*Receiver]int{},
	}
	wet := map[*Leg]bool{}
	for _, r := range receivers {
		for _, l := range k.carriesWater(r) {
			wet[l] = true
		}
	}
	for _, l := range legs {
		n.addLeg(l, wet[l] || receiverIn(l.To) == "" && !l.fromTank())
	}
	for _, r := range receivers {
		n.addReceiver(r)
	}
	n.addTicket()
	n.tieMeters()
	return n
}

// stream adds an amount that nobody reads directly.
func (n *network) stream(name string) int {
	n.problem.Streams = append(n.problem.Streams, reconcile.Stream{Name: name})
	return len(n.problem.Streams) - 1
}

// total adds an amount that is the sum of others.
func (n *network) total(name string, of ...int) int {
	s := n.stream(name)
	n.problem.Balances = append(n.problem.Balances, reconcile.Simple(name, of, []int{s}))
	return s
}

// read adds a witness of the sum of terms.
func (n *network) read(r reading, value, sd float64, terms ...reconcile.Term) {
	r.stream = len(n.problem.Streams)
	n.problem.Streams = append(n.problem.Streams, reconcile.Stream{
		Name: r.what + ", " + r.method, Measured: true, Reading: value, SD: sd, Ruling: n.ruling(r), Doubt: n.doubt(r),
	})
	name := r.what + " by " + r.method
	n.problem.Balances = append(n.problem.Balances, reconcile.Balance{Name: name, Terms: append(terms, reconcile.Term{Stream: r.stream, Coef: -1})})
	n.reads = append(n.reads, r)
}

// ruling is what a person decided about a reading of a leg, or of its receiver.
func (n *network) ruling(r reading) reconcile.Ruling {
	var out, kept []setAside
	if r.leg != nil {
		out, kept = r.leg.out, r.leg.kept
	}
	if r.of != nil {
		out, kept = slices.Concat(out, r.of.out), slices.Concat(kept, r.of.kept)
	}
	same := func(o setAside) bool { return o.method == r.method }
	switch {
	case slices.ContainsFunc(out, same):
		return reconcile.Excluded
	case slices.ContainsFunc(kept, same):
		return reconcile.Kept
	}
	return reconcile.Unruled
}

// doubt is what the intervals of a leg say against its meter.
func (n *network) doubt(r reading) string {
	if r.leg == nil || r.method != "meter" {
		return ""
	}
	return n.k.watched(r.leg).against
}

func (n *network) addLeg(l *Leg, wet bool) {
	name := "leg " + l.ID
	n.product[l] = n.stream(name)
	carried := []reconcile.Term{{Stream: n.product[l], Coef: 1}}
	if wet {
		n.water[l] = n.stream("water of " + name)
	}
	for i, m := range n.k.legs[l].Measured {
		ms := n.k.legs[l].Measured
		again := slices.ContainsFunc(ms[i+1:], func(o Measurement) bool { return o.Method == m.Method })
		if again || !m.Gross.Known || m.asked != 0 || n.witnessed(l, m.Method) {
			continue
		}
		r := reading{what: name, method: m.Method, leg: l, of: n.receiverOf(l), gross: m.Gross, seen: m.Net.Figure}
		if wet && m.Product == "" {
			n.read(r, m.Gross.Value, spreadOf(m.Gross.Figure, m.Method), n.contents([]*Leg{l}, Lacking("F"))...)
			continue
		}
		n.read(r, m.Net.Value, spreadOf(m.Net.Figure, m.Method), carried...)
	}
}

// witnessed reports whether a stick or a ticket of its truck already speaks of a leg,
// so that a volume worked out from them is no second witness.
func (n *network) witnessed(l *Leg, method string) bool {
	r := n.receiverOf(l)
	switch {
	case r == nil:
		return false
	case method == "stick":
		return slices.ContainsFunc(r.Gauges, func(g Gauge) bool { return g.settled })
	}
	return (method == "scale" || method == byRuling) && n.k.tickets[r] != nil
}

func (n *network) receiverOf(l *Leg) *Receiver {
	for _, r := range n.receivers {
		if slices.Contains(r.legs, l) {
			return r
		}
	}
	return nil
}

// spreadOf is the standard uncertainty of a reading: as it says, not less than its
// bounds leave open, the usual one of the method where it says nothing, and never
// less than a reading in whole gallons has.
func spreadOf(f Figure, method string) float64 {
	u := f.U
	if w := (f.High - f.Low) / math.Sqrt(12); w > u && !math.IsInf(w, 0) {
		u = w
	}
	if u == 0 {
		share, ok := shares[method]
		if !ok {
			share = shares["estimate"]
		}
		u = share * f.Value
	}
	return math.Max(u, wholeGallon)
}

// wholeGallon is the standard uncertainty of a reading to the gallon (JCGM 100,
// 4.3.7: a step of 1 over the root of 12).
const wholeGallon = 0.29

// contents is what lies in a hold after so many legs, gross, as terms.
func (n *network) contents(legs []*Leg, temp Figure) (terms []reconcile.Term) {
	for _, l := range legs {
		terms = append(terms, reconcile.Term{Stream: n.product[l], Coef: 1 / n.factor(l, temp).best})
		if w, ok := n.water[l]; ok {
			terms = append(terms, reconcile.Term{Stream: w, Coef: 1})
		}
	}
	return terms
}

// factors are those that reduce a gross volume to 60 °F.
type factors struct{ low, best, high float64 }

// factor reduces the product of a leg: at the temperature of the gauge where one was
// read, else at that of the leg.
func (n *network) factor(l *Leg, temp Figure) factors {
	if !temp.Known {
		temp = l.Temp
	}
	of := factored{n.k.moves(l), temp.Known, temp.Low, temp.Value, temp.High}
	f, ok := n.k.factors[of]
	if !ok {
		f.low, f.best, f.high, _ = n.k.v.products.liquid(of.product, n.k.gravity, temp).factor()
		n.k.factors[of] = f
	}
	return f
}

// factored is what the factors of a volume depend on: a truck is filled by many legs
// of one product and one temperature.
type factored struct {
	product         string
	read            bool // the temperature
	low, best, high float64
}

// tieMeters makes the errors of one meter, filling one hold with one product, one
// error: its sum is in doubt by the sum of the doubts.
func (n *network) tieMeters() {
	for i, a := range n.reads {
		for _, b := range n.reads[:i] {
			if a.leg == nil || b.leg == nil || a.leg == b.leg || a.of == nil || a.of != b.of || a.method != b.method {
				continue
			}
			if a.method == "meter" && a.leg.Instrument == b.leg.Instrument && n.k.v.products.same(n.k.moves(a.leg), n.k.moves(b.leg)) {
				n.problem.Correlations = append(n.problem.Correlations, reconcile.Correlation{A: a.stream, B: b.stream, R: 1})
			}
		}
	}
}

// carriesWater lists the legs into a receiver that brought water along: those that
// draw from elsewhere than the tank; where there is none, all that had run when
// water was first found in the receiver.
func (k *ledger) carriesWater(r *Receiver) (out []*Leg) {
	first := len(r.legs)
	for _, g := range r.Gauges {
		if g.Water.Known && g.Water.Value > 0 {
			first = min(first, g.ran)
		}
	}
	for _, l := range r.legs {
		if !l.fromTank() {
			out = append(out, l)
		}
	}
	found := slices.ContainsFunc(r.Gauges, func(g Gauge) bool { return g.Water.Known && g.Water.Value > 0 }) ||
		slices.ContainsFunc(k.v.Labs, func(l Lab) bool { return l.of == r && l.Water.Known && l.Water.Value > 0 })
	if found && !slices.ContainsFunc(r.legs[:first], func(l *Leg) bool { return !l.fromTank() }) {
		out = append(out, r.legs[:first]...)
	}
	return out
}

// names lists what the network is of, for a sentence.
func (n *network) names() []string {
	var out []string
	for _, r := range n.receivers {
		if len(r.legs) > 0 {
			out = append(out, r.ID)
		}
	}
	if len(out) == 0 {
		for _, l := range n.legs {
			out = append(out, "leg "+l.ID)
		}
	}
	return out
}

func (n *network) String() string { return strings.Join(n.names(), " and ") }

// all lists the entries behind its readings.
func (n *network) all() (out []events.Seq) {
	for _, r := range n.reads {
		out = union(out, r.seen.From)
	}
	return out
}

// about names its legs and trucks, as a ruling does.
func (n *network) about() (out []string) {
	for _, l := range n.legs {
		out = append(out, "leg "+l.ID)
	}
	for _, r := range n.receivers {
		out = append(out, r.ID)
	}
	return out
}

// from lists the entries behind the readings that count.
func (n *network) from() (out []events.Seq) {
	for _, r := range n.reads {
		if !n.aside(r.stream) {
			out = append(out, r.seen.From...)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// aside reports whether a reading is set aside.
func (n *network) aside(stream int) bool {
	return n.result != nil && slices.ContainsFunc(n.result.SetAside, func(a reconcile.SetAside) bool { return a.Stream == stream })
}
