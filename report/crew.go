package report

import (
	"slices"
	"time"

	"tankside/projections"
	"tankside/report/chart"
)

// TripRow is one trip with its air, nil where it was made on no bottle.
type TripRow struct {
	projections.Trip
	Person string
	Supply *projections.Supply
	Told   projections.Figure // min late, where the way in was told late
}

// setTrips joins the trips with their air, and finds whoever is in on a bottle.
func (d *Document) setTrips() {
	type key struct {
		who        string
		start, end time.Time
	}
	air := map[key]*projections.Supply{}
	for i := range d.State.Supply {
		s := &d.State.Supply[i]
		air[key{s.Person, s.Start.Best, s.End.Best}] = s
		if s.End.IsZero() {
			d.OnAir = append(d.OnAir, *s)
		}
	}
	for _, p := range d.State.People {
		for _, t := range p.Trips {
			d.Trips = append(d.Trips, TripRow{t, p.Person, air[key{p.Person, t.Start.Best, t.End.Best}], d.toldLate(t)})
		}
	}
}

// toldLate is how late the post was told that somebody had gone in, unknown where it
// was not late.
func (d *Document) toldLate(t projections.Trip) projections.Figure {
	for _, l := range d.State.Quality.Late {
		if slices.Contains(t.Start.From, l.Seq) {
			return l.Delay
		}
	}
	return projections.Lacking("min")
}

// crew is the picture of who was in, who stood by, and when all were counted; false
// where nobody was in.
func (d *Document) crew() (chart.Lanes, bool) {
	l := chart.Lanes{
		Title: "Who was in, and who stood by", Mark: "roll call",
		Means: map[chart.Fill]string{
			chart.Solid: "in the hot zone", chart.ToldLate: "in the hot zone, told more than 10 min late", chart.Named: "backup named",
			chart.Rest: "in rehab or at a post outside", chart.Hole: "somebody in: no backup, or roll call late",
		},
	}
	for _, p := range d.State.People {
		if p.Number > 0 || len(p.Rehab) > 0 || len(p.Posts) > 0 {
			l.Lanes = append(l.Lanes, d.personLane(p))
		}
	}
	if d.Entered == 0 {
		return l, false
	}
	l.Lanes = append(l.Lanes, d.backupLane(), d.rollLane())
	return l, true
}

// stretch is a bar of an interval; what has no end runs to the moment the report is
// of, and what has no start is left out.
func (d *Document) stretch(i projections.Interval, fill chart.Fill, word string) (chart.Bar, bool) {
	if i.Start.IsZero() {
		return chart.Bar{}, false
	}
	b := chart.Bar{From: d.local(i.Start.Best), To: d.local(i.End.Best), Open: i.End.IsZero(), Fill: fill, Word: shown(word)}
	if b.Open {
		b.To = d.local(d.lastSeen(i.Start.Best))
	}
	return b, true
}

// lastSeen is the last moment at which anybody was in or counted, not before t: what
// nobody ended is drawn no further, lest a log that stays open for days shrink the night.
func (d *Document) lastSeen(t time.Time) time.Time {
	for _, p := range d.State.People {
		for _, trip := range p.Trips {
			end := trip.End.Best
			if trip.End.IsZero() && d.State.AsOf != nil {
				end = *d.State.AsOf
			}
			if end.After(t) {
				t = end
			}
		}
	}
	for _, r := range d.State.Accountability.RollCalls {
		if r.At.Best.After(t) {
			t = r.At.Best
		}
	}
	return t
}

func (d *Document) personLane(p projections.Person) chart.Lane {
	lane := chart.Lane{Label: shown(p.Person)}
	add := func(i projections.Interval, fill chart.Fill, word string) {
		if b, ok := d.stretch(i, fill, word); ok {
			lane.Bars = append(lane.Bars, b)
		}
	}
	for _, r := range p.Rehab {
		add(r.Interval, chart.Rest, "rehab")
	}
	for _, post := range p.Posts {
		add(post.Interval, chart.Rest, "post at "+post.Place)
	}
	for _, t := range p.Trips {
		fill := chart.Solid
		if d.toldLate(t).Known {
			fill = chart.ToldLate
		}
		add(t.Interval, fill, t.Task)
	}
	return lane
}

// backupLane is who stood by, with the times in which somebody was in and nobody did.
func (d *Document) backupLane() chart.Lane {
	lane := chart.Lane{Label: "backup", Apart: true}
	for _, b := range d.State.Accountability.Backups {
		if bar, ok := d.stretch(b.Interval, chart.Named, "pair "+b.Pair); ok {
			lane.Bars = append(lane.Bars, bar)
		}
	}
	for _, u := range d.State.Accountability.Unbacked {
		if bar, ok := d.stretch(u, chart.Hole, ""); ok {
			lane.Bars = append(lane.Bars, bar)
		}
	}
	for _, f := range d.State.Findings {
		if f.Rule == "backup-elsewhere" {
			if bar, ok := d.stretch(projections.Interval{Start: f.Start, End: f.End}, chart.Hole, f.Subject+" elsewhere"); ok {
				lane.Bars = append(lane.Bars, bar)
			}
		}
	}
	return lane
}

// rollLane is the roll calls, with the times by which one was late.
func (d *Document) rollLane() chart.Lane {
	lane := chart.Lane{Label: "roll calls"}
	for _, g := range d.State.Accountability.LateRolls {
		due := g.Start
		due.Best = due.Best.Add(time.Duration(g.Limit.Value * float64(time.Minute)))
		if bar, ok := d.stretch(projections.Interval{Start: due, End: g.End}, chart.Hole, "late"); ok {
			lane.Bars = append(lane.Bars, bar)
		}
	}
	for _, r := range d.State.Accountability.RollCalls {
		lane.Marks = append(lane.Marks, d.local(r.At.Best))
	}
	return lane
}
