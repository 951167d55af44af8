package findings

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"

	"tankside/events/kinds"
	"tankside/projections"
	"tankside/projections/calc/foam"
)

var foamChecks = map[string]func(*scene){
	"no-foam-before-access": noFoamBeforeAccess,
	"foam-late":             foamLate,
	"foam-under-applied":    foamUnderApplied,
	"foam-not-for-alcohol":  foamNotForAlcohol,
}

// noFoamBeforeAccess reports the first entry where product ran or vapour was read
// before it and no foam was recorded. A decision to use none answers it.
func noFoamBeforeAccess(c *scene) {
	entry := c.benchmark("first entry")
	if entry.IsZero() || c.noFoamDecided(entry.Best) {
		return
	}
	var at []projections.Moment
	for _, a := range c.inc.Foam.Applications {
		at = append(at, a.At)
	}
	met, ok := before(entry.Best, at)
	if ok {
		return
	}
	f := projections.Finding{Subject: "first entry", Start: entry, End: entry, From: met.From}
	if !c.vapourBefore(&f, entry.Best) && !c.leakBefore(&f, entry.Best) {
		return
	}
	f.Statement = c.late("foam", entry, "the first entry", met) + "; " + f.Statement
	c.find(f)
}

// noFoam are the words of a decision to use none.
var noFoam = regexp.MustCompile(`(?i)\b(no|without|not (use|put on)) (any )?foam\b`)

// noFoamDecided reports whether somebody decided by t to use no foam.
func (c *scene) noFoamDecided(t time.Time) bool {
	for e, k := range entries[kinds.Decision](c) {
		if !e.Time().After(t) && noFoam.MatchString(k.Choice) {
			return true
		}
	}
	return false
}

// vapourBefore fills a finding with the highest reading of vapour before t, where it
// is at the level or past it.
func (c *scene) vapourBefore(f *projections.Finding, t time.Time) bool {
	for _, s := range c.air() {
		for _, r := range s.Readings {
			limit, v := c.limit("vapour", r.At.Best), level(r)
			if s.Quantity != "LEL" || r.At.Best.After(t) || !v.Known || !limit.Past(v.Value) || f.Observed.Known && f.Observed.Value >= v.Value {
				continue
			}
			f.Observed, f.Limit, f.Severity = v, &limit, c.severity("vapour")
			f.Statement = fmt.Sprintf("%s read %s %% of the LEL at %s", s.Place, number(v.Value), clock(r.At.Best))
		}
	}
	return f.Observed.Known
}

// leakBefore fills a finding with a leak that was found before t and not stopped by
// then.
func (c *scene) leakBefore(f *projections.Finding, t time.Time) bool {
	for _, l := range c.inc.Phases.Leaks {
		if l.Found.IsZero() || l.Found.Best.After(t) || !l.Stopped.IsZero() && !l.Stopped.Best.After(t) {
			continue
		}
		f.Statement = fmt.Sprintf("the leak at %s was found at %s", l.Place, clock(l.Found.Best))
		f.From = append(f.From, l.Found.From...)
		return true
	}
	return false
}

// foamLate reports each stretch between two applications that went past the interval
// ordered, or else past the usual one. Where none was ordered, a reading of no vapour at the foam also counts as a look at the blanket.
// After the work is done nothing says that foam was still wanted.
func foamLate(c *scene) {
	on, done := c.inc.Foam.Applications, c.workDone()
	for i, a := range on {
		gap := projections.Interval{Start: a.At, End: done}
		if i+1 < len(on) && (done.IsZero() || on[i+1].At.Best.Before(done.Best)) {
			gap.End = on[i+1].At
		}
		limit, since := c.foamWanted(a, &gap)
		if limit.Status != "site setting" {
			gap = c.longestUnread(gap, a.Place)
		}
		lasted := projections.Elapsed(gap.Start, gap.End, c.now)
		if !limit.Past(lasted.Value) {
			continue
		}
		f := projections.Finding{Subject: "foam", Start: gap.Start, End: gap.End, Observed: lasted, Limit: &limit}
		f.Statement = fmt.Sprintf("%s min from the %s at %s to %s; it was to be gone over every %s min", number(lasted.Value), since, clock(gap.Start.Best), c.until(gap), number(limit.Value))
		if limit.Status == "practice" {
			f.Severity = projections.Info
			f.Statement = fmt.Sprintf("no foam and no clear reading at it for %s min from %s; usual is every %s min, and none was ordered", number(lasted.Value), clock(gap.Start.Best), number(limit.Value))
		}
		c.find(f)
	}
}

// foamWanted is the interval that a gap is held to: what was in force at its end. One
// that was ordered while the blanket lay runs from the order, unless by then the gap was
// past the one before.
func (c *scene) foamWanted(a projections.FoamApplication, gap *projections.Interval) (limit projections.Threshold, since string) {
	first, last := c.foamInterval(a, gap.Start.Best), c.foamInterval(a, gap.Until(c.now))
	if first.Value == last.Value || len(last.From) == 0 || c.entry(last.From[0]) == nil {
		return last, "foam"
	}
	order := projections.MomentOf(c.entry(last.From[0]))
	if first.Status == "site setting" && first.Past(order.Best.Sub(gap.Start.Best).Minutes()) {
		return first, "foam"
	}
	gap.Start = order
	return last, "order"
}

// foamInterval is how soon the blanket of an application is to be gone over, as in
// force at t.
func (c *scene) foamInterval(a projections.FoamApplication, t time.Time) projections.Threshold {
	if kind, ok := foam.Named(a.Type); ok && kind.AlcoholResistant {
		return c.limit("resistant", t)
	}
	return c.limit("again", t)
}

// longestUnread is the longest stretch of a gap in which no reading at the foam showed
// less vapour than the level.
func (c *scene) longestUnread(gap projections.Interval, place string) (longest projections.Interval) {
	var clear []projections.Moment
	for _, s := range c.air() {
		for _, r := range s.Readings {
			if v := level(r); s.Quantity == "LEL" && v.Known && c.limit("vapour", r.At.Best).Past(v.Value) && nearby(place, s.Place) {
				clear = append(clear, r.At)
			}
		}
	}
	slices.SortStableFunc(clear, func(a, b projections.Moment) int { return a.Best.Compare(b.Best) })
	for _, g := range gaps(gap, clear, c.now) {
		if longest.Start.IsZero() || g.Until(c.now).Sub(g.Start.Best) > longest.Until(c.now).Sub(longest.Start.Best) {
			longest = g
		}
	}
	return longest
}

// nearby reports whether two places have a word in common that names something: C4,
// ditch.
func nearby(a, b string) bool {
	words := strings.Fields(strings.ToLower(a))
	return slices.ContainsFunc(strings.Fields(strings.ToLower(b)), func(w string) bool {
		return len(w) > 1 && !slices.Contains([]string{"and", "the", "side", "of", "at"}, w) && slices.Contains(words, w)
	})
}

// foamUnderApplied reports each first application that was less than its area takes.
func foamUnderApplied(c *scene) {
	for _, a := range c.inc.Foamed() {
		if a.Need == nil || !a.Need.Share.Known {
			continue
		}
		limit := c.limit("share", a.At.Best)
		if !limit.Past(a.Need.Share.Value) {
			continue
		}
		what, need := a.Concentrate, a.Need.Concentrate
		if !what.Known || !need.Known {
			what, need = a.Solution, a.Need.Solution
		}
		name := map[bool]string{true: "concentrate", false: "solution"}[a.Concentrate.Known && a.Need.Concentrate.Known]
		c.find(projections.Finding{
			Subject: a.Place, Start: a.At, End: a.At, Observed: a.Need.Share, Limit: &limit, Confidence: a.Need.Taken,
			Statement: fmt.Sprintf("%s gal of %s went on %s ft2; %s at %s gpm/ft2 for %s min takes %s gal", number(what.Value), name, number(a.Area.Value), a.Need.Foam,
				fmt.Sprintf("%.2f", a.Need.Rate.Value), number(a.Need.Minutes.Value), number(need.Value)),
		})
	}
}

// foamNotForAlcohol reports, once for each foam, that it went on a fuel that breaks it
// down, or that nobody said which foam went on such a fuel.
func foamNotForAlcohol(c *scene) {
	fuel := c.inc.Fuel()
	limit := c.limit("alcohol", c.now)
	if !fuel.Alcohol.Known || !limit.Past(fuel.Alcohol.Value) {
		return
	}
	told := map[string]*projections.Finding{}
	var order []string
	for _, a := range c.inc.Foam.Applications {
		kind, known := foam.Named(a.Type)
		if known && kind.AlcoholResistant {
			continue
		}
		f := told[kind.Name]
		if f == nil {
			f = &projections.Finding{Subject: kind.Name, Start: a.At, Observed: fuel.Alcohol, Limit: &limit}
			f.Statement = fmt.Sprintf("%s went on %s, which has %s %% alcohol; only a foam that resists alcohol holds on it", kind.Name, fuel.Product, number(fuel.Alcohol.Value))
			if !known {
				f.Subject, f.Severity = "foam", c.severity("unnamed")
				f.Statement = fmt.Sprintf("which kind of foam went on %s is not recorded; it has %s %% alcohol and needs one that resists it", fuel.Product, number(fuel.Alcohol.Value))
			}
			told[kind.Name], order = f, append(order, kind.Name)
		}
		f.End, f.From = a.At, append(f.From, a.At.From...)
	}
	for _, name := range order {
		c.find(*told[name])
	}
}
