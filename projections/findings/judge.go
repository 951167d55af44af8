package findings

import (
	"cmp"
	"slices"

	"tankside/events"
	"tankside/projections"
)

// Judge holds the rules of a book against an incident and writes what they find, what
// is due and what cannot wait into it. It is a pure function of what it is given.
func Judge(inc *projections.Incident, tl *events.Timeline, b *Book) {
	c := newScene(inc, tl, b)
	inc.RuleBook, inc.RulesOff = b.Name(), nil
	inc.Crew = b.crew()
	for _, f := range families {
		for i := range b.Rules {
			r := &b.Rules[i]
			if r.Family != f.name {
				continue
			}
			if r.Off != "" {
				inc.RulesOff = append(inc.RulesOff, projections.RuleOff{Rule: r.Name, Ref: r.Ref, Title: r.Title, Why: r.Off})
				continue
			}
			c.rule = r
			f.checks[r.Name](c)
		}
	}
	slices.SortStableFunc(c.found, func(a, b projections.Finding) int {
		return cmp.Or(a.Start.Best.Compare(b.Start.Best), cmp.Compare(a.Ref, b.Ref), cmp.Compare(a.Subject, b.Subject), cmp.Compare(a.Rule, b.Rule))
	})
	inc.Findings = c.found
}
