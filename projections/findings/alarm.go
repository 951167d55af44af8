package findings

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tankside/projections"
)

// alarmChecks are the few things that cannot wait. They look at what stands now, so
// what would have sounded in the past sounds no more; the findings list it.
var alarmChecks = map[string]func(*scene){
	"act-signal":    actSignal,
	"act-stopped":   actStopped,
	"act-air":       actAir,
	"act-no-backup": actNoBackup,
	"act-past-stay": actPastStay,
	"act-turn-back": actTurnBack,
	"act-bond":      actBond,
}

// alarm raises one; none is raised in a log that is closed.
func (c *scene) alarm(a projections.Alarm) {
	if c.over() {
		return
	}
	a.Rule, a.Ref = c.rule.Name, c.rule.Ref
	if a.From == nil {
		a.From = a.Since.From
	}
	a.From = slices.Clone(a.From)
	slices.Sort(a.From)
	a.From = slices.Compact(a.From)
	c.alarms = append(c.alarms, a)
}

// actSignal stands from a call for help or a signal to get out until the all clear. A
// test of the signal raises nothing.
func actSignal(c *scene) {
	var open *projections.Signal
	for i := range c.inc.Stops.Signals {
		switch s := &c.inc.Stops.Signals[i]; s.State {
		case "sounded":
			open = s
		case "all clear":
			open = nil
		}
	}
	if open != nil {
		c.alarm(projections.Alarm{
			Subject: cmp.Or(open.Signal, "signal"), Since: open.At,
			Statement: cmp.Or(open.Signal, "the signal to get out") + " at " + open.At.Best.Format("15:04") + "; no all clear recorded",
		})
	}
}

func actStopped(c *scene) {
	for _, s := range c.inc.Stops.List(c.now) {
		if s.End.IsZero() {
			c.alarm(projections.Alarm{
				Subject: s.Place, Since: s.Start,
				Statement: strings.TrimSuffix("work is stopped at "+s.Place+": "+s.Why, ": "),
			})
		}
	}
}

// actAir looks at the last reading of each place while anybody is in the hot zone or
// posted: which of them stands where, the log seldom says. It does not wait for the
// 15 minutes that an average takes.
func actAir(c *scene) {
	if !c.anybody() {
		return
	}
	triggers := map[string][2]string{"LEL": {"lel-level", "caution"}, "benzene": {"short-average-over", "benzene"}, "O2": {"oxygen", "low"}}
	for _, s := range c.air() {
		trigger, watched := triggers[s.Quantity]
		if !watched {
			continue
		}
		var since *projections.AirReading
		for i := range s.Readings {
			r := &s.Readings[i]
			limit := c.use(trigger[0], trigger[1], r.At.Best)
			switch {
			case !limit.Past(level(*r).Value):
				since = nil
			case since == nil:
				since = r
			}
		}
		if since != nil {
			last := s.Readings[len(s.Readings)-1]
			c.alarm(projections.Alarm{
				Subject: s.Place + ", " + s.Quantity, Since: since.At, From: slices.Concat(since.At.From, last.At.From),
				Statement: fmt.Sprintf("%s at %s reads %s %s with people in", s.Quantity, s.Place, number(last.Value.Value), last.Value.Unit),
			})
		}
	}
}

// anybody reports whether somebody is in the hot zone or posted at a place now.
func (c *scene) anybody() bool {
	if _, in := c.occupied(); in {
		return true
	}
	for _, p := range c.people() {
		for _, post := range p.Posts {
			if post.End.IsZero() {
				return true
			}
		}
	}
	return false
}

// actNoBackup is one alarm from when the last backup ended, however often people go
// out and in again meanwhile.
func actNoBackup(c *scene) {
	all := c.inc.Unbacked()
	if len(all) == 0 || !all[len(all)-1].End.IsZero() {
		return
	}
	since := all[len(all)-1].Start
	if grace := c.use("backup-not-named", "long", c.now); !grace.Past(c.now.Sub(since.Best).Minutes()) {
		return
	}
	if b := c.inc.People.Backups; len(b) > 0 && !b[len(b)-1].End.IsZero() && b[len(b)-1].End.Best.Before(since.Best) {
		since = b[len(b)-1].End
	}
	c.alarm(projections.Alarm{
		Subject: "backup", Since: since,
		Statement: "no backup is named and in are " + strings.Join(c.inc.People.InAt(c.now), ", "),
	})
}

func actPastStay(c *scene) {
	over := map[string]projections.Figure{}
	for _, s := range c.inc.People.LongStays(c.now) {
		if s.End.IsZero() {
			over[s.Person] = s.Over
		}
	}
	for _, t := range c.teams() {
		if f, past := over[t.persons[0]]; past {
			c.alarm(projections.Alarm{Subject: t.who(), Since: t.start, Statement: fmt.Sprintf("%s in %.0f min past the stay ordered", t.are(), f.Value)})
		}
	}
}

func actTurnBack(c *scene) {
	for _, t := range c.tight() {
		if t.left < 0 {
			c.alarm(projections.Alarm{Subject: t.who(), Since: t.start, From: t.from, Statement: t.are() + " past " + t.mark() + " by estimate"})
		}
	}
}

func actBond(c *scene) {
	for _, l := range c.inc.Volume.Legs {
		if l.Start.IsZero() || !l.Stop.IsZero() {
			continue
		}
		for _, t := range c.inc.Trucks.All {
			p := c.inc.Grounding.Bond(t.Name)
			if projections.TruckOf(l.To) != t.Name || p == nil || len(p.Readings) == 0 {
				continue
			}
			if last := p.Readings[len(p.Readings)-1]; last.Verdict == projections.Past {
				c.alarm(projections.Alarm{
					Subject: t.Name, Since: last.At,
					Statement: fmt.Sprintf("the bond to %s reads %s ohm and %s is running", t.Name, number(last.Resistance.Value), l.ID),
				})
			}
		}
	}
}
