package lines

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"tankside/events/kinds"
	"tankside/events/quantity"
)

// odd marks the reading as unsure and says why. It is less than a question: the line is
// kept by one Enter, and the scribe sees what does not fit.
func (l *line) odd(format string, args ...any) {
	l.guess = true
	l.hint(fmt.Sprintf(format, args...))
}

// unlikely looks over what every kind can say wrongly: a thing that is not there, a time
// long ago.
func (l *line) unlikely() {
	l.unround()
	if strings.HasSuffix(strings.TrimSpace(l.raw), "?") || l.says("not sure", "i think", "think", "thinks", "possibly", "might be") {
		l.odd("Said with doubt.")
	}
	l.unlikeDevice()
	l.strangeBlend()
	l.backInTime()
	if len(l.ctx.Compartments) > 1 && !teaches[string(l.typ.Kind)] {
		for _, c := range l.named(compartmentSort) {
			if l.ctx.compartment(c) == nil {
				l.doubt(fmt.Sprintf("%s? %s to %s are known. Enter = keep as typed.", c, l.ctx.Compartments[0].Name, l.ctx.Compartments[len(l.ctx.Compartments)-1].Name))
			}
		}
	}
	if th, ok := l.find(truckSort); ok && needsHere[string(l.typ.Kind)] {
		if t := l.ctx.truck(th.name); t != nil && t.State != Here && t.State != "" {
			l.odd("%s is %s, not here.", t.Name, t.State)
		}
	}
	if l.time.given && l.ctx.Now.Sub(l.time.when.At) > longAgo && !l.time.when.At.IsZero() && !l.ctx.Mishap.IsZero() && l.time.when.At.After(l.ctx.Mishap) {
		l.odd("That is %d min ago.", int(l.ctx.Now.Sub(l.time.when.At).Minutes()))
	}
}

// longAgo is how far back a time lies before it is pointed out (judgement).
const longAgo = 2 * time.Hour

// teaches are the kinds by which compartments become known.
var teaches = wordSet("load_stated tank_measured damage_found mishap dip_read leak_seen")

// needsHere are the kinds that a truck must be here for.
var needsHere = wordSet("stick_read pump_on pump_off custody_passed left_scene truck_checked resistance_read stop_work resume_work")

// unlikeCounted points out a roll call that the board does not bear out.
func unlikeCounted(l *line) {
	in, seen := l.value("in"), l.value("seen")
	if in != "" && seen != "" && in != seen {
		l.odd("The board has %s in, %s answered.", in, seen)
	}
}

// The pressures that people go in and come out on, psi (common practice with bottles of
// 2,216 to 5,500 psi; an odd one is asked about, never refused).
const (
	leastIn  = 1500.0
	mostIn   = 5600.0
	leastOut = 400.0
	apartIn  = 200.0 // of two full bottles
	apartOut = 350.0
)

// unlikelyAir asks about pressures that a pair can hardly have: two people far apart,
// more on the way out than on the way in, too little to go in on.
func unlikelyAir(l *line) {
	var vs []float64
	for _, p := range l.typ.Values(l.payload) {
		if strings.HasPrefix(p.Key, "P") && len(p.Key) > 1 && isDigit(p.Key[1]) && !strings.Contains(p.Key, "_") {
			if a, err := quantity.Parse[quantity.PSI](p.Value); err == nil {
				vs = append(vs, float64(a.Value()))
				l.unlikelyFor(p.Key, float64(a.Value()))
			}
		}
	}
	l.inBar(vs)
	apart := apartOut
	if l.typ.Kind == "in_hot" || l.typ.Kind == "suited_up" {
		apart = apartIn
	}
	if len(vs) == 2 && math.Abs(vs[0]-vs[1]) > apart {
		l.odd("%.0f and %.0f psi are far apart for one pair.", vs[0], vs[1])
	}
}

// psiPerBar is a bar in pounds a square inch.
const psiPerBar = 14.503773773

// inBar asks about pressures that are too low in psi and usual in bar.
func (l *line) inBar(vs []float64) {
	if len(vs) == 0 {
		return
	}
	for _, v := range vs {
		if v*psiPerBar < leastIn || v*psiPerBar > mostIn {
			return
		}
	}
	with := map[string]string{}
	for _, p := range l.typ.Values(l.payload) {
		if f, ok := l.takes(p.Key); ok && len(f.Units) > 0 && f.Units[0] == "psi" && !strings.Contains(p.Value, "bar") {
			with[p.Key] = strings.Fields(p.Value)[0] + " bar"
		}
	}
	if len(with) > 0 {
		l.doubt(fmt.Sprintf("%.0f psi? B = bar (%.0f psi); Enter = keep as psi.", vs[0], vs[0]*psiPerBar), answer{key: "B", label: "bar", with: with})
	}
}

func (l *line) unlikelyFor(who string, v float64) {
	if l.ctx.roundly() && math.Mod(v, 10) != 0 {
		l.odd("%s %.0f psi: so far all were read to 10 psi.", who, v)
	}
	low, high := leastIn, mostIn
	if l.typ.Kind != "in_hot" && l.typ.Kind != "suited_up" {
		low = leastOut
		if p := l.ctx.pair(l.value("pair")); p != nil && p.Air[who] > 0 && len(p.In) > 0 {
			high = p.Air[who]
		}
	}
	if v < low || v > high {
		l.odd("%s %.0f psi: usual is %.0f to %.0f.", who, v, low, high)
	}
}

// roundly reports whether all pressures so far were read to ten psi, as most gauges are.
func (ctx *Context) roundly() bool {
	n := 0
	for _, p := range ctx.Pairs {
		for _, v := range p.Air {
			if math.Mod(v, 10) != 0 {
				return false
			}
			n++
		}
	}
	return n > 1
}

// unlikeFoam points out a flow or a mix other than what the line was set to before.
func unlikeFoam(l *line) {
	for _, set := range []struct {
		key    string
		before Maybe
	}{{"flow", l.ctx.FoamFlow}, {"mix", l.ctx.FoamMix}} {
		v, err := strconv.ParseFloat(strings.Fields(l.value(set.key) + " x")[0], 64)
		if err == nil && set.before.Known && v != set.before.Value {
			l.odd("The %s was %s before.", set.key, quantity.Digits(set.before.Value))
		}
	}
	if v, err := strconv.ParseFloat(strings.Fields(l.value("ran") + " x")[0], 64); err == nil && v > 30 {
		l.odd("%s of foam?", l.value("ran"))
	}
}

// unlikeHole points out a hole of another width than the last of its use.
func unlikeHole(l *line) {
	for i := len(l.ctx.Entries) - 1; i >= 0; i-- {
		k, ok := l.ctx.Entries[i].Payload.(kinds.HoleDrilled)
		if !ok || k.Use != l.value("use") || !k.Size.Said() {
			continue
		}
		if a, err := quantity.Parse[quantity.Inches](l.value("size")); err == nil && a.Value() != k.Size.Value() {
			l.odd("The last hole for %s was %s.", k.Use, k.Size.String())
		}
		return
	}
}

// The weight of a gallon of motor fuels, lb (from 6.0 for light gasoline to 7.4 for
// heavy diesel; product tables of the trade, from memory).
const (
	lightest = 6.0
	heaviest = 7.4
)

// unlikeWeight points out a net weight that what was pumped into the truck does not
// bear out.
func unlikeWeight(l *line) {
	a, err := quantity.Parse[quantity.Pounds](l.value("net"))
	if err != nil {
		return
	}
	gallons, by, wide := l.ctx.metered(l.where), "what was metered", 0.1
	if v, ok := l.ctx.stuck(l.where); ok {
		gallons, by, wide = v, "the stick", 0.02
	}
	if net := float64(a.Value()); gallons > 0 && (net < (1-wide)*lightest*gallons || net > (1+wide)*heaviest*gallons) {
		l.odd("%s lb would be %.1f lb a gallon of %s.", grouped(net), net/gallons, by)
	}
	full, err1 := quantity.Parse[quantity.Pounds](l.value("loaded"))
	empty, err2 := quantity.Parse[quantity.Pounds](l.value("empty"))
	if err1 == nil && err2 == nil && full.Value()-empty.Value() != a.Value() {
		l.doubt(fmt.Sprintf("%s less %s is %s, not %s. Enter = keep as typed.", l.value("loaded"), l.value("empty"), grouped(float64(full.Value()-empty.Value())), l.value("net")))
	}
}

// metered is what the meters say went into a receiver, gal.
func (ctx *Context) metered(to string) (gallons float64) {
	for _, leg := range ctx.Legs {
		if n := len(leg.Readings); leg.To == to && n > 1 {
			gallons += leg.Readings[n-1].Value - leg.Readings[0].Value
		}
	}
	return gallons
}

// stuck is the last stick of a receiver, gal.
func (ctx *Context) stuck(at string) (float64, bool) {
	for _, e := range ctx.latest("stick_read", lookBack) {
		if k := e.Payload.(kinds.StickRead); e.Where == at && k.Reads.Said() {
			return float64(k.Reads.Value()), true
		}
	}
	return 0, false
}

// unlikeLeak points out a rate far from the last of the same leak.
func unlikeLeak(l *line) {
	a, err := quantity.Parse[quantity.GallonsPerMinute](l.value("rate"))
	if err != nil {
		return
	}
	for _, k := range l.ctx.Leaks {
		v := float64(a.Value())
		if k.Where == l.where && k.Rate.Known && k.Rate.Value > 0 && (v > 3*k.Rate.Value || v < k.Rate.Value/100) {
			l.odd("The last rate there was %s gal/min.", quantity.Digits(k.Rate.Value))
		}
	}
}

// unlikeTemp points out a temperature of the product that the night can hardly have.
func unlikeTemp(l *line) {
	a, err := quantity.Parse[quantity.Fahrenheit](l.value("temp"))
	if err == nil && (a.Value() < 0 || a.Value() > 110) {
		l.odd("%s of the product?", l.value("temp"))
	}
}
