package projections

import (
	"fmt"
	"math"
	"slices"
	"time"

	"tankside/events"
	"tankside/projections/calc/petroleum"
)

// VolumeState is the product at one moment, as the JSON shows it. Headline figures
// are in one basis: net gallons at 60 °F where the load can be reduced, else gross.
type VolumeState struct {
	Basis       string `json:"basis"`
	Capacity    Figure `json:"capacity"`    // of the tank
	Saddle      Figure `json:"saddle_fuel"` // in the tractor's own tanks; in no balance
	Load        Figure `json:"load"`        // before any drop
	Delivered   Figure `json:"delivered"`   // before the mishap
	Transferred Figure `json:"transferred"`
	Released    Figure `json:"released"`
	Recovered   Figure `json:"recovered"`
	Remaining   Figure `json:"remaining"` // by dip
	Aboard      Figure `json:"should_be_aboard"`
	Evaporated  Figure `json:"evaporated"`
	LeftOver    Figure `json:"left_over"`
	Unaccounted Figure `json:"unaccounted"`
	Verdict     string `json:"verdict"`
	// WithSaddle is the load and the fuel in the saddle tanks: all that can run out
	// or burn.
	WithSaddle     Figure `json:"load_and_saddle"`
	AccountedFor   Figure `json:"accounted_for"`   // all that is known to have gone
	MovedShare     Figure `json:"moved_share"`     // % of the load that was transferred
	RecoveredShare Figure `json:"recovered_share"` // % of the released that was recovered

	Balances     []Balance          `json:"balances"`
	Compartments []CompartmentState `json:"compartments"`
	Receivers    []ReceiverState    `json:"receivers"`
	Legs         []LegState         `json:"legs"`
	Leaks        []Outflow          `json:"leaks"`
	Estimates    []Estimate         `json:"estimates"` // in no balance
	SetAside     []SetAside         `json:"set_aside"`
	Reconciled   []Reconciled       `json:"reconciled"`
	Questions    []Question         `json:"questions"`
	Doubts       []Doubt            `json:"doubts"`
	Conflicts    []Conflict         `json:"conflicts"`
	Tickets      []Ticket           `json:"tickets"`
	Labs         []Lab              `json:"lab"`
	Statements   Load               `json:"load_stated"`
	Losses       Losses             `json:"losses"`
	Notes        []Note             `json:"notes"`

	Products []ProductFigures `json:"product_figures"`
}

// LegState is a leg with its volume as it stands.
type LegState struct {
	*Leg
	Product  string        `json:"product"`
	Recovers bool          `json:"recovers"` // draws from elsewhere than the tank
	Measured []Measurement `json:"measurements"`
	Gross    Gross         `json:"gross"`
	Net      Net           `json:"net"`
	Minutes  Figure        `json:"minutes"` // pump running
	Rate     Figure        `json:"rate"`    // gal/min over them
	Spread   Figure        `json:"spread"`
	// Best is the net product on which the readings of its truck agree, BestWater the
	// water that came with it.
	Best      Figure     `json:"best"`
	BestWater Figure     `json:"best_water"`
	Hose      HoseLimits `json:"hose"`
	// Intervals are what its meter counted from each reading to the next.
	Intervals []Between `json:"intervals"`

	best Measurement
	most *Measurement // in place of what is asked about: what it can have been
	asks []SetAside   // what stands apart until somebody answers
}

// SetAside is a measurement that the answer does without, because a person ruled so
// or because no other reading could be the wrong one. It stays in sight.
type SetAside struct {
	What  string    `json:"what"`
	Gross Gross     `json:"gross"`
	Why   string    `json:"why"`
	By    string    `json:"by,omitempty"` // who ruled; left out where nobody did
	At    Moment    `json:"at"`
	Away  *float64  `json:"away"`            // standard errors from what the others say; null where they say nothing
	Asked bool      `json:"asked,omitempty"` // it stands apart only until somebody answers or puts it right
	With  []Instead `json:"with"`            // the answer with it
}

// State works out the product at now, the end of the view.
func (v *Volume) State(now time.Time) VolumeState {
	s, k := v.amounts(now)
	s.Questions = k.asked(&s)
	return s
}

// amounts works out the product without the questions about it, and the ledger to ask
// them of: to find those that were answered takes as long as all the rest.
func (v *Volume) amounts(now time.Time) (VolumeState, *ledger) {
	k := v.ledger(now)
	s := VolumeState{
		Basis: k.basis(), Capacity: known(v.Capacity, "capacity of the tank"), Saddle: known(v.Saddle, "fuel in the saddle tanks"), Balances: k.balances(), Receivers: list(k.receivers), Leaks: list(k.leaks), Estimates: k.estimates(), Doubts: list(v.Doubts),
		Tickets: k.weighed(), Labs: list(v.Labs), Statements: v.Load.listed(), Losses: v.Losses.listed(), Remaining: k.remaining(every), SetAside: []SetAside{},
		Evaporated: k.evaporated(), Legs: []LegState{}, Compartments: []CompartmentState{}, Products: k.figures(),
	}
	s.Conflicts = list(append(v.Load.Conflicts(), v.Losses.conflicts()...))
	s.Load = k.load(every)
	s.Delivered = orLacking(k, "no drop recorded")(k.delivered(every))
	s.Transferred = orLacking(k, "no transfer recorded")(k.transferred(every))
	s.Released = orLacking(k, "no release recorded")(k.released(every))
	s.Recovered = orLacking(k, "nothing recorded as recovered")(k.recovered(every))
	all := s.Balances[0]
	s.Aboard, s.LeftOver, s.Unaccounted, s.Verdict = all.Aboard, all.LeftOver, all.Unaccounted, all.Verdict
	s.AccountedFor, s.MovedShare, s.RecoveredShare = all.AccountedFor, share(s.Transferred, s.Load), share(s.Recovered, s.Released)
	s.WithSaddle = s.Load.Plus(k.asIs(Gross{s.Saddle}, saddleFuel)).As("load and saddle tanks")
	for _, l := range v.Legs {
		leg := *k.legs[l]
		leg.Intervals, leg.Hose = k.between(l), leg.hoses()
		s.Legs = append(s.Legs, leg)
		s.SetAside = append(s.SetAside, k.legs[l].setAside()...)
	}
	for _, r := range k.receivers {
		s.SetAside = append(s.SetAside, r.setAside()...)
	}
	for _, c := range k.holds {
		s.Compartments = append(s.Compartments, k.compartment(c))
	}
	s.withAsked()
	s.reconciliation(k)
	s.Reconciled = list(s.Reconciled)
	s.Notes = list(append(append([]Note{}, v.Notes...), k.oddities(&s)...))
	return s, k
}

// saddleFuel is what a tractor burns. Common practice, no source.
const saddleFuel = "diesel"

// share is a part in percent of a whole; unknown when either is, or when the whole
// may be nothing.
func share(part, whole Figure) Figure {
	if !part.Known || !whole.Known || whole.Low <= 0 {
		return Lacking("%", slices.Concat(part.Missing, whole.Missing)...)
	}
	f := Range(100*part.Low/whole.High, 100*part.Value/whole.Value, 100*part.High/whole.Low, "%", "share", union(part.From, whole.From)...)
	f.U = f.Value * math.Hypot(relative(part), relative(whole))
	return f
}

// relative is the doubt of a figure as a share of it.
func relative(f Figure) float64 {
	if f.Value == 0 {
		return 0
	}
	return f.U / f.Value
}

// known is a figure, or says that it was not recorded.
func known(f Figure, what string) Figure {
	if !f.Known {
		return Lacking("gal", what)
	}
	return f
}

// orLacking turns a figure that nothing was recorded for into an unknown one.
func orLacking(k *ledger, missing string) func(Figure, bool) Figure {
	return func(f Figure, recorded bool) Figure {
		if !recorded {
			return k.lacking(missing)
		}
		return f
	}
}

func (l *Leg) state(k *ledger) *LegState {
	product := k.moves(l)
	s := &LegState{Leg: l, Product: product, Recovers: !l.fromTank(), Measured: list(l.measured(k.v.products.liquid(product, k.gravity, l.Temp), k.v.trust(), k.now)),
		Minutes: l.pumping(k.now)}
	s.choose()
	s.volumes()
	return s
}

// volumes puts the measurement that counts, and its rate, into the state.
func (s *LegState) volumes() {
	s.Rate = Lacking("gpm", "volume and minutes of the leg")
	s.Gross, s.Net, s.Spread = s.best.Gross, s.best.Net, spread(s.Measured)
	if s.Gross.Known && s.Minutes.Known && s.Minutes.Low > 0 {
		s.Rate = Range(s.Gross.Low/s.Minutes.High, s.Gross.Value/s.Minutes.Value, s.Gross.High/s.Minutes.Low, "gpm", "gallons over minutes the pump ran", union(s.Gross.From, s.Minutes.From)...)
	}
}

// choose takes the measurement that counts; where none does, what bounds the
// volume is better than nothing.
func (s *LegState) choose() {
	s.best = Measurement{Gross: noGross("volume of leg " + s.ID), Net: noNet("volume of leg " + s.ID)}
	if s.most != nil {
		s.best = *s.most
	}
	for _, m := range s.Measured {
		if m.Counts {
			s.best = m
			return
		}
		if m.SetAside == "" {
			s.best.Gross, s.best.Net = m.Gross, m.Net
		}
	}
}

func (s *LegState) setAside() (out []SetAside) {
	out = slices.Clone(s.asks)
	for _, m := range s.Measured {
		for _, o := range s.out {
			if o.method == m.Method {
				out = append(out, o.of("leg "+s.ID, m))
			}
		}
	}
	return out
}

func (s *ReceiverState) setAside() (out []SetAside) {
	for _, m := range s.Measured {
		for _, o := range s.out {
			if o.method == m.Method {
				out = append(out, o.of(s.ID, m))
			}
		}
	}
	return out
}

func (o setAside) of(what string, m Measurement) SetAside {
	g := m.Gross
	g.From = union(g.From, []events.Seq{o.seq})
	return SetAside{What: what + ", " + m.Method, Gross: g, Why: o.why, By: o.by, At: o.at, With: []Instead{}}
}

func (k *ledger) compartment(id string) CompartmentState {
	v, product := k.v, k.product[id]
	part := v.Load.part(id)
	s := CompartmentState{Compartment: v.compartment(id), Product: product, Load: k.pick(part.Gross, part.Net), Dip: k.asIs(k.left(id), product)}
	drops, out, lost := k.dropsOf(id), k.legsOf(id), k.lossesOf(id)
	s.Delivered, s.Transferred, s.Released = drops.or("no drop recorded"), out.or("no leg recorded"), lost.or("no release recorded")
	s.Best, s.Section = k.bestOf(id), v.gauging.section(id)
	s.LeftOver = s.Load.Minus(drops.Figure).Minus(out.Figure).Minus(s.Dip).As("load less drops, legs and dip")
	s.Aboard = s.Load.Minus(drops.Figure).Minus(out.Figure).Minus(lost.Figure).As("load less what is known to have gone")
	return s
}

// tally is a sum that knows whether anything was added.
type tally struct {
	Figure
	n          int
	reconciled bool // some of it is
}

func (t *tally) add(f Figure) { t.Figure, t.n = t.Figure.Plus(f), t.n+1 }

// or is the sum, unknown when nothing was recorded.
func (t tally) or(missing string) Figure {
	if t.n == 0 {
		return floor(Lacking(t.Unit, missing))
	}
	return t.Figure
}

func (k *ledger) dropsOf(compartment string) tally {
	t := tally{Figure: k.zero()}
	for _, d := range k.v.Load.Deliveries {
		if d.Part.Compartment == compartment {
			t.add(k.pick(d.Part.Gross, d.Part.Net))
		}
	}
	return t
}

func (k *ledger) legsOf(compartment string) tally {
	return k.moved(nil, k.drawn[compartment])
}

func (k *ledger) lossesOf(compartment string) tally {
	t, product := tally{Figure: k.zero()}, k.product[compartment]
	for i := range k.leaks {
		if k.leaks[i].Compartment == compartment {
			t.add(k.asIs(k.leaks[i].best(), product))
		}
	}
	for i := range k.v.Losses.Pans {
		if l := &k.v.Losses.Pans[i]; l.Compartment == compartment {
			t.add(k.asIs(l.Gross, product))
		}
	}
	return t
}

// weighed sets beside each ticket what the other measurements of the truck's holes
// would weigh.
func (k *ledger) weighed() []Ticket {
	out := make([]Ticket, len(k.v.Tickets))
	for i, t := range k.v.Tickets {
		t.Expected = k.expected(t)
		out[i] = t
	}
	return out
}

func (k *ledger) expected(t Ticket) Figure {
	sum := Exact(0, "lb", "")
	for i := range k.receivers {
		r := &k.receivers[i]
		if len(r.legs) == 0 || !slices.Contains(t.of, r.Receiver) {
			continue
		}
		net := bestWithout(r.Measured, "scale", k.v.trust())
		p, ok := k.v.products.find(r.Product)
		if !ok {
			return Lacking("lb", "the weight of a gallon of what is in "+r.ID)
		}
		per, _ := p.Weight(k.gravity.of(r.Product))
		sum = sum.Plus(times(net.Figure, Exact(per, "lb", ""), "lb", ""))
		if r.Water.Known {
			sum = sum.Plus(times(r.Water.Figure, Exact(petroleum.WaterPerGallon, "lb", ""), "lb", ""))
		}
		sum.Known = sum.Known && net.Known
	}
	return sum.As("what the other measurements would weigh")
}

func bestWithout(ms []Measurement, method string, trust []string) Net {
	var left []Measurement
	for _, m := range ms {
		if m.Method != method {
			m.Counts = false
			left = append(left, m)
		}
	}
	choose(left, trust)
	for _, m := range left {
		if m.Counts {
			return m.Net
		}
	}
	return noNet("a measurement besides the " + method)
}

// oddities are what cannot be as it is logged: more out of a compartment than it
// held, more in a receiver than it takes.
func (k *ledger) oddities(s *VolumeState) (out []Note) {
	for _, l := range s.Legs {
		held := k.v.Load.part(l.Compartment).Gross
		if g := l.Gross; l.Compartment != "" && g.Known && held.Known && g.Value > 1.05*held.Value {
			out = append(out, Note{lastOf(g.From), fmt.Sprintf("leg %s: %s out of %s, which held %s", l.ID, gallons(g.Value), l.Compartment, gallons(held.Value))})
		}
		if text := l.Hose.TooFast(); text != "" {
			out = append(out, Note{lastOf(l.Hose.Fastest.From), "leg " + l.ID + ": " + text})
		}
		for _, n := range l.Notes {
			out = append(out, Note{n.Seq, "leg " + l.ID + ": " + n.Text})
		}
	}
	for _, r := range s.Receivers {
		if r.Room.Known && r.Room.Value < -0.5 {
			out = append(out, Note{lastOf(r.Room.From), fmt.Sprintf("%s holds %s more than it may, by %s", r.ID, gallons(-r.Room.Value), r.RoomBy)})
		}
		for _, n := range r.Notes {
			out = append(out, Note{n.Seq, r.ID + ": " + n.Text})
		}
	}
	return append(out, k.v.Load.Notes...)
}

// lastOf is the newest of the entries behind a figure, 0 when there is none.
func lastOf(from []events.Seq) events.Seq {
	if len(from) == 0 {
		return 0
	}
	return from[len(from)-1]
}
