package findings

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections"
)

var noticeChecks = map[string]func(*scene){
	"national-call-late":       nationalCallLate,
	"closure-no-national-call": closureNoCall,
	"sheen-call":               sheenCall,
	"written-report-late":      writtenReportLate,
	"isolation-small":          isolationSmall,
}

// national are the ways in which the national center is named.
var national = regexp.MustCompile(`(?i)national (response )?cent|\bNRC\b|424[- ]?8802|267[- ]?2675`)

// nationalCall is the first call to the national center, zero when none is recorded.
func (c *scene) nationalCall() projections.Moment {
	for e, k := range entries[kinds.CallMade](c) {
		if national.MatchString(strings.Join([]string{e.Where, k.Who, k.Phone, k.AskedFor}, " ")) {
			return projections.MomentOf(e)
		}
	}
	return projections.Moment{}
}

// benchmark is a moment of the incident by its name, zero when nobody recorded it.
func (c *scene) benchmark(name string) projections.Moment {
	for _, b := range c.inc.Phases.Benchmarks() {
		if b.Name == name {
			return b.At
		}
	}
	return projections.Moment{}
}

// trigger is something that wants a call to the national center.
type trigger struct {
	what string
	at   projections.Moment // from when it wants the call
	shut projections.Interval
	min  projections.Figure
}

// closures are the roads shut and people moved for as long as the limit or longer.
func (c *scene) closures(limit projections.Threshold) (out []trigger) {
	long := func(what string, i projections.Interval, minutes projections.Figure) {
		if minutes.Known && limit.Past(minutes.Value) {
			at := i.Start
			at.Best = at.Best.Add(time.Duration(limit.Value * float64(time.Minute)))
			out = append(out, trigger{what, at, i, minutes})
		}
	}
	for _, r := range c.inc.Zones.Closures(c.now) {
		for _, s := range r.Stretches {
			long(strings.TrimSpace(r.Road)+" was closed", s, projections.Elapsed(s.Start, s.End, c.now))
		}
	}
	for _, m := range c.inc.Zones.People(c.now) {
		if !yes(m.Shelter) {
			long("people were moved from "+m.Area, m.Interval, m.Minutes)
		}
	}
	return out
}

// hurt are the deaths, and the injured who were taken to hospital. Whether one was
// admitted the log does not always say.
func (c *scene) hurt() (out []trigger) {
	for e, k := range entries[kinds.Injury](c) {
		text := strings.ToLower(strings.Join([]string{k.Sort, k.Treatment, k.Hospital}, " "))
		if strings.Contains(text, "dead") || strings.Contains(text, "death") || strings.Contains(text, "fatal") || strings.Contains(text, "admit") {
			at := projections.MomentOf(e)
			out = append(out, trigger{"somebody was killed or admitted", at, projections.Interval{Start: at, End: at}, projections.Exact(0, "min", "")})
		}
	}
	return out
}

// nationalCallLate reports a call that came later than allowed after the mishap, or
// that is not recorded though something wants it and the time has run out.
func nationalCallLate(c *scene) {
	mishap, call := c.benchmark("mishap"), c.nationalCall()
	limit := c.limit("call", mishap.Best)
	if mishap.IsZero() {
		return
	}
	until := projections.Interval{End: call}.Until(c.now)
	hours := until.Sub(mishap.Best).Hours()
	if !limit.Past(hours) {
		return
	}
	shut := c.use("closure-no-national-call", "shut", mishap.Best)
	wants := append(c.hurt(), c.closures(shut)...)
	if len(wants) == 0 {
		return
	}
	took := projections.Elapsed(mishap, call, c.now)
	f := projections.Finding{
		Subject: "National Response Center", Start: mishap, End: call, Limit: &limit, From: wants[0].shut.Start.From,
		Observed: projections.Exact(hours, "h", "from the mishap", took.From...),
	}
	f.Statement = fmt.Sprintf("the national call is recorded %.1f h after the mishap", hours)
	if call.IsZero() {
		f.Statement = fmt.Sprintf("no national call is recorded %.1f h after the mishap; %s", hours, wants[0].what)
	}
	c.find(f)
}

// owe notes a duty to tell somebody, whether or not it is met, and what is left of its
// time or was when it was.
func (c *scene) owe(d projections.Duty) {
	d.Rule, d.Ref = c.rule.Name, c.rule.Ref
	d.From = slices.Concat(d.From, d.Begun.From, d.Made.From, d.Limit.From)
	slices.Sort(d.From)
	d.From = slices.Compact(d.From)
	left, how := d.At.Sub(c.now), "as at the moment the state is of"
	if !d.Made.IsZero() {
		left, how = d.At.Sub(d.Made.Best), "when it was made"
	}
	d.Margin = projections.Exact(left.Minutes(), "min", how, d.From...)
	c.duties = append(c.duties, d)
}

// closureNoCall reports, once, that a road was shut or people were moved for an hour
// or more and no call to the national center is recorded.
func closureNoCall(c *scene) {
	if !c.nationalCall().IsZero() {
		return
	}
	limit := c.limit("shut", c.now)
	wants := c.closures(limit)
	if len(wants) == 0 {
		return
	}
	w := wants[0]
	c.find(projections.Finding{
		Subject: "National Response Center", Start: w.shut.Start, End: w.shut.End, Observed: w.min, Limit: &limit,
		Statement: fmt.Sprintf("%s for %.0f min and no call to the National Response Center is recorded; the carrier may have made it", w.what, w.min.Value),
	})
}

// sheenCall reports how long after the first sheen the national call was made, or
// that none is recorded.
func sheenCall(c *scene) {
	sheens := moments[kinds.SheenSeen](c)
	if len(sheens) == 0 {
		return
	}
	call := c.nationalCall()
	limit := c.limit("at-once", sheens[0].Best)
	c.owe(projections.Duty{What: "national call at once, for oil on water", Why: "a sheen was seen", Begun: sheens[0], At: sheens[0].Best, Made: call, Owner: "IC", Limit: &limit})
	took := projections.Elapsed(sheens[0], call, c.now)
	if !limit.Past(took.Value) {
		return
	}
	f := projections.Finding{
		Subject: "National Response Center", Start: sheens[0], End: call, Observed: took, Limit: &limit,
		Statement: fmt.Sprintf("the national call is recorded %.0f min after the first sheen was seen", took.Value),
	}
	if call.IsZero() {
		f.Severity = projections.Caution
		f.Statement = "oil was seen on water and no call to the National Response Center is recorded"
	}
	c.find(f)
}

// written is how the carrier's report is named; unfiled are words by which it is still
// to come, or a number of gallons.
var (
	written = regexp.MustCompile(`(?i)\b5800\.1\b|\b171\.16\b|\bwritten (incident )?report\b`)
	unfiled = regexp.MustCompile(`(?i)\b(no|not|never|nobody|due|will|owes?|needs?|wants?|to be|to file|within|must|asked)\b|5800\.1 *gal`)
)

// reportDue is from when the carrier's written report counts, what wants it, and when
// it was filed; ok is false where nothing wants it. An overturn can want it by damage
// alone, with no release.
func (c *scene) reportDue() (from projections.Moment, why string, filed projections.Moment, ok bool) {
	for _, w := range append(c.hurt(), c.closures(c.use("closure-no-national-call", "shut", c.now))...) {
		from, why, ok = w.shut.Start, w.what, true
		break
	}
	if leaks := slices.Concat(moments[kinds.LeakSeen](c), moments[kinds.SpillSeen](c)); len(leaks) > 0 {
		from, why, ok = leaks[0], "product was released", true
	}
	size := c.use("written-report-late", "tank", c.now)
	if v := c.inc.Volume.Capacity; !ok && v.Known && size.Past(v.Value) {
		if damage := moments[kinds.DamageFound](c); len(damage) > 0 {
			from, why, ok = damage[0], fmt.Sprintf("a cargo tank of %.0f gal was damaged", v.Value), true
		}
	}
	if ok {
		filed = c.reported()
	}
	return from, why, filed, ok
}

// reported is when the written report was first said to be filed. It walks the whole log,
// so it is found once.
func (c *scene) reported() projections.Moment {
	if c.filed == nil {
		c.filed = &projections.Moment{}
		if i := slices.IndexFunc(c.live, func(e *events.Entry) bool { return tellsOfReport(e.Words) || tellsOfReport(wordsOf(e)) }); i >= 0 {
			*c.filed = projections.MomentOf(c.live[i])
		}
	}
	return *c.filed
}

// tellsOfReport reports whether words say that the written report was made. Most words
// hold nothing that could name it, which is soon seen.
func tellsOfReport(text string) bool {
	may := strings.Contains(text, "5800.1") || strings.Contains(text, "171.16") || strings.Contains(strings.ToLower(text), "written ")
	return may && written.MatchString(text) && !unfiled.MatchString(text)
}

// wordsOf are the free words of entries in which a report may be told of.
func wordsOf(e *events.Entry) string {
	switch k := e.Payload.(type) {
	case kinds.Note:
		return k.Text
	case kinds.ActionItem:
		if strings.HasPrefix(strings.ToLower(k.Status), "done") || strings.HasPrefix(strings.ToLower(k.Status), "closed") {
			return k.Action
		}
	}
	return ""
}

// writtenReportLate reports a written report filed, or still not recorded, later than
// allowed after the release or damage was discovered.
func writtenReportLate(c *scene) {
	from, why, filed, ok := c.reportDue()
	if !ok {
		return
	}
	limit := c.limit("filed", from.Best)
	until := projections.Interval{End: filed}.Until(c.now)
	if days := daysBetween(from.Best, until); limit.Past(float64(days)) {
		c.find(projections.Finding{
			Subject: "written report", Start: from, End: filed, Observed: projections.Exact(float64(days), "days", "from discovery"), Limit: &limit,
			Statement: fmt.Sprintf("%s, and no written report is recorded within %.0f days", why, limit.Value),
		})
	}
}

// daysBetween counts midnights between two times, by the clock of the first.
func daysBetween(a, b time.Time) int {
	day := func(t time.Time) time.Time {
		y, m, d := t.In(a.Location()).Date()
		return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
	}
	return int(day(b).Sub(day(a)).Hours() / 24)
}

// isolationSmall reports each distance kept clear that is less than the guide has,
// for a spill or while the tank burns.
func isolationSmall(c *scene) {
	var fire projections.Moment
	for e, k := range entries[kinds.FireSeen](c) {
		if fire.IsZero() && !strings.HasPrefix(strings.ToLower(k.State), "out") {
			fire = projections.MomentOf(e)
		}
	}
	for _, i := range c.inc.Zones.Isolations {
		if !i.Distance.Known {
			continue
		}
		level := "spill"
		if !fire.IsZero() && !fire.Best.After(i.At.Best) {
			level = "fire"
		}
		limit := c.limit(level, i.At.Best)
		if limit.Past(i.Distance.Value) {
			c.find(projections.Finding{
				Subject: "isolation", Severity: c.severity(level), Start: i.At, End: i.At, Observed: i.Distance, Limit: &limit, From: fire.From,
				Statement: fmt.Sprintf("%.0f ft were kept clear all round; the guide has %.0f for a %s", i.Distance.Value, limit.Value, level),
			})
		}
	}
}
