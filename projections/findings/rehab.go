package findings

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"tankside/events/quantity"
	"tankside/projections"
	"tankside/projections/calc/heat"
)

// noRestRecorded reports those who went in again with a rest owed and none recorded,
// once for each stretch of work without one.
func noRestRecorded(c *scene) {
	var owed []projections.WorkRun
	for _, r := range c.inc.Rests() {
		if len(r.Again) > 0 {
			owed = append(owed, r)
		}
	}
	for _, together := range groups(owed, func(r projections.WorkRun) ends {
		return key(projections.Interval{Start: r.Again[0].Start, End: r.End})
	}) {
		r := together[0]
		who := names(together, func(r projections.WorkRun) string { return r.Person })
		f := projections.Finding{
			Subject: who, Start: r.Again[0].Start, End: r.End, From: slices.Concat(r.OwedAt.From, r.Work.From),
			Statement: fmt.Sprintf("%s in again at %s without recorded rehab; a rest was owed since %s (%s); %d trips, %s min since the last rest",
				who, clock(r.Again[0].Start.Best), clock(r.OwedAt.Best), briefly(r.Owed), r.Trips, number(r.Work.Value)),
		}
		c.owed(&f, r)
		c.find(f)
	}
}

// briefly leaves out the words of an order, which stand in its entry.
func briefly(owed string) string {
	if strings.HasPrefix(owed, projections.OrderedRest) {
		return "by order"
	}
	return owed
}

// owed writes what made a rest owed beside its limit.
func (c *scene) owed(f *projections.Finding, r projections.WorkRun) {
	level := "rest"
	switch {
	case strings.HasPrefix(r.Owed, projections.OrderedRest):
		f.Observed = projections.Lacking("min", "a rest of that long since "+clock(r.OwedAt.Best))
	case strings.Contains(r.Owed, "work"):
		level, f.Observed = "work", r.Work
	case strings.HasPrefix(r.Owed, "a bottle"):
		level, f.Observed = "short", projections.Lacking("min", "rated minutes: "+r.Owed)
	default:
		level, f.Observed = "bottles", projections.Exact(float64(r.Bottles), "bottles", "begun since the last rest", r.Work.From...)
	}
	limit := c.limit(level, r.OwedAt.Best)
	f.Limit = &limit
}

// unwell reports whoever came to rehab with symptoms, or colder than the bound.
func unwell(c *scene) {
	type came struct {
		who string
		at  projections.RehabStay
	}
	var all []came
	for _, p := range c.people() {
		for _, r := range p.Rehab {
			all = append(all, came{p.Person, r})
		}
	}
	for _, together := range groups(all, func(v came) int64 { return v.at.Start.Best.UnixNano() }) {
		var worst came
		limit := c.limit("cold", together[0].at.Start.Best)
		said := ""
		for _, v := range together {
			if t := v.at.In.Temp; t.Known && limit.Past(t.Value) && (worst.who == "" || t.Value < worst.at.In.Temp.Value) {
				worst = v
			}
			if s := strings.TrimSpace(v.at.Symptoms); s != "" && !no(s) && !strings.EqualFold(s, "none") {
				said = s
			}
		}
		if worst.who == "" && said == "" {
			continue
		}
		at := together[0].at
		f := projections.Finding{Subject: names(together, func(v came) string { return v.who }), Start: at.Start, End: at.End}
		f.Statement = fmt.Sprintf("%s came to rehab at %s", f.Subject, clock(at.Start.Best))
		if worst.who != "" {
			f.Subject, f.Observed, f.Limit = worst.who, worst.at.In.Temp, &limit
			f.Statement = fmt.Sprintf("%s came to rehab at %s with a body temperature of %s F", worst.who, clock(at.Start.Best), number(worst.at.In.Temp.Value))
		}
		if said != "" {
			f.Statement += "; symptoms told: " + said
		}
		c.find(f)
	}
}

// vitalsPastPolicy holds the vitals before an entry and on release against the
// department's table; without one it is switched off.
func vitalsPastPolicy(c *scene) {
	set := false
	for _, l := range c.rule.Levels {
		set = set || l.Value > 0
	}
	if !set {
		c.off("no table of the department; none is built in, for published tables disagree")
		return
	}
	for _, p := range c.people() {
		for _, s := range p.Suited {
			c.vitals(p.Person, "entry", s.At, s.Vitals)
		}
		for _, r := range p.Rehab {
			if !r.End.IsZero() {
				c.vitals(p.Person, "release", r.End, r.Out)
			}
		}
	}
}

var pressure = regexp.MustCompile(`([0-9]+) */ *([0-9]+)`)

// vitals reports what of a person's vitals is past the table.
func (c *scene) vitals(who, when string, at projections.Moment, v projections.Vitals) {
	read := map[string]projections.Figure{"pulse": v.Pulse, "temp": v.Temp}
	if m := pressure.FindStringSubmatch(v.BP); m != nil {
		for i, name := range []string{"systolic", "diastolic"} {
			n, _ := strconv.ParseFloat(m[i+1], 64) // the pattern lets nothing else through
			read[name] = projections.Exact(n, "mmHg", "", at.From...)
		}
	}
	for _, name := range []string{"pulse", "systolic", "diastolic", "temp"} {
		limit := c.limit(when+"_"+name, at.Best)
		if f, ok := read[name]; ok && f.Known && limit.Value > 0 && limit.Past(f.Value) {
			c.find(projections.Finding{
				Subject: who + " " + name, Start: at, End: at, Observed: f, Limit: &limit,
				Statement: fmt.Sprintf("%s of %s read %s %s at %s; the department's table has %s at the most", name, who, number(f.Value), f.Unit, when, number(limit.Value)),
			})
		}
	}
}

// suits are words for a suit that lets little vapour through.
var suits = regexp.MustCompile(`(?i)level ?[ab]\b|encapsul|vapou?r|splash|turnout|chemical`)

// suitHeat says once that people worked in suits in warm air, and how often one plan
// looked at them. The log holds no wet bulb or globe, so no limit is worked out.
func suitHeat(c *scene) {
	var warm []projections.Interval
	var hottest projections.Figure
	for _, p := range c.people() {
		for _, t := range p.Trips {
			air := c.airAt(t.Start)
			if limit := c.limit("air", t.Start.Best); !suits.MatchString(t.Suit) || !air.Known || !limit.Past(air.Value) {
				continue
			}
			warm = append(warm, t.Interval)
			if !hottest.Known || air.Value > hottest.Value {
				hottest = air
			}
		}
	}
	if len(warm) == 0 {
		return
	}
	first, last := warm[0], warm[0]
	for _, w := range warm {
		if w.Start.Best.Before(first.Start.Best) {
			first = w
		}
		if w.Until(c.now).After(last.Until(c.now)) {
			last = w
		}
	}
	limit := c.limit("air", first.Start.Best)
	c.find(projections.Finding{
		Subject: "hot zone", Start: first.Start, End: last.End, Observed: hottest, Limit: &limit,
		Statement: fmt.Sprintf("people worked in suits in air of up to %s F; one plan looks at each every %.0f min without sun and %.0f in full sun",
			number(hottest.Value), checked(hottest.Value, 0), checked(hottest.Value, 100)),
	})
}

// checked is how often the plan looks at somebody, min; sun is from 0 to 100 %.
func checked(air, sun float64) float64 {
	f, err := heat.Adjusted(quantity.Fahrenheit(air), sun)
	if err != nil {
		return 0 // only for a sun outside 0 to 100
	}
	return float64(heat.CheckEvery(f))
}

// airAt is the temperature of the air last read by then.
func (c *scene) airAt(m projections.Moment) projections.Figure {
	air := projections.Lacking("F", "weather")
	for _, w := range c.inc.Weather.Reads {
		if w.Temp.Known && !w.At.Best.After(m.Best) {
			air = w.Temp
		}
	}
	return air
}
