package findings

import (
	"cmp"
	"fmt"
	"math"
	"strings"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections"
)

var logChecks = map[string]func(*scene){
	"clock-off":               clockOff,
	"told-before-it-happened": toldBefore,
	"radio-lost":              radioLost,
	"nothing-logged":          nothingLogged,
	"crossing-told-late":      crossingToldLate,
	"doubt-open":              doubtOpen,
}

// clockOff reports each clock that was found further off than the limit, with both
// times of the readings it stamped.
func clockOff(c *scene) {
	for e, k := range entries[kinds.ClockCheck](c) {
		limit := c.limit("off", e.Time())
		off := projections.FigureOf(k.DeviceClock, "clock check", e.Seq)
		if !off.Known || !limit.Past(math.Abs(off.Value)) {
			continue
		}
		way := "fast"
		if off.Value < 0 {
			way = "slow"
		}
		at := projections.MomentOf(e)
		f := projections.Finding{
			Subject: e.Where, Start: at, End: at, Observed: off, Limit: &limit,
			Statement: fmt.Sprintf("the clock of %s was found %.0f s %s", e.Where, math.Abs(off.Value), way),
		}
		var both []string
		for _, s := range c.live {
			if s.ClockOff != 0 && s.Device == e.Where {
				f.From = append(f.From, s.Seq)
				both = append(both, fmt.Sprintf("%s (it said %s)", s.Time().Format("15:04:05"), s.SaidWhen.At.Format("15:04:05")))
			}
		}
		if len(both) > 0 {
			f.Statement += "; its readings stand at " + strings.Join(both, ", ")
		}
		c.find(f)
	}
}

// toldBefore reports entries told before the time they give, once for each teller:
// those of a clock that was found off stand at their corrected time.
func toldBefore(c *scene) {
	by := map[string]*projections.Finding{}
	var order []string
	for _, e := range c.live {
		ahead := -e.Delay().Seconds()
		limit := c.limit("ahead", e.Time())
		if !limit.Past(ahead) || e.Occurred.Form != events.Instant {
			continue
		}
		who := cmp.Or(e.Device, e.ObservedBy)
		f := by[who]
		if f == nil {
			at := projections.MomentOf(e)
			f = &projections.Finding{Subject: who, Start: at, End: at, Limit: &limit, Observed: projections.Exact(ahead, "s", "time given less time told", e.Seq)}
			by[who] = f
			order = append(order, who)
		}
		f.From = append(f.From, e.Seq)
		if ahead > f.Observed.Value {
			f.Observed = projections.Exact(ahead, "s", "time given less time told", e.Seq)
		}
	}
	for _, who := range order {
		f := by[who]
		f.Statement = fmt.Sprintf("entries from %s give times up to %.0f s after they were told", who, f.Observed.Value)
		c.find(*f)
	}
}

// radioLost reports each channel gone silent for longer than the limit, and who was in
// meanwhile.
func radioLost(c *scene) {
	for _, o := range c.inc.Quality.Outages {
		if o.What != "radio" {
			continue
		}
		lasted := projections.Elapsed(o.Start, o.End, c.now)
		limit := c.limit("silent", o.Start.Best)
		if !limit.Past(lasted.Value) {
			continue
		}
		f := projections.Finding{Subject: o.Where, Start: o.Start, End: o.End, Observed: lasted, Limit: &limit}
		f.Statement = fmt.Sprintf("%s was silent for %.0f min", o.Where, lasted.Value)
		if o.Cause != "" {
			f.Statement += " (" + o.Cause + ")"
		}
		if in := c.inc.People.InAt(o.Start.Best); len(in) > 0 {
			f.Severity = projections.Caution
			f.Statement += "; in when it went: " + strings.Join(in, ", ")
			f.From = c.crossings(o.Start.Best)
		}
		c.find(f)
	}
}

// crossings are the entries by which people went in who are in at t.
func (c *scene) crossings(t time.Time) (out []events.Seq) {
	for _, p := range c.people() {
		for _, trip := range p.Trips {
			if !trip.Start.Best.After(t) && trip.Until(c.now).After(t) {
				out = append(out, trip.Start.From...)
			}
		}
	}
	return out
}

// nothingLogged reports each stretch, from the first unit on scene to the end of the
// work, in which nothing is said to have happened.
func nothingLogged(c *scene) {
	need := projections.Interval{Start: c.benchmark("first unit on scene"), End: c.workDone()}
	if need.Start.IsZero() {
		return
	}
	marks := make([]projections.Moment, 0, len(c.live))
	for _, e := range c.live {
		marks = append(marks, projections.MomentOf(e))
	}
	for _, g := range gaps(need, marks, c.now) {
		lasted := projections.Elapsed(g.Start, g.End, c.now)
		if limit := c.limit("silent", g.Start.Best); limit.Past(lasted.Value) {
			c.find(projections.Finding{
				Subject: "log", Start: g.Start, End: g.End, Observed: lasted, Limit: &limit,
				Statement: fmt.Sprintf("nothing is recorded to have happened for %.0f min", lasted.Value),
			})
		}
	}
}

// workDone is when the work was over: the tank on its wheels, or else command ended or
// the log closed, whichever came first. Zero while it goes on.
func (c *scene) workDone() (end projections.Moment) {
	for _, at := range [][]projections.Moment{moments[kinds.OnWheels](c), moments[kinds.CommandEnded](c), moments[kinds.EmergencyEnded](c), moments[kinds.LogClosed](c)} {
		for _, m := range at {
			if end.IsZero() || m.Best.Before(end.Best) {
				end = m
			}
		}
	}
	return end
}

// crossingToldLate reports entries into the hot zone that the post learned of late:
// meanwhile its count of who is in was short.
func crossingToldLate(c *scene) {
	for e, k := range entries[kinds.InHot](c) {
		late := e.Delay().Minutes()
		limit := c.limit("late", e.Time())
		if !limit.Past(late) {
			continue
		}
		known := projections.Moment{Best: e.KnownAt(), Earliest: e.KnownAt(), Latest: e.KnownAt(), From: []events.Seq{e.Seq}}
		c.find(projections.Finding{
			Subject: "pair " + k.Pair, Start: projections.MomentOf(e), End: known,
			Observed: projections.Exact(late, "min", "from happening to being told", e.Seq), Limit: &limit,
			Statement: fmt.Sprintf("pair %s went in at %s and the post learned of it %.0f min later; until then its count was short", k.Pair, e.Time().Format("15:04"), late),
		})
	}
}

// doubtOpen reports doubts about measurements and statements that contradict each
// other, while nobody has settled them.
func doubtOpen(c *scene) {
	for _, d := range c.inc.Volume.Doubts {
		if d.Settled.IsZero() {
			c.find(projections.Finding{
				Subject: d.About, Start: d.Raised, Observed: d.Gap,
				Statement: fmt.Sprintf("a doubt about %s was raised and is not settled", d.About),
			})
		}
	}
	for _, k := range c.volume().Conflicts {
		if k.Settled.IsZero() {
			c.find(projections.Finding{
				Subject: k.About, Start: k.Since,
				Statement: fmt.Sprintf("%s of %s is said in two ways and nobody has settled which holds", k.What, k.About),
			})
		}
	}
}
