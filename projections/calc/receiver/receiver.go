// Package receiver says how much more a truck may take: what it holds with the room
// that the rules leave for a hot day, what it may weigh, what it is rated for, what
// the department allows. The smallest wins and is named, and what nobody knows is
// named too.
//
// It informs. Whether a truck is loaded, and how far, is decided by its driver and
// by command.
package receiver

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"tankside/events/quantity"
	"tankside/projections/calc/petroleum"
)

// Unknown stands for a value that nobody gave. It is NaN, never zero.
var Unknown = math.NaN()

// known reports whether a value was given.
func known[Q ~float64](v Q) bool { return !math.IsNaN(float64(v)) }

// Shell is how a tank is kept from heat; it sets the temperature up to which the
// product must have room.
type Shell int

// The shells. Bare, without insulation, is the zero value and the strictest.
const (
	Bare Shell = iota
	ThermallyProtected
	Insulated
)

// Reference returns the temperature of the rule: 115, 110 or 105 °F. Source: 49 CFR
// 173.24b(a) (from memory).
func (s Shell) Reference() quantity.Fahrenheit { return 115 - 5*quantity.Fahrenheit(s) }

// The names of the limits.
const (
	ByOutage  = "outage"
	ByGross   = "gross weight"
	ByRated   = "rated lading"
	ByAllowed = "department's limit"
)

// Outage is the share of a tank's capacity that must stay empty at the reference
// temperature. Source: 49 CFR 173.24b(a) (from memory); it is 0.05 for what is
// poisonous by inhalation, which fuel is not.
const Outage = 0.01

// FederalGross is the gross weight, in lb, of a truck on the interstates. Source:
// 23 USC 127.
const FederalGross quantity.Pounds = 80000

// Truck is what is known of a truck, or of one tank of it. What is not known is
// Unknown; New has all of it so.
type Truck struct {
	Capacity quantity.Gallons // of the tank, stamped
	Shell    Shell
	Heel     quantity.Gallons // what it holds already
	Tare     quantity.Pounds  // with the crew and all it carries, but for the product
	Gross    quantity.Pounds  // what it may weigh: axles, bridges, permit
	Rated    quantity.Pounds  // of lading, by its plate
	Allowed  quantity.Gallons // all told, by the department's own rule
}

// New returns a truck of which nothing is known but the federal gross weight.
func New() Truck {
	gallons, pounds := quantity.Gallons(Unknown), quantity.Pounds(Unknown)
	return Truck{Capacity: gallons, Heel: gallons, Tare: pounds, Gross: FederalGross, Rated: pounds, Allowed: gallons}
}

// Lading is what the truck is to take. A zero Product is one that nobody named.
type Lading struct {
	Product petroleum.Product
	API     quantity.APIGravity // 0 where nobody read it
	Temp    quantity.Fahrenheit // as it flows; Unknown where nobody read it
}

// Limit is one rule with what the truck may hold by it, all told, at the
// temperature of the product.
type Limit struct {
	Name string
	Hold quantity.Gallons
	Why  string
}

// Room is how much more a truck may take.
type Room struct {
	// More is what the truck may still take, at the temperature of the product;
	// Unknown where no limit is known. Below 0 it holds too much already. Where
	// what it holds is missing, More is for an empty truck and may be too much.
	More    quantity.Gallons
	Least   Limit   // that decides; no name where none is known
	Limits  []Limit // all that are known, the least first
	Missing []string
}

// ColdFill is the share that may be filled of a tank of a product nobody named,
// when its temperature is not known either. Trade practice, from memory.
const ColdFill = 0.93

// MaxFill returns the share of a tank that may be filled with the lading now:
//
//	(1 − outage)·VCF(reference)/VCF(now)
//
// and, where the temperature or the product is not known, the product's usual share.
// why says which. Source: 49 CFR 173.24b(a) (from memory).
func MaxFill(s Shell, l Lading) (share float64, why string) {
	if l.Product.Name == "" {
		return ColdFill, "product not known: the usual share for the lightest"
	}
	if !known(l.Temp) {
		return l.Product.Fill, "temperature not known: the usual share for " + l.Product.Name
	}
	hot, _ := l.Product.VCF(l.API, s.Reference())
	now, method := l.Product.VCF(l.API, l.Temp)
	share = min(1, hot/now) * (1 - Outage)
	return share, fmt.Sprintf("%.4g %% empty at %g F, loaded at %.4g F (%s)", Outage*100, s.Reference(), l.Temp, method)
}

// Room returns how much more of the lading the truck may take.
func (t Truck) Room(l Lading) (Room, error) {
	if err := t.check(); err != nil {
		return Room{}, err
	}
	r := Room{More: quantity.Gallons(Unknown)}
	limit := func(name string, hold quantity.Gallons, why string, missing ...string) {
		if known(hold) {
			r.Limits = append(r.Limits, Limit{name, hold, why})
		}
		r.Missing = append(r.Missing, missing...)
	}
	share, why := MaxFill(t.Shell, l)
	limit(ByOutage, t.Capacity*quantity.Gallons(share), why, missing("its capacity", t.Capacity)...)
	t.weights(l, limit)
	limit(ByAllowed, t.Allowed, "the department's own rule")
	slices.SortStableFunc(r.Limits, func(a, b Limit) int { return cmp.Compare(a.Hold, b.Hold) })
	r.Missing = append(r.Missing, missing("what it holds", t.Heel)...)
	r.Missing = append(r.Missing, missing("the product's temperature", l.Temp)...)
	if l.Product.Name == "" {
		r.Missing = append(r.Missing, "the product")
	}
	if len(r.Limits) > 0 {
		r.Least = r.Limits[0]
		r.More = r.Least.Hold
		if known(t.Heel) {
			r.More -= t.Heel
		}
	}
	return r, nil
}

// weights states the limits that are weights, in gallons of the lading as it flows.
func (t Truck) weights(l Lading, limit func(name string, hold quantity.Gallons, why string, missing ...string)) {
	if l.Product.Name == "" {
		return // no weight of a gallon to reckon with
	}
	per, _ := l.Product.Weight(l.API)
	flow := l.Temp
	if !known(flow) {
		flow = 60
	}
	hold := func(w quantity.Pounds) quantity.Gallons {
		return l.Product.Gross(quantity.NetGallons(float64(w)/per), l.API, flow)
	}
	why := fmt.Sprintf("%.0f lb less %.0f lb empty, %.2f lb a net gallon", t.Gross, t.Tare, per)
	limit(ByGross, hold(t.Gross-t.Tare), why, append(missing("its empty weight", t.Tare), missing("what it may weigh", t.Gross)...)...)
	limit(ByRated, hold(t.Rated), fmt.Sprintf("%.0f lb by its plate, %.2f lb a net gallon", t.Rated, per))
}

// missing names what is not known.
func missing[Q ~float64](what string, v Q) []string {
	if known(v) {
		return nil
	}
	return []string{what}
}

// check refuses what no truck can have. Unknown passes.
func (t Truck) check() error {
	for _, f := range []struct {
		what     string
		v, least float64
		unit     string
	}{
		{"capacity", float64(t.Capacity), math.SmallestNonzeroFloat64, "gal"}, {"heel", float64(t.Heel), 0, "gal"},
		{"department's limit", float64(t.Allowed), 0, "gal"}, {"empty weight", float64(t.Tare), math.SmallestNonzeroFloat64, "lb"},
		{"gross weight", float64(t.Gross), math.SmallestNonzeroFloat64, "lb"}, {"rated lading", float64(t.Rated), math.SmallestNonzeroFloat64, "lb"},
	} {
		if f.v < f.least || math.IsInf(f.v, 0) {
			return fmt.Errorf("receiver: %s %g %s cannot be; leave it unknown if nobody knows", f.what, f.v, f.unit)
		}
	}
	if t.Shell < Bare || t.Shell > Insulated {
		return fmt.Errorf("receiver: shell %d is not bare, thermally protected or insulated", t.Shell)
	}
	return nil
}

// Bridge returns the weight, in lb, that a group of axles may have by the bridge
// formula, to the nearest 500:
//
//	W = 500·(L·N/(N − 1) + 12·N + 36)
//
// length is from the first axle of the group to the last; there are two axles or
// more. Source: 23 CFR 658.17.
func Bridge(length quantity.Feet, axles int) (quantity.Pounds, error) {
	if !(length > 0 && length < 200) || axles < 2 {
		return 0, fmt.Errorf("receiver: %d axles in %g ft; want two or more in 0 to 200 ft", axles, length)
	}
	return quantity.Pounds(math.Round(bridge(float64(length), float64(axles))/500) * 500), nil
}

func bridge(length, axles float64) float64 { return 500 * (length*axles/(axles-1) + 12*axles + 36) }
