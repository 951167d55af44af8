package findings

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections"
)

// dueChecks are timers. One is there only because an entry started it, and the entry
// that finishes it takes it away.
var dueChecks = map[string]func(*scene){
	"due-roll-call":      dueRollCall,
	"due-out":            dueOut,
	"due-turn-back":      dueTurnBack,
	"due-pressure":       duePressure,
	"due-rehab":          dueRehab,
	"due-foam":           dueFoam,
	"due-air":            dueAir,
	"due-air-ordered":    dueAirOrdered,
	"due-benzene":        dueBenzene,
	"due-bond":           dueBond,
	"due-meter":          dueMeter,
	"due-truck":          dueTruck,
	"due-ticket":         dueTicket,
	"due-wind":           dueWind,
	"due-call-back":      dueCallBack,
	"due-national-call":  dueNationalCall,
	"due-written-report": dueWrittenReport,
}

// soon is how many minutes ahead a timer is called soon.
const soon = 5 // common practice, no source

// timer starts a timer that is due so long after it was last done.
func (c *scene) timer(d projections.Due, after time.Duration) {
	c.timerAt(d, d.Last.Best.Add(after))
}

// timerAt starts a timer that is due at a time.
func (c *scene) timerAt(d projections.Due, at time.Time) {
	d.Rule, d.Ref, d.At = c.rule.Name, c.rule.Ref, at
	if d.What == "" {
		d.What = strings.ToLower(c.rule.Title[:1]) + c.rule.Title[1:]
	}
	late := c.now.Sub(at).Minutes()
	d.From = slices.Concat(d.From, d.Last.From)
	if d.Limit != nil {
		d.From = append(d.From, d.Limit.From...)
	}
	slices.Sort(d.From)
	d.From = slices.Compact(d.From)
	d.Late = projections.Exact(late, "min", "as at the moment the state is of", d.From...)
	switch {
	case late > 0:
		d.Level = "late"
	case late > -soon:
		d.Level = "soon"
	}
	c.due = append(c.due, d)
}

func minutesOf(v float64) time.Duration { return time.Duration(v * float64(time.Minute)) }

// occupied is the stretch with somebody in that goes on now; ok is false when nobody
// is in.
func (c *scene) occupied() (i projections.Interval, ok bool) {
	all := c.busy()
	if n := len(all); n > 0 && all[n-1].End.IsZero() {
		return all[n-1], true
	}
	return i, false
}

// lastIn is the last of the moments within a stretch that goes on, or else its start.
func lastIn(i projections.Interval, at []projections.Moment) projections.Moment {
	last := i.Start
	for _, m := range at {
		if m.Best.After(last.Best) {
			last = m
		}
	}
	return last
}

// over reports whether the log is closed: then nothing is left to do at the scene.
func (c *scene) over() bool {
	for range entries[kinds.LogClosed](c) {
		return true
	}
	return false
}

func dueRollCall(c *scene) {
	i, in := c.occupied()
	if !in || c.over() {
		return
	}
	last := lastIn(i, moments[kinds.RollCall](c))
	limit := c.use("roll-call-late", "late", last.Best)
	if r := inForce(c.inc.People.RollRules, last.Best); r != nil {
		limit = siteLimit(limit, r.Minutes.Value, r.At.From...)
	}
	c.timer(projections.Due{Subject: "hot zone", Last: last, Owner: "Safety Officer", Limit: &limit}, minutesOf(limit.Value))
}

// inForce is the last of the rules given by t, nil when none was.
func inForce(rules []projections.MinutesRule, t time.Time) (last *projections.MinutesRule) {
	for i := range rules {
		if !rules[i].At.Best.After(t) {
			last = &rules[i]
		}
	}
	return last
}

// dueOut is for each team the minute by which the stay that was ordered is over.
func dueOut(c *scene) {
	if c.over() {
		return
	}
	for _, team := range c.teams() {
		r := inForce(c.inc.People.StayRules, c.now)
		if r == nil {
			return
		}
		limit := siteLimit(c.use("stay-over-limit", "stay", c.now), r.Minutes.Value, r.At.From...)
		c.timer(projections.Due{Subject: team.who(), Last: team.start, Owner: "Entry leader", Limit: &limit}, minutesOf(limit.Value))
	}
}

// team is who went in together and is still in.
type team struct {
	start   projections.Moment
	persons []string
}

func (t team) who() string { return strings.Join(t.persons, ", ") }

// are is the team with its verb.
func (t team) are() string {
	if len(t.persons) == 1 {
		return t.who() + " is"
	}
	return t.who() + " are"
}

// teams are those in now, by the entry they went in with.
func (c *scene) teams() (out []team) {
	for _, p := range c.people() {
		for _, trip := range p.Trips {
			if !trip.End.IsZero() || trip.Start.IsZero() {
				continue
			}
			with := slices.IndexFunc(out, func(t team) bool { return t.start.Best.Equal(trip.Start.Best) })
			if with < 0 {
				out, with = append(out, team{start: trip.Start}), len(out)
			}
			out[with].persons = append(out[with].persons, p.Person)
		}
	}
	return out
}

// dueTurnBack is for each team the least time that anybody of it has by estimate, to
// the turn-back pressure or, where that is not computable, to the alarm.
func dueTurnBack(c *scene) {
	for _, t := range c.tight() {
		d := projections.Due{Subject: t.who(), Last: t.start, Owner: "Entry leader", From: t.from}
		if !t.turn {
			d.What = "low-air alarm, by their own use"
		}
		c.timerAt(d, c.now.Add(minutesOf(t.left)))
	}
}

// duePressure is for each team in on air a pressure to ask for, where those of whom none
// was read since they went in have no estimate either.
func duePressure(c *scene) {
	if c.over() {
		return
	}
	asked := c.unread()
	for _, t := range c.teams() {
		t.persons = slices.DeleteFunc(t.persons, func(p string) bool { return !slices.Contains(asked, p) })
		if len(t.persons) == 0 {
			continue
		}
		limit := c.limit("read", t.start.Best)
		c.timer(projections.Due{Subject: t.who(), Last: t.start, Owner: "Entry leader", Limit: &limit}, minutesOf(limit.Value))
	}
}

// unread are those in on air of whom no pressure was read while in and for whom no time
// can be worked out.
func (c *scene) unread() (out []string) {
	read := map[string]bool{}
	for _, p := range c.people() {
		for _, t := range p.Trips {
			read[p.Person] = read[p.Person] || t.End.IsZero() && len(t.Pressures) > 0
		}
	}
	for _, s := range c.packs() {
		if s.End.IsZero() && !s.ToAlarm.Known && !s.ToTurn.Known && !read[s.Person] {
			out = append(out, s.Person)
		}
	}
	return out
}

// airLeft is a team with the least time that anybody of it has.
type airLeft struct {
	team
	left float64 // min
	turn bool    // to the turn-back pressure; else to the low-air alarm, for nobody said when to turn
	from []events.Seq
}

// mark names the pressure that the time is to.
func (a airLeft) mark() string {
	if a.turn {
		return "the turn-back pressure"
	}
	return "the pressure of the low-air alarm"
}

// tight are the teams in on air with the time each has by estimate.
func (c *scene) tight() (out []airLeft) {
	if c.over() {
		return nil
	}
	supply := c.packs()
	for _, t := range c.teams() {
		a := airLeft{team: t}
		known := false
		for _, s := range supply {
			if !s.End.IsZero() || !slices.Contains(t.persons, s.Person) {
				continue
			}
			left, turn := s.ToTurn, s.ToTurn.Known
			if !turn {
				left = s.ToAlarm
			}
			if left.Known && (!known || left.Value < a.left) {
				known, a.left, a.turn, a.from = true, left.Value, turn, left.From
			}
		}
		if known {
			out = append(out, a)
		}
	}
	return out
}

// dueRehab is each rest that is owed to somebody who is out and not resting.
func dueRehab(c *scene) {
	if c.over() {
		return
	}
	for _, p := range c.inc.Rests() {
		if p.Owed == "" || p.Rested.Known || p.OwedAt.IsZero() || slices.Contains(c.inc.People.InAt(c.now), p.Person) {
			continue
		}
		c.timer(projections.Due{Subject: p.Person, What: "rest owed: " + p.Owed, Last: p.OwedAt, Owner: "Rehab"}, 0)
	}
}

// dueFoam is the next foam, once any was applied and until the tank is on its wheels.
func dueFoam(c *scene) {
	on := c.inc.Foam.Applications
	if len(on) == 0 || !c.workDone().IsZero() {
		return
	}
	last := on[len(on)-1]
	var limit projections.Threshold
	c.as("foam-late", func() { limit = c.foamInterval(last, c.now) })
	c.timer(projections.Due{Subject: last.Place, Last: last.At, Owner: "Foam leader", Limit: &limit}, minutesOf(limit.Value))
}

// dueAir is the next reading of the air, anywhere, while somebody is in; none where
// monitors run continuously.
func dueAir(c *scene) {
	i, in := c.occupied()
	if !in || c.over() {
		return
	}
	last := lastIn(i, c.reads())
	if c.continuous(last.Best) {
		return
	}
	limit := c.use("air-unread", "caution", last.Best)
	c.timer(projections.Due{Subject: "hot zone", Last: last, Owner: "Monitoring leader", Limit: &limit}, minutesOf(limit.Value))
}

// dueAirOrdered is the next reading where an order has one read at a place every so
// many minutes, while the work goes on.
func dueAirOrdered(c *scene) {
	if !c.workDone().IsZero() {
		return
	}
	for _, s := range c.air() {
		if s.Every == nil || len(s.Readings) == 0 || !c.worked(s.Place) {
			continue
		}
		last := lastIn(projections.Interval{Start: s.Every.At}, []projections.Moment{s.Readings[len(s.Readings)-1].At})
		limit := siteLimit(projections.Threshold{Op: ">", Unit: "min"}, s.Every.Minutes.Value, s.Every.At.From...)
		c.timer(projections.Due{Subject: s.Place, What: s.Quantity + " read again", Last: last, Owner: "Monitoring leader", Limit: &limit}, minutesOf(limit.Value))
	}
}

// worked reports whether a place is worked now, as the finding that its air was read
// late has it.
func (c *scene) worked(place string) bool {
	return slices.ContainsFunc(c.inc.WorkAt(place), func(i projections.Interval) bool { return i.End.IsZero() })
}

// dueBenzene is a second reading at a place where the last one was over half the
// trigger.
func dueBenzene(c *scene) {
	if !c.workDone().IsZero() {
		return
	}
	for _, s := range c.air() {
		n := len(s.Readings)
		if s.Quantity != "benzene" || n == 0 {
			continue
		}
		last := s.Readings[n-1]
		half, again := c.limit("half", last.At.Best), c.limit("again", last.At.Best)
		if trigger := c.use("short-average-over", "benzene", last.At.Best); half.Past(100 * last.Value.Value / trigger.Value) {
			c.timer(projections.Due{Subject: s.Place, Last: last.At, Owner: "Monitoring leader", Limit: &again}, minutesOf(again.Value))
		}
	}
}

// dueBond is a reading of each bond whose last one was over its limit.
func dueBond(c *scene) {
	if !c.workDone().IsZero() {
		return
	}
	for _, p := range c.inc.Grounding.List() {
		if n := len(p.Readings); p.Path == "bond" && n > 0 && p.Verdict == projections.Past && p.Removed.IsZero() {
			c.timer(projections.Due{Subject: p.Place, Last: p.Readings[n-1].At, Owner: "Grounding leader"}, 0)
		}
	}
}

// dueMeter is the next reading of each meter through which a pump runs.
func dueMeter(c *scene) {
	for _, l := range c.inc.Volume.Legs {
		if l.Start.IsZero() || !l.Stop.IsZero() || l.Instrument == "" || c.over() {
			continue
		}
		if n := len(l.Pauses); n > 0 && l.Pauses[n-1].End.IsZero() {
			continue
		}
		last := l.Start
		if n := len(l.Readings); n > 0 && l.Readings[n-1].At.Best.After(last.Best) {
			last = l.Readings[n-1].At
		}
		limit := c.limit("read", last.Best)
		c.timer(projections.Due{Subject: l.ID, Last: last, Owner: "Transfer leader", Limit: &limit}, minutesOf(limit.Value))
	}
}

// dueTruck is each truck that is promised and not yet here.
func dueTruck(c *scene) {
	for _, t := range c.inc.Trucks.All {
		n := len(t.ETAs)
		if n == 0 || !t.Arrived.IsZero() || !t.Gone.IsZero() || t.ETAs[n-1].For.IsZero() || c.over() {
			continue
		}
		eta := t.ETAs[n-1]
		c.timerAt(projections.Due{Subject: t.Name, Last: eta.At, Owner: "Transfer leader"}, eta.For.Best)
	}
}

// dueTicket is the ticket of each truck that left for a scale.
func dueTicket(c *scene) {
	for _, t := range c.inc.Trucks.All {
		if t.Gone.IsZero() || !strings.Contains(strings.ToLower(t.To), "scale") || len(t.Weighed) > 0 {
			continue
		}
		limit := c.limit("after", t.Gone.Best)
		c.timer(projections.Due{Subject: t.Name, Last: t.Gone, Owner: "Transfer leader", Limit: &limit}, minutesOf(limit.Value))
	}
}

// dueWind is the next reading of the wind while the work goes on.
func dueWind(c *scene) {
	reads := moments[kinds.Weather](c)
	if len(reads) == 0 || !c.workDone().IsZero() {
		return
	}
	last := reads[len(reads)-1]
	limit := c.limit("read", last.Best)
	c.timer(projections.Due{Subject: "wind", Last: last, Owner: "Scribe", Limit: &limit}, minutesOf(limit.Value))
}

// dueCallBack is each call that is to be made again at a time that was said.
func dueCallBack(c *scene) {
	calls := map[string]projections.Due{}
	var order []string
	at := map[string]time.Time{}
	for e, k := range entries[kinds.CallMade](c) {
		who := cmp.Or(k.Who, e.Where)
		if _, known := calls[who]; !known {
			order = append(order, who)
		}
		calls[who] = projections.Due{Subject: who, What: "call back", Last: projections.MomentOf(e), Owner: "Scribe"}
		delete(at, who)
		if t, said := events.Clock(k.CallBack).After(e.Time()); said {
			at[who] = t
		}
	}
	for _, who := range order {
		if t, set := at[who]; set {
			c.timerAt(calls[who], t)
		}
	}
}

// dueNationalCall is the call to the national center while something wants one.
func dueNationalCall(c *scene) {
	mishap := c.benchmark("mishap")
	if mishap.IsZero() {
		return
	}
	wants := append(c.hurt(), c.closures(c.use("closure-no-national-call", "shut", c.now))...)
	if len(wants) == 0 {
		return
	}
	limit := c.use("national-call-late", "call", mishap.Best)
	const what = "national call, by whoever had possession"
	at := mishap.Best.Add(time.Duration(limit.Value * float64(time.Hour)))
	duty := projections.Duty{What: what, Why: wants[0].what, Begun: mishap, At: at, Made: c.nationalCall(), Owner: "IC", Limit: &limit, From: wants[0].shut.Start.From}
	c.owe(duty)
	if duty.Made.IsZero() {
		c.timerAt(projections.Due{Subject: duty.Why, What: what, Last: mishap, Owner: duty.Owner, Limit: &limit, From: duty.From}, at)
	}
}

// dueWrittenReport is the carrier's report while something wants one.
func dueWrittenReport(c *scene) {
	from, why, filed, ok := c.reportDue()
	if !ok {
		return
	}
	limit := c.use("written-report-late", "filed", from.Best)
	y, m, d := from.Best.Date()
	at := time.Date(y, m, d+int(limit.Value), 23, 59, 0, 0, from.Best.Location())
	const what = "written report, DOT F 5800.1"
	c.owe(projections.Duty{What: what, Why: why, Begun: from, At: at, Made: filed, Owner: "carrier", Limit: &limit})
	if filed.IsZero() {
		c.timerAt(projections.Due{Subject: why, What: what, Last: from, Owner: "carrier", Limit: &limit}, at)
	}
}
