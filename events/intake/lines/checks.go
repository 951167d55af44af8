package lines

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"tankside/events/quantity"
)

// inTwice asks about a pair that goes in and is in already.
func inTwice(l *line) {
	p := l.ctx.pair(l.value("pair"))
	if p == nil || len(p.In) == 0 || len(l.named(personSort)) > 0 || l.time.given {
		return
	}
	l.doubt(fmt.Sprintf("Pair %s is in since %s. In again? Enter = keep as typed; O = out.", p.Name, p.Since.In(l.ctx.here().Location()).Format("15:04")),
		answer{key: "O", label: "pair " + p.Name + " out", line: swapWord(l.raw, "in", "out")})
}

// neverIn asks about a pair that comes out and was not in.
func neverIn(l *line) {
	name := l.value("pair")
	p := l.ctx.pair(name)
	if name == "" || len(l.named(personSort)) > 0 || p != nil && len(p.In) > 0 || l.time.given && p != nil && p.EverIn || len(l.ctx.Pairs) == 0 {
		return
	}
	if p != nil && p.EverIn {
		l.doubt(fmt.Sprintf("Pair %s is out already, by the log. Out again? Add an in-time (pair %s in at ....) or Enter = keep as typed.", name, name))
		return
	}
	l.doubt(fmt.Sprintf("Pair %s was never logged in. Add an in-time (pair %s in at ....) or Enter = keep; the board will show in-time unknown.", name, name))
}

// swapWord puts b in place of the word a.
func swapWord(s, a, b string) string {
	fields := strings.Fields(s)
	for i, f := range fields {
		if strings.EqualFold(strings.Trim(f, ",;"), a) {
			fields[i] = b
			break
		}
	}
	return strings.Join(fields, " ")
}

// The share of a leg's own mean rate outside which a reading is asked about.
const (
	slowest = 0.4
	fastest = 1.6
)

// meterChecks asks about a reading that runs back, or that the leg's own rate does not
// bear out, and names the likely slip.
func meterChecks(l *line) {
	key := "reads"
	if l.typ.Kind == "pump_off" {
		key = "meter"
	}
	leg := l.leg()
	now, ok := l.gallonsOf(key)
	if leg == nil || !ok || len(leg.Readings) == 0 {
		return
	}
	last := leg.Readings[len(leg.Readings)-1]
	mins := l.time.when.At.Sub(last.At).Minutes()
	switch mean, known := leg.mean(); {
	case now < last.Value:
		l.slip(key, fmt.Sprintf("%s is less than the last reading, %s.", l.value(key), grouped(last.Value)), func(v float64) bool { return v >= last.Value && l.likely(leg, v, mins) })
	case known && mins > 0.5 && ((now-last.Value)/mins > fastest*mean || (now-last.Value)/mins < slowest*mean && l.typ.Kind == "meter_read"):
		l.slip(key, fmt.Sprintf("That is %s gal in %.0f min; this leg runs %.0f a minute.", grouped(now-last.Value), mins, mean), func(v float64) bool { return l.likely(leg, v, mins) })
	}
}

// mean is the leg's rate over all of its readings, in gal/min.
func (leg *Leg) mean() (float64, bool) {
	n := len(leg.Readings)
	if n < 2 {
		return 0, false
	}
	a, b := leg.Readings[0], leg.Readings[n-1]
	mins := b.At.Sub(a.At).Minutes()
	if mins <= 0 || b.Value <= a.Value {
		return 0, false
	}
	return (b.Value - a.Value) / mins, true
}

// likely reports whether a reading fits the leg's rate.
func (l *line) likely(leg *Leg, v, mins float64) bool {
	last := leg.Readings[len(leg.Readings)-1]
	mean, known := leg.mean()
	if !known || mins <= 0 {
		return v > last.Value && v < last.Value+100*math.Max(mins, 1)
	}
	rate := (v - last.Value) / mins
	return rate > 0.7*mean && rate < 1.4*mean
}

// slip asks about the number under key. The likeliest slip that fits is offered: litres
// for gallons, a digit hit beside the right one, two changed about, one too many or too
// few.
func (l *line) slip(key, what string, fits func(float64) bool) {
	text := strings.Fields(l.value(key) + " ")[0]
	answers := []answer{}
	if v, err := strconv.ParseFloat(text, 64); err == nil && fits(v/litres) {
		answers = append(answers, answer{key: "L", label: fmt.Sprintf("litres (%.0f gal)", v/litres), with: map[string]string{key: text + " L"}})
	}
	for _, s := range slipsOf(text) {
		if v, err := strconv.ParseFloat(s, 64); err == nil && len(answers) == 0 && fits(v) {
			answers = append(answers, answer{key: "S", label: s, with: map[string]string{key: s}})
		}
	}
	for _, a := range answers {
		what += fmt.Sprintf(" %s = %s?", a.key, a.label)
	}
	l.doubt(what+" Enter = keep "+l.value(key)+" as doubtful.", answers...)
}

// litres in a US gallon of 231 cubic inches.
const litres = 3.785411784

// slipsOf are the numbers that s may have been meant for: digits changed about, one
// digit next to the right one on the keyboard, a nought too many or too few.
func slipsOf(s string) (out []string) {
	b := []byte(s)
	for i := 0; i+1 < len(b); i++ {
		if isDigit(b[i]) && isDigit(b[i+1]) && b[i] != b[i+1] {
			out = append(out, s[:i]+string(b[i+1])+string(b[i])+s[i+2:])
		}
	}
	for i, c := range b {
		if !isDigit(c) {
			continue
		}
		for _, d := range []byte{c - 1, c + 1} {
			if isDigit(d) {
				out = append(out, s[:i]+string(d)+s[i+1:])
			}
		}
	}
	if rest, ok := strings.CutSuffix(s, "0"); ok && rest != "" {
		out = append(out, rest)
	}
	return append(out, s+"0")
}

// tooMuch asks about more coming out of a compartment than it held.
func tooMuch(l *line) {
	leg := l.leg()
	now, ok := l.gallonsOf("meter")
	if leg == nil || !ok {
		return
	}
	c := l.ctx.compartment(leg.From)
	if c == nil {
		return
	}
	start, before := 0.0, c.Pumped.Value
	if n := len(leg.Readings); n > 0 {
		start = leg.Readings[0].Value
		before -= leg.Readings[n-1].Value - start
	}
	out := now - start
	most, what := c.Capacity, "holds"
	if !most.Known {
		most, what = c.Load, "was loaded with"
	}
	if !most.Known || out+math.Max(before, 0) <= most.Value*1.05 {
		return
	}
	text := strings.Fields(l.value("meter"))[0]
	question := fmt.Sprintf("%s %s %s gal. %s gal went out of it?", c.Name, what, grouped(most.Value), grouped(out))
	if v := out / litres; !strings.HasSuffix(l.value("meter"), "L") && v+math.Max(before, 0) <= most.Value*1.05 {
		l.doubt(question+fmt.Sprintf(" Enter = keep as typed and mark doubtful; L = litres (%.0f gal).", v),
			answer{key: "L", label: fmt.Sprintf("litres (%.0f gal)", v), with: map[string]string{"meter": text + " L"}})
		return
	}
	l.slip("meter", question, func(v float64) bool { return v-start+before <= most.Value*1.05 && v-start > 0.5*most.Value })
}

// overRoom asks about a meter that says more than the truck has room for.
func overRoom(l *line) {
	leg := l.leg()
	key := "reads"
	if l.typ.Kind == "pump_off" {
		key = "meter"
	}
	now, ok := l.gallonsOf(key)
	if leg == nil || !ok || len(leg.Readings) == 0 || len(l.asks) > 0 {
		return
	}
	t := l.ctx.truck(leg.To)
	more := now - leg.Readings[len(leg.Readings)-1].Value
	if t == nil || t.Name != leg.To || !t.Room.Known || more <= t.Room.Value+1 {
		return
	}
	l.slip(key, fmt.Sprintf("%s had room for %s gal more. %s more went into it?", t.Name, grouped(t.Room.Value), grouped(more)),
		func(v float64) bool { return v-now+more > 0 && v-now+more <= t.Room.Value })
}

// overUsable asks about a truck that holds more than it can, and a stick that the
// meters do not bear out.
func overUsable(l *line) {
	v, ok := l.gallonsOf("reads")
	t := l.ctx.truck(l.where)
	if !ok || t == nil {
		return
	}
	sum := 0.0
	for _, leg := range l.ctx.Legs {
		if n := len(leg.Readings); leg.To == l.where && n > 0 {
			sum += leg.Readings[n-1].Value - leg.Readings[0].Value
		}
	}
	near := func(x float64) bool { return math.Abs(x-sum) < 0.03*sum }
	switch {
	case t.Usable.Known && v > t.Usable.Value && t.Name == l.where:
		l.slip("reads", fmt.Sprintf("%s can take %s gal. The stick says %s?", t.Name, grouped(t.Usable.Value), grouped(v)), near)
	case sum > 0 && math.Abs(v-sum) > 0.05*sum:
		l.slip("reads", fmt.Sprintf("The meters say %s gal in %s; the stick %s.", grouped(sum), l.where, grouped(v)), near)
	case sum > 0 && math.Abs(v-sum) > 0.015*sum+10:
		l.odd("The meters say %s gal in %s.", grouped(sum), l.where)
	}
}

// drillUngrounded asks before a hole where nobody has read the ground.
func drillUngrounded(l *line) {
	if !l.ctx.Ground.Known && len(l.ctx.Entries) > 0 {
		l.doubt("No ground reading is logged yet. Drilled? Enter = keep as typed.")
	}
}

// whichHole asks which of several open holes was plugged.
func whichHole(l *line) {
	if l.has(holeSort) || l.holeUse() != "" {
		return
	}
	open := l.ctx.openHoles(l.holeCompartment())
	if len(open) < 2 || !l.said("hole") {
		return
	}
	question := fmt.Sprintf("%s has %d open holes. Enter = %s", l.holeCompartment(), len(open), l.value("hole"))
	var answers []answer
	for i, h := range open {
		if h.ID != l.value("hole") {
			key := string(rune('A' + i))
			question += fmt.Sprintf("; %s = %s", key, h.ID)
			answers = append(answers, answer{key: key, label: h.ID, with: map[string]string{"hole": h.ID}})
		}
	}
	l.doubt(question+".", answers...)
}

// plugUndrilled asks about a hole that nobody drilled.
func plugUndrilled(l *line) {
	c := l.holeCompartment()
	if c == "" || len(l.ctx.Holes) == 0 {
		return
	}
	if open := l.ctx.openHoles(c); len(open) > 0 {
		if use := l.useOf(); use != "" && !slices.ContainsFunc(open, func(h Hole) bool { return h.Use == use }) {
			l.odd("No open %s hole in %s is logged.", use, c)
		}
		return
	}
	l.doubt(fmt.Sprintf("No open hole in %s is logged. Plugged? Enter = keep as typed.", c))
}

// runsAlready asks about a second leg into a truck that one runs into, and points out
// one that comes from nowhere.
func runsAlready(l *line) {
	th, ok := l.find(truckSort)
	if !ok {
		return
	}
	if legs := l.ctx.running(th.name); len(legs) > 0 {
		l.doubt(fmt.Sprintf("%s, %s to %s, is running. Another? Enter = keep as typed.", legs[0].ID, legs[0].From, legs[0].To))
	}
	if !strings.Contains(l.where, " to ") {
		l.odd("Out of what is not said.")
	}
}

// badBond asks before pumping into a truck whose last bond was bad, or unread.
func badBond(l *line) {
	th, ok := l.find(truckSort)
	if !ok {
		return
	}
	t := l.ctx.truck(th.name)
	switch {
	case t == nil:
	case t.BondBad:
		l.doubt(fmt.Sprintf("%s's bond last read %s ohm. Pump on? Enter = keep as typed.", t.Name, quantity.Digits(t.Bond.Value)))
	case !t.Bond.Known:
		l.doubt(fmt.Sprintf("No bond reading of %s is logged. Pump on? Enter = keep as typed.", t.Name))
	}
}

// overLimit says that a reading is over its limit.
func overLimit(l *line) {
	r, err := quantity.Parse[quantity.Ohms](l.value("resistance"))
	limit, err2 := quantity.Parse[quantity.Ohms](l.value("limit"))
	if err == nil && err2 == nil && r.Value() > limit.Value() {
		l.hint(fmt.Sprintf("%s is over the limit of %s.", l.value("resistance"), l.value("limit")))
	}
}

func boardBond(l *line) []string {
	th, ok := l.find(truckSort)
	if !ok || l.value("path") != "bond" {
		return nil
	}
	return []string{th.name + " bond " + l.value("resistance")}
}
