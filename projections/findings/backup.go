package findings

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections"
)

// backupNotNamed reports each time from the end of one backup to the naming of the
// next in which somebody was in: one finding, however many went in and out.
func backupNotNamed(c *scene) {
	backups := c.inc.People.Backups
	unbacked := c.inc.Unbacked()
	named := func(i projections.Interval) int {
		n := 0
		for n < len(backups) && !backups[n].Start.Best.After(i.Start.Best) {
			n++
		}
		return n
	}
	for _, without := range groups(unbacked, named) {
		first, last := without[0], without[len(without)-1]
		f := projections.Finding{Subject: "hot zone", Start: first.Start, End: last.End, Observed: c.total(without, "min with somebody in and no backup named")}
		limit, severity, over := c.worst(f.Observed.Value, first.Start.Best, "brief", "long")
		if !over {
			continue
		}
		why := "none had been named before"
		for _, b := range slices.Backward(backups) {
			if !b.Start.Best.After(first.Start.Best) {
				why = fmt.Sprintf("pair %s was the last named; it ended at %s, %s", b.Pair, clock(b.End.Best), b.EndedBy)
				f.From = slices.Concat(b.Start.From, b.End.From)
				break
			}
		}
		for _, b := range backups {
			if !last.End.IsZero() && b.Start.Best.Equal(last.End.Best) {
				f.From = append(f.From, b.Start.From...)
			}
		}
		f.Limit, f.Severity = &limit, severity
		f.Statement = fmt.Sprintf("no backup is named from %s to %s, %s min with somebody in; %s", clock(first.Start.Best), c.until(last), number(f.Observed.Value), why)
		c.find(f)
	}
}

// total is the minutes of stretches that do not overlap.
func (c *scene) total(stretches []projections.Interval, method string) projections.Figure {
	var all []projections.Figure
	for _, s := range stretches {
		all = append(all, projections.Elapsed(s.Start, s.End, c.now))
	}
	return projections.Sum("min", method, all)
}

// elsewhere is one of a backup seen at a place away from the line.
type elsewhere struct {
	projections.Interval
	place string
	how   string // what weakens it
	from  []events.Seq
}

// backupElsewhere reports one of the named backup who worked at a post or was in rehab
// while somebody was in.
func backupElsewhere(c *scene) {
	seen := c.sightings()
	for _, b := range c.inc.People.Backups {
		for _, who := range b.Persons {
			for _, at := range seen[who] {
				if both, ok := c.overlap(at.Interval, b.Interval); ok {
					c.away(b, who, at, c.busyIn(both))
				}
			}
		}
	}
}

// busyIn is when somebody was in during a stretch.
func (c *scene) busyIn(i projections.Interval) (out []projections.Interval) {
	in := c.busy()
	first, _ := slices.BinarySearchFunc(in, i.Start.Best, func(in projections.Interval, t time.Time) int { return in.Until(c.now).Compare(t) })
	for _, busy := range in[first:] {
		if !busy.Start.Best.Before(i.Until(c.now)) {
			break
		}
		if both, ok := c.overlap(i, busy); ok {
			out = append(out, both)
		}
	}
	return out
}

func (c *scene) away(b projections.Backup, who string, at elsewhere, both []projections.Interval) {
	if len(both) == 0 {
		return
	}
	f := projections.Finding{
		Subject: who, Start: both[0].Start, End: both[len(both)-1].End, From: slices.Concat(b.Start.From, at.from),
		Observed: c.total(both, "min with somebody in and "+who+" at "+at.place),
	}
	limit := c.limit("elsewhere", f.Start.Best)
	if !limit.Past(f.Observed.Value) {
		return
	}
	if f.Limit = &limit; at.how != "" {
		f.Confidence = []string{at.how}
	}
	f.Statement = fmt.Sprintf("%s of the named backup, pair %s, was at %s from %s to %s with somebody in", who, b.Pair, at.place, clock(f.Start.Best), c.until(projections.Interval{End: f.End}))
	c.find(f)
}

// sightings are where each was outside the hot zone: at a post, in rehab, or at a place
// where work was stopped because of them.
func (c *scene) sightings() map[string][]elsewhere {
	seen := map[string][]elsewhere{}
	for _, p := range c.people() {
		for _, post := range p.Posts {
			if !post.Start.IsZero() {
				seen[p.Person] = append(seen[p.Person], elsewhere{Interval: post.Interval, place: cmp.Or(post.Place, "a post")})
			}
		}
		for _, r := range p.Rehab {
			if !r.Start.IsZero() {
				seen[p.Person] = append(seen[p.Person], elsewhere{Interval: r.Interval, place: "rehab"})
			}
		}
	}
	for e, k := range entries[kinds.StopWork](c) {
		if k.Worker == "" || e.Where == "" {
			continue
		}
		end := projections.MomentOf(e)
		start, from := c.lastWatched(e.Where, end)
		seen[k.Worker] = append(seen[k.Worker], elsewhere{
			projections.Interval{Start: start, End: end}, e.Where,
			fmt.Sprintf("when %s took the place is not recorded; counted from the first reading there", k.Worker), from,
		})
	}
	return seen
}

// watched is how far apart readings at one place may be to belong to the same work
// there (practice, no source).
const watched = 15 * time.Minute

// lastWatched is the first of the readings at a place that follow each other up to the
// end.
func (c *scene) lastWatched(place string, end projections.Moment) (projections.Moment, []events.Seq) {
	start := end
	var seen []events.Seq
	for _, e := range slices.Backward(c.live) {
		switch _, read := e.Payload.(kinds.AirRead); {
		case e.Time().After(end.Best):
		case start.Best.Sub(e.Time()) > watched:
			return start, seen
		case read && e.Where == place:
			start, seen = projections.MomentOf(e), append(seen, e.Seq)
		}
	}
	return start, seen
}

// overlap returns what two stretches have in common; the moments are those of the log.
func (c *scene) overlap(a, b projections.Interval) (projections.Interval, bool) {
	out := c.overlapping(a, b)
	return out, out.Start.Best.Before(out.Until(c.now))
}

// overlapping is the later start and the earlier end.
func (c *scene) overlapping(a, b projections.Interval) projections.Interval {
	if b.Start.Best.After(a.Start.Best) {
		a.Start = b.Start
	}
	if b.Until(c.now).Before(a.Until(c.now)) {
		a.End = b.End
	}
	return a
}

// aloneIn reports the stretches in which one person alone was in by the log. A crew that
// goes by a name counts as more than one.
func aloneIn(c *scene) {
	stays := c.stays()
	edges := make([]edge, 0, 2*len(stays))
	for i := range stays {
		s := &stays[i]
		if s.Start.IsZero() {
			continue
		}
		edges = append(edges, edge{s.Start, s, true})
		if !s.End.IsZero() {
			edges = append(edges, edge{s.End, s, false})
		}
	}
	// who comes out in the minute in which another goes in leaves nobody alone
	slices.SortStableFunc(edges, func(a, b edge) int {
		return cmp.Or(a.at.Best.Compare(b.at.Best), compareBool(b.in, a.in))
	})
	in := map[string]bool{}
	for n, e := range edges {
		if in[e.who] = e.in; !e.in {
			delete(in, e.who)
		}
		if len(in) != 1 {
			continue
		}
		alone := projections.Interval{Start: e.at}
		if n+1 < len(edges) {
			alone.End = edges[n+1].at
		}
		for who := range in {
			c.alone(who, e.pair, alone)
		}
	}
}

// edge is somebody crossing the line, in or out.
type edge struct {
	at projections.Moment
	*stayed
	in bool
}

func compareBool(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return 1
	}
	return -1
}

func (c *scene) alone(who, pair string, i projections.Interval) {
	observed := projections.Elapsed(i.Start, i.End, c.now)
	limit := c.limit("alone", i.Start.Best)
	if who == pair || !limit.Past(observed.Value) {
		return
	}
	c.find(projections.Finding{
		Subject: who, Start: i.Start, End: i.End, Observed: observed, Limit: &limit,
		Statement: fmt.Sprintf("by the log %s was in alone from %s to %s", who, clock(i.Start.Best), c.until(i)),
	})
}
