package projections

import (
	"fmt"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

// Trusted is the order in which ways to measure a volume are believed, best first,
// until all of them are reconciled. Common practice, no source.
var Trusted = []string{"scale", "meter", "stick", "strokes", "flow x time", "estimate"}

// Volume is the product: what was in the tank, where it went and by which
// measurement anybody knows.
type Volume struct {
	Trust     []string // order of trust; Trusted when nil
	Load      Load
	Legs      []*Leg
	Receivers []*Receiver
	Tickets   []Ticket
	Doubts    []Doubt
	Losses    Losses
	Labs      []Lab
	Capacity  Figure // of the tank, gal
	Saddle    Figure // fuel in the tractor's own tanks, gal; in no balance
	Notes     []Note

	mishap       Moment
	worked       Moment // first hole, pump or lift
	leaks        leaks
	weather      Weather
	was          func() *asSaid   // worked out when first asked for; nil where nothing was folded
	log          *events.Timeline // to look up when the post was told
	foamed       []blanket
	dips         dips
	gauging      gauging
	told         trucksTold
	products     products
	legs         map[string]*Leg
	receivers    map[string]*Receiver  // by hole, of the load the truck is on
	holes        map[string][]string   // by truck
	checks       map[string]truckCheck // the last of each truck
	away         map[string]bool       // trucks that left
	compartments []*Compartment
	numbered     int // legs without a name of their own
}

// Lab is a result from a laboratory on a receiver's contents.
type Lab struct {
	At     Moment `json:"at"`
	Of     string `json:"of"`
	Water  Figure `json:"water"` // % by volume
	Oil    Figure `json:"oil"`
	Solids Figure `json:"solids"`
	Flash  Figure `json:"flash"`

	of *Receiver
}

// Apply folds one live entry.
func (v *Volume) Apply(e *events.Entry) {
	v.Load.apply(e)
	v.leaks.apply(e, v)
	v.Losses.apply(e)
	v.states(e)
	v.gauging.apply(e)
	v.told.apply(e)
	v.weather.Apply(e)
	switch k := e.Payload.(type) {
	case kinds.Mishap:
		if v.mishap.IsZero() {
			v.mishap = MomentOf(e)
		}
		if k.Capacity.Said() {
			v.Capacity = FigureOf(k.Capacity, "", e.Seq)
		}
	case kinds.DamageFound:
		if k.Capacity.Said() {
			v.Capacity = FigureOf(k.Capacity, "from the plate", e.Seq)
		}
		if k.SaddleFuel.Said() {
			v.Saddle = FigureOf(k.SaddleFuel, "as said", e.Seq)
		}
	case kinds.HoleDrilled, kinds.OutletOpened, kinds.LiftBegun:
		v.work(e)
	case kinds.PumpOn:
		v.work(e)
		v.pumpOn(e, k)
	case kinds.MeterRead:
		v.running(e, k.Leg).read(e, k)
	case kinds.PumpOff:
		v.pumpOff(e, k)
	case kinds.PumpHeld:
		v.running(e, k.Leg).held(e, k)
	case kinds.GallonsTransferred:
		v.transferred(e, k)
	case kinds.TruckOrdered:
		v.ordered(e, k)
	case kinds.OnScene:
		v.back(k.Truck)
	case kinds.LeftScene:
		v.gone(k.Truck)
	case kinds.TruckChecked:
		v.truckChecked(e, k)
	case kinds.StickRead:
		v.stick(e, k)
	case kinds.ScaleTicket:
		v.weighed(e, k)
	case kinds.DipRead, kinds.CompartmentEmptied:
		v.dips.apply(e)
	case kinds.LabResult:
		v.Labs = append(v.Labs, Lab{MomentOf(e), e.Where, FigureOf(k.Water, "lab", e.Seq), FigureOf(k.Oil, "lab", e.Seq),
			FigureOf(k.Solids, "lab", e.Seq), FigureOf(k.Flash, "lab", e.Seq), v.receivers[receiverIn(e.Where)]})
	case kinds.DoubtRaised:
		v.Doubts = append(v.Doubts, Doubt{About: orElse(k.About, e.Where), Gap: FigureOf(k.Gap, "", e.Seq), Raised: MomentOf(e), id: e.ID})
	case kinds.DoubtSettled:
		v.settle(e, k)
	case kinds.FoamApplied:
		v.foamed = append(v.foamed, blanket{MomentOf(e), e.Where})
	}
}

func (v *Volume) trust() []string {
	if v.Trust != nil {
		return v.Trust
	}
	return Trusted
}

func (v *Volume) note(e *events.Entry, format string, args ...any) {
	v.Notes = append(v.Notes, Note{e.Seq, fmt.Sprintf(format, args...)})
}

func (v *Volume) work(e *events.Entry) {
	if v.worked.IsZero() {
		v.worked = MomentOf(e)
	}
}

// legKey is the name under which a leg is found again: its own, or where it runs.
func legKey(e *events.Entry, leg string) string {
	if leg != "" {
		return leg
	}
	return "at " + e.Where
}

// add puts a leg on the list and into its receiver.
func (v *Volume) add(key string, l *Leg) *Leg {
	if v.legs == nil {
		v.legs = map[string]*Leg{}
	}
	v.Legs, v.legs[key] = append(v.Legs, l), l
	if id := receiverIn(l.To); id != "" {
		r := v.receiver(id)
		r.legs, r.going, r.since = append(r.legs, l), append(r.going, l), append(r.since, l)
	}
	return l
}

// name is the name of a new leg: as said, with a number where it was used before,
// or a number alone.
func (v *Volume) name(e *events.Entry, leg string) string {
	if leg == "" {
		v.numbered++
		return fmt.Sprintf("unnamed %d", v.numbered)
	}
	if v.legs[leg] != nil {
		return fmt.Sprintf("%s (from entry %d)", leg, e.Seq)
	}
	return leg
}

func (v *Volume) pumpOn(e *events.Entry, k kinds.PumpOn) {
	key := legKey(e, k.Leg)
	if l := v.legs[key]; l != nil && l.open() {
		l.note(e, "pump on again without having been off")
		return
	}
	v.add(key, newLeg(e, v.name(e, k.Leg), k.From, k.To)).begin(e, k)
}

// running returns the leg an entry is about. One that was never logged as begun is
// taken up as it stands.
func (v *Volume) running(e *events.Entry, leg string) *Leg {
	if l := v.legs[legKey(e, leg)]; l != nil {
		return l
	}
	if leg == "" {
		if l := v.onlyRunning(); l != nil {
			return l
		}
	}
	l := v.add(legKey(e, leg), newLeg(e, v.name(e, leg), "", ""))
	l.note(e, "the pump was never logged as on")
	return l
}

func (v *Volume) onlyRunning() (found *Leg) {
	for _, l := range v.Legs[max(0, len(v.Legs)-8):] { // more pumps than that run on no job
		if l.open() {
			if found != nil {
				return nil
			}
			found = l
		}
	}
	return found
}

func (v *Volume) pumpOff(e *events.Entry, k kinds.PumpOff) {
	l := v.running(e, k.Leg)
	if !l.Stop.IsZero() {
		l.note(e, "pump off again; the first time stands")
		return
	}
	l.stop(e, k)
	if k.Stick.Said() || k.ProductLayer.Said() {
		if id := receiverIn(l.To); id != "" {
			v.receiver(id).gauge(e, gaugeOf(e, k.Stick, k.ProductLayer, k.WaterLayer, l.Temp))
		} else {
			l.note(e, "the stick has no receiver: "+orElse(l.To, "nowhere")+" names none")
		}
	}
}

func gaugeOf(e *events.Entry, all, product, water quantity.Amount[quantity.Gallons], temp Figure) Gauge {
	g := Gauge{At: EndOf(e), All: grossOf(all, "stick", e), Product: grossOf(product, "stick", e), Water: grossOf(water, "stick", e), Temp: temp, Method: "stick"}
	switch {
	case g.Product.Known && g.Water.Known && !g.All.Known:
		g.All = g.Product.Plus(g.Water)
	case g.All.Known && g.Water.Known && !g.Product.Known:
		g.Product = g.All.Minus(g.Water)
	case g.All.Known && g.Product.Known && !g.Water.Known:
		g.Water = g.All.Minus(g.Product)
	}
	return g
}

// transferred takes an amount that somebody stated: of a leg that is known, or as
// a leg of its own.
func (v *Volume) transferred(e *events.Entry, k kinds.GallonsTransferred) {
	l := v.legs[k.Leg]
	if k.Leg == "" || l == nil {
		l = v.add(orElse(k.Leg, fmt.Sprint("entry ", e.Seq)), newLeg(e, v.name(e, k.Leg), k.From, k.To))
		l.Stop = EndOf(e)
		if e.Occurred.Form == events.Span {
			l.Start = MomentOf(e)
		}
	}
	m := Measurement{Method: orElse(k.Method, "estimate"), Product: k.Product, Temp: FigureOf(k.Temp, "", e.Seq), Water: noGross(), Net: noNet()}
	m.Gross = grossOf(k.Amount, m.Method, e)
	if !m.Gross.Known && k.StrokeCount.Said() && k.PerStroke.Said() {
		m.Method = "strokes"
		m.Gross = Gross{strokesOf(FigureOf(k.StrokeCount, "", e.Seq), FigureOf(k.PerStroke, "", e.Seq))}
	}
	if !m.Gross.Known {
		m.Gross.Missing = append(m.Gross.Missing, "amount of leg "+l.ID)
	}
	m.Gross.Figure = doubt(m.Gross.Figure, m.Method)
	if k.Basis == "net" {
		m.Net, m.Gross = Net{m.Gross.Figure}, noGross()
		m.Net.Unit = netUnit
	}
	l.product = orElse(k.Product, l.product)
	l.told = append(l.told, m)
}

// onGround is the product outside the tank where nobody named it: the only one
// aboard, else the only one that leaks; "" when there are several.
func (v *Volume) onGround() string {
	one := v.Load.only()
	if one != "" {
		return one
	}
	for _, o := range v.leaks.all {
		p := v.Load.product(o.Compartment)
		if one != "" && !v.products.same(one, p) {
			return ""
		}
		one = p
	}
	return one
}
