package findings

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"tankside/events/kinds"
	"tankside/projections"
)

var airChecks = map[string]func(*scene){
	"air-unread":          airUnread,
	"air-order-late":      airOrderLate,
	"air-before-step":     airBeforeStep,
	"lel-level":           lelLevel,
	"lel-work-went-on":    lelWorkWentOn,
	"air-level-no-action": levelNoAction,
	"oxygen":              oxygen,
	"lel-uncorrected":     lelUncorrected,
	"monitor-unchecked":   monitorUnchecked,
}

// reads are when the air was read anywhere, also to take up work again.
func (c *scene) reads() (out []projections.Moment) {
	for _, e := range c.live {
		switch k := e.Payload.(type) {
		case kinds.AirRead:
			out = append(out, projections.MomentOf(e))
		case kinds.ResumeWork:
			if k.LEL.Said() || k.Benzene.Said() {
				out = append(out, projections.MomentOf(e))
			}
		}
	}
	return out
}

// airUnread reports each stretch of work, somebody in or a pump running, with no
// reading anywhere. Monitors that were said to run continuously need none.
func airUnread(c *scene) {
	marks := c.reads()
	for _, need := range c.working() {
		for _, g := range gaps(need, during(marks, need, c.now), c.now) {
			lasted := projections.Elapsed(g.Start, g.End, c.now)
			limit, severity, ok := c.worst(lasted.Value, g.Start.Best, "caution", "serious")
			if !ok || c.continuous(g.Start.Best) {
				continue
			}
			f := projections.Finding{Subject: "work area", Start: g.Start, End: g.End, Severity: severity, Observed: lasted, Limit: &limit}
			f.Statement = fmt.Sprintf("no air reading is recorded anywhere for %.0f min while somebody was in or a pump ran", lasted.Value)
			var taken []string
			for _, s := range c.steps() {
				if within(g, s.at.Best, c.now) {
					taken = append(taken, s.what)
					f.From = append(f.From, s.at.From...)
				}
			}
			switch n := len(taken); n {
			case 0:
			case 1, 2:
				f.Statement += "; in it " + strings.Join(taken, " and ")
			default:
				f.Statement += fmt.Sprintf("; in it %s and %d more steps", taken[0], n-1)
			}
			c.find(f)
		}
	}
}

// working is when somebody was in the hot zone or a pump ran.
func (c *scene) working() []projections.Interval { return c.inc.Worked() }

// during are the marks, which are in the order of time, from the start of an interval
// to its end.
func during(marks []projections.Moment, i projections.Interval, now time.Time) []projections.Moment {
	at := func(m projections.Moment, t time.Time) int { return m.Best.Compare(t) }
	from, _ := slices.BinarySearchFunc(marks, i.Start.Best, at)
	to, _ := slices.BinarySearchFunc(marks, i.Until(now).Add(1), at)
	return marks[min(from, to):to]
}

// within reports whether t lies in an interval; its end, where what ended it took
// place, does not.
func within(i projections.Interval, t, now time.Time) bool {
	return !t.Before(i.Start.Best) && t.Before(i.Until(now))
}

// continuous reports whether monitors were said to run continuously by t.
func (c *scene) continuous(t time.Time) bool {
	is := false
	for e, k := range entries[kinds.GearReady](c) {
		if k.Continuous != "" && !e.Time().After(t) {
			is = !strings.EqualFold(k.Continuous, "no")
		}
	}
	return is
}

// airOrderLate reports where a place was read less often than was ordered for it while
// it was worked.
func airOrderLate(c *scene) {
	for _, s := range c.air() {
		if s.Every == nil {
			continue
		}
		limit := projections.Threshold{Op: ">", Value: s.Every.Minutes.Value, Unit: "min", Source: "set at the site: " + s.Every.Rule, Status: "site setting", From: s.Every.At.From}
		marks := readAt(s)
		for _, need := range c.inc.WorkAt(s.Place) {
			if need.Start.Best.Before(s.Every.At.Best) {
				need.Start = s.Every.At
			}
			for _, g := range gaps(need, during(marks, need, c.now), c.now) {
				lasted := projections.Elapsed(g.Start, g.End, c.now)
				if !limit.Past(lasted.Value) {
					continue
				}
				c.find(projections.Finding{
					Subject: s.Place + ", " + s.Quantity, Start: g.Start, End: g.End, Observed: lasted, Limit: &limit,
					Statement: fmt.Sprintf("no %s reading at %s is recorded for %.0f min of work; ordered was every %.0f", s.Quantity, s.Place, lasted.Value, limit.Value),
				})
			}
		}
	}
}

func readAt(s *projections.AirSeries) (out []projections.Moment) {
	for _, r := range s.Readings {
		out = append(out, r.At)
	}
	return out
}

// air are the series of readings.
func (c *scene) air() (out []*projections.AirSeries) {
	series := c.inc.AirList()
	for i := range series {
		out = append(out, &series[i])
	}
	return out
}

// step is something before which the air is read.
type step struct {
	what string
	at   projections.Moment
}

// steps are the first hole of each compartment, each pump started, and the lift; worked
// out once.
func (c *scene) steps() []step {
	if c.taken == nil {
		c.taken = c.stepsTaken()
	}
	return c.taken
}

func (c *scene) stepsTaken() (out []step) {
	drilled := map[string]bool{}
	for _, h := range c.inc.Holes.All {
		if !h.Through.IsZero() && !drilled[h.Compartment] {
			drilled[h.Compartment] = true
			out = append(out, step{"the first hole in " + h.Compartment, h.Through})
		}
	}
	for _, l := range c.inc.Phases.Legs {
		if !l.Start.IsZero() {
			out = append(out, step{strings.TrimSpace("the pump start of " + l.Leg), l.Start})
		}
	}
	for e := range entries[kinds.LiftBegun](c) {
		out = append(out, step{"the lift", projections.MomentOf(e)})
		break
	}
	return out
}

// airBeforeStep reports each step before which the air had not been read for longer
// than the limit, or not at all. A step in the middle of a stretch that was reported as
// unread is told there.
func airBeforeStep(c *scene) {
	marks := c.reads()
	told := slices.Clone(c.found)
	for _, s := range c.steps() {
		if slices.ContainsFunc(told, func(f projections.Finding) bool {
			return f.Rule == "air-unread" && within(projections.Interval{Start: f.Start, End: f.End}, s.at.Best, c.now)
		}) {
			continue
		}
		limit := c.limit("before", s.at.Best)
		var last projections.Moment
		if before := during(marks, projections.Interval{End: s.at}, c.now); len(before) > 0 {
			last = before[len(before)-1]
		}
		f := projections.Finding{Subject: strings.TrimPrefix(s.what, "the "), Start: s.at, End: s.at, Limit: &limit, Observed: projections.Lacking("min", "a reading before it")}
		f.Statement = fmt.Sprintf("no air reading is recorded before %s", s.what)
		if !last.IsZero() {
			f.Observed = projections.Elapsed(last, s.at, c.now)
			f.Statement = fmt.Sprintf("the last air reading recorded before %s was %.0f min old", s.what, f.Observed.Value)
		}
		if last.IsZero() || limit.Past(f.Observed.Value) {
			c.find(f)
		}
	}
}

// lelUncorrected reports once that vapour was read and nobody said how the sensors were
// set.
func lelUncorrected(c *scene) {
	var raw []projections.Moment
	for _, s := range c.air() {
		for _, r := range s.Readings {
			if s.Quantity == "LEL" && r.Corrected == nil {
				raw = append(raw, r.At)
			}
		}
	}
	if len(raw) == 0 {
		return
	}
	slices.SortStableFunc(raw, func(a, b projections.Moment) int { return a.Best.Compare(b.Best) })
	f := projections.Finding{Subject: "LEL", Start: raw[0], End: raw[len(raw)-1], Observed: projections.Exact(float64(len(raw)), "readings", "as shown")}
	for _, at := range raw {
		f.From = append(f.From, at.From...)
	}
	f.Statement = fmt.Sprintf("%d LEL readings stand as shown: the calibration gas and factor of the monitor are not recorded", len(raw))
	c.find(f)
}

// monitorUnchecked reports once for each monitor that it was used with no check on
// record in the hours before. A check that names no monitor speaks for all.
func monitorUnchecked(c *scene) {
	said := map[string]*projections.Finding{}
	var order []string
	for e, k := range entries[kinds.AirRead](c) {
		name := k.Instrument
		if name == "" {
			name = e.Device
		}
		limit := c.limit("since", e.Time())
		if name == "" {
			name = "monitor not named"
		}
		if c.checked(name, e.Time(), limit) {
			continue
		}
		at := projections.MomentOf(e)
		if said[name] == nil {
			said[name] = &projections.Finding{Subject: name, Start: at, Limit: &limit}
			order = append(order, name)
		}
		said[name].End, said[name].From = at, append(said[name].From, e.Seq)
	}
	for _, name := range order {
		f := said[name]
		f.Statement = fmt.Sprintf("%s: no bump test or calibration is recorded before its readings", name)
		c.find(*f)
	}
}

// checked reports whether a monitor was checked within the limit before t.
func (c *scene) checked(name string, t time.Time, limit projections.Threshold) bool {
	return slices.ContainsFunc(c.inc.Air.Checks, func(b projections.Bump) bool {
		return (b.Instrument == "" || b.Instrument == name) && !b.At.Best.After(t) && !limit.Past(t.Sub(b.At.Best).Hours())
	})
}
