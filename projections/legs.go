package projections

import (
	"math"
	"slices"
	"strings"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
	"tankside/projections/calc/transfer"
)

// Leg is one run of liquid from a source into a receiver.
type Leg struct {
	ID          string     `json:"leg"`
	From        string     `json:"from"`
	To          string     `json:"to"`
	Compartment string     `json:"compartment,omitempty"` // of the overturned tank; "" when it draws from elsewhere
	Instrument  string     `json:"meter,omitempty"`
	Start       Moment     `json:"start"`
	Stop        Moment     `json:"stop"`
	Pauses      []Interval `json:"pauses"`
	Readings    []Reading  `json:"readings"`
	Temp        Figure     `json:"temperature"`
	Notes       []Note     `json:"notes"`

	tank      bool // draws from the overturned tank
	product   string
	startUnit string
	start     Figure // meter before the first gallon
	strokes   Figure // strokes counted so far
	perStroke Figure
	flow      Figure
	bore      Figure        // of its hose, in
	told      []Measurement // amounts that somebody stated
	stick     *sticked      // by the receiver's gauge before and after
	out       []setAside
	kept      []setAside // what a person vouches for
}

// Reading is one reading of a leg's meter with the rate since the reading before.
type Reading struct {
	At      Moment `json:"at"`
	Reads   Figure `json:"reads"`
	Strokes Figure `json:"strokes"` // a minute
	Rate    Figure `json:"rate"`    // gal/min since the reading before

	base float64 // what to add where the counter started over
	unit string  // as said
}

// Measurement is one way in which one volume was measured. Measurements of one
// volume stand side by side; they are never added.
type Measurement struct {
	Method   string `json:"method"`
	Gross    Gross  `json:"gross"`
	Net      Net    `json:"net"`
	Product  string `json:"product,omitempty"`
	Water    Gross  `json:"water"`
	Temp     Figure `json:"temperature"`
	Counts   bool   `json:"counts"`    // the best for now
	Off      Figure `json:"off"`       // gal more than the one that counts, as they flowed
	OffShare Figure `json:"off_share"` // the same in % of the one that counts
	// Away is how many standard errors it lies from what everything else says of the
	// volume; null where nothing else does.
	Away     *float64 `json:"away"`
	Agrees   string   `json:"agrees"`              // agrees, disagrees, not checked
	SetAside string   `json:"set_aside,omitempty"` // why the answer does without it

	asked events.Seq // the number that set it apart, until somebody answers
	holds []string   // of a sum of legs: the method that each of them is by
}

// sticked is a leg by the receiver's gauge: what lies in it after less what lay in
// it before, each layer for itself.
type sticked struct{ product, water, all Gross }

type setAside struct {
	method string
	why    string
	at     Moment
	seq    events.Seq
	by     string
}

// Standard uncertainties of the ways to measure, as a share of the reading, where
// the entry states none (judgement: an unproved meter on mixed product, strokes of
// an air pump without a calibration, a flow by the watch, an eyeball).
var shares = map[string]float64{"meter": 0.005, "strokes": 0.07, "flow x time": 0.08, "estimate": 0.10, "scale": 0.005, "stick": 0.01}

// doubt gives a figure the usual uncertainty of its method where none was stated.
func doubt(f Figure, method string) Figure {
	if f.Known && f.U == 0 {
		f.U = shares[method] * f.Value
	}
	return f
}

// fromTank reports whether the leg draws from the overturned tank; what it draws
// from elsewhere is recovered, not transferred. Which compartments it draws from
// may not be known: then it names several of them, or just the tank.
func (l *Leg) fromTank() bool { return l.tank }

// namesTank reports whether a source is the overturned tank or part of it.
func namesTank(from string) bool {
	if len(compartmentsOf(from)) > 0 {
		return true
	}
	words := strings.Fields(strings.ToLower(from))
	return !slices.Contains(words, "saddle") && slices.ContainsFunc(words, func(w string) bool {
		return slices.Contains([]string{"tank", "tanker", "trailer", "wreck", "compartment", "compartments"}, w)
	})
}

func newLeg(e *events.Entry, id, from, to string) *Leg {
	if from == "" && to == "" {
		from, to, _ = strings.Cut(e.Where, " to ")
	}
	return &Leg{ID: id, Pauses: []Interval{}, Readings: []Reading{}, Notes: []Note{}, From: from, To: to, Compartment: compartmentOf(from), tank: namesTank(from), Temp: Lacking("F", "temperature of leg "+id),
		start: Lacking("gal", "meter at the start of leg "+id), strokes: Lacking(""), perStroke: Lacking("gal"), flow: Lacking("gpm"), bore: Lacking("in", "bore of the hose")}
}

func (l *Leg) note(e *events.Entry, text string) { l.Notes = append(l.Notes, Note{e.Seq, text}) }

// begun is when the leg began, or where nobody said, when it was over.
func (l *Leg) begun() time.Time {
	if l.Start.IsZero() {
		return l.Stop.Best
	}
	return l.Start.Best
}

func (l *Leg) open() bool { return !l.Start.IsZero() && l.Stop.IsZero() }

func (l *Leg) begin(e *events.Entry, k kinds.PumpOn) {
	l.Start, l.Instrument, l.product = MomentOf(e), k.Meter, k.Product
	l.startUnit, l.bore = unitSaid(k.Start), saidLast(k.Bore, e, l.bore)
	if k.Start.Said() {
		l.start = FigureOf(k.Start, "meter", e.Seq)
		l.Readings = append(l.Readings, Reading{At: l.Start, Reads: l.start, Strokes: Lacking("per min"), Rate: Lacking("gpm", "first reading")})
	}
	if e.Occurred.Form == events.Span {
		l.Stop = EndOf(e)
	}
}

// unitSaid is the unit an amount was entered in, "" when it was not said or the
// unit was taken for granted.
func unitSaid(a quantity.Amount[quantity.Gallons]) string {
	if a.Assumed {
		return ""
	}
	return a.Unit
}

func (l *Leg) read(e *events.Entry, k kinds.MeterRead) {
	if k.Temp.Said() {
		l.Temp = FigureOf(k.Temp, "", e.Seq)
	}
	if k.StrokeCount.Said() {
		l.strokes = FigureOf(k.StrokeCount, "counted", e.Seq)
	}
	if k.PerStroke.Said() {
		l.perStroke = FigureOf(k.PerStroke, "", e.Seq)
	}
	if k.Flow.Said() {
		l.flow = FigureOf(k.Flow, "", e.Seq)
	}
	reads := k.Reads
	if !reads.Said() && k.SinceLast.Said() && len(l.Readings) > 0 {
		reads = quantity.Of(quantity.Gallons(l.Readings[len(l.Readings)-1].Reads.Value) + k.SinceLast.Value())
	}
	l.reading(e, reads, FigureOf(k.Strokes, "", e.Seq), yes(k.Reset))
}

// yes reports whether an answer in words says yes.
func yes(s string) bool {
	s = strings.ToLower(s)
	return s != "" && !strings.HasPrefix(s, "no")
}

// reading takes a reading of the meter. A reading below the one before is kept and
// noted: the counter ran through its end, was put back, or somebody misheard.
func (l *Leg) reading(e *events.Entry, a quantity.Amount[quantity.Gallons], strokes Figure, reset bool) {
	if !a.Said() {
		return
	}
	r := Reading{At: MomentOf(e), Reads: FigureOf(a, "meter", e.Seq), Strokes: strokes, Rate: Lacking("gpm", "first reading"), unit: unitSaid(a)}
	if u := unitSaid(a); u != "" && l.startUnit != "" && u != l.startUnit {
		l.note(e, "the meter started in "+l.startUnit+" and is read in "+u+": one of them is a slip")
	}
	if n := len(l.Readings); n > 0 {
		last := l.Readings[n-1]
		r.base = last.base + l.carried(e, last.Reads.Value, r.Reads.Value, reset)
		r.Rate = rateBetween(last, r)
	}
	l.Readings = append(l.Readings, r)
}

// carried is what a counter that now reads lower had counted before it started
// over: all it showed when it was put back, a full round when it ran through its
// end, nothing when nobody can tell.
func (l *Leg) carried(e *events.Entry, before, now float64, reset bool) float64 {
	if reset {
		return before
	}
	if now >= before {
		return 0
	}
	if round := math.Pow10(len(quantity.Digits(math.Floor(before)))); before >= 0.9*round && now <= 0.1*round {
		l.note(e, "the counter is taken to have run through "+gallons(round)+" to zero")
		return round
	}
	l.note(e, "reads "+gallons(now)+", less than the "+gallons(before)+" before: misheard, or put back without a word")
	return 0
}

func rateBetween(a, b Reading) Figure {
	min := minutes(a.At, b.At)
	moved := b.Reads.Value + b.base - a.Reads.Value - a.base
	if min.Value <= 0 {
		return Lacking("gpm", "two readings at one time")
	}
	return Exact(moved/min.Value, "gpm", "gallons over minutes since the reading before", union(a.Reads.From, b.Reads.From)...)
}

func (l *Leg) stop(e *events.Entry, k kinds.PumpOff) {
	l.Stop = EndOf(e)
	if n := len(l.Pauses); n > 0 && l.Pauses[n-1].End.IsZero() {
		l.Pauses[n-1].End = l.Stop
	}
	if k.Temp.Said() {
		l.Temp = FigureOf(k.Temp, "", e.Seq)
	}
	l.reading(e, k.Meter, Lacking("per min"), false)
}

func (l *Leg) held(e *events.Entry, k kinds.PumpHeld) {
	l.reading(e, k.Meter, Lacking("per min"), false)
	n := len(l.Pauses)
	paused := n > 0 && l.Pauses[n-1].End.IsZero()
	switch {
	case k.State == "resumed" && paused:
		l.Pauses[n-1].End = MomentOf(e)
	case k.State == "resumed":
		l.note(e, "resumed, but was never logged as held")
	case !paused:
		l.Pauses = append(l.Pauses, Interval{Start: MomentOf(e)})
	}
}

// metered is the volume by the leg's own meter: last reading less first.
func (l *Leg) metered() Gross {
	n := len(l.Readings)
	if n == 0 || n == 1 && l.start.Known {
		return noGross("meter reading of leg " + l.ID)
	}
	last := l.Readings[n-1]
	total := last.Reads.Value + last.base
	if !l.start.Known {
		f := noGross(l.start.Missing...)
		f.Low, f.High, f.From = math.Max(0, total-l.Readings[0].Reads.Value), total, last.Reads.From
		return f
	}
	first := l.start.Value
	v, r := total-first, last.Reads
	f := Range(v-(r.Value-r.Low), v, v+(r.High-r.Value), "gal", "meter", union(l.start.From, r.From)...)
	f.U = last.Reads.U
	if most := l.highest() - first; most > f.Value { // some reading was higher: between the two
		f.Low, f.Value, f.High = math.Max(0, f.Low), most, most
	}
	return Gross{doubt(floor(f), "meter")}
}

func (l *Leg) highest() (most float64) {
	for _, r := range l.Readings {
		most = math.Max(most, r.Reads.Value+r.base)
	}
	return most
}

// pumping is the minutes the pump ran: start to stop, or now, less its pauses.
func (l *Leg) pumping(now time.Time) Figure {
	f := lasting(l.Start, l.Stop, now)
	for _, p := range l.Pauses {
		f = f.Minus(lasting(p.Start, p.End, now))
	}
	return f
}

// measured returns every measurement of the leg side by side, the best for now
// marked by the order of trust.
func (l *Leg) measured(liq liquid, trust []string, now time.Time) []Measurement {
	var out []Measurement
	add := func(method string, g Gross) {
		if g.Known || g.bounded() && len(g.From) > 0 {
			out = append(out, Measurement{Method: method, Gross: g, Net: liq.net(g), Product: liq.product, Temp: l.Temp, Water: noGross()})
		}
	}
	add("meter", l.metered())
	if l.strokes.Known && l.perStroke.Known {
		add("strokes", Gross{doubt(strokesOf(l.strokes, l.perStroke), "strokes")})
	}
	if l.flow.Known && !l.Start.IsZero() {
		add("flow x time", Gross{doubt(times(l.flow, l.pumping(now), "gal", "flow x time"), "flow x time")})
	}
	if l.stick != nil {
		add("stick", l.stick.product)
		if n := len(out); n > 0 && out[n-1].Method == "stick" {
			out[n-1].Water = l.stick.water
		}
	}
	out = append(out, l.stated(liq)...)
	for i := range out {
		for _, s := range l.out {
			if s.method == out[i].Method {
				out[i].SetAside = s.why
			}
		}
	}
	choose(out, trust)
	return out
}

func (l *Leg) stated(liq liquid) []Measurement {
	out := slices.Clone(l.told)
	for i := range out {
		m := &out[i]
		own := liq.products.liquid(orElse(m.Product, liq.product), liq.gravity, m.Temp)
		if !own.temp.Known {
			own.temp = l.Temp
		}
		if m.Net.Known {
			m.Gross = own.gross(m.Net)
		} else {
			m.Net = own.net(m.Gross)
		}
		m.Product = own.product
	}
	return out
}

// choose marks the measurement that stands first in the order of trust; of two by
// one method the last. What was set aside or is unknown does not count.
func choose(ms []Measurement, trust []string) {
	best, rank := -1, len(trust)+1
	for i, m := range ms {
		r := trusted(m.Method, trust)
		if m.Gross.Known && m.SetAside == "" && r <= rank {
			best, rank = i, r
		}
	}
	for i := range ms {
		ms[i].Counts = i == best
		ms[i].off(ms, best)
	}
}

// trusted is the place of a method in the order of trust: what a person ruled goes before
// all, what is not in the order comes last.
func trusted(method string, trust []string) int {
	if method == byRuling {
		return -1
	}
	if r := slices.Index(trust, method); r >= 0 {
		return r
	}
	return len(trust)
}

// off works out how far a measurement is from the one that counts.
func (m *Measurement) off(ms []Measurement, best int) {
	m.Off, m.OffShare = Lacking("gal", "another measurement that counts"), Lacking("%", "another measurement that counts")
	if best < 0 || m == &ms[best] || !m.Gross.Known {
		return
	}
	b := ms[best].Gross
	m.Off = m.Gross.Minus(b).As("less the one that counts")
	if b.Value != 0 {
		k := 100 / b.Value
		m.OffShare = Range(k*m.Off.Low, k*m.Off.Value, k*m.Off.High, "%", "of the one that counts", m.Off.From...)
	}
}

// strokesOf is the volume of so many strokes.
func strokesOf(count, each Figure) Figure {
	f := times(count, each, "gal", "strokes")
	v, u := transfer.StrokeVolume(count.Value, count.U, quantity.Gallons(each.Value), quantity.Gallons(each.U))
	f.Value, f.U = float64(v), float64(u)
	return f
}

// times multiplies two figures; relative doubts add in squares.
func times(a, b Figure, unit, method string) Figure {
	f := Range(a.Low*b.Low, a.Value*b.Value, a.High*b.High, unit, method, union(a.From, b.From)...)
	if a.Value != 0 && b.Value != 0 {
		f.U = math.Abs(f.Value) * math.Hypot(a.U/a.Value, b.U/b.Value)
	}
	return f
}
