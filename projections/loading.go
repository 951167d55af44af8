package projections

import (
	"fmt"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

func (v *Volume) receiver(id string) *Receiver {
	if r := v.receivers[id]; r != nil {
		return r
	}
	if v.receivers == nil {
		v.receivers, v.holes = map[string]*Receiver{}, map[string][]string{}
	}
	r := newReceiver(id)
	if c, ok := v.checks[r.Truck]; ok {
		r.checked(c.e, c.k)
	}
	v.Receivers, v.receivers[id] = append(v.Receivers, r), r
	v.holes[r.Truck] = append(v.holes[r.Truck], id)
	return r
}

type truckCheck struct {
	e *events.Entry
	k kinds.TruckChecked
}

// truckChecked tells the holes of a truck what it held on arrival; holes that are
// heard of later are told then.
func (v *Volume) truckChecked(e *events.Entry, k kinds.TruckChecked) {
	truck := TruckOf(receiverIn(orElse(k.Truck, e.Where)))
	if v.checks == nil {
		v.checks = map[string]truckCheck{}
	}
	v.checks[truck] = truckCheck{e, k}
	for _, r := range v.holesOf(truck) {
		r.checked(e, k)
	}
}

// holesOf returns the receivers that belong to a truck, of the load it is on.
func (v *Volume) holesOf(truck string) (out []*Receiver) {
	for _, id := range v.holes[truck] {
		out = append(out, v.receivers[id])
	}
	return out
}

// gone notes that a truck left with what it holds.
func (v *Volume) gone(truck string) {
	if truck == "" {
		return
	}
	if v.away == nil {
		v.away = map[string]bool{}
	}
	v.away[truck] = true
}

// back starts another load of a truck that left and is here again: it has been
// somewhere else in between, and what it held is known only for the load before.
func (v *Volume) back(truck string) {
	if !v.away[truck] {
		return
	}
	delete(v.away, truck)
	delete(v.checks, truck)
	for _, old := range v.holesOf(truck) {
		r := newReceiver(old.hole)
		r.Load, r.Usable = old.Load+1, old.Usable
		r.ID = fmt.Sprintf("%s load %d", old.hole, r.Load)
		v.Receivers, v.receivers[old.hole] = append(v.Receivers, r), r
	}
}

func (v *Volume) ordered(e *events.Entry, k kinds.TruckOrdered) {
	for _, h := range k.Holes {
		v.receiver(k.Truck + h.Key).Usable = FigureOf(h.Value, "as ordered", e.Seq)
	}
	if len(k.Holes) == 0 && k.Truck != "" {
		v.receiver(k.Truck).Usable = FigureOf(k.Usable, "as ordered", e.Seq)
	}
}

// stick takes a stick of a receiver, or of a compartment of the tank.
func (v *Volume) stick(e *events.Entry, k kinds.StickRead) {
	if c := compartmentOf(e.Where); c != "" {
		v.compartment(c)
		if v.dips.take(e, c, k.Reads, k.WaterLayer); !k.Reads.Said() {
			v.dips.deep(e, c, k.Depth, k.WaterLayer)
		}
		return
	}
	id := receiverIn(e.Where)
	if id == "" {
		v.note(e, "a stick at %q names no receiver and no compartment", e.Where)
		return
	}
	if k.Reads.Said() || k.ProductLayer.Said() {
		v.receiver(id).gauge(e, gaugeOf(e, k.Reads, k.ProductLayer, k.WaterLayer, FigureOf(k.Temp, "", e.Seq)))
	}
}

func (v *Volume) weighed(e *events.Entry, k kinds.ScaleTicket) {
	t := Ticket{At: MomentOf(e), Truck: TruckOf(receiverIn(e.Where)), Ticket: k.Ticket, Net: FigureOf(k.Net, "scale", e.Seq), Expected: Lacking("lb", "measurements of every hole")}
	loaded, empty := FigureOf(k.Loaded, "", e.Seq), FigureOf(k.Empty, "", e.Seq)
	if d := loaded.Minus(empty); d.Known {
		if !t.Net.Known {
			t.Net = d.As("scale")
		} else if t.Net.Value != d.Value {
			v.note(e, "loaded less empty is %s lb, the ticket says %s lb net", quantity.Digits(d.Value), quantity.Digits(t.Net.Value))
		}
	}
	if t.Net.Known && t.Net.U == 0 {
		t.Net.U = scaleDoubt
	}
	if t.of = v.holesOf(t.Truck); t.Truck == "" || len(t.of) == 0 {
		v.note(e, "a ticket at %q is of no truck that took anything", e.Where)
	}
	v.Tickets = append(v.Tickets, t)
}
