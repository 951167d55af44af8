package findings

import (
	"cmp"
	"slices"

	"tankside/events"
	"tankside/projections"
)

// timed are the families that say what is due and what cannot wait now.
var timed = []string{"due", "alarm"}

// Judge holds the rules of a book against an incident and writes what they find, what
// is due and what cannot wait into it. It is a pure function of what it is given.
func Judge(inc *projections.Incident, tl *events.Timeline, b *Book) {
	c := judge(inc, tl, b, func(string) bool { return true })
	inc.RuleBook, inc.RulesOff = b.Name(), c.rulesOff
	inc.Findings, inc.Due, inc.Duties, inc.Alarms = c.found, c.due, c.duties, c.alarms
}

// Time is Judge for what is due and what cannot wait alone, which is quick: as the clock
// goes on and nothing is logged, or before all the rules are held against what was. It
// leaves the findings, the duties and the rules that are off as they were.
func Time(inc *projections.Incident, tl *events.Timeline, b *Book) {
	c := judge(inc, tl, b, func(family string) bool { return slices.Contains(timed, family) })
	inc.Due, inc.Alarms = c.due, c.alarms
}

func judge(inc *projections.Incident, tl *events.Timeline, b *Book, wanted func(string) bool) *scene {
	c := newScene(inc, tl, b)
	inc.Crew = b.crew()
	for _, f := range families {
		if !wanted(f.name) {
			continue
		}
		for i := range b.Rules {
			r := &b.Rules[i]
			if r.Family != f.name {
				continue
			}
			if r.Off != "" {
				c.rulesOff = append(c.rulesOff, projections.RuleOff{Rule: r.Name, Ref: r.Ref, Title: r.Title, Why: r.Off})
				continue
			}
			c.rule = r
			f.checks[r.Name](c)
		}
	}
	c.sort()
	return c
}

// sort puts findings in the order of time and alarms by when they began. Of the timers
// the late ones stand first, those by which somebody may be hurt before the others and
// the latest before the later; then what is to come, the soonest first.
func (c *scene) sort() {
	slices.SortStableFunc(c.found, func(a, b projections.Finding) int {
		return cmp.Or(a.Start.Best.Compare(b.Start.Best), cmp.Compare(a.Ref, b.Ref), cmp.Compare(a.Subject, b.Subject), cmp.Compare(a.Rule, b.Rule))
	})
	slices.SortStableFunc(c.due, func(a, b projections.Due) int {
		return cmp.Or(c.pressing(b)-c.pressing(a), a.At.Compare(b.At), cmp.Compare(a.Ref, b.Ref), cmp.Compare(a.Subject, b.Subject))
	})
	slices.SortStableFunc(c.alarms, func(a, b projections.Alarm) int {
		return cmp.Or(a.Since.Best.Compare(b.Since.Best), cmp.Compare(a.Rule, b.Rule), cmp.Compare(a.Subject, b.Subject))
	})
}

// pressing ranks a timer that is late by the severity of its rule; what is still to
// come has none.
func (c *scene) pressing(d projections.Due) int {
	if d.Level != "late" {
		return 0
	}
	return c.book.Rule(d.Rule).Severity.Rank()
}
