package findings

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"tankside/events"
	"tankside/events/quantity"
	"tankside/projections"
	"tankside/projections/calc/exposure"
)

var exposureChecks = map[string]func(*scene){
	"shift-average-over":   shiftAverage,
	"short-average-over":   shortAverage,
	"ceiling-over":         ceilingOver,
	"benzene-action-level": actionLevel,
	"long-shift":           longShift,
	"danger-no-scba":       dangerNoSCBA,
	"mask-not-enough":      maskNotEnough,
}

// exposures is what there was to breathe, only where it was read.
func (c *scene) exposures() (out []*projections.Exposed) {
	doses := c.inc.Exposures()
	for i := range doses {
		if doses[i].Readings > 0 {
			out = append(out, &doses[i])
		}
	}
	return out
}

// has reports whether the rule has a level for a substance.
func (c *scene) has(level string) bool { _, ok := c.rule.Levels[level]; return ok }

// short writes a number with three figures, as no reading is better than that.
func short(v float64) string {
	if math.Abs(v) >= 1000 {
		return strconv.FormatFloat(math.Round(v), 'f', 0, 64)
	}
	return strconv.FormatFloat(v, 'g', 3, 64)
}

// momentAt is a moment worked out from entries.
func momentAt(t time.Time, from ...events.Seq) projections.Moment {
	return projections.Moment{Best: t, Earliest: t, Latest: t, From: from}
}

// who names a person, or the place of readings.
func who(x *projections.Exposed) string {
	if x.Person != "" {
		return x.Person
	}
	return x.Places[0]
}

// outside says where a dose was and what stood between it and the lungs.
func outside(x *projections.Exposed) string {
	switch {
	case x.Person == "":
		return ""
	case x.Factor > 0:
		return fmt.Sprintf(" outside the mask (%s, factor %s)", x.Worn, short(x.Factor))
	}
	return ", mask: " + x.Worn
}

// shielded reports whether a mask on record keeps what was outside it, at its highest,
// within the limit.
func shielded(x *projections.Exposed, a *projections.Averages, limit float64) bool {
	return x.Factor > 0 && a.High != nil && *a.High/x.Factor <= limit
}

// average reports a dose of which the average is over its limit, or possibly so. It is
// the dose outside the mask that counts; a mask that was enough makes it information.
func (c *scene) average(x *projections.Exposed, a *projections.Averages, name string, start, end projections.Moment) {
	if !c.has(x.Substance) || !a.Hold.Known {
		return
	}
	limit := c.limit(x.Substance, start.Best)
	outcome := a.Outcome(quantity.PPM(limit.Value))
	if x.Person == "" && outcome == exposure.PossiblyOver && max(a.Hold.Value, a.Straight.Value) <= limit.Value {
		return // of a place, time that nobody read is no finding but listed
	}
	f := projections.Finding{Subject: who(x), Start: start, End: end, Observed: a.Hold, Limit: &limit, Confidence: slices.Clone(x.Flags)}
	covered := shielded(x, a, limit.Value)
	switch {
	case outcome == exposure.NotOver, outcome == exposure.PossiblyOver && covered:
		return
	case covered:
		f.Severity = projections.Info
	case outcome == exposure.PossiblyOver:
		f.Severity = projections.Caution
	}
	f.Statement = fmt.Sprintf("%s: %s of %s %s ppm, %s the limit of %s%s", who(x), name, x.Substance, span(a), outcome, short(limit.Value), outside(x))
	f.Method = fmt.Sprintf("%s gives %s, %s %s; %s", a.Hold.Method, short(a.Hold.Value), a.Straight.Method, short(a.Straight.Value), x.Method)
	if x.Person != "" && len(x.Unmonitored) > 0 {
		f.Confidence = append(f.Confidence, fmt.Sprintf("%.0f min at work with no reading", x.Unread.Value))
	}
	c.find(f)
}

// span writes an average by its two estimates, and its upper bound where that is known
// and further up.
func span(a *projections.Averages) string {
	low, high := min(a.Hold.Value, a.Straight.Value), max(a.Hold.Value, a.Straight.Value)
	out := short(low)
	if short(high) != out {
		out += " to " + short(high)
	}
	if a.High != nil && short(*a.High) != short(high) {
		out += ", at most " + short(*a.High)
	}
	return out
}

// shortAverage reports each place and each person over the limit of fifteen minutes.
func shortAverage(c *scene) {
	for _, x := range c.exposures() {
		w := x.Rolling15.Window
		if w == nil {
			continue
		}
		end := momentAt(w.End, x.Rolling15.Hold.From...)
		if x.Person != "" && !x.End.IsZero() && x.End.Best.Before(w.End) {
			end = x.End
		}
		c.average(x, &x.Rolling15, "15 min average", momentAt(w.Start, x.Rolling15.Hold.From...), end)
	}
}

// shiftAverage reports each person over the limit of eight hours.
func shiftAverage(c *scene) {
	for _, x := range c.exposures() {
		if x.Person != "" {
			start, end := atWork(x)
			c.average(x, &x.TWA8, "8 h average", start, end)
		}
	}
}

// atWork is from the start to the end of what a person did at work, or of the readings
// where no start was logged.
func atWork(x *projections.Exposed) (start, end projections.Moment) {
	start, end = x.Start, x.End
	if start.IsZero() {
		start = momentAt(x.Rolling15.Window.Start, x.Rolling15.Hold.From...)
	}
	return start, end
}

// actionLevel reports each person whose average of benzene over eight hours is at the
// action level or past it, and not over the limit, which has its own rule.
func actionLevel(c *scene) {
	for _, x := range c.exposures() {
		if x.Person == "" || !c.has(x.Substance) || !x.TWA8.Hold.Known {
			continue
		}
		start, end := atWork(x)
		level, over := c.limit(x.Substance, start.Best), c.use("shift-average-over", x.Substance, start.Best)
		if v := max(x.TWA8.Hold.Value, x.TWA8.Straight.Value); level.Past(v) && !over.Past(v) {
			c.find(projections.Finding{
				Subject: x.Person, Start: start, End: end, Observed: x.TWA8.Hold, Limit: &level, Confidence: slices.Clone(x.Flags), Method: x.Method,
				Statement: fmt.Sprintf("%s: 8 h average of %s %s ppm, at the action level of %s%s", x.Person, x.Substance, short(v), short(level.Value), outside(x)),
			})
		}
	}
}

// ceilingOver reports each place whose readings are over a ceiling, past what a single
// short period may be.
func ceilingOver(c *scene) {
	for _, x := range c.exposures() {
		if x.Person != "" || !c.has(x.Substance) {
			continue
		}
		limit := c.limit(x.Substance, x.Start.Best)
		ceiling := exposure.Ceiling{Level: quantity.PPM(limit.Value), Alone: x.Substance == "H2S"}
		if c.has(x.Substance + " peak") {
			ceiling.Peak = quantity.PPM(c.limit(x.Substance+" peak", x.Start.Best).Value)
			ceiling.Minutes = quantity.Minutes(c.limit(x.Substance+" minutes", x.Start.Best).Value)
		}
		outcome, above, since := x.Ceiling(ceiling)
		if outcome == exposure.NotOver {
			continue
		}
		f := projections.Finding{Subject: x.Places[0], Start: momentAt(since, x.Highest.From...), End: x.End, Observed: x.Highest, Limit: &limit, Method: x.Method}
		f.Minutes = projections.Exact(float64(above.Total), "min", "above the ceiling")
		if outcome == exposure.PossiblyOver {
			f.Severity = projections.Caution
		}
		f.Statement = fmt.Sprintf("%s at %s was above the ceiling of %s ppm for %s min, %d times, up to %s: %s", x.Substance, x.Places[0], short(limit.Value), short(float64(above.Total)), above.Times, short(x.Highest.Value), outcome)
		c.find(f)
	}
}

// longShift reports each person at work for longer than eight hours whose average is
// over what such a day leaves of the limit.
func longShift(c *scene) {
	for _, x := range c.exposures() {
		if x.Person == "" || x.Start.IsZero() || !x.TWA8.Hold.Known || !slices.Contains([]string{"benzene", "gasoline", "CO"}, x.Substance) {
			continue
		}
		hours := x.Stays[len(x.Stays)-1].Until(c.now).Sub(x.Start.Best).Hours()
		day, share := c.limit("hours", x.Start.Best), 1.0
		if day.Past(hours) {
			share, _ = exposure.Daily(min(hours, 24))
		}
		limit := c.use("shift-average-over", x.Substance, x.Start.Best)
		if limit.Value *= share; share == 1 || !limit.Past(x.TWA8.Hold.Value) {
			continue
		}
		limit.Source += ", reduced for " + short(hours) + " h (" + day.Source + ")"
		c.find(projections.Finding{
			Subject: x.Person, Start: x.Start, End: x.End, Observed: x.TWA8.Hold, Limit: &limit, Confidence: slices.Clone(x.Flags), Method: x.Method,
			Statement: fmt.Sprintf("%s: 8 h average of %s %s ppm; a day of %s h leaves %s of the limit%s", x.Person, x.Substance, short(x.TWA8.Hold.Value), short(hours), short(limit.Value), outside(x)),
		})
	}
}

// dangerNoSCBA reports each person who was where a reading is immediately dangerous
// with no SCBA on record.
func dangerNoSCBA(c *scene) {
	c.shortOfOxygen()
	for _, x := range c.exposures() {
		if x.Person == "" || !c.has(x.Substance) || suppliedAir(x.Worn) {
			continue
		}
		start, end := atWork(x)
		if limit := c.limit(x.Substance, start.Best); limit.Past(x.Highest.Value) {
			c.find(projections.Finding{
				Subject: x.Person, Start: start, End: end, Observed: x.Highest, Limit: &limit,
				Statement: fmt.Sprintf("%s was where %s read %s ppm; SCBA is not recorded (mask: %s)", x.Person, x.Substance, short(x.Highest.Value), x.Worn),
			})
		}
	}
}

// shortOfOxygen reports each person posted at a place while its oxygen read under the
// limit, with no mask on record that brings its own air: a filter adds no oxygen.
func (c *scene) shortOfOxygen() {
	low := func(r *projections.AirReading) bool {
		limit := c.limit("oxygen", r.At.Best)
		return limit.Past(r.Value.Value)
	}
	for _, s := range c.air() {
		if s.Quantity != "O2" {
			continue
		}
		for _, r := range runs(s, low) {
			at := projections.Interval{Start: r.readings[0].At, End: r.end}
			for _, p := range c.people() {
				for _, post := range p.Posts {
					if post.Place != s.Place || suppliedAir(post.Air) || !post.Start.Best.Before(at.Until(c.now)) || !at.Start.Best.Before(post.Until(c.now)) {
						continue
					}
					limit := c.limit("oxygen", at.Start.Best)
					c.find(projections.Finding{
						Subject: p.Person, Start: at.Start, End: at.End, Observed: r.peak(-1), Limit: &limit, From: post.Start.From,
						Statement: fmt.Sprintf("%s was where oxygen read %s %%; SCBA is not recorded (mask: %s)", p.Person, short(r.peak(-1).Value), cmp.Or(post.Air, "not recorded")),
					})
				}
			}
		}
	}
}

// suppliedAir reports whether all that was worn brings its own air.
func suppliedAir(worn string) bool {
	for w := range strings.SplitSeq(worn, "; ") {
		mask, ok := exposure.RespiratorOf(w)
		if !ok || !strings.Contains(mask.Name, "SCBA") {
			return false
		}
	}
	return true
}

// maskNotEnough reports each person who was where a reading is more than the mask on
// record may be used in.
func maskNotEnough(c *scene) {
	for _, x := range c.exposures() {
		danger, _ := exposure.LimitOf(x.Substance, exposure.Danger)
		shift, ok := exposure.LimitOf(x.Substance, exposure.OverShift)
		if x.Person == "" || x.Factor == 0 || !ok || suppliedAir(x.Worn) {
			continue
		}
		start, end := atWork(x)
		per := c.use("shift-average-over", shift.Substance, start.Best)
		limit := projections.Threshold{
			Op: ">", Value: float64(exposure.MostUse(x.Factor, quantity.PPM(per.Value), danger.Value, 0)), Unit: "ppm",
			Source: fmt.Sprintf("factor %s times %s ppm (%s)", short(x.Factor), short(per.Value), per.Source), Status: per.Status, From: per.From,
		}
		if limit.Past(x.Highest.Value) {
			c.find(projections.Finding{
				Subject: x.Person, Start: start, End: end, Observed: x.Highest, Limit: &limit,
				Statement: fmt.Sprintf("%s was where %s read %s ppm; %s may be used up to %s", x.Person, x.Substance, short(x.Highest.Value), x.Worn, short(limit.Value)),
			})
		}
	}
}
