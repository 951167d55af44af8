package findings

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections"
)

// ordersOf are the rules set at the site, in the order in which they were given.
func ordersOf(live []*events.Entry) (out []order) {
	for _, e := range live {
		var rules []string
		switch k := e.Payload.(type) {
		case kinds.OrderGiven:
			rules = k.Rule
		case kinds.ResumeWork:
			rules = k.Rule
		}
		for _, text := range rules {
			out = append(out, order{projections.MomentOf(e), strings.Join(strings.Fields(strings.ReplaceAll(strings.ToLower(text), "%", " % ")), " ")})
		}
	}
	return out
}

// limit returns a level of the rule as it was in force at t: what an order at the
// site last set by then, else the department's, else the rule's own.
func (c *scene) limit(level string, t time.Time) projections.Threshold {
	limit := c.rule.threshold(level)
	if c.rule.Levels[level].Ordered == "" {
		return limit
	}
	for _, o := range c.settings(level, limit.Unit) {
		if o.at.Best.After(t) {
			break
		}
		limit = siteLimit(limit, o.value, o.at.From...)
	}
	return limit
}

// setting is the number that an order set a level to.
type setting struct {
	at    projections.Moment
	value float64
}

// settings are what orders at the site set a level of the rule to, worked out once.
func (c *scene) settings(level, unit string) []setting {
	key := c.rule.Name + " " + level
	if all, known := c.set[key]; known {
		return all
	}
	var all []setting
	words := strings.Fields(c.rule.Levels[level].Ordered)
	for _, o := range c.orders {
		if v, ok := o.number(unit); ok && o.holds(words) {
			all = append(all, setting{o.at, v})
		}
	}
	c.set[key] = all
	return all
}

// use is a level of another rule as it was in force at t.
func (c *scene) use(rule, level string, t time.Time) (limit projections.Threshold) {
	c.as(rule, func() { limit = c.limit(level, t) })
	return limit
}

// as does something with another rule in hand, so that a timer or an alarm goes by
// the limits of the finding it comes before.
func (c *scene) as(rule string, do func()) {
	own := c.rule
	defer func() { c.rule = own }()
	c.rule = c.book.Rule(rule)
	do()
}

// siteLimit is a limit with the number that an entry at the site set.
func siteLimit(limit projections.Threshold, v float64, from ...events.Seq) projections.Threshold {
	limit.Value, limit.From = v, from
	limit.Source, limit.Edition, limit.Status = "set at the site", "", "site setting"
	return limit
}

// holds reports whether all words stand in the order.
func (o order) holds(words []string) bool {
	in := strings.FieldsFunc(o.text, func(r rune) bool { return !('a' <= r && r <= 'z' || '0' <= r && r <= '9') })
	for _, w := range words {
		if !slices.Contains(in, strings.ToLower(w)) {
			return false
		}
	}
	return true
}

// number reads the first number in the order that has the unit behind it.
func (o order) number(unit string) (float64, bool) {
	f := strings.Fields(o.text)
	for i := 0; i+1 < len(f); i++ {
		v, err := strconv.ParseFloat(f[i], 64)
		if err == nil && v > 0 && v < 1e9 && strings.HasPrefix(f[i+1], strings.ToLower(unit)) {
			return v, true
		}
	}
	return 0, false
}

// worst returns the most severe of the levels that v is past at t, with its limit;
// ok is false when it is past none.
func (c *scene) worst(v float64, t time.Time, levels ...string) (limit projections.Threshold, s projections.Severity, ok bool) {
	for _, name := range levels {
		l := c.limit(name, t)
		severity := c.severity(name)
		if l.Past(v) && (!ok || severity.Rank() > s.Rank()) {
			limit, s, ok = l, severity, true
		}
	}
	return limit, s, ok
}

// severity is that of a level, or else the rule's.
func (c *scene) severity(level string) projections.Severity {
	if s := c.rule.Levels[level].Severity; s != "" {
		return s
	}
	return c.rule.Severity
}

// gaps returns the stretches of need without a mark: from the start of need or the
// last mark in it to the next mark or the end of need. A need that goes on has a
// last stretch without an end.
func gaps(need projections.Interval, marks []projections.Moment, now time.Time) (out []projections.Interval) {
	from := need.Start
	for _, m := range marks {
		if !m.Best.After(from.Best) || m.Best.After(need.Until(now)) {
			continue
		}
		out = append(out, projections.Interval{Start: from, End: m})
		from = m
	}
	if from.Best.Before(need.Until(now)) {
		out = append(out, projections.Interval{Start: from, End: need.End})
	}
	return out
}
