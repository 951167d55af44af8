package lines

import (
	"math"
	"strconv"
	"strings"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

// rateTolerance is how far from what the pump moved so far a stretch may lie without a
// mark, as a share; a minute of pumping is added, since clocks are read to the minute
// (judgement: an air pump holds its pace to about a tenth).
const rateTolerance = 0.12

// offPace points out a reading that the pump's own pace does not bear out, of this leg, or
// where it has none yet, of the leg before. What is less than asked about is marked. When
// a compartment runs dry the pump slows: the last reading has no lower bound.
func offPace(l *line) {
	key := "reads"
	if l.typ.Kind == "pump_off" {
		key = "meter"
	}
	leg := l.leg()
	now, ok := l.gallonsOf(key)
	if leg == nil || !ok || len(leg.Readings) == 0 || len(l.asks) > 0 {
		return
	}
	last := leg.Readings[len(leg.Readings)-1]
	mins, moved, wide := l.time.when.At.Sub(last.At).Minutes(), now-last.Value, rateTolerance
	mean, known := leg.mean()
	if !known {
		if mean, known = l.ctx.meanBefore(leg); !known {
			return
		}
		wide = 0.25 // another compartment, another head
	}
	slack := wide*mean*mins + mean
	if mins > 0.5 && (moved > mean*mins+slack || l.typ.Kind == "meter_read" && moved < mean*mins-slack) {
		l.odd("%s gal in %.0f min; at %.0f a minute it would be %s.", grouped(moved), mins, mean, grouped(mean*mins))
	}
}

// meanBefore is the rate of the last leg that has one, through the same instrument.
func (ctx *Context) meanBefore(leg *Leg) (float64, bool) {
	for i := len(ctx.Legs) - 1; i >= 0; i-- {
		if o := &ctx.Legs[i]; o.ID != leg.ID && o.Meter == leg.Meter {
			if mean, ok := o.mean(); ok {
				return mean, true
			}
		}
	}
	return 0, false
}

// unlikeStrokes points out a pump that runs at another pace than before.
func unlikeStrokes(l *line) {
	v, _, ok := plainNumber(l.value("strokes"))
	if !ok {
		return
	}
	for _, e := range l.ctx.latest("meter_read", 1) {
		if k := e.Payload.(kinds.MeterRead); k.Strokes.Said() && math.Abs(v/float64(k.Strokes.Value())-1) > 0.08 {
			l.odd("%s strokes a minute; the last were %s.", quantity.Digits(v), quantity.Digits(float64(k.Strokes.Value())))
		}
	}
}

// mostApart is how far the product's temperature may lie from the last that was read, °F:
// a tank in the open changes by a degree or two an hour (judgement).
const mostApart = 6

// otherTemp points out a temperature far from the last of what was pumped.
func otherTemp(l *line) {
	v, unit, ok := plainNumber(l.value("temp"))
	if !ok || unit != "" && unit != "F" || l.says("water", "vacuum off", "vac off") {
		return // sucked up with water: it is as warm as the water
	}
	for _, e := range l.ctx.latest("pump_off", lookBack) {
		if k := e.Payload.(kinds.PumpOff); k.Temp.Said() {
			if was := float64(k.Temp.Value()); math.Abs(v-was) > mostApart {
				l.odd("%s F; it was %s F before.", quantity.Digits(v), quantity.Digits(was))
			}
			return
		}
	}
}

// unlikeNet points out a net volume at 60 °F that the gross one and its temperature cannot
// give: fuels shrink by 0.0004 to 0.00075 of themselves a °F (API MPMS 11.1, rounded for
// heavy diesel and light gasoline), and a tenth of a per cent is left for the paper.
func unlikeNet(l *line) {
	gross, ok := l.gallonsOf("total")
	net, _, ok2 := plainNumber(l.value("net60"))
	temp, _, ok3 := plainNumber(l.value("temp"))
	if !ok || !ok2 || !ok3 {
		return
	}
	a, b := gross*(1-0.0004*(temp-60)), gross*(1-0.00075*(temp-60))
	if low, high := min(a, b)-0.001*gross, max(a, b)+0.001*gross; net < low || net > high {
		l.odd("%s gal at %s F is %s to %s at 60 F, not %s.", grouped(gross), quantity.Digits(temp), grouped(low), grouped(high), grouped(net))
	}
}

// overTank points out a load that is more than the tank takes.
func overTank(l *line) {
	total, ok := l.gallonsOf("total")
	for _, e := range l.ctx.latest("mishap", 1) {
		if k := e.Payload.(kinds.Mishap); ok && k.Capacity.Said() && total > float64(k.Capacity.Value()) {
			l.odd("The tank takes %s.", k.Capacity.String())
		}
	}
}

// mixedVapour points out two sensors that do not go together: in the vapour of one
// product a reading in per cent of the limit and one in ppm keep their ratio, so that one
// of the two can be held against the other. How wide it is here, earlier readings teach.
func mixedVapour(l *line) {
	k, ok := l.payload.(kinds.AirRead)
	if !ok {
		return
	}
	for i, gas := range []func(kinds.AirRead) quantity.Amount[quantity.PPM]{
		func(k kinds.AirRead) quantity.Amount[quantity.PPM] { return k.VOC },
		func(k kinds.AirRead) quantity.Amount[quantity.PPM] { return k.Benzene },
	} {
		low, high, most, n := math.Inf(1), 0.0, 0.0, 0
		for _, e := range l.ctx.latest("air_read", 3*lookBack) {
			was := e.Payload.(kinds.AirRead)
			if !gas(was).Said() || !was.LEL.Said() || i == 1 && e.Where != l.where { // a trace gas goes by the place
				continue
			}
			a, b := vapourRatio(float64(gas(was).Value()), float64(was.LEL.Value()))
			low, high, most, n = min(low, a), max(high, b), max(most, float64(gas(was).Value())), n+1
		}
		if !gas(k).Said() || !k.LEL.Said() || n < 2 {
			continue
		}
		a, b := vapourRatio(float64(gas(k).Value()), float64(k.LEL.Value()))
		if b < low/1.3 || a > high*1.3 {
			l.odd("LEL %s %% and %s ppm do not go together as they did so far.", quantity.Digits(float64(k.LEL.Value())), quantity.Digits(float64(gas(k).Value())))
			return
		}
	}
}

// vapourRatio is ppm for each per cent of the limit, at least and at most: a per cent is
// read to the nearest whole one.
func vapourRatio(ppm, lel float64) (low, high float64) {
	if lel < 0.5 {
		return ppm / 0.5, math.Inf(1)
	}
	return ppm / (lel + 0.5), ppm / (lel - 0.5)
}

// farOhms points out a resistance far from the last of the same path, and one that its own
// verdict contradicts.
func farOhms(l *line) {
	r, err := quantity.Parse[quantity.Ohms](l.value("resistance"))
	if err != nil || r.Value() <= 0 {
		return
	}
	v := float64(r.Value())
	limit, _, known := plainNumber(l.value("limit"))
	for _, e := range l.ctx.latest("resistance_read", lookBack) {
		k := e.Payload.(kinds.ResistanceRead)
		if k.Path != l.value("path") || !k.Resistance.Said() {
			continue
		}
		if known && k.Limit.Said() && float64(k.Limit.Value()) != limit {
			l.odd("The limit was %s before.", k.Limit.String())
		}
		was := float64(k.Resistance.Value())
		if k.Path == "bond" && e.Where == l.where && v > 30*was {
			l.odd("It read %s before.", k.Resistance.String())
		}
		break
	}
	switch result := l.value("result"); {
	case known && result == "good" && v > limit, known && (result == "bad" || result == "over") && v <= limit:
		l.odd("%s is called %s; the limit is %s.", l.value("resistance"), result, l.value("limit"))
	case result == "good" && l.value("path") == "bond" && v > 2 && l.ctx.worstGoodBond()*4 < v && l.ctx.worstGoodBond() > 0:
		l.odd("Good bonds here read %s ohm or less so far.", quantity.Digits(l.ctx.worstGoodBond()))
	}
}

// worstGoodBond is the highest reading of a bond that was good; 0 for none.
func (ctx *Context) worstGoodBond() (most float64) {
	for _, e := range ctx.latest("resistance_read", 3*lookBack) {
		if k := e.Payload.(kinds.ResistanceRead); k.Path == "bond" && k.Result == "good" && k.Resistance.Said() {
			most = max(most, float64(k.Resistance.Value()))
		}
	}
	return most
}

// wrongGap points out a gap that is not what lies between stick and meters, and what the
// log has otherwise.
func wrongGap(l *line) {
	meters, ok := l.gallonsOf("meters")
	stick, ok2 := l.gallonsOf("stick")
	gap, ok3 := l.gallonsOf("gap")
	if ok && ok2 && ok3 && math.Abs(math.Abs(meters-stick)-gap) > 1 {
		l.odd("%s and %s are %s apart.", grouped(meters), grouped(stick), grouped(math.Abs(meters-stick)))
	}
}

// ofNoLeg points out a leg that was never begun, and a meter that is not that leg's.
func ofNoLeg(l *line) {
	th, ok := l.find(legSort)
	if !ok || len(l.ctx.Legs) == 0 {
		return
	}
	for i := range l.ctx.Legs {
		leg := &l.ctx.Legs[i]
		if leg.ID != th.name {
			continue
		}
		v, known := l.gallonsOf("meter")
		if n := len(leg.Readings); known && n > 0 && l.typ.Kind == "doubt_settled" && math.Abs(leg.Readings[n-1].Value-v) > 1 {
			l.odd("The meter of %s last read %s.", leg.ID, grouped(leg.Readings[n-1].Value))
		}
		return
	}
	l.odd("No leg %s is logged.", th.name)
}

// unlikeSince points out how long something took that the log has otherwise: the lift
// since the weight was taken, the radio since it was last heard.
func unlikeSince(kind events.Kind, key string) func(*line) {
	return func(l *line) {
		v, _, ok := plainNumber(l.value(key))
		for _, e := range l.ctx.latest(kind, 1) {
			at := e.At
			if k, is := e.Payload.(kinds.RadioLost); is {
				if heard, known := l.ctx.dueAt(string(k.LastHeard)); known {
					at = heard
				}
			}
			mins := l.time.when.At.Sub(at).Minutes()
			if ok && math.Abs(v-mins) > 2.5 {
				l.odd("By the log it was %.0f min.", mins)
			}
		}
	}
}

// heardWhen points out a time at which a channel was last heard that is to come, or long
// past.
func heardWhen(l *line) {
	if heard, ok := l.ctx.dueAt(l.value("last_heard")); ok && (heard.After(l.ctx.Now) || l.ctx.Now.Sub(heard).Minutes() > 30) {
		l.odd("Last heard %s?", l.value("last_heard"))
	}
}

// strangeBook points out a paper whose number lies far from the last of the same book.
func strangeBook(l *line) {
	for _, key := range []string{"paper", "ticket"} {
		book, n, ok := bookOf(l.value(key))
		if !ok {
			continue
		}
		for _, e := range l.ctx.latest(l.typ.Kind, lookBack) {
			for _, p := range l.typ.Values(e.Payload) {
				if b, m, is := bookOf(p.Value); p.Key == key && is && b == book {
					if n <= m || n > m+9 {
						l.odd("The last %s was %s.", key, p.Value)
					}
					return
				}
			}
		}
	}
}

// bookOf parts the number of a paper into its book and its number: B-1181.
func bookOf(s string) (book string, n int, ok bool) {
	book, digits, ok := strings.Cut(s, "-")
	n, err := strconv.Atoi(digits)
	return book, n, ok && err == nil && book != "" && len(digits) > 2
}

// unlikeDevice points out an instrument that was not named before, where others were.
func (l *line) unlikeDevice() {
	d, known := l.teller.device, false
	if d == "" {
		return
	}
	for i := len(l.ctx.Entries) - 1; i >= 0 && i > len(l.ctx.Entries)-400; i-- {
		if who := l.ctx.Entries[i].Who; who != "" && len(who) == len(d) && who[0] == d[0] && isDigit(who[len(who)-1]) {
			if who == d {
				return
			}
			known = true
		}
	}
	if known {
		l.odd("Nothing was told by %s before.", d)
	}
}

// layersApart points out layers that do not add up to what stands in the truck.
func layersApart(l *line) {
	all, ok := l.gallonsOf("stick")
	if l.typ.Kind == "stick_read" {
		all, ok = l.gallonsOf("reads")
	}
	fuel, ok2 := l.gallonsOf("product_layer")
	water, ok3 := l.gallonsOf("water_layer")
	if ok && ok2 && ok3 && math.Abs(fuel+water-all) > 1 {
		l.odd("%s and %s are %s, not %s.", grouped(fuel), grouped(water), grouped(fuel+water), grouped(all))
	}
}

// stickOfAnother points out a signature on the stick of another truck.
func stickOfAnother(l *line) {
	signed, ok := l.gallonsOf("stick")
	if _, own := l.ctx.stuck(l.where); !ok || own {
		return
	}
	for _, e := range l.ctx.latest("stick_read", lookBack) {
		if k := e.Payload.(kinds.StickRead); k.Reads.Said() && math.Abs(float64(k.Reads.Value())-signed) <= 0.5 && !strings.HasPrefix(e.Where, l.where) {
			l.odd("No stick of %s is logged; %s stuck %s, entry %d.", l.where, e.Where, k.Reads.String(), e.Seq)
			return
		}
	}
}
