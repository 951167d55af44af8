package report

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"tankside/events/kinds"
	"tankside/projections"
	"tankside/report/chart"
)

// Fall is where an amount went, step by step: on the page a picture, everywhere a
// table.
type Fall struct {
	Name  string // of its picture
	Title string
	Basis string // of its amounts
	Steps []FallStep
}

// FallStep is one line of it: first what there was, last what is left.
type FallStep struct {
	Name   string
	Less   bool // it takes from what there was
	Figure projections.Figure

	look chart.Look
}

// unmeasured are the ways in which product leaves a tank unseen or half seen. What the
// trucks and the dips leave over has to cover them.
var unmeasured = []string{"released", kinds.Burned, kinds.Evaporated, kinds.Gone}

// setFalls takes the balance of the load apart: from the load to what is left over
// after trucks and dips, and from there, on a scale of its own, to what nobody can
// account for. Where there are several products the load of each follows.
func (d *Document) setFalls() {
	v := &d.State.Volume
	for i, b := range v.Balances {
		if b.Of != "load" {
			continue
		}
		load, left := fallsOf(v, b)
		if i > 0 {
			load.Name, load.Title = "load-"+strconv.Itoa(i/2), "Where the "+b.Product+" went"
		}
		if slices.ContainsFunc(load.Steps, func(s FallStep) bool { return s.Figure.Known }) {
			d.Falls = append(d.Falls, load)
		}
		if i == 0 && len(left.Steps) > 2 && b.LeftOver.Known {
			d.Falls = append(d.Falls, left)
		}
	}
}

// fallsOf are the two falls of one balance of the load.
func fallsOf(v *projections.VolumeState, b projections.Balance) (load, left Fall) {
	load = Fall{Name: "load", Title: "Where the load went", Basis: b.Basis}
	left = Fall{Name: "left", Title: "What is left over, and what explains it", Basis: b.Basis}
	left.Steps = append(left.Steps, FallStep{Name: "left over", Figure: b.LeftOver})
	for _, t := range b.Terms {
		step := FallStep{Name: t.Name, Less: t.Sign < 0, Figure: t.Figure, look: looks[t.Name]}
		if slices.Contains(unmeasured, t.Name) {
			left.Steps = append(left.Steps, step.apart(released(v))...)
			continue
		}
		load.Steps = append(load.Steps, step.apart(moved(v, b.Product, t.Figure.Unit))...)
	}
	load.Steps = append(load.Steps, FallStep{Name: "left over", Figure: b.LeftOver, look: chart.Left})
	left.Steps = append(left.Steps, FallStep{Name: "unaccounted for", Figure: b.Unaccounted, look: chart.Left})
	return load, left
}

// looks are the bars of the terms of a balance; what is not here is what there was.
var looks = map[string]chart.Look{
	"delivered before": chart.Moved, "transferred": chart.Moved, "released": chart.Lost, kinds.Drained: chart.Lost,
	kinds.Burned: chart.Lost, kinds.Evaporated: chart.Lost, kinds.Gone: chart.Lost, "remaining": chart.Lies,
}

// part is one of several amounts that may make up a term.
type part struct {
	term, name string
	figure     projections.Figure
}

// moved is what each leg took out of the tank of a product, in the unit of the balance.
func moved(v *projections.VolumeState, product, unit string) (out []part) {
	for _, l := range v.Legs {
		if l.Recovers || product != "all" && l.Product != product {
			continue
		}
		f := l.Net.Figure
		switch {
		case l.Best.Known && l.Best.Unit == unit:
			f = l.Best
		case l.Gross.Unit == unit:
			f = l.Gross.Figure
		}
		out = append(out, part{"transferred", "leg " + l.ID + ", " + l.From + " to " + l.To, f})
	}
	return out
}

// released is what each compartment let out.
func released(v *projections.VolumeState) (out []part) {
	for _, c := range v.Compartments {
		if c.Released.Known && c.Released.Value != 0 {
			out = append(out, part{"released", "released, " + c.ID, c.Released})
		}
	}
	return out
}

// apart puts the parts of a step in its place where they are all of it and add up to
// it; else the step stands as it is.
func (s FallStep) apart(parts []part) []FallStep {
	var out []FallStep
	sum := 0.0
	for _, p := range parts {
		if p.term == s.Name && p.figure.Unit == s.Figure.Unit {
			sum += p.figure.Value
			out = append(out, FallStep{p.name, s.Less, p.figure, s.look})
		}
	}
	whole := len(out) > 0 && s.Figure.Known && math.Abs(sum-s.Figure.Value) < 0.05
	if !whole || slices.ContainsFunc(out, func(p FallStep) bool { return !p.Figure.Known }) {
		return []FallStep{s}
	}
	return out
}

// picture draws the fall.
func (f *Fall) picture() chart.Waterfall {
	w := chart.Waterfall{Title: f.Title, Scale: f.Basis}
	for _, s := range f.Steps {
		w.Steps = append(w.Steps, chart.Step{Label: shown(s.Name), Look: s.look, Amount: amount(s.Figure, s.look == chart.Left)})
	}
	last := len(w.Steps) - 1
	w.Start, w.End, w.Steps = w.Steps[0], w.Steps[last], w.Steps[1:last]
	return w
}

// amount is a figure for a picture, in the words of the document: with its bounds
// where asked for, else its doubt speaks for them. The picture names the unit once.
func amount(f projections.Figure, bounds bool) chart.Amount {
	a := chart.Amount{Known: f.Known, Value: f.Value, Low: f.Low, High: f.High, U: f.U}
	f.Unit = ""
	if f.Known && f.U > 0 && !bounds {
		f.Low, f.High = f.Value, f.Value
	}
	switch {
	case f.Known:
		a.Text = number(f)
	case len(f.Missing) > 0:
		a.Text = strings.Join(append([]string{"not computable"}, limits(f)...), "; ")
	}
	return a
}
