package cli

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"tankside/projections"
)

// product says where the product is, in the basis that the log allows.
func (b *board) product() {
	v := b.s.Volume
	b.printf("\nPRODUCT, %s\n", v.Basis)
	for _, line := range []struct {
		name string
		f    projections.Figure
	}{
		{"load", v.Load},
		{"delivered before", v.Delivered},
		{"transferred", v.Transferred},
		{"released", v.Released},
		{"recovered", v.Recovered},
		{"left in the tank, dipped", v.Remaining},
		{"left over", v.LeftOver},
		{"unaccounted", v.Unaccounted},
	} {
		b.printf("  %-26s %s\n", line.name, figure(line.f))
	}
	if v.Verdict != "" {
		b.printf("  %s\n", v.Verdict)
	}
	b.setAside()
	b.questions()
	for _, c := range v.Conflicts {
		b.conflict(c)
	}
}

// conflict says who says what, and whether it is settled.
func (b *board) conflict(c projections.Conflict) {
	var sides []string
	for _, s := range c.Sides {
		sides = append(sides, fmt.Sprintf("%s says %s", s.By, s.Says))
	}
	state := "open"
	if !c.Settled.IsZero() {
		state = "settled " + b.clock(c.Settled) + ", " + c.By
	}
	b.printf("  %s, %s: %s; %s\n", c.About, c.What, strings.Join(sides, ", "), state)
}

// compartments lists the holds of the tank.
func (b *board) compartments() {
	g := grid{title: "COMPARTMENTS", heads: []string{"", "product", "state", "since", "load", "out", "released", "dip", "aboard"}, right: []int{4, 5, 6, 7, 8}}
	for _, c := range b.s.Volume.Compartments {
		g.add(c.ID, c.Product, c.State, b.clock(c.Since), value(c.Load), value(c.Transferred), value(c.Released), value(c.Dip), value(c.Aboard))
	}
	b.table(g)
}

// legs lists the transfers, each by the measurement that counts for now.
func (b *board) legs() {
	g := grid{title: "TRANSFERS", heads: []string{"leg", "from", "to", "start", "stop", "gross gal", "net gal", "gpm", "by"}, right: []int{5, 6, 7}}
	for _, l := range b.s.Volume.Legs {
		stop := b.clock(l.Stop)
		if l.Stop.IsZero() {
			stop = "RUNNING"
		}
		g.add(l.ID, l.From, l.To, b.clock(l.Start), stop, value(l.Gross.Figure), value(l.Net.Figure), value(l.Rate), orElse(b.waits(l), counting(l.Measured)))
	}
	b.table(g)
}

// waits says what number of a leg is asked about, where no other tells what it moved.
func (b *board) waits(l projections.LegState) string {
	for _, s := range b.s.Volume.SetAside {
		if s.Asked && strings.HasPrefix(s.What, "leg "+l.ID+", ") && !l.Gross.Known {
			return "asked: " + value(s.Gross.Figure) + " gal"
		}
	}
	return ""
}

// counting names the measurement that counts for now.
func counting(ms []projections.Measurement) string {
	for _, m := range ms {
		if m.Counts {
			return m.Method
		}
	}
	return unknown
}

// receivers lists the holds that took liquid in, with every measurement of each.
func (b *board) receivers() {
	g := grid{title: "IN THE TRUCKS", heads: []string{"", "product", "net gal", "room", "water", "each way to measure it, net gal"}, right: []int{2, 3, 4}}
	for _, r := range b.s.Volume.Receivers {
		var ways []string
		for _, m := range r.Measured {
			if !m.Net.Known {
				continue
			}
			text := m.Method + " " + value(m.Net.Figure)
			if m.SetAside != "" {
				text += " (set aside)"
			}
			ways = append(ways, text)
		}
		g.add(r.ID, r.Product, value(r.Net.Figure), value(r.Room), value(r.Water.Figure), strings.Join(ways, ", "))
	}
	b.table(g)
	b.rooms()
}

// rooms says which limit each room is by, and names the trucks that have none told.
func (b *board) rooms() {
	var limits []string
	by := map[string][]string{}
	for _, r := range b.s.Volume.Receivers {
		if !slices.Contains(limits, r.RoomBy) {
			limits = append(limits, r.RoomBy)
		}
		room := r.ID
		if r.Room.Known {
			room = unbroken(room + " " + value(r.Room) + " gal")
		}
		by[r.RoomBy] = append(by[r.RoomBy], room)
	}
	for _, l := range limits {
		if l == "" {
			b.para("room not known, no limit recorded: %s", strings.Join(by[l], ", "))
			continue
		}
		b.para("room by %s: %s", l, strings.Join(by[l], ", "))
	}
}

// foam says how much was applied and when it was last.
func (b *board) foam() {
	f := b.s.Foam
	if len(f.Applications) == 0 {
		b.printf("\nFOAM: %s\n", notRecorded)
		return
	}
	last := f.Applications[len(f.Applications)-1]
	b.printf("\nFOAM  %s; last %s at %s\n  solution %s, concentrate %s\n",
		plural(len(f.Applications), "application", "applications"), b.clock(last.At), orElse(last.Place, "a place not said"), figure(f.Solution), figure(f.Concentrate))
	if h := f.OnHand; h != nil {
		b.para("on hand by the count of %s, less what went on since: concentrate %s, water %s; flows for %s as last applied, %s like the last",
			b.clock(h.Counted), figure(h.Concentrate), figure(h.Water), figure(h.Runs), figure(h.More))
	}
}

// holes says which openings are closed; of the others it is not recorded.
func (b *board) holes() {
	if len(b.s.Holes) == 0 {
		b.printf("\nHOLES: %s\n", notRecorded)
		return
	}
	var closed, others []string
	drilled := 0
	for _, h := range b.s.Holes {
		if h.Sort == "drilled" {
			drilled++
		}
		if h.Plugged.IsZero() {
			others = append(others, h.ID)
		} else {
			closed = append(closed, h.ID+" at "+b.clock(h.Plugged))
		}
	}
	b.printf("\nHOLES  %d drilled", drilled)
	if n := len(b.s.Holes) - drilled; n > 0 {
		b.printf("; outlets opened: %d", n)
	}
	b.printf("\n")
	if len(closed) > 0 {
		b.list("plugged", closed)
	}
	if len(others) > 0 {
		b.list("closing not recorded", others)
	}
}

// trucks lists the trucks that were ordered or came, in two tables that fit into 80
// columns.
func (b *board) trucks() {
	g := grid{title: "TRUCKS", heads: []string{"", "from", "usable", "promised", "arrived", "late, min"}, right: []int{2, 5}}
	work := grid{title: "TRUCKS AT WORK", heads: []string{"", "bond, ohm", "loading", "gone", "weighed"}}
	for _, t := range b.s.Trucks {
		var promised []string
		for _, e := range t.ETAs {
			promised = append(promised, b.clock(e.For))
		}
		loading, weighed := unknown, unknown
		if n := len(t.Loading); n > 0 {
			loading = b.clock(t.Loading[0].Start) + " to " + b.clock(t.Loading[n-1].End)
		}
		if n := len(t.Weighed); n > 0 {
			weighed = b.clock(t.Weighed[n-1])
		}
		g.add(t.Name, t.Supplier, value(t.Usable), strings.Join(promised, ", "), b.clock(t.Arrived), value(t.Late))
		work.add(t.Name, b.bond(t.Name), loading, b.clock(t.Gone), weighed)
	}
	b.table(g)
	if len(work.rows) > 0 {
		b.table(work)
	}
}

// bond writes the newest reading of the bond to a truck, held against its limit.
func (b *board) bond(truck string) string {
	text, at := unknown, time.Time{}
	for _, p := range b.s.Grounding {
		if n := len(p.Readings); p.Path == "bond" && p.Truck == truck && n > 0 && !p.Readings[n-1].At.Best.Before(at) {
			last := p.Readings[n-1]
			text, at = value(last.Resistance)+" "+string(last.Verdict), last.At.Best
		}
	}
	return text
}
