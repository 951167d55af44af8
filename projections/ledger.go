package projections

import (
	"slices"
	"strings"
	"time"
)

// ledger is the volumes of one moment, all in one basis: net gallons where the load
// can be reduced to 60 °F, else gross as said. The two are never mixed.
type ledger struct {
	v         *Volume
	now       time.Time
	net       bool
	gravity   gravities
	holds     []string          // compartments, front to rear
	product   map[string]string // by compartment
	ground    string            // what is outside the tank
	legs      map[*Leg]*LegState
	drawn     map[string][]*Leg // by compartment
	tickets   map[*Receiver]*Ticket
	receivers []ReceiverState
	whole     map[*Leg]bool // counted with their receiver
	leaks     []Outflow
	nets      []*network
	netOf     map[*Leg]*network
	netIn     map[*Receiver]*network
	watch     map[*Leg]watched
	overdrawn []Question // about compartments that gave more than they held
	pump      map[*Leg]Figure
	factors   map[factored]factors
}

func (v *Volume) ledger(now time.Time) *ledger {
	k := &ledger{
		v: v, now: now, net: v.Load.reducible(), gravity: v.Load.gravities(v.Load.counts("")), holds: v.holds(), ground: v.onGround(), product: map[string]string{},
		legs: map[*Leg]*LegState{}, drawn: map[string][]*Leg{}, tickets: map[*Receiver]*Ticket{}, whole: map[*Leg]bool{}, watch: map[*Leg]watched{}, factors: map[factored]factors{},
	}
	for _, c := range append([]string{""}, k.holds...) {
		k.product[c] = v.Load.product(c)
	}
	for _, l := range v.Legs {
		k.legs[l] = l.state(k)
		if l.fromTank() {
			k.drawn[l.Compartment] = append(k.drawn[l.Compartment], l)
		}
	}
	k.standApart()
	for i := range v.Tickets {
		for _, r := range v.Tickets[i].of {
			if v.Tickets[i].Net.Known {
				k.tickets[r] = &v.Tickets[i]
			}
		}
	}
	for _, r := range v.Receivers {
		k.receive(r)
	}
	k.rooms()
	for _, o := range v.leaks.all {
		k.leaks = append(k.leaks, o.total(k.drawsOn(o), now))
	}
	k.pump = k.pumps()
	k.reconcile()
	return k
}

// drawsOn lists the legs that may dry up a leak; none where nobody knows which
// compartment it comes from.
func (k *ledger) drawsOn(o *Outflow) []*Leg {
	if o.Compartment == "" {
		return nil
	}
	return k.drawn[o.Compartment]
}

func (k *ledger) receive(r *Receiver) {
	s := r.state(k)
	k.receivers = append(k.receivers, s)
	if s.whole() {
		for _, l := range r.legs {
			k.whole[l] = true
		}
	}
}

// moves is the product of a leg: as said, else what its compartment holds; for a
// leg that draws from elsewhere, what is on the ground.
func (k *ledger) moves(l *Leg) string {
	switch {
	case l.product != "":
		return l.product
	case l.fromTank():
		return k.product[l.Compartment]
	}
	return k.ground
}

// best is the measurement of a leg that counts for now.
func (k *ledger) best(l *Leg) Measurement { return k.legs[l].best }

func (k *ledger) unit() string {
	if k.net {
		return netUnit
	}
	return "gal"
}

func (k *ledger) pick(g Gross, n Net) Figure {
	if k.net {
		return n.Figure
	}
	return g.Figure
}

// asIs brings a gross volume whose temperature nobody read into the ledger.
func (k *ledger) asIs(g Gross, product string) Figure {
	return k.pick(g, k.v.products.liquid(product, k.gravity, Lacking("F")).net(g))
}

func (k *ledger) zero() Figure { return Exact(0, k.unit(), "") }

func (k *ledger) lacking(missing string) Figure { return floor(Lacking(k.unit(), missing)) }

// every is the product under which everything is counted together.
const every = ""

func (k *ledger) load(product string) Figure {
	if product == every {
		t := k.v.Load.total()
		return k.pick(t.Gross, t.Net).As("load")
	}
	sum, n := k.zero(), 0
	for _, c := range k.v.Load.compartments() {
		if k.v.products.of(k.product[c], product) {
			p := k.v.Load.part(c)
			sum, n = sum.Plus(k.pick(p.Gross, p.Net)), n+1
		}
	}
	if n == 0 {
		return k.lacking("load of " + product)
	}
	return sum.As("load")
}

// delivered is what was put off before the mishap, and whether any drop is on
// record.
func (k *ledger) delivered(product string) (Figure, bool) {
	sum, n := k.zero(), 0
	for _, d := range k.v.Load.Deliveries {
		if k.v.products.of(orElse(d.Part.Product, k.product[d.Part.Compartment]), product) {
			sum, n = sum.Plus(k.pick(d.Part.Gross, d.Part.Net)), n+1
		}
	}
	return sum.As("delivered"), n > 0
}

// transferred is what the legs from the tank moved: by receiver where all it took
// in came from the tank and is of one product, else by leg.
func (k *ledger) transferred(product string) (Figure, bool) {
	var whole []*ReceiverState
	for i := range k.receivers {
		if r := &k.receivers[i]; r.whole() && k.v.products.of(r.Product, product) {
			whole = append(whole, r)
		}
	}
	legs := slices.DeleteFunc(k.drawnFor(product), func(l *Leg) bool { return k.whole[l] })
	var waiting []*Leg
	for _, l := range legs {
		if k.waits(l) {
			waiting = append(waiting, l)
		}
	}
	t := k.moved(whole, slices.DeleteFunc(legs, k.waits))
	switch {
	case t.n == 0 && len(waiting) > 0:
		return k.moved(nil, waiting).Figure, true
	case t.reconciled:
		return k.withWaiting(t.As("transferred, "+reconciledBy), waiting), true
	}
	return k.withWaiting(t.As("transferred, best for now"), waiting), t.n > 0
}

// drawnFor lists the legs from the tank that moved a product.
func (k *ledger) drawnFor(product string) (out []*Leg) {
	for _, l := range k.v.Legs {
		if l.fromTank() && k.v.products.of(k.moves(l), product) {
			out = append(out, l)
		}
	}
	return out
}

// takenUp lists the legs that drew a product from elsewhere than the tank.
func (k *ledger) takenUp(product string) (out []*Leg) {
	for _, l := range k.v.Legs {
		if !l.fromTank() && k.v.products.of(k.moves(l), product) {
			out = append(out, l)
		}
	}
	return out
}

// whole reports whether the receiver's volume as a whole can stand for its legs.
func (s *ReceiverState) whole() bool {
	return len(s.legs) > 0 && s.Product != "" && s.Net.Known && !slices.ContainsFunc(s.legs, func(l *Leg) bool { return !l.fromTank() })
}

// released is what left the tank other than by a leg or a drop, and whether there
// is any sign that something did. It is the leaks where each of them has a measured
// rate or a stated loss, else the statements; the two are two sights of one thing
// and never added. What went into pans at the holes comes on top.
func (k *ledger) released(product string) (Figure, bool) {
	pass := func(l *Loss) bool { return k.v.products.of(k.productOf(l), product) }
	leaked, leaks := k.leaked(product)
	spilled := k.v.Losses.spilled(pass)
	sum, sign, how := k.zero(), leaks > 0 || spilled.Known, "released"
	switch {
	case leaks > 0 && leaked.Known:
		sum = leaked
	case spilled.Known:
		if sum = k.asIs(spilled, product); strings.Contains(spilled.Method, areaDepth) {
			how += ", a pool by its area and depth in it, known within a factor of 2"
		}
	case leaks > 0:
		sum = leaked
	}
	for i := range k.v.Losses.Pans {
		if l := &k.v.Losses.Pans[i]; pass(l) {
			sum, sign = sum.Plus(k.asIs(l.Gross, k.productOf(l))), true
		}
	}
	if product != every {
		sum.High += k.unassigned()
	}
	return sum.As(how), sign
}

// unassigned is the most that was released without anybody saying what it was.
func (k *ledger) unassigned() float64 {
	g := k.v.Losses.spilled(func(l *Loss) bool { return k.productOf(l) == "" })
	if !g.Known {
		return 0
	}
	return g.High
}

func (k *ledger) leaked(product string) (Figure, int) {
	sum, n := k.zero(), 0
	for i := range k.leaks {
		if p := k.product[k.leaks[i].Compartment]; k.v.products.of(p, product) {
			sum, n = sum.Plus(k.asIs(k.leaks[i].best(), p)), n+1
		}
	}
	// The doubts of leaks read with one bucket or guessed by one eye are kept in
	// squares: each leak was read for itself.
	return sum, n
}

func (k *ledger) productOf(l *Loss) string {
	if l.Product != "" {
		return l.Product
	}
	if l.Compartment != "" {
		return k.product[l.Compartment]
	}
	return k.product[""]
}

// remaining is what is left aboard by dip.
func (k *ledger) remaining(product string) Figure {
	if d := k.v.dips.total; product == every && len(k.v.dips.last) == 0 && d.product.Known && !k.pumpedSince(d.at.Best, append([]string{""}, k.holds...)...) {
		return k.asIs(d.product, k.product[""]).As("dip")
	}
	sum, n := k.zero(), 0
	for _, c := range k.holds {
		if p := k.product[c]; k.v.products.of(p, product) {
			sum, n = sum.Plus(k.asIs(k.left(c), p)), n+1
		}
	}
	if n == 0 || len(k.v.dips.last) == 0 {
		return k.lacking("dip of what is left aboard")
	}
	return sum.As("dip")
}

// recovered is free liquid product taken up again: by legs that draw from elsewhere
// than the tank, and as stated.
func (k *ledger) recovered(product string) (Figure, bool) {
	sum, n := k.losses(k.v.Losses.Recovered, product)
	for _, l := range k.v.Legs {
		if l.fromTank() {
			continue
		}
		f := k.moved(nil, []*Leg{l}).Figure
		if split := l.stick != nil && l.stick.water.Known; !split && l.product == "" && !k.split(l) {
			f = k.lacking("product in what leg " + l.ID + " took up")
		}
		sum, n = k.share(sum, f, k.moves(l), product, n)
	}
	return sum.As("recovered"), n > 0
}

// split reports whether the readings of its truck tell product from water in what a
// leg took up.
func (k *ledger) split(l *Leg) bool {
	n := k.netOf[l]
	return k.net && n != nil && n.checked() && n.told(n.product[l])
}

func (k *ledger) losses(ls []Loss, product string) (Figure, int) {
	sum, n := k.zero(), 0
	for i := range ls {
		p := orElse(k.productOf(&ls[i]), k.ground)
		sum, n = k.share(sum, k.asIs(ls[i].volume(k.v.products, p), p), p, product, n)
	}
	return sum, n
}

// share adds a figure of one product to the sum for the product asked for. What
// nobody named may be any of it, or none.
func (k *ledger) share(sum, f Figure, is, asked string, n int) (Figure, int) {
	switch {
	case k.v.products.of(is, asked):
		return sum.Plus(f), n + 1
	case is == "":
		f.Known, f.Value, f.Low, f.U = true, 0, 0, 0
		return sum.Plus(f), n + 1
	}
	return sum, n
}

// products lists the products of the load, each once, in the order of its
// compartments, then those that were spilled; nil when there is just one.
func (k *ledger) products() []string {
	var out []string
	add := func(p string) {
		if p != "" && !slices.ContainsFunc(out, func(o string) bool { return k.v.products.same(o, p) }) {
			out = append(out, p)
		}
	}
	for _, c := range k.holds {
		add(k.product[c])
	}
	for _, l := range k.v.Losses.Spills {
		if _, known := k.v.products.find(l.Product); known {
			add(l.Product)
		}
	}
	if len(out) < 2 {
		return nil
	}
	return out
}
