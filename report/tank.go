package report

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"tankside/events"
	"tankside/projections"
	"tankside/report/chart"
)

// tank is the picture of the compartments with what is in them; false where none is
// known.
func (d *Document) tank() (chart.Tank, bool) {
	t := chart.Tank{Title: "What is in the tank"}
	for i := range d.State.Volume.Compartments {
		t.Holds = append(t.Holds, d.hold(&d.State.Volume.Compartments[i]))
	}
	return t, len(t.Holds) > 0
}

// hold is one compartment: what the dip found in it, else what should be aboard.
func (d *Document) hold(c *projections.CompartmentState) chart.Hold {
	s := c.Section
	h := chart.Hold{Label: shown(c.ID)}
	if s.Shape != "" && (s.Width.Known || s.Height.Known) {
		h.Outline = chart.Outline{Shape: s.Shape, Width: s.Width.Value, Height: s.Height.Value, Radius: s.Radius.Value, Roll: s.Roll.Value}
	}
	if c.Product != "" {
		h.Lines = append(h.Lines, shown(c.Product))
	}
	in, how := c.Dip, "by dip"
	if !in.Known {
		in, how = c.Aboard, "should be aboard"
	}
	if !in.Known {
		h.Lines = append(h.Lines, "how much is in it: "+chart.Unknown)
		return d.withHoles(h, c.ID)
	}
	h.Lines = append(h.Lines, figureWords(in)+" "+how)
	full, of := s.Capacity, "full"
	if !full.Known {
		full, of = c.Load, "of its load"
	}
	if full.Known && full.Value > 0 {
		h.Share = chart.Amount{Known: true, Value: in.Value / full.Value}
		h.Lines = append(h.Lines, fmt.Sprintf("%.0f %% %s", 100*h.Share.Value, of))
	}
	if s.Roll.Known {
		h.Lines = append(h.Lines, "rolled "+figureWords(s.Roll))
	}
	return d.withHoles(h, c.ID)
}

// withHoles adds the holes drilled into a compartment for liquid or for vapour. What was
// marked and not drilled, and the tank's own outlets, are in the table alone.
func (d *Document) withHoles(h chart.Hold, compartment string) chart.Hold {
	for _, hole := range d.State.Holes {
		vapour := strings.HasPrefix(hole.Use, "vap") || hole.Use == "vent"
		drilled := hole.Sort == "drilled" && !hole.Through.IsZero()
		if hole.Compartment == compartment && drilled && (vapour || hole.Use == "liquid") {
			h.Holes = append(h.Holes, chart.Opening{Word: shown(hole.ID), Vapour: vapour, Closed: !hole.Plugged.IsZero()})
		}
	}
	return h
}

// pace is the picture of how much was told when; false for fewer than two entries.
func (d *Document) pace() (chart.Pace, bool) {
	p := chart.Pace{Title: "How much was told when", What: "entries", Gap: "nothing told for more than 10 min while the log was open", Moments: d.told}
	for _, g := range d.State.Quality.SilentGaps {
		p.Gaps = append(p.Gaps, chart.Stretch{From: d.local(g.Start.Best), To: d.local(g.End.Best)})
	}
	return p, len(p.Moments) > 1
}

// tellings are the moments at which entries were told at the scene, in their order.
func tellings(tl *events.Timeline, zone *time.Location) []time.Time {
	out := make([]time.Time, 0, len(tl.Entries))
	for _, e := range tl.Entries {
		if !e.Desk() {
			out = append(out, e.KnownAt().In(zone))
		}
	}
	slices.SortFunc(out, time.Time.Compare)
	return out
}
