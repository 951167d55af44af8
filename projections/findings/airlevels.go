package findings

import (
	"fmt"
	"slices"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections"
)

// run is readings of one place, one after the other, that are all past a limit.
type run struct {
	place    string
	readings []projections.AirReading
	end      projections.Moment // the first reading that is not; zero where none followed
}

// runs finds the runs of a series.
func runs(s *projections.AirSeries, past func(*projections.AirReading) bool) (out []run) {
	from := -1 // where the run began that is open
	for i := range s.Readings {
		switch over := past(&s.Readings[i]); {
		case over && from < 0:
			from = i
		case !over && from >= 0:
			out, from = append(out, run{s.Place, s.Readings[from:i:i], s.Readings[i].At}), -1
		}
	}
	if from >= 0 {
		out = append(out, run{place: s.Place, readings: s.Readings[from:]})
	}
	return out
}

// overScale reports whether a vapour reading of the run stood at the end of the scale.
func (r *run) overScale() bool {
	return slices.ContainsFunc(r.readings, func(o projections.AirReading) bool { return o.Value.Value >= 100 })
}

// level is what a reading is held to the limits by: as corrected for the fuel where
// that is known.
func level(r projections.AirReading) projections.Figure {
	if r.Corrected != nil {
		return *r.Corrected
	}
	return r.Value
}

// peak is the highest of a run, or by sign −1 the lowest.
func (r *run) peak(sign float64) projections.Figure {
	f := level(r.readings[0])
	for _, o := range r.readings {
		if v := level(o); sign*v.Value > sign*f.Value {
			f = v
		}
	}
	return f
}

// finding begins the finding of a run. Where no reading ended it, nobody knows how
// long it lasted.
func (r *run) finding() projections.Finding {
	f := projections.Finding{Subject: r.place, Start: r.readings[0].At, End: r.end}
	if r.end.IsZero() {
		f.Minutes = projections.Lacking("min", "a later reading there")
	}
	for _, o := range r.readings {
		f.From = append(f.From, o.At.From...)
	}
	return f
}

// lelRuns are the runs of vapour past a level that an order may set.
func (c *scene) lelRuns(name string) (out []run) {
	for _, s := range c.air() {
		if s.Quantity == "LEL" {
			out = append(out, runs(s, func(r *projections.AirReading) bool {
				limit := c.limit(name, r.At.Best)
				return limit.Past(level(*r).Value)
			})...)
		}
	}
	return out
}

// lelLevel reports each run of vapour at or over the action level, by its peak.
func lelLevel(c *scene) {
	for _, r := range c.lelRuns("caution") {
		f := r.finding()
		f.Observed = r.peak(1)
		limit, withdraw := c.limit("caution", f.Start.Best), c.limit("withdraw", f.Start.Best)
		f.Limit = &limit
		f.Statement = fmt.Sprintf("vapour at %s read %s %% of LEL; the action level was %s %%", r.place, short(f.Observed.Value), short(limit.Value))
		if withdraw.Past(f.Observed.Value) {
			f.Severity = c.severity("withdraw")
			f.Statement += fmt.Sprintf(", and %s %% is one to withdraw at", short(withdraw.Value))
		}
		if r.readings[0].Corrected == nil {
			f.Confidence = append(f.Confidence, "as shown: not corrected for the fuel")
		}
		if r.overScale() {
			f.Confidence = append(f.Confidence, "past the end of its scale a sensor can fall to zero: a low reading soon after does not show clean air (training texts, memory)")
		}
		c.find(f)
	}
}

// lelWorkWentOn reports vapour at the level to withdraw while people were in or a pump
// ran, and nothing recorded in time that takes them away.
func lelWorkWentOn(c *scene) {
	for _, r := range c.lelRuns("withdraw") {
		at := r.readings[0].At
		if !c.workedAt(at.Best) {
			continue
		}
		c.unanswered(r, c.after(at, r.place, false), "work there went on with vapour at %s %% of LEL: no withdrawal, stop or order is recorded for %.0f min")
	}
}

// levelNoAction reports readings at the action level, and below that to withdraw,
// after which nothing is recorded in time that answers them.
func levelNoAction(c *scene) {
	for _, r := range c.lelRuns("lel") {
		at := r.readings[0].At
		withdraw := c.use("lel-work-went-on", "withdraw", at.Best)
		if withdraw.Past(level(r.readings[0]).Value) || !c.workedAt(at.Best) {
			continue
		}
		c.unanswered(r, c.after(at, r.place, true), "vapour at %s %% of LEL: no stop, order, foam or lower reading is recorded for %.0f min")
	}
}

// unanswered reports a run that was answered later than the limit, or not at all.
func (c *scene) unanswered(r run, answer projections.Moment, words string) {
	f := r.finding()
	f.End, f.Minutes = answer, projections.Figure{}
	f.Observed = projections.Elapsed(f.Start, answer, c.now)
	limit := c.limit("after", f.Start.Best)
	if !limit.Past(f.Observed.Value) {
		return
	}
	f.Limit = &limit
	f.Statement = r.place + ": " + fmt.Sprintf(words, short(level(r.readings[0]).Value), f.Observed.Value)
	c.find(f)
}

func (c *scene) workedAt(t time.Time) bool {
	return slices.ContainsFunc(c.working(), func(i projections.Interval) bool { return within(i, t, c.now) })
}

// after is the first entry from a reading on that answers it: work stopped, people out,
// a signal, an order; where milder answers do, also foam and a lower reading there.
func (c *scene) after(at projections.Moment, place string, mild bool) projections.Moment {
	first := c.entry(at.From[0])
	from, _ := slices.BinarySearchFunc(c.live, at.Best, func(e *events.Entry, t time.Time) int { return e.Time().Compare(t) })
	for _, e := range c.live[from:] {
		if e == first {
			continue
		}
		if answers(e) || mild && milder(e, first, place) {
			return projections.MomentOf(e)
		}
	}
	return projections.Moment{}
}

func answers(e *events.Entry) bool {
	switch k := e.Payload.(type) {
	case kinds.StopWork, kinds.OutHot, kinds.SignalSounded:
		return true
	case kinds.OrderGiven:
		return k.Act != "" || k.Pair != ""
	}
	return false
}

func milder(e, first *events.Entry, place string) bool {
	switch k := e.Payload.(type) {
	case kinds.FoamApplied:
		return true
	case kinds.AirRead:
		before, ok := first.Payload.(kinds.AirRead)
		return ok && e.Where == place && k.LEL.Said() && before.LEL.Said() && k.LEL.Value() < before.LEL.Value()
	}
	return false
}

// oxygen reports each run of oxygen out of range.
func oxygen(c *scene) {
	for _, s := range c.air() {
		if s.Quantity != "O2" {
			continue
		}
		for _, side := range []struct {
			level string
			sign  float64
		}{{"low", -1}, {"high", 1}} {
			for _, r := range runs(s, func(r *projections.AirReading) bool {
				limit := c.limit(side.level, r.At.Best)
				return limit.Past(r.Value.Value)
			}) {
				f := r.finding()
				limit := c.limit(side.level, f.Start.Best)
				f.Observed, f.Limit = r.peak(side.sign), &limit
				f.Statement = fmt.Sprintf("oxygen at %s read %s %%; the range is %s to %s %%", r.place, short(f.Observed.Value), short(c.limit("low", f.Start.Best).Value), short(c.limit("high", f.Start.Best).Value))
				if side.sign < 0 {
					f.Confidence = append(f.Confidence, "with little oxygen a combustible sensor shows too little")
				}
				c.find(f)
			}
		}
	}
}
