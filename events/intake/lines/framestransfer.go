package lines

import (
	"fmt"
	"strings"

	"tankside/events/quantity"
)

// transferFrames are pumping, leg by leg.
var transferFrames = []frame{
	{
		kind: "pump_on", holds: true, fits: pumpStarts, fill: pumpOn, where: fromTo, checks: []func(*line){runsAlready, badBond, fromNoHole}, board: boardPumpOn,
		says: []phrase{
			{"pump on", 24}, {"pumping", 10}, {"vacuum on", 24}, {"vac on", 24}, {"started pumping", 24}, {"pump started", 24}, {"going", 6}, {"into", 8}, {"running", 6}, {"pump running", 20},
		},
	},
	{
		kind: "pump_off", holds: true, wants: 1, fits: notPumpOn, fill: pumpOff, where: legPlace, checks: []func(*line){meterChecks, tooMuch, overRoom, unlikeTemp, otherTemp, offPace, ofNoLeg, layersApart}, board: boardOut,
		says: []phrase{
			{"pump off", 24}, {"vacuum off", 24}, {"vac off", 24}, {"off", 5}, {"is dry", 14}, {"dry", 8}, {"shut her down", 28}, {"shut down", 14}, {"pump stopped", 20}, {"stopped pumping", 24},
		},
	},
	{
		kind: "meter_read", wants: 1, fits: readsMeter, fill: meterRead, checks: []func(*line){meterChecks, overRoom, offPace, unlikeStrokes, ofNoLeg}, board: boardOut,
		says:  []phrase{{"meter", 12}, {"meter at", 13}, {"and rising", 16}, {"rising", 8}, {"strokes", 10}, {"spm", 10}, {"reads", 5}, {"a minute", 5}, {"pumping", 9}},
		where: func(l *line) string { return "" },
	},
	{
		kind: "pump_held", holds: true, fill: pumpHeld, where: legPlace,
		says: []phrase{{"pump held", 26}, {"hold the pump", 30}, {"pumping again", 26}, {"pump resumed", 24}, {"pump hold", 22}, {"holding the pump", 26}},
	},
	{kind: "gallons_transferred", holds: true, wants: 1, fits: withNumber, where: fromTo, says: []phrase{{"transferred", 13}, {"took off", 10}, {"moved", 5}}},
}

// pumpStarts wants to know from where or into what.
func pumpStarts(l *line) int {
	if l.says("off", "held", "stopped") && !l.says("off lids") {
		return unfit
	}
	from, into := l.has(compartmentSort) || l.smallLeft(), l.has(truckSort)
	switch {
	case from && into && l.says("into", "to"):
		return 20
	case l.says("pump on", "vacuum on", "vac on", "started pumping", "pump started", "pump running"), from && l.says("pumping"):
		return 0
	}
	return unfit
}

func notPumpOn(l *line) int {
	if l.says("pump on") {
		return unfit
	}
	if l.says("pump off", "vacuum off", "vac off") || l.bare(-1) > 0 && (l.has(compartmentSort) || l.smallLeft() || l.has(truckSort) || l.has(legSort)) {
		return 8
	}
	return -6
}

// readsMeter wants a number.
func readsMeter(l *line) int {
	if l.bare(-1) == 0 {
		return unfit
	}
	if l.has(truckSort) || l.has(legSort) || len(l.ctx.running("")) > 0 {
		return 4
	}
	return 0
}

// ends are the two ends of a transfer as the line has them.
func (l *line) endsOf() (from, to string) {
	if i := l.at("to"); i < 0 || l.toks[i].aside {
		l.compartmentNamed()
	}
	from = l.compartmentNamed()
	if th, ok := l.find(truckSort); ok {
		to = th.name
	}
	if from == "" {
		from = l.sourceText()
	}
	return from, to
}

// sourceText is what is pumped from where that is no compartment: "vacuum on ditch and
// pan to R3B".
func (l *line) sourceText() string {
	start := -1
	for i, t := range l.toks {
		if t.action || t.aside || small[t.word] {
			continue
		}
		if t.used || t.num != nil {
			break
		}
		start = i
		break
	}
	end := start
	for start >= 0 && end < len(l.toks) && !l.toks[end].used && l.toks[end].num == nil && l.toks[end].word != "to" && l.toks[end].word != "into" {
		end++
		if l.toks[end-1].ends {
			break
		}
	}
	if start < 0 || end <= start || !l.placeLike(start, end) {
		return ""
	}
	text := l.text(start, end)
	l.use(start, end-start)
	return l.canonical(strings.ToUpper(text[:1]) + text[1:])
}

func (l *line) placeLike(start, end int) bool {
	for i := start; i < end; i++ {
		if placeWords[l.toks[i].word] || standing[l.toks[i].word] {
			return true
		}
	}
	return false
}

// fromTo is the place of a transfer: C4 to R1.
func fromTo(l *line) string {
	from, to := l.endsOf()
	switch {
	case from != "" && to != "":
		return from + " to " + to
	case to != "":
		return to
	}
	return from
}

// nextLeg is the name of the leg that begins now.
func (ctx *Context) nextLeg() string {
	most := 0
	for _, leg := range ctx.Legs {
		var n int
		if _, err := fmt.Sscanf(leg.ID, "L%d", &n); err == nil {
			most = max(most, n)
		}
	}
	return fmt.Sprintf("L%d", most+1)
}

// pumpOn reads where from and into what; the leg is the next, and a meter that nobody
// read is taken to start at nought, which is said.
func pumpOn(l *line) {
	if !l.has(legSort) {
		l.presume("leg", "leg "+l.ctx.nextLeg())
		l.put("leg", l.ctx.nextLeg())
	}
	if l.says("vacuum", "vac") {
		l.put("vacuum", "yes")
		l.spare("vacuum")
		l.spare("vac")
	}
	unit := ""
	if l.says("litres", "liters", "litre") {
		unit = "L"
	}
	for _, w := range []string{"skid m", "skid meter", "own meter"} {
		if i := l.at(w); i >= 0 && !l.said("meter") {
			l.put("meter", l.meterName(i, w))
			l.use(i, 2)
		}
	}
	if l.takeAfter("start", unit, "meter at", "meter", "start", "starts at", "from") || l.said("vacuum") {
		return
	}
	l.presume("start", strings.TrimSpace("start 0 "+orGallons(unit)))
	l.put("start", strings.TrimSpace("0 "+orGallons(unit)))
}

func orGallons(unit string) string {
	if unit == "" {
		return "gal"
	}
	return unit
}

// meterName is the meter at token i: a truck's own by the truck's name.
func (l *line) meterName(i int, w string) string {
	if th, ok := l.find(truckSort); ok && w == "own meter" {
		return strings.TrimRight(th.name, "ABCDE") + " own meter"
	}
	return l.text(i, i+2)
}

// leg is the leg that the line means: the one named, or the only one that runs into the
// truck, out of the compartment, or at all. Nil when that is not one.
func (l *line) leg() *Leg {
	if th, ok := l.find(legSort); ok {
		for i := range l.ctx.Legs {
			if l.ctx.Legs[i].ID == th.name {
				return &l.ctx.Legs[i]
			}
		}
		return nil
	}
	into := ""
	if th, ok := l.find(truckSort); ok {
		into = th.name
	}
	c := l.compartmentNamed()
	var fit []*Leg
	for _, leg := range l.ctx.running(into) {
		if c == "" || leg.From == c {
			fit = append(fit, leg)
		}
	}
	switch {
	case len(fit) == 1:
		return fit[0]
	case len(fit) == 0:
		return l.ctx.stopped(into, c)
	}
	return nil
}

// stopped is the leg that stopped within the last minutes: somebody else tells of it.
func (ctx *Context) stopped(into, from string) *Leg {
	for i := len(ctx.Legs) - 1; i >= 0; i-- {
		leg := &ctx.Legs[i]
		n := len(leg.Readings)
		if !leg.Running && n > 0 && ctx.Now.Sub(leg.Readings[n-1].At) < ahead && strings.HasPrefix(leg.To, into) && (from == "" || from == leg.From) {
			return leg
		}
	}
	return nil
}

// legPlace is the place of the leg that the line means.
func legPlace(l *line) string {
	if leg := l.leg(); leg != nil && leg.From != "" && leg.To != "" {
		return leg.From + " to " + leg.To
	}
	return fromTo(l)
}

// fillLeg names the leg.
func (l *line) fillLeg() *Leg {
	leg := l.leg()
	if leg != nil && !l.has(legSort) {
		l.presume("leg", "leg "+leg.ID)
		l.put("leg", leg.ID)
	}
	return leg
}

// unitFor is the unit of a leg's meter where it is not gallons.
func unitFor(leg *Leg) string {
	if leg != nil && leg.Unit != "" && leg.Unit != "gal" {
		return leg.Unit
	}
	return ""
}

func meterRead(l *line) {
	leg := l.fillLeg()
	if leg == nil && !l.has(legSort) {
		if th, ok := l.find(truckSort); ok {
			l.where = th.name
			l.hint(fmt.Sprintf("No leg runs into %s. It is kept as a reading of %s.", th.name, th.name))
		}
	}
	_ = l.takeBefore("strokes", "strokes") || l.takeBefore("strokes", "spm") || l.takeAfter("strokes", "", "strokes")
	_ = l.takeAfter("reads", unitFor(leg), "meter at", "meter", "reads", "at") || l.take("reads", unitFor(leg))
	l.spareAll("same", "strokes", "rising", "skid", "meter")
}

func pumpOff(l *line) {
	leg := l.fillLeg()
	if running := l.ctx.running(""); leg == nil && !l.has(legSort) && len(l.ctx.Entries) > 0 {
		if len(running) == 0 {
			l.odd("No pump is logged as running.")
		} else {
			l.odd("%s, %s to %s, is what runs.", running[0].ID, running[0].From, running[0].To)
		}
	}
	for _, i := range l.numbers() {
		if u := l.toks[i].num.unit; u == "f" || u == "deg" || u == "degrees" || u == "°f" {
			l.number("temp", i, "F")
		}
	}
	_ = l.takeAfter("stick", "", "sticks", "stick")
	_ = l.takeBefore("product_layer", "fuel") || l.takeAfter("product_layer", "", "fuel", "product")
	_ = l.takeBefore("water_layer", "water") || l.takeAfter("water_layer", "", "water")
	_ = l.takeAfter("meter", unitFor(leg), "meter at", "meter") || l.take("meter", unitFor(leg))
	l.spareAll("dry", "is", "meter")
}

func pumpHeld(l *line) {
	l.fillLeg()
	state := "held"
	if l.says("again", "resumed") {
		state = "resumed"
	}
	l.put("state", state)
	_ = l.takeAfter("meter", "", "meter at", "meter") || l.take("meter", "")
}

func boardPumpOn(l *line) []string {
	return []string{l.value("leg") + ": " + l.where + " is running"}
}

// gallonsOf is what the field of key holds, in gallons.
func (l *line) gallonsOf(key string) (float64, bool) {
	a, err := quantity.Parse[quantity.Gallons](l.value(key))
	if err != nil {
		return 0, false
	}
	return float64(a.Value()), true
}

// boardOut says what has gone out of the compartment by the meter, and the room left.
func boardOut(l *line) []string {
	leg := l.leg()
	key := "reads"
	if l.typ.Kind == "pump_off" {
		key = "meter"
	}
	now, ok := l.gallonsOf(key)
	if leg == nil || !ok || len(leg.Readings) == 0 {
		return nil
	}
	out := now - leg.Readings[0].Value
	lines := []string{fmt.Sprintf("%s out of %s: %s gal by meter", leg.To, leg.From, grouped(out))}
	last := leg.Readings[len(leg.Readings)-1]
	if mins := l.time.when.At.Sub(last.At).Minutes(); mins > 0 {
		lines = append(lines, fmt.Sprintf("%.0f gal/min since the last reading", (now-last.Value)/mins))
	}
	if t := l.ctx.truck(leg.To); t != nil && t.Room.Known {
		lines = append(lines, fmt.Sprintf("%s room left %s gal", t.Name, grouped(t.Room.Value-(now-last.Value))))
	}
	return lines
}
