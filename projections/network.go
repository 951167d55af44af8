package projections

import (
	"math"
	"slices"
	"strings"

	"tankside/events"
	"tankside/projections/calc/petroleum"
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
	var out []setAside
	var kept []string
	if r.leg != nil {
		out, kept = r.leg.out, r.leg.kept
	}
	if r.of != nil {
		out, kept = slices.Concat(out, r.of.out), slices.Concat(kept, r.of.kept)
	}
	switch {
	case slices.ContainsFunc(out, func(o setAside) bool { return o.method == r.method }):
		return reconcile.Excluded
	case slices.Contains(kept, r.method):
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
		if m.Method == "stick" || again || !m.Gross.Known || m.ruled && n.weighed(l) {
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

// weighed reports whether a ticket speaks of a leg, so that a volume worked out by
// weight is no second witness.
func (n *network) weighed(l *Leg) bool {
	r := n.receiverOf(l)
	return r != nil && n.k.tickets[r] != nil
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
	low, best, high, _ := liquid{n.k.moves(l), n.k.gravity, temp}.factor()
	return factors{low, best, high}
}

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
			p, known := petroleum.Find(n.k.moves(l))
			if !known || l.begun().After(t.At.Best) || l.open() {
				return
			}
			per, u := p.Weight(n.k.gravity)
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

// tieMeters makes the errors of one meter, filling one hold with one product, one
// error: its sum is in doubt by the sum of the doubts.
func (n *network) tieMeters() {
	for i, a := range n.reads {
		for _, b := range n.reads[:i] {
			if a.leg == nil || b.leg == nil || a.leg == b.leg || a.of == nil || a.of != b.of || a.method != b.method {
				continue
			}
			if a.method == "meter" && a.leg.Instrument == b.leg.Instrument && sameProduct(n.k.moves(a.leg), n.k.moves(b.leg)) {
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
