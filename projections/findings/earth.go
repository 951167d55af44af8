package findings

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections"
)

var earthChecks = map[string]func(*scene){
	"drilled-before-bonded":   drilledBeforeBonded,
	"drilled-before-grounded": drilledBeforeGrounded,
	"pumped-before-bonded":    pumpedBeforeBonded,
	"bond-not-read":           bondNotRead,
	"bond-over-limit":         bondOverLimit,
	"ground-over-limit":       groundOverLimit,
	"bond-not-read-again":     bondNotReadAgain,
	"bond-off-early":          bondOffEarly,
}

// paths are the paths of a kind that are wanted.
func (c *scene) paths(kind string, wanted func(projections.EarthPath) bool) (out []projections.EarthPath) {
	for _, p := range c.inc.Grounding.List() {
		if p.Path == kind && wanted(p) {
			out = append(out, p)
		}
	}
	return out
}

func anyPath(projections.EarthPath) bool { return true }

// to picks the bonds to a truck.
func to(truck string) func(projections.EarthPath) bool {
	return func(p projections.EarthPath) bool { return p.Truck == truck }
}

// ohmLimit is what a reading is held to: what was in force at the site when it was
// taken, else the level of a rule.
func (c *scene) ohmLimit(rule, level string, r projections.OhmReading) projections.Threshold {
	limit := c.use(rule, level, r.At.Best)
	if r.Limit.Known {
		return siteLimit(limit, r.Limit.Value, r.Limit.From...)
	}
	return limit
}

// bondHolds reports whether a reading of a bond is within its limit for certain.
func (c *scene) bondHolds(r projections.OhmReading) bool {
	return r.Resistance.Known && !c.ohmLimit("bond-over-limit", "bond", r).Past(r.Resistance.High)
}

// held reports whether at t the last reading of one of the paths holds, and that path
// had not been taken off.
func held(paths []projections.EarthPath, t time.Time, holds func(projections.OhmReading) bool) bool {
	for _, p := range paths {
		var last *projections.OhmReading
		for i, r := range p.Readings {
			if !r.At.Best.After(t) {
				last = &p.Readings[i]
			}
		}
		off := !p.Removed.IsZero() && !p.Removed.Best.After(t)
		if last != nil && holds(*last) && !off {
			return true
		}
	}
	return false
}

// firstAfter is the first reading after t that holds.
func firstAfter(paths []projections.EarthPath, t time.Time, holds func(projections.OhmReading) bool) (first projections.Moment) {
	for _, p := range paths {
		for _, r := range p.Readings {
			if r.At.Best.After(t) && holds(r) && (first.IsZero() || r.At.Best.Before(first.Best)) {
				first = r.At
			}
		}
	}
	return first
}

// unread reports whether a bond was connected by t and not read since: then that is
// what is told, and not that it is missing.
func unread(paths []projections.EarthPath, t time.Time) bool {
	return slices.ContainsFunc(paths, func(p projections.EarthPath) bool { return len(unreadOf(p, t)) > 0 })
}

// unreadOf is the connection of a path that no reading up to t is of.
func unreadOf(p projections.EarthPath, t time.Time) []events.Seq {
	if p.Made.IsZero() || p.Made.Best.After(t) {
		return nil
	}
	for _, r := range p.Readings {
		if !r.At.Best.Before(p.Made.Best) && !r.At.Best.After(t) {
			return nil
		}
	}
	return p.Made.From
}

func drilledBeforeBonded(c *scene) {
	open := c.opening()
	bonds := c.paths("bond", anyPath)
	if open.IsZero() || held(bonds, open.Best, c.bondHolds) || unread(bonds, open.Best) {
		return
	}
	met := firstAfter(bonds, open.Best, c.bondHolds)
	c.find(projections.Finding{
		Subject: "tank", Start: open, End: open, From: met.From,
		Statement: c.late("a bond of the tank within its limit", open, "its first opening", met),
	})
}

func drilledBeforeGrounded(c *scene) {
	open := c.opening()
	grounds := c.paths("ground", anyPath)
	drains := func(r projections.OhmReading) bool {
		return r.Resistance.Known && !c.limit("static", r.At.Best).Past(r.Resistance.High)
	}
	if open.IsZero() || held(grounds, open.Best, drains) {
		return
	}
	met := firstAfter(grounds, open.Best, drains)
	c.find(projections.Finding{
		Subject: "tank", Start: open, End: open, From: met.From,
		Statement: c.late("a reading of the ground", open, "the first opening of the tank", met),
	})
}

// firstRuns are the first runs of a pump into each truck.
func (c *scene) firstRuns() (out []projections.PumpRun) {
	for _, run := range c.runs() {
		if !slices.ContainsFunc(out, func(r projections.PumpRun) bool { return r.Truck == run.Truck }) {
			out = append(out, run)
		}
	}
	return out
}

// runs are the runs of a pump into a truck that is named, in the order of time; worked
// out once.
func (c *scene) runs() []projections.PumpRun {
	if c.pumped != nil {
		return c.pumped
	}
	c.pumped = []projections.PumpRun{}
	for _, run := range c.inc.Phases.Legs {
		if run.Truck != "" && !run.Start.IsZero() {
			c.pumped = append(c.pumped, run)
		}
	}
	slices.SortStableFunc(c.pumped, func(a, b projections.PumpRun) int { return a.Start.Best.Compare(b.Start.Best) })
	return c.pumped
}

func pumpedBeforeBonded(c *scene) {
	for _, run := range c.firstRuns() {
		bonds := c.paths("bond", to(run.Truck))
		if held(bonds, run.Start.Best, c.bondHolds) || unread(bonds, run.Start.Best) {
			continue
		}
		met := firstAfter(bonds, run.Start.Best, c.bondHolds)
		c.find(projections.Finding{
			Subject: run.Truck, Start: run.Start, End: run.Start, From: met.From,
			Statement: c.late("a bond to "+run.Truck+" within its limit", run.Start, run.Leg, met),
		})
	}
}

// bondNotRead reports each bond that was connected and used, with no reading between.
func bondNotRead(c *scene) {
	for _, p := range c.paths("bond", anyPath) {
		use, name := c.opening(), "the first opening of the tank"
		if p.Truck != "" {
			use = projections.Moment{}
		}
		for _, run := range c.runs() {
			if run.Truck == p.Truck && use.IsZero() && !run.Start.Best.Before(p.Made.Best) {
				use, name = run.Start, "the pump start of "+run.Leg
			}
		}
		made := unreadOf(p, use.Best)
		if use.IsZero() || made == nil {
			continue
		}
		c.find(projections.Finding{
			Subject: p.Place, Start: use, End: use, From: made,
			Statement: fmt.Sprintf("the bond %s was connected at %s; no reading of it is recorded before %s", p.Place, clock(p.Made.Best), name),
		})
	}
}

// bondOverLimit reports each stretch in which a bond read over its limit, from the
// first such reading to the first that is within; serious where it was used meanwhile.
func bondOverLimit(c *scene) {
	for _, p := range c.paths("bond", anyPath) {
		for _, f := range c.badRuns(p, "bond-over-limit", "bond") {
			if used, from := c.usedWhile(p, stretch(f)); used != "" {
				f.Severity = c.severity("used")
				f.Statement += "; " + used
				f.From = append(f.From, from...)
			}
			c.stopped(p, &f)
			c.find(f)
		}
	}
}

// stretch is how long a finding lasts.
func stretch(f projections.Finding) projections.Interval {
	return projections.Interval{Start: f.Start, End: f.End}
}

// badRuns are the stretches in which a path read over a level, each from its first
// reading over to the first within, on it or on rods that it is among.
func (c *scene) badRuns(p projections.EarthPath, rule, level string) (out []projections.Finding) {
	open := false
	for _, r := range p.Readings {
		limit := c.ohmLimit(rule, level, r)
		switch over := r.Resistance.Known && limit.Past(r.Resistance.Low); {
		case over && !open:
			out, open = append(out, c.begun(p, r, limit)), true
		case over:
			last := &out[len(out)-1]
			if last.From = append(last.From, r.At.From...); r.Resistance.Value > last.Observed.Value {
				last.Observed = r.Resistance
			}
		case open && r.Resistance.Known && !limit.Past(r.Resistance.High):
			closedBy(&out[len(out)-1], r, p.Place)
			open = false
		}
	}
	if open {
		c.endedElsewhere(p, &out[len(out)-1], rule, level)
	}
	return out
}

// begun begins the finding of a path that reads over a limit.
func (c *scene) begun(p projections.EarthPath, r projections.OhmReading, limit projections.Threshold) projections.Finding {
	return projections.Finding{
		Subject: p.Place, Start: r.At, Observed: r.Resistance, Limit: &limit,
		Statement: fmt.Sprintf("the %s %s read %s ohm; its limit is %s", p.Path, p.Place, number(r.Resistance.Value), number(limit.Value)),
	}
}

// closedBy ends a stretch with a reading that is within.
func closedBy(f *projections.Finding, r projections.OhmReading, place string) {
	f.End = r.At
	on := ""
	if place != f.Subject {
		on = " on " + place
	}
	f.Statement += fmt.Sprintf("; %s ohm%s at %s", number(r.Resistance.Value), on, clock(r.At.Best))
	if r.Fix != "" {
		f.Statement += " (" + r.Fix + ")"
	}
}

// endedElsewhere ends a stretch with the first reading within the limit of more rods.
func (c *scene) endedElsewhere(p projections.EarthPath, f *projections.Finding, rule, level string) {
	var good *projections.OhmReading
	place := ""
	for _, q := range c.paths(p.Path, func(q projections.EarthPath) bool { return p.Among(&q) }) {
		for i, r := range q.Readings {
			within := r.Resistance.Known && !c.ohmLimit(rule, level, r).Past(r.Resistance.High)
			if within && !r.At.Best.Before(f.Start.Best) && (good == nil || r.At.Best.Before(good.At.Best)) {
				good, place = &q.Readings[i], q.Place
			}
		}
	}
	if good != nil {
		closedBy(f, *good, place)
	}
}

// usedWhile says what a bond was used for during a stretch, empty for nothing
// recorded.
func (c *scene) usedWhile(p projections.EarthPath, in projections.Interval) (what string, from []events.Seq) {
	for _, run := range c.runs() {
		begun := run.Start.Best.Before(in.Until(c.now)) && run.Until(c.now).After(in.Start.Best)
		if p.Truck != "" && run.Truck == p.Truck && begun {
			return run.Leg + " ran meanwhile", run.Start.From
		}
	}
	if open := c.opening(); p.Truck == "" && !open.IsZero() && within(in, open.Best, c.now) {
		return "the tank was first opened meanwhile", open.From
	}
	return "", nil
}

// stopped adds that work at the truck was stopped while its bond read over the limit.
func (c *scene) stopped(p projections.EarthPath, f *projections.Finding) {
	for _, s := range c.inc.Stops.List(c.now) {
		if p.Truck != "" && namesTruck(s.Place, p.Truck) && within(stretch(*f), s.Start.Best, c.now) {
			f.Statement += "; work was stopped at " + clock(s.Start.Best)
			f.From = append(f.From, s.Start.From...)
		}
	}
}

// namesTruck reports whether words name a truck or a hole of it: R1 or R1A, not R10.
func namesTruck(words, truck string) bool {
	letters := func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }
	return slices.ContainsFunc(strings.FieldsFunc(words, letters), func(w string) bool { return projections.TruckOf(w) == truck })
}

// groundOverLimit reports each stretch in which a ground read over the target, or over
// what drains a charge, which are two things.
func groundOverLimit(c *scene) {
	for _, p := range c.paths("ground", anyPath) {
		for _, f := range c.badRuns(p, "ground-over-limit", "target") {
			if static := c.limit("static", f.Start.Best); static.Past(f.Observed.Low) {
				f.Severity, f.Limit = c.severity("static"), &static
			} else {
				f.Statement += "; static alone would allow 1 megohm"
			}
			c.find(f)
		}
	}
}

// bondNotReadAgain reports each run of a pump into a truck that had been loaded before,
// where the bond was changed or another truck loaded since, and the bond not read.
func bondNotReadAgain(c *scene) {
	runs := c.runs()
	for i, run := range runs {
		before := slices.IndexFunc(runs[:i], func(r projections.PumpRun) bool { return r.Truck == run.Truck })
		if before < 0 {
			continue
		}
		changed, what := c.changedSince(run, runs[:i])
		if changed.IsZero() {
			continue
		}
		read := firstAfter(c.paths("bond", to(run.Truck)), changed.Best, c.bondHolds)
		if !read.IsZero() && !read.Best.After(run.Start.Best) {
			continue
		}
		c.find(projections.Finding{
			Subject: run.Truck, Start: changed, End: run.Start, From: read.From,
			Statement: fmt.Sprintf("%s at %s; no reading of the bond to %s is recorded between that and the pump start of %s", what, clock(changed.Best), run.Truck, run.Leg),
		})
	}
}

// changedSince is the last change to the bond of a run's truck since that truck was
// last loaded: taken off and put on, or another truck loaded meanwhile.
func (c *scene) changedSince(run projections.PumpRun, earlier []projections.PumpRun) (at projections.Moment, what string) {
	for _, r := range earlier {
		if r.Truck == run.Truck {
			at, what = projections.Moment{}, ""
			for e, k := range entries[kinds.BondMade](c) {
				if ofTruck(k, e.Where, run.Truck) && !e.Time().Before(r.Start.Best) && !e.Time().After(run.Start.Best) {
					at, what = projections.MomentOf(e), "the bond was changed"
				}
			}
			continue
		}
		at, what = r.Start, r.Truck+" was loaded"
	}
	return at, what
}

// ofTruck reports whether an entry is of the bond to a truck.
func ofTruck(k kinds.BondMade, where, truck string) bool {
	return k.To == truck || k.From == truck || k.To == "" && strings.HasSuffix(where, " to "+truck)
}

// bondOffEarly reports each bond that was taken off while a pump ran into its truck,
// or while the last reading of the air showed vapour.
func bondOffEarly(c *scene) {
	for e, k := range entries[kinds.BondMade](c) {
		if k.State != "removed" {
			continue
		}
		f := projections.Finding{Subject: strings.TrimSpace(k.From + " to " + k.To), Start: projections.MomentOf(e), End: projections.MomentOf(e)}
		if f.Subject == "to" {
			f.Subject = e.Where
		}
		for _, run := range c.runs() {
			if ofTruck(k, e.Where, run.Truck) && within(run.Interval, e.Time(), c.now) {
				f.Statement = fmt.Sprintf("the bond to %s was taken off while %s ran", run.Truck, run.Leg)
				f.From = append(f.From, run.Start.From...)
			}
		}
		if f.Statement == "" {
			c.vapourAt(&f, e.Time())
		}
		if f.Statement != "" {
			c.find(f)
		}
	}
}

// vapourAt fills a finding where the last reading of vapour before t was at the level
// or past it, and is young enough to count.
func (c *scene) vapourAt(f *projections.Finding, t time.Time) {
	var last projections.AirReading
	place := ""
	for _, s := range c.air() {
		for _, r := range s.Readings {
			if s.Quantity == "LEL" && !r.At.Best.After(t) && !r.At.Best.Before(last.At.Best) {
				last, place = r, s.Place
			}
		}
	}
	limit, age := c.limit("vapour", t), c.limit("age", t)
	v := level(last)
	if place == "" || !v.Known || !limit.Past(v.Value) || age.Past(t.Sub(last.At.Best).Minutes()) {
		return
	}
	f.Observed, f.Limit, f.From = v, &limit, last.At.From
	f.Statement = fmt.Sprintf("the bond %s was taken off %.0f min after %s read %s %% of the LEL", f.Subject, t.Sub(last.At.Best).Minutes(), place, number(v.Value))
}
