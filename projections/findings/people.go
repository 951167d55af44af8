package findings

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
	"tankside/projections"
	"tankside/projections/calc/rest"
)

var peopleChecks = map[string]func(*scene){
	"roll-call-late":          rollCallLate,
	"accountability-mismatch": accountability,
	"backup-not-named":        backupNotNamed,
	"backup-elsewhere":        backupElsewhere,
	"alone-in":                aloneIn,
	"stay-over-limit":         stayOverLimit,
	"low-start":               lowStart,
	"out-below-alarm":         outBelowAlarm,
	"past-turn-back":          pastTurnBack,
	"past-rated-minutes":      pastRatedMinutes,
	"no-rest-recorded":        noRestRecorded,
	"vitals-past-policy":      vitalsPastPolicy,
	"suit-heat":               suitHeat,
	"unwell":                  unwell,
	"in-after-sent-off":       inAfterSentOff,
}

// crew is what the rules settle of air and rest, so that what the state works out and
// what is found stand on the same numbers.
func (b *Book) crew() projections.CrewRules {
	level := func(rule, level string) float64 { return b.Rule(rule).Levels[level].Value }
	source := b.Rule("no-rest-recorded").threshold("rest").Source
	return projections.CrewRules{
		Bottle: quantity.Minutes(level("past-rated-minutes", "bottle")),
		Alarm:  level("out-below-alarm", "alarm") / 100, Cautious: level("out-below-alarm", "cautious") / 100,
		Out: quantity.Minutes(level("past-turn-back", "out")), Decon: quantity.Minutes(level("past-turn-back", "decon")),
		Rest: rest.Rule{
			Bottles: int(level("no-rest-recorded", "bottles")), Short: quantity.Minutes(level("no-rest-recorded", "short")),
			Work: quantity.Minutes(level("no-rest-recorded", "work")), First: quantity.Minutes(level("no-rest-recorded", "rest")),
			After: quantity.Minutes(level("no-rest-recorded", "again")), Source: source,
		},
	}
}

// off lists the rule as one that is not held against this log.
func (c *scene) off(why string) {
	c.inc.RulesOff = append(c.inc.RulesOff, projections.RuleOff{Rule: c.rule.Name, Ref: c.rule.Ref, Title: c.rule.Title, Why: why})
}

// rollCallLate reports each stretch with somebody in and no roll call that went past
// the interval ordered at the site, or else the usual one.
func rollCallLate(c *scene) {
	for _, g := range c.inc.RollGaps() {
		limit := c.limit("late", g.Start.Best)
		if g.Limit.Known {
			limit = siteLimit(limit, g.Limit.Value, g.Limit.From...)
		}
		if !limit.Past(g.Minutes.Value) {
			continue
		}
		c.find(projections.Finding{
			Subject: "hot zone", Start: g.Start, End: g.End, Minutes: g.Minutes, Observed: g.Minutes, Limit: &limit,
			Statement: fmt.Sprintf("no roll call is recorded from %s to %s, %s min with somebody in; one was due every %s min",
				clock(g.Start.Best), c.until(g.Interval), number(g.Minutes.Value), number(limit.Value)),
		})
	}
}

// until words the end of a stretch.
func (c *scene) until(i projections.Interval) string {
	if i.End.IsZero() {
		return "now, " + clock(c.now)
	}
	return clock(i.End.Best)
}

// clock writes a time of day, with seconds only where there are any.
func clock(t time.Time) string {
	if t.Second() == 0 {
		return t.Format("15:04")
	}
	return t.Format(time.TimeOnly)
}

// number writes a number with one decimal where it needs one.
func number(v float64) string { return strings.TrimSuffix(fmt.Sprintf("%.1f", v), ".0") }

// accountability reports the roll calls whose counts do not agree with each other or
// with the log, and whoever is still in by the log after it was closed.
func accountability(c *scene) {
	stays := c.stays()
	now := hotZone{c: c, coming: slices.Clone(stays)}
	slices.SortStableFunc(now.coming, func(a, b stayed) int { return a.Start.Best.Compare(b.Start.Best) })
	for _, r := range c.inc.People.RollCalls { // in the order of time
		c.rollCall(r, &now)
	}
	var closed projections.Moment
	for e := range entries[kinds.LogClosed](c) {
		closed = projections.MomentOf(e)
	}
	for _, s := range stays {
		switch {
		case s.Start.IsZero():
			c.find(projections.Finding{
				Severity: projections.Info, Subject: s.who, Start: s.End, End: s.End,
				Statement: fmt.Sprintf("%s came out at %s; the way in is not recorded", s.who, clock(s.End.Best)),
			})
		case s.End.IsZero() && !closed.IsZero() && s.Start.Best.Before(closed.Best):
			c.find(projections.Finding{
				Severity: projections.Serious, Subject: s.who, Start: s.Start, From: closed.From,
				Statement: fmt.Sprintf("%s went in at %s; the log was closed and no way out is recorded", s.who, clock(s.Start.Best)),
			})
		}
	}
}

func (c *scene) rollCall(r projections.RollCall, now *hotZone) {
	f := projections.Finding{Subject: "roll call " + clock(r.At.Best), Start: r.At, End: r.At}
	low, high, from := now.at(r.At.Best)
	if r.In.Known && (r.In.High < float64(low) || r.In.Low > float64(high)) {
		g, by := f, high
		if high >= many {
			by = low
		}
		g.Observed, g.From = projections.Exact(float64(by)-r.In.Value, "person difference", "in by the log less counted", r.In.From...), from
		g.Statement = fmt.Sprintf("the roll call at %s counted %s in; by the log %d were in", clock(r.At.Best), number(r.In.Value), by)
		c.find(g)
	}
	if r.Tags.Known && r.In.Known && r.Tags.Low > r.In.High {
		g := f
		g.Subject = "tags " + clock(r.At.Best)
		g.Observed = projections.Exact(r.Tags.Value-r.In.Value, "person difference", "tags turned less counted in", r.At.From...)
		g.Statement = fmt.Sprintf("at the roll call at %s %s tags were turned and %s counted in", clock(r.At.Best), number(r.Tags.Value), number(r.In.Value))
		c.find(g)
	}
	if r.Seen.Known && r.In.Known && r.Seen.High < r.In.Low || len(r.Missing) > 0 {
		g := f
		g.Severity, g.Subject = projections.Serious, "answers "+clock(r.At.Best)
		g.Statement = fmt.Sprintf("at the roll call at %s not everybody answered or was seen%s", clock(r.At.Best), listed(": ", r.Missing))
		c.find(g)
	}
}

func listed(before string, names []string) string {
	if len(names) == 0 {
		return ""
	}
	return before + strings.Join(names, ", ")
}

// many stands for a crew of which nobody said how many it has.
const many = 10_000

// hotZone is who is in at a moment that only goes forward.
type hotZone struct {
	c      *scene
	coming []stayed // who has not gone in yet, sorted by when
	in     []stayed
}

// at is how many were in by the log at t; those who cross in that very moment may count
// or not, and a crew that goes by a name is any number. from are the ways in of those
// who were.
func (h *hotZone) at(t time.Time) (low, high int, from []events.Seq) {
	for len(h.coming) > 0 && !h.coming[0].Start.Best.After(t) {
		if s := h.coming[0]; !s.Start.IsZero() {
			h.in = append(h.in, s)
		}
		h.coming = h.coming[1:]
	}
	h.in = slices.DeleteFunc(h.in, func(s stayed) bool { return s.Until(h.c.now).Before(t) })
	for _, s := range h.in {
		if high++; s.who == s.pair {
			high = many
		}
		from = append(from, s.Start.From...)
		if s.Start.Best.Before(t) && (s.End.IsZero() || s.End.Best.After(t)) {
			low++
		}
	}
	return low, high, from
}

// stayed is one stay of one person in the hot zone.
type stayed struct {
	projections.Interval
	who, pair string
}

// stays are those of everybody, sorted by person.
func (c *scene) stays() []stayed {
	people, trips := c.people(), 0
	for i := range people {
		trips += len(people[i].Trips)
	}
	out := make([]stayed, 0, trips)
	for i := range people {
		p := &people[i]
		for j := range p.Trips {
			t := &p.Trips[j]
			out = append(out, stayed{t.Interval, p.Person, t.Pair})
		}
	}
	return out
}

// stayOverLimit reports the stays past the limit that an order set, those who went in
// and came out together as one.
func stayOverLimit(c *scene) {
	long := c.inc.People.LongStays(c.now)
	for _, together := range groups(long, func(s projections.LongStay) ends { return key(s.Interval) }) {
		s := together[0]
		limit := siteLimit(c.limit("stay", s.Start.Best), s.Limit.Value, s.Limit.From...)
		who := names(together, func(s projections.LongStay) string { return s.Person })
		c.find(projections.Finding{
			Subject: who, Start: s.Start, End: s.End, Minutes: s.Minutes, Observed: s.Minutes, Limit: &limit,
			Statement: fmt.Sprintf("%s were in for %s min, from %s to %s; the order then in force allows %s", who, number(s.Minutes.Value), clock(s.Start.Best), c.until(s.Interval), number(limit.Value)),
		})
	}
}

// ends tell stretches apart.
type ends struct{ start, end int64 }

// key is the ends of a stretch.
func key(i projections.Interval) ends { return ends{i.Start.Best.UnixNano(), i.End.Best.UnixNano()} }

// groups puts together what has the same key, in the order in which each first came.
func groups[T any, K comparable](list []T, key func(T) K) (out [][]T) {
	at := map[K]int{}
	group, sizes := make([]int, len(list)), []int{}
	for i, v := range list {
		k := key(v)
		g, ok := at[k]
		if !ok {
			g = len(sizes)
			at[k], sizes = g, append(sizes, 0)
		}
		group[i] = g
		sizes[g]++
	}
	out = make([][]T, len(sizes))
	for g, n := range sizes {
		out[g] = make([]T, 0, n)
	}
	for i, v := range list {
		out[group[i]] = append(out[group[i]], v)
	}
	return out
}

// names lists who is in a group, each once.
func names[T any](list []T, name func(T) string) string {
	var out []string
	for _, v := range list {
		if n := name(v); !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	return strings.Join(out, ", ")
}

// sentOff is an order that takes somebody off: "P2A off for the day".
var sentOff = regexp.MustCompile(`(?i)\b(P[0-9]+[A-Z])\b.*\boff\b`)

// sent is that somebody is not to go in again from then on, or may.
type sent struct {
	at  projections.Moment
	off bool
}

// inAfterSentOff reports whoever was logged in after an order or a release from rehab
// said not to, and no later release said otherwise.
func inAfterSentOff(c *scene) {
	said := map[string][]sent{}
	for e, k := range entries[kinds.OrderGiven](c) {
		if m := sentOff.FindStringSubmatch(k.Act); m != nil {
			who := strings.ToUpper(m[1])
			said[who] = append(said[who], sent{projections.MomentOf(e), true})
		}
	}
	for _, p := range c.people() {
		marks := said[p.Person]
		for _, r := range p.Rehab {
			if off := no(r.HotZone) || no(r.Cleared); off || r.Cleared != "" {
				marks = append(marks, sent{r.End, off})
			}
		}
		slices.SortStableFunc(marks, func(a, b sent) int { return a.at.Best.Compare(b.at.Best) })
		for _, t := range p.Trips {
			c.heldOff(p.Person, t.Interval, marks)
		}
	}
}

func (c *scene) heldOff(who string, t projections.Interval, marks []sent) {
	var last sent
	for _, m := range marks {
		if m.at.Best.Before(t.Start.Best) {
			last = m
		}
	}
	if last.off {
		c.find(projections.Finding{
			Subject: who, Start: t.Start, End: t.End, From: last.at.From,
			Statement: fmt.Sprintf("%s was logged in at %s; from %s on the log says not to go in again", who, clock(t.Start.Best), clock(last.at.Best)),
		})
	}
}

func no(said string) bool {
	f := strings.Fields(strings.ToLower(said))
	return len(f) > 0 && (f[0] == "no" || f[0] == "not")
}
