package projections

import (
	"math"
	"slices"
	"time"

	"tankside/events"
	"tankside/events/quantity"
	"tankside/projections/calc/exposure"
)

// fillings are the ways in which the time between readings is filled, by how doses
// keeps them.
var fillings = [...]exposure.Method{exposure.HoldPrevious, exposure.StraightLines, exposure.Lowest, exposure.Highest}

// doses gathers the profiles of the stays of one person, or of one place.
type doses struct {
	ruler
	substance string
	now       time.Time
	parts     [len(fillings)][]exposure.Profile // one a stay
	profiles  [len(fillings)]exposure.Profile   // all of them
	spans     []exposure.Span                   // of the stays
	before    []exposure.Span                   // of fifteen minutes before a stay whose start nobody logged
	used      []*AirReading
	hold      quantity.Minutes // the longest that was taken
	open      []string         // what the upper bound lacks
}

func (inc *Incident) newDoses(substance string, base time.Time) *doses {
	return &doses{ruler: ruler{base}, substance: substance, now: inc.AsOf}
}

// take adds the readings that speak for a stay; without a stay, for their place. Of a
// stay whose start nobody logged it counts from the first of the readings without a
// gap before its end.
func (d *doses) take(readings []*AirReading, hold quantity.Minutes, w *AtWork) {
	d.hold = max(d.hold, hold)
	var span exposure.Span
	end := d.at(d.now)
	if w != nil {
		span = d.stay(readings, hold, w)
		end = span.To
		d.spans = append(d.spans, span)
	}
	levels := make([]exposure.Reading, 0, len(readings))
	for _, r := range readings {
		at := d.at(r.At.Best)
		levels = append(levels, d.level(r, at))
		if w == nil || at <= span.To && at+hold > span.From {
			d.used = append(d.used, r)
		}
	}
	for i, m := range fillings {
		p, err := exposure.New(levels, m, hold, end)
		if err != nil {
			return // a level that is no number: the entry says so, and counts nowhere
		}
		if w != nil {
			p = p.Within([]exposure.Span{span})
		}
		d.parts[i] = append(d.parts[i], p)
	}
}

// stay is the span of a stay.
func (d *doses) stay(readings []*AirReading, hold quantity.Minutes, w *AtWork) exposure.Span {
	end := d.at(w.Until(d.now))
	if !w.Start.IsZero() {
		return exposure.Span{From: d.at(w.Start.Best), To: end}
	}
	from := end
	for _, r := range slices.Backward(readings) {
		if at := d.at(r.At.Best); at <= from && from <= at+hold {
			from = at
		}
	}
	d.before = append(d.before, exposure.Span{From: from - exposure.Short, To: from})
	d.open = append(d.open, "when the work began that was stopped at "+clock(w.End.Best))
	return exposure.Span{From: from, To: end}
}

// level is a reading as the formulas take it. Below the detection limit it is half of
// it. Vapour shown by a detector of which nobody said the factor may be off by it.
func (d *doses) level(r *AirReading, at quantity.Minutes) exposure.Reading {
	v := r.Value
	out := exposure.Reading{At: at, Level: quantity.PPM(v.Value), Low: quantity.PPM(max(0, v.Low)), High: quantity.PPM(v.High)}
	if math.IsInf(v.Low, -1) && v.High > 0 {
		out = exposure.Below(at, quantity.PPM(v.High))
	}
	if d.substance == "gasoline" && r.factor == 0 {
		out.Low *= quantity.PPM(vapourFactors[0])
		out.High *= quantity.PPM(vapourFactors[1])
	}
	return out
}

// exposed works out the figures.
func (d *doses) exposed() Exposed {
	for i, parts := range d.parts {
		d.profiles[i] = exposure.Join(parts...)
	}
	x := Exposed{
		Substance: d.substance, Stays: []AtWork{}, Readings: len(d.used), Highest: Lacking("ppm", "a reading there"), Unmonitored: []Unmonitored{},
		Inside: Lacking("ppm", "a mask and a reading"), Flags: d.flags(), profile: d.profiles[0], ruler: d.ruler,
		Method: "no reading speaks for longer than " + quantity.Digits(float64(d.hold)) + " min; what lies beyond is listed as unmonitored",
	}
	x.Measured = Exact(float64(d.profiles[0].Minutes()), "min", "with a reading that speaks for it", d.from(exposure.Span{From: quantity.Minutes(math.Inf(-1)), To: quantity.Minutes(math.Inf(1))})...)
	x.unmonitored(d, d.spans)
	if len(d.used) == 0 {
		x.Rolling15, x.Last15, x.TWA8 = unknownAverages("a reading there"), unknownAverages("a reading there"), unknownAverages("a reading there")
		x.Measured.From = nil
		return x
	}
	for _, r := range d.used {
		if !x.Highest.Known || r.Value.Value > x.Highest.Value {
			x.Highest = r.Value
		}
	}
	x.Rolling15, x.Last15, x.TWA8 = d.rolling(), d.last(), d.shift()
	return x
}

// unmonitored lists the parts of the spans that no reading speaks for. Where a stay
// has no start they are at least that.
func (x *Exposed) unmonitored(d *doses, spans []exposure.Span) {
	var gaps quantity.Minutes
	for _, g := range d.profiles[0].Unmonitored(spans) {
		gaps += g.Length()
		x.Unmonitored = append(x.Unmonitored, Unmonitored{d.window(g), float64(g.Length())})
	}
	x.Unread = Exact(float64(gaps), "min", "at work with no reading that speaks for it")
	if len(d.open) > 0 {
		x.Unread.High = math.Inf(1)
	}
}

// filled is the profile of an upper bound: what nobody read at its peak.
func (d *doses) filled(spans ...exposure.Span) exposure.Profile {
	highest := d.profiles[3]
	return highest.Filled(slices.Concat(d.spans, spans), max(highest.Peak(), d.profiles[0].Peak()))
}

// rolling is the highest average of any fifteen minutes.
func (d *doses) rolling() Averages {
	var out Averages
	v, from := d.profiles[0].Rolling(exposure.Short)
	window := exposure.Span{From: from, To: from + exposure.Short}
	w := d.window(window)
	out.Window = &w
	out.Hold = Exact(float64(v), "ppm", fillings[0].String(), d.from(window)...)
	v, from = d.profiles[1].Rolling(exposure.Short)
	out.Straight = Exact(float64(v), "ppm", fillings[1].String(), d.from(exposure.Span{From: from, To: from + exposure.Short})...)
	low, _ := d.profiles[2].Rolling(exposure.Short)
	high, _ := d.filled(d.before...).Rolling(exposure.Short)
	return out.bounded(float64(low), float64(high))
}

// last is the average of the fifteen minutes up to now; not known where no reading
// speaks for any of them.
func (d *doses) last() Averages {
	now := d.at(d.now)
	span := exposure.Span{From: now - exposure.Short, To: now}
	of := func(p exposure.Profile) float64 {
		return float64(p.Within([]exposure.Span{span}).Dose().Average(exposure.Short))
	}
	if d.profiles[0].Within([]exposure.Span{span}).Minutes() == 0 {
		return unknownAverages("a reading of the last 15 min there")
	}
	w := d.window(span)
	out := Averages{
		Hold:     Exact(of(d.profiles[0]), "ppm", fillings[0].String(), d.from(span)...),
		Straight: Exact(of(d.profiles[1]), "ppm", fillings[1].String(), d.from(span)...), Window: &w,
	}
	return out.bounded(of(d.profiles[2]), of(d.filled(d.before...)))
}

// shift is the average over eight hours.
func (d *doses) shift() Averages {
	all := d.from(exposure.Span{From: quantity.Minutes(math.Inf(-1)), To: quantity.Minutes(math.Inf(1))})
	of := func(p exposure.Profile) float64 { return float64(p.Dose().Average(exposure.Shift)) }
	out := Averages{
		Hold:     Exact(of(d.profiles[0]), "ppm", fillings[0].String()+"; over 8 h", all...),
		Straight: Exact(of(d.profiles[1]), "ppm", fillings[1].String()+"; over 8 h", all...),
	}
	high := of(d.filled())
	if len(d.open) > 0 {
		high = math.Inf(1)
	}
	return out.bounded(of(d.profiles[2]), high)
}

// bounded writes bounds on both averages.
func (a Averages) bounded(low, high float64) Averages {
	a.Low, a.High = finite(low), finite(high)
	for _, f := range []*Figure{&a.Hold, &a.Straight} {
		f.Low, f.High = min(low, f.Value), max(high, f.Value)
	}
	return a
}

func (d *doses) window(s exposure.Span) Window { return Window{d.time(s.From), d.time(s.To)} }

// from are the readings that speak for a span.
func (d *doses) from(s exposure.Span) (out []events.Seq) {
	for _, r := range d.used {
		if at := d.at(r.At.Best); at <= s.To && at+d.hold > s.From {
			out = append(out, r.At.From...)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// flags say what a reader of the figures must know.
func (d *doses) flags() (out []string) {
	out = []string{}
	add := func(is func(*AirReading) bool, words string) {
		if slices.ContainsFunc(d.used, is) {
			out = append(out, words)
		}
	}
	add(func(r *AirReading) bool { return math.IsInf(r.Value.High, 1) }, "a reading went past the end of its scale: the figures are the least they can be")
	add(func(r *AirReading) bool { return math.IsInf(r.Value.Low, -1) }, "a reading was below detection: half of the detection limit is taken")
	if d.substance == "gasoline" {
		add(func(*AirReading) bool { return true }, "all vapour is taken for gasoline")
		add(func(r *AirReading) bool { return r.factor == 0 }, "the factor of the detector is not recorded: as shown")
	}
	for _, what := range d.open {
		out = append(out, "not recorded: "+what)
	}
	return out
}
