package report

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"tankside/projections"
	"tankside/report/chart"
)

// strip is the picture of the whole incident against the clock; false where nothing
// has a length that could be drawn.
func (d *Document) strip() (chart.Lanes, bool) {
	l := chart.Lanes{
		Title: "The incident against the clock", Mark: "foam applied", Worn: true,
		Means: map[chart.Fill]string{
			chart.Solid: "somebody in the hot zone (how many), pump running (leg)", chart.ToldLate: "work stopped",
			chart.Named: "a phase, a truck here", chart.Rest: "truck ordered, not yet here",
			chart.Hole: "nothing moved, past the time promised, or nothing told",
		},
	}
	last := d.stripEnd()
	groups := [][]chart.Lane{
		d.phaseLanes(last), d.workLanes(last), d.truckLanes(last), d.quietLanes(last),
	}
	for _, g := range groups {
		g = slices.DeleteFunc(g, func(lane chart.Lane) bool { return len(lane.Bars)+len(lane.Marks) == 0 })
		if len(g) > 0 {
			g[0].Apart = len(l.Lanes) > 0
			l.Lanes = append(l.Lanes, g...)
		}
	}
	return l, len(l.Lanes) > 0
}

// stripEnd is the end of the last phase or leg, or the last moment at which somebody was
// in: a laboratory that answers days later must not shrink the night.
func (d *Document) stripEnd() (last time.Time) {
	take := func(i projections.Interval) {
		for _, t := range []time.Time{i.Start.Best, i.End.Best} {
			if t.After(last) {
				last = t
			}
		}
	}
	for _, p := range d.State.Phases {
		if !strings.HasPrefix(p.Name, "road closed") {
			take(projections.Interval{Start: p.Start, End: p.End})
		}
	}
	for _, l := range d.State.Volume.Legs {
		take(projections.Interval{Start: l.Start, End: l.Stop})
	}
	for _, s := range d.State.Stops {
		take(s.Interval)
	}
	for _, a := range d.State.Foam.Applications {
		take(projections.Interval{Start: a.At})
	}
	return d.lastSeen(last)
}

// until is the bar of an interval that is cut off at last; false where it has no start
// or begins after it. What nobody ended goes on to last.
func (d *Document) until(last time.Time, i projections.Interval, fill chart.Fill, word string) (chart.Bar, bool) {
	if i.Start.IsZero() || i.Start.Best.After(last) {
		return chart.Bar{}, false
	}
	b := chart.Bar{From: d.local(i.Start.Best), To: d.local(i.End.Best), Open: i.End.IsZero() || i.End.Best.After(last), Fill: fill, Word: shown(word)}
	if b.Open {
		b.To = d.local(last)
	}
	return b, !b.To.Before(b.From)
}

// phaseLanes are the phases, one lane each, without those that the other lanes show.
func (d *Document) phaseLanes(last time.Time) (lanes []chart.Lane) {
	for _, p := range d.State.Phases {
		if p.Name == "pumping" || p.Name == "whole incident" {
			continue
		}
		stretches := p.Stretches
		if len(stretches) == 0 {
			stretches = []projections.Interval{{Start: p.Start, End: p.End}}
		}
		lane := chart.Lane{Label: shown(p.Name)}
		for _, i := range stretches {
			word := ""
			if !i.End.IsZero() {
				word = minutes(i.End.Best.Sub(i.Start.Best))
			}
			if b, ok := d.until(last, i, chart.Named, word); ok {
				lane.Bars = append(lane.Bars, b)
			}
		}
		lanes = append(lanes, lane)
	}
	return lanes
}

// minutes writes a length as the pictures do: in minutes, from a day on in hours.
func minutes(l time.Duration) string {
	if l >= 24*time.Hour {
		return fmt.Sprintf("%.0f h", l.Hours())
	}
	return fmt.Sprintf("%.0f min", l.Minutes())
}

// workLanes are who was in, what was pumped with the waits between, foam and stops.
func (d *Document) workLanes(last time.Time) []chart.Lane {
	pump, foam, stops := chart.Lane{Label: "pumping"}, chart.Lane{Label: "foam"}, chart.Lane{Label: "work stopped"}
	for i := range d.State.Volume.Legs {
		pump.Bars = append(pump.Bars, d.legBars(last, d.State.Volume.Legs[i].Leg)...)
	}
	for _, w := range d.State.Waits {
		if b, ok := d.until(last, w.Interval, chart.Hole, minutes(w.End.Best.Sub(w.Start.Best))); ok {
			b.Detail = shown(strings.Join(w.Reasons, ", "))
			pump.Bars = append(pump.Bars, b)
		}
	}
	for _, a := range d.State.Foam.Applications {
		foam.Marks = append(foam.Marks, d.local(a.At.Best))
	}
	for _, s := range d.State.Stops {
		if b, ok := d.until(last, s.Interval, chart.ToldLate, s.Place); ok {
			b.Detail = shown(s.Why)
			stops.Bars = append(stops.Bars, b)
		}
	}
	slices.SortStableFunc(pump.Bars, func(a, b chart.Bar) int { return a.From.Compare(b.From) })
	return []chart.Lane{d.inLane(last), pump, foam, stops}
}

// legBars is when a leg ran; when its pump was held it did not.
func (d *Document) legBars(last time.Time, l *projections.Leg) (bars []chart.Bar) {
	from := l.Start
	for _, p := range l.Pauses {
		if b, ok := d.until(last, projections.Interval{Start: from, End: p.Start}, chart.Solid, l.ID); ok {
			bars = append(bars, b)
		}
		if from = p.End; from.IsZero() {
			return bars
		}
	}
	if b, ok := d.until(last, projections.Interval{Start: from, End: l.Stop}, chart.Solid, l.ID); ok {
		bars = append(bars, b)
	}
	return bars
}

// inLane is how many were in the hot zone.
func (d *Document) inLane(last time.Time) chart.Lane {
	lane := chart.Lane{Label: "in the hot zone"}
	change := map[time.Time]int{}
	for _, p := range d.State.People {
		for _, t := range p.Trips {
			if b, ok := d.until(last, t.Interval, chart.Solid, ""); ok {
				change[b.From]++
				change[b.To]--
			}
		}
	}
	times := make([]time.Time, 0, len(change))
	for t := range change {
		times = append(times, t)
	}
	slices.SortFunc(times, time.Time.Compare)
	in := 0
	for i, t := range times {
		if in += change[t]; in > 0 && i+1 < len(times) {
			lane.Bars = append(lane.Bars, chart.Bar{From: t, To: times[i+1], Fill: chart.Solid, Word: fmt.Sprint(in)})
		}
	}
	return lane
}

// truckLanes are the trucks: ordered, past the time first promised, here.
func (d *Document) truckLanes(last time.Time) (lanes []chart.Lane) {
	for _, t := range d.State.Trucks {
		lane := chart.Lane{Label: shown(t.Name)}
		add := func(from, to projections.Moment, fill chart.Fill, word string) {
			if b, ok := d.until(last, projections.Interval{Start: from, End: to}, fill, word); ok && (b.Open || b.To.After(b.From)) {
				lane.Bars = append(lane.Bars, b)
			}
		}
		due := t.Arrived
		if len(t.ETAs) > 0 && t.ETAs[0].For.Best.After(t.Ordered.Best) && t.Late.Known && t.Late.Value > 0 {
			due = t.ETAs[0].For
			add(due, t.Arrived, chart.Hole, fmt.Sprintf("%.0f min late", t.Late.Value))
		}
		if !due.IsZero() {
			add(t.Ordered, due, chart.Rest, "ordered")
		}
		add(t.Arrived, t.Gone, chart.Named, "here")
		lanes = append(lanes, lane)
	}
	return lanes
}

// quietLanes are when the radio was lost and when nothing was told.
func (d *Document) quietLanes(last time.Time) []chart.Lane {
	radio, log := chart.Lane{Label: "radio or power lost"}, chart.Lane{Label: "nothing told"}
	for _, o := range d.State.Quality.Outages {
		if b, ok := d.until(last, o.Interval, chart.Hole, o.What); ok {
			radio.Bars = append(radio.Bars, b)
		}
	}
	for _, g := range d.State.Quality.SilentGaps {
		if b, ok := d.until(last, g.Interval, chart.Hole, ""); ok {
			log.Bars = append(log.Bars, b)
		}
	}
	return []chart.Lane{radio, log}
}
