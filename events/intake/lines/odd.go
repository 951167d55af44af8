package lines

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"tankside/events/kinds"
	"tankside/events/quantity"
)

// fromNoHole asks about pumping out of a compartment that has no open hole, and points
// out one whose only open hole is for vapour.
func fromNoHole(l *line) {
	th, ok := l.find(compartmentSort)
	if !ok || len(l.ctx.Holes) == 0 {
		return
	}
	if open := l.ctx.openHoles(th.name); len(open) > 0 {
		if slices.ContainsFunc(open, func(h Hole) bool { return h.Use != "vapour" }) {
			return
		}
		l.odd("Only a hole for vapour is open in %s.", th.name)
		return
	}
	l.doubt("No open hole in " + th.name + " is logged. Pump on? Enter = keep as typed.")
}

// drilledTwice asks about a hole that is open already.
func drilledTwice(l *line) {
	for _, h := range l.ctx.Holes {
		if h.ID == l.value("hole") && h.Through && !h.Plugged {
			l.doubt(h.ID + " is open already. Drilled again? Enter = keep as typed.")
		}
	}
}

// hereTwice points out a truck that is here already, or ordered already.
func hereTwice(l *line) {
	t := l.ctx.truck(l.value("truck"))
	switch {
	case t == nil:
	case l.typ.Kind == "on_scene" && t.State == Here:
		l.odd("%s is here already.", t.Name)
	case l.typ.Kind == "truck_ordered" && t.ETA != "":
		l.odd("%s is ordered already.", t.Name)
	}
}

// backupIn points out a backup who is in.
func backupIn(l *line) {
	if p := l.ctx.pair(l.value("pair")); p != nil && len(p.In) > 0 {
		l.odd("Pair %s is in.", p.Name)
	}
}

// The oxygen that air has, %: outside it either the air or the number is wrong, and both
// must be seen (29 CFR 1910.146(b): under 19.5 is deficient, over 23.5 enriched).
const (
	leastO2 = 19.5
	mostO2  = 23.5
)

func unusualO2(l *line) {
	a, err := quantity.Parse[quantity.Percent](l.value("O2"))
	if v := float64(a.Value()); err == nil && (v < leastO2 || v > mostO2) {
		l.odd("Oxygen %s: is it so? Air has 20.9 %%.", l.value("O2"))
	}
}

// strangeRod points out a rod that nobody drove.
func strangeRod(l *line) {
	th, ok := l.find(rodSort)
	if !ok || len(l.ctx.Rods) == 0 {
		return
	}
	known := strings.Join(l.ctx.Rods, "+")
	for name := range strings.SplitSeq(th.name, "+") {
		if !strings.Contains(known, name) {
			l.odd("%s was not driven yet; %s were.", name, known)
		}
	}
}

// rodOutOfTurn points out a rod that is driven already, or whose number leaves one out.
func rodOutOfTurn(l *line) {
	th, ok := l.find(rodSort)
	if !ok || len(l.ctx.Entries) == 0 {
		return
	}
	next := fmt.Sprintf("G%d", len(l.ctx.Rods)+1)
	switch {
	case slices.Contains(l.ctx.Rods, th.name):
		l.odd("%s is driven already.", th.name)
	case th.name != next && len(th.name) == len(next):
		l.odd("The next rod would be %s.", next)
	}
}

// twoPairs points out a second pair in a line of one: what is said of it is in the words
// only.
func twoPairs(l *line) {
	for _, name := range l.named(pairSort) {
		if name != l.value("pair") {
			l.odd("Pair %s is named too; what it did wants a line of its own.", name)
		}
	}
}

// twoNamed points out that two persons are named where one is meant: who leaves and who
// comes.
func twoNamed(l *line) {
	if len(l.named(personSort)) > 1 {
		l.odd("It is taken to be of %s; the other wants a line of its own.", l.value("person"))
	}
}

// restsAlready points out a pair that goes to rehab and is there, or is in.
func restsAlready(l *line) {
	p := l.ctx.pair(l.value("pair"))
	switch {
	case p == nil:
	case len(p.In) > 0:
		l.odd("Pair %s is in.", p.Name)
	case p.InRehab:
		l.odd("Pair %s is in rehab already.", p.Name)
	}
}

// restsNot points out a pair that leaves rehab and is not logged there.
func restsNot(l *line) {
	name := l.value("pair")
	if th, ok := l.find(personSort); ok && name == "" && len(th.name) > 2 {
		name = th.name[1 : len(th.name)-1]
	}
	switch p := l.ctx.pair(name); {
	case p == nil && name != "" && len(l.ctx.Pairs) > 0:
		l.odd("Pair %s is not logged in rehab.", name)
	case p != nil && !p.InRehab:
		l.odd("Pair %s is not logged in rehab.", p.Name)
	}
}

// The pulses that somebody awake has, a minute (judgement).
const (
	slowestPulse = 30
	fastestPulse = 220
)

func unlikelyPulse(l *line) {
	for _, p := range l.typ.Values(l.payload) {
		if p.Key != "pulse" && !strings.HasSuffix(p.Key, "_pulse") {
			continue
		}
		if a, err := quantity.Parse[quantity.PerMinute](p.Value); err == nil && (a.Value() < slowestPulse || a.Value() > fastestPulse) {
			l.odd("A pulse of %s?", p.Value)
		}
	}
}

// unlikeSum points out a total that its compartments do not add up to.
func unlikeSum(l *line) {
	total, ok := l.gallonsOf("total")
	sum, n := 0.0, 0
	for _, p := range l.typ.Values(l.payload) {
		if v, is := l.gallonsOf(p.Key); is && len(p.Key) == 2 && p.Key[0] == 'C' && isDigit(p.Key[1]) {
			sum, n = sum+v, n+1
		}
	}
	if ok && n > 1 && math.Abs(sum-total) > 0.5*float64(n) { // each may be rounded
		l.odd("The %d compartments add up to %s gal, the total says %s.", n, grouped(sum), grouped(total))
	}
}

// unlikeStick points out a paper that has another stick than was read.
func unlikeStick(l *line) {
	signed, ok := l.gallonsOf("stick")
	for i := len(l.ctx.Entries) - 1; ok && i >= 0; i-- {
		e := &l.ctx.Entries[i]
		k, is := e.Payload.(kinds.StickRead)
		if !is || e.Where != l.where || !k.Reads.Said() {
			continue
		}
		if math.Abs(float64(k.Reads.Value())-signed) > 0.5 {
			l.odd("The stick read %s, entry %d.", k.Reads.String(), e.Seq)
		}
		return
	}
}
