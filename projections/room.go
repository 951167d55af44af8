package projections

import (
	"cmp"
	"math"
	"slices"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
	"tankside/projections/calc/petroleum"
	fill "tankside/projections/calc/receiver"
)

// RoomLimit is one rule with what a receiver may hold by it, all told.
type RoomLimit struct {
	Limit string `json:"limit"`
	Hold  Figure `json:"hold"` // gal
	Why   string `json:"why"`
}

// byUsable is the limit that nobody works out: what the haulier says is usable.
const byUsable = "usable volume said"

// trucksTold is what was told of how much each truck may take, by truck.
type trucksTold map[string]truckTold

type truckTold struct {
	product                         string
	capacity, allowed, empty, gross Figure
	axles, wheelbase                Figure
}

func (t *trucksTold) apply(e *events.Entry) {
	switch k := e.Payload.(type) {
	case kinds.TruckOrdered:
		t.tell(k.Truck, func(told *truckTold) {
			told.product = orElse(k.Product, told.product)
			told.capacity, told.allowed = saidLast(k.Capacity, e, told.capacity), saidLast(k.Limit, e, told.allowed)
		})
	case kinds.TruckChecked:
		t.tell(orElse(k.Truck, e.Where), func(told *truckTold) {
			told.capacity, told.allowed = saidLast(k.Capacity, e, told.capacity), saidLast(k.Limit, e, told.allowed)
			told.empty, told.gross = saidLast(k.Empty, e, told.empty), saidLast(k.LimitWeight, e, told.gross)
			told.axles, told.wheelbase = saidLast(k.Axles, e, told.axles), saidLast(k.Wheelbase, e, told.wheelbase)
		})
	}
}

func (t *trucksTold) tell(words string, what func(*truckTold)) {
	name := TruckOf(receiverIn(words))
	if name == "" {
		return
	}
	if *t == nil {
		*t = trucksTold{}
	}
	told := (*t)[name]
	what(&told)
	(*t)[name] = told
}

// rooms works out how much more each receiver may take, when what each holds is known.
func (k *ledger) rooms() {
	for i := range k.receivers {
		k.receivers[i].Limits = k.limits(&k.receivers[i])
		k.receivers[i].room()
	}
}

// room is the smallest limit less what the receiver holds. Below nothing it holds too
// much already.
func (s *ReceiverState) room() {
	if len(s.Limits) == 0 || !s.Limits[0].Hold.Known {
		s.Room, s.RoomBy = s.Usable.Minus(s.held()), ""
		return
	}
	s.RoomBy = s.Limits[0].Limit
	s.Room = s.Limits[0].Hold.Minus(s.held()).As("by " + s.RoomBy + ", less what it holds")
	if !s.Heel.Known && len(s.Gauges) == 0 {
		s.Room.Method = join(s.Room.Method, "what it held on arrival was not recorded, it is taken as empty")
	}
}

// limits lists what the receiver may hold by each rule that enough is known for, the
// least first, and after them those to which something is missing. A weight, and the
// department's own limit, are of the whole truck: of one hole they leave what the
// other holes have not taken.
func (k *ledger) limits(s *ReceiverState) []RoomLimit {
	out := []RoomLimit{}
	if s.Usable.Known {
		out = append(out, RoomLimit{byUsable, s.Usable, s.Usable.Method})
	}
	told := k.v.told[s.Truck]
	others, shared := k.othersHold(s)
	truck := fill.New()
	if !shared {
		truck.Capacity = toldOr(told.capacity, truck.Capacity)
	}
	truck.Allowed = toldOr(told.allowed, truck.Allowed)
	truck.Tare, truck.Gross = toldOr(told.empty, truck.Tare), toldOr(told.gross, told.bridge())
	room, err := truck.Room(k.lading(s, told))
	if err != nil {
		return out // toldOr passes on nothing that could be refused
	}
	from := map[string][]events.Seq{fill.ByOutage: told.capacity.From, fill.ByAllowed: told.allowed.From, fill.ByGross: union(union(told.empty.From, told.gross.From), union(told.axles.From, told.wheelbase.From))}
	for _, l := range room.Limits {
		hold := Exact(float64(l.Hold), "gal", l.Why, from[l.Name]...)
		if l.Name != fill.ByOutage {
			hold = hold.Minus(others)
		}
		out = append(out, RoomLimit{l.Name, hold, l.Why})
	}
	slices.SortStableFunc(out, func(a, b RoomLimit) int { return cmp.Compare(holdsAtMost(a), holdsAtMost(b)) })
	return out
}

// bridge is what the truck may weigh where nobody said it: the federal limit, or less by
// the bridge formula where its axles were told.
func (t *truckTold) bridge() quantity.Pounds {
	if t.axles.Known && t.wheelbase.Known {
		if w, err := fill.Bridge(quantity.Feet(t.wheelbase.Value), int(t.axles.Value)); err == nil {
			return min(w, fill.FederalGross)
		}
	}
	return fill.FederalGross
}

// lading is what the receiver is to take. What was taken up again, or has water in it,
// weighs what water does, at the most.
func (k *ledger) lading(s *ReceiverState, told truckTold) fill.Lading {
	l := fill.Lading{API: k.gravity.of(orElse(s.Product, told.product)), Temp: toldOr(s.temp(Gauge{}), quantity.Fahrenheit(fill.Unknown))}
	l.Product, _ = k.v.products.find(orElse(s.Product, told.product))
	if s.wet() || slices.ContainsFunc(s.legs, func(l *Leg) bool { return !l.fromTank() }) {
		if l.Product.Name == "" {
			l.Product = petroleum.Product{Name: "product and water", Alpha: unnamedAlpha, Blend: true, Fill: fill.ColdFill}
		}
		l.API, l.Product.PerGallon = 0, petroleum.WaterPerGallon
	}
	return l
}

func holdsAtMost(l RoomLimit) float64 {
	if !l.Hold.Known {
		return math.Inf(1)
	}
	return l.Hold.Value
}

// othersHold is what the other holes of the truck hold, and whether there are any.
func (k *ledger) othersHold(s *ReceiverState) (sum Figure, any bool) {
	sum = Exact(0, "gal", "")
	for i := range k.receivers {
		if o := &k.receivers[i]; o.Truck == s.Truck && o.Load == s.Load && o.Receiver != s.Receiver {
			sum, any = sum.Plus(o.held()), true
		}
	}
	return sum, any
}

// toldOr is the value of a figure, or other where nobody told it. No truck has a
// capacity or a weight of nothing: such a figure is one that nobody told.
func toldOr[Q ~float64](f Figure, other Q) Q {
	if !f.Known || f.Unit != "F" && f.Value <= 0 {
		return other
	}
	return Q(f.Value)
}
