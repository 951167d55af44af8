package report

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"tankside/projections"
	"tankside/report/chart"
)

// stands are the verdicts on a resistance as they are drawn.
var stands = map[projections.Verdict]chart.Stand{projections.Within: chart.Within, projections.Past: chart.IsOver, projections.Undecided: chart.MayBeOver}

// ohms is the picture of the grounds and bonds against their limits, in the order in
// which they were read; false where nothing was read.
func (d *Document) ohms() (chart.Dots, bool) {
	static := projections.StaticLimit
	c := chart.Dots{
		Title: "Grounds and bonds against their limits", Unit: strings.TrimSpace(unit("ohm")),
		Far: &chart.Line{Value: static.Value, Word: "1 megohm: what static alone would allow"},
	}
	type row struct {
		at  time.Time
		dot chart.Dot
	}
	var rows []row
	for _, p := range d.State.Grounding {
		for _, r := range p.Readings {
			dot := chart.Dot{
				Label: d.local(r.At.Best).Format("15:04") + " " + shown(p.Place), Amount: amount(r.Resistance, false), Limit: amount(r.Limit, false),
				Stand: stands[r.Verdict], Word: string(r.Verdict),
			}
			dot.Text += unit(r.Resistance.Unit)
			dot.Limit.Text += unit(r.Limit.Unit)
			rows = append(rows, row{r.At.Best, dot})
		}
	}
	slices.SortStableFunc(rows, func(a, b row) int { return a.at.Compare(b.at) })
	for _, r := range rows {
		c.Dots = append(c.Dots, r.dot)
	}
	return c, len(c.Dots) > 0
}

// blanket is the picture of the age of the foam: when it was gone over, and what ran
// past the interval ordered; false where none was recorded. What has no next is drawn
// to the end of the work, and no further.
func (d *Document) blanket() (chart.Lanes, bool) {
	l := chart.Lanes{
		Title: "Foam: how old the blanket was", Mark: "foam applied", Worn: true,
		Means: map[chart.Fill]string{chart.Named: "from one foam to the next", chart.Hole: "past the interval ordered"},
	}
	lane, late := chart.Lane{Label: "foam"}, chart.Lane{Label: "late"}
	for _, a := range d.State.Foam.Applications {
		lane.Marks = append(lane.Marks, d.local(a.At.Best))
	}
	for _, g := range d.State.Foam.Gaps {
		from, to := g.Start.Best, g.End.Best
		if g.End.IsZero() {
			to = d.workDone()
		}
		if !to.After(from) {
			continue
		}
		lane.Bars = append(lane.Bars, chart.Bar{From: d.local(from), To: d.local(to), Fill: chart.Named, Word: fmt.Sprintf("%.0f min", to.Sub(from).Minutes())})
		due := from.Add(time.Duration(g.Limit.Value * float64(time.Minute)))
		if g.Limit.Known && to.After(due) {
			late.Bars = append(late.Bars, chart.Bar{From: d.local(due), To: d.local(to), Fill: chart.Hole, Word: fmt.Sprintf("%.0f min past", to.Sub(due).Minutes())})
		}
	}
	if l.Lanes = []chart.Lane{lane}; len(late.Bars) > 0 {
		l.Lanes = append(l.Lanes, late)
	}
	return l, len(lane.Marks) > 0
}

// workDone is when the tank stood on its wheels, or else the last thing that happened:
// from then on nothing says that foam was still wanted.
func (d *Document) workDone() time.Time {
	for _, b := range d.State.Benchmarks {
		if b.Name == "on wheels" && !b.At.IsZero() {
			return b.At.Best
		}
	}
	return d.Ended
}
