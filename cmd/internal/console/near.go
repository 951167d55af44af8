package console

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"tankside/projections"
)

// board is the near board: who is in, the tank and the trucks, what is due.
type board struct {
	In      []inside
	Count   int
	Backup  string
	PAR     string
	Resting []string
	Tank    []hold
	Trucks  []truck
	Out     string
	agreement
	ToGo        string
	Spilled     string
	Unaccounted string // after what was dipped and what was spilled
	Earth       []earth
	Running     []string
	Due         []due1
	More        int // of due that have no room
	Air         []airRow
	Dose        string // what somebody breathed over the last quarter of an hour
}

// inside is a pair, or one who went in alone, in the hot zone.
type inside struct{ Who, For, Air, Task string }

// hold is a compartment of the tank.
type hold struct {
	Name, Left, State string
	Leaks             bool
}

// truck is a receiving truck.
type truck struct {
	Name, State, Text string
	Holds             string // gal
	Bad               bool
}

// due1 is one timer.
type due1 struct{ What, Subject, In, Owner, Level string }

// dueRows is how many timers the near board shows; the rest stand on their own page.
const dueRows = 9

func nearBoard(v *view) any {
	b := board{
		In: v.inside(), Count: len(v.State.Accountability.In), Backup: v.backup(), PAR: v.rollCall(), Resting: v.resting(),
		Tank: v.tank(), Trucks: v.trucks(), Out: briefly(v.State.Volume.Transferred), Spilled: briefly(v.State.Volume.Released),
		ToGo: briefly(v.State.Volume.Aboard), Unaccounted: briefly(v.State.Volume.Unaccounted), Earth: v.earths(), Running: v.running(), Air: v.air(4), Dose: v.dose(),
	}
	if b.agreement = v.agreement(); b.Agree == unmoved {
		b.Out = "" // one word says it
	}
	timers := gathered(v.timers())
	b.Due, b.More = timers[:min(len(timers), dueRows)], max(0, len(timers)-dueRows)
	return b
}

// inside lists who is in the hot zone, the longest first.
func (v *view) inside() (out []inside) {
	type stay struct {
		inside
		start time.Time
	}
	var stays []stay
	byPair := map[string]int{}
	for _, p := range v.State.People {
		if !p.In || len(p.Trips) == 0 {
			continue
		}
		t := p.Trips[len(p.Trips)-1]
		air := v.airLeft(p, t)
		key := t.Pair
		if i, ok := byPair[key]; ok && key != "" {
			stays[i].Air = join(" / ", stays[i].Air, air)
			continue
		}
		who := p.Person
		if key != "" {
			byPair[key], who = len(stays), "Pair "+key
		}
		s := stay{inside{Who: who, Air: air, Task: join(", ", t.Task, t.Place), For: "in-time " + notSaid}, t.Start.Best}
		if !t.Start.IsZero() {
			s.For = since(v.At, t.Start.Best)
		}
		stays = append(stays, s)
	}
	slices.SortStableFunc(stays, func(a, b stay) int { return a.start.Compare(b.start) })
	for _, s := range stays {
		out = append(out, s.inside)
	}
	return out
}

// airLeft is what somebody told of the cylinder last, or by own use so far an estimate.
func (v *view) airLeft(p projections.Person, t projections.Trip) string {
	from, at := t.PressureIn, t.Start.Best
	if n := len(t.Pressures); n > 0 {
		from, at = t.Pressures[n-1].Pressure, t.Pressures[n-1].At.Best
	}
	switch {
	case !from.Known:
		return "air " + notSaid
	case !p.AirRate.Known || at.IsZero():
		return number(from) + " psi in"
	}
	return "about " + digits(max(0, roundTo(from.Value-p.AirRate.Value*v.At.Sub(at).Minutes(), 50)), 0)
}

func roundTo(x, step float64) float64 { return float64(int(x/step+0.5)) * step }

// backup says who stands by.
func (v *view) backup() string {
	b := v.State.Accountability.Backup
	if b == nil {
		return ""
	}
	return fmt.Sprintf("Pair %s, named %s", b.Pair, v.clock(b.Start))
}

// rollCall says what the last one counted.
func (v *view) rollCall() string {
	calls := v.State.Accountability.RollCalls
	if len(calls) == 0 {
		return notSaid
	}
	last := calls[len(calls)-1]
	text := fmt.Sprintf("%s seen, %s ago", number(last.Seen), since(v.At, last.At.Best))
	if last.In.Known && last.Seen.Known && last.In.Value != last.Seen.Value {
		text += fmt.Sprintf(" (board had %s)", number(last.In))
	}
	return text
}

// resting lists who is in rehab.
func (v *view) resting() (out []string) {
	for _, p := range v.State.People {
		if n := len(p.Rehab); n > 0 && p.Rehab[n-1].End.IsZero() {
			out = append(out, fmt.Sprintf("%s %s", p.Person, since(v.At, p.Rehab[n-1].Start.Best)))
		}
	}
	return out
}

// tank lists the compartments with what should still be in them.
func (v *view) tank() (out []hold) {
	for _, c := range v.State.Volume.Compartments {
		h := hold{Name: c.ID, State: c.State, Leaks: c.State == "leaking" || strings.Contains(c.State, "slowed")}
		switch {
		case c.Dip.Known:
			h.Left = figure(c.Dip) + " dipped"
		case c.Aboard.Known:
			h.Left = figure(c.Aboard) + " left"
		case c.Load.Known:
			h.Left = figure(c.Load) + " loaded"
		}
		out = append(out, h)
	}
	return out
}

// running lists the legs whose pump runs.
func (v *view) running() (out []string) {
	for _, l := range v.State.Volume.Legs {
		if l.Stop.IsZero() {
			text := fmt.Sprintf("%s %s to %s: %s", l.ID, l.From, l.To, amount(l.Gross.Figure))
			if l.Rate.Known {
				text += ", " + number(l.Rate) + " a minute"
			}
			out = append(out, text)
		}
	}
	return out
}

// trucks lists the receiving trucks with what they hold and what they still take.
func (v *view) trucks() (out []truck) {
	for _, t := range v.State.Trucks {
		row := truck{Name: t.Name, State: "ordered"}
		switch {
		case !t.Gone.IsZero():
			row.State = "gone " + v.clock(t.Gone)
		case !t.Arrived.IsZero():
			row.State = "here"
		case len(t.ETAs) > 0:
			n := len(t.ETAs)
			row.State = "eta " + v.clock(t.ETAs[n-1].For)
			if n > 1 {
				row.State += fmt.Sprintf(" (%s)", ordinal(n))
			}
		}
		for _, r := range v.State.Volume.Receivers {
			if r.Truck != t.Name {
				continue
			}
			held, rest := v.holds(r)
			if row.Holds == "" && r.ID == r.Truck {
				row.Holds, held = held, ""
			}
			if !t.Gone.IsZero() && held == "" {
				continue // how it was measured stands with the product
			}
			row.Text = join("; ", row.Text, join(", ", held, rest))
		}
		if b, over := v.bond(t.Name); b != "" && t.Gone.IsZero() {
			row.Text, row.Bad = join("; ", row.Text, b), over
		}
		out = append(out, row)
	}
	return out
}

// holds says what a receiver has taken, and its room with the measurements it is known by.
func (v *view) holds(r projections.ReceiverState) (held, rest string) {
	var ways []string
	for _, m := range r.Measured {
		if m.Net.Known && m.SetAside == "" {
			ways = append(ways, m.Method)
		}
	}
	if len(ways) > 0 {
		held, rest = figure(r.Net.Figure), "by "+strings.Join(ways, ", ")
	}
	if r.Room.Known {
		rest = join(", ", "room "+figure(r.Room), rest)
	}
	if r.ID != r.Truck {
		held = r.ID + " " + cmp.Or(held, notSaid)
	}
	return held, rest
}

// bond is the newest reading of the bond to a truck, and whether it is over its limit.
func (v *view) bond(name string) (string, bool) {
	for _, p := range slices.Backward(v.State.Grounding) {
		if n := len(p.Readings); p.Path == "bond" && p.Truck == name && n > 0 {
			last := p.Readings[n-1]
			if over := last.Verdict == projections.Past; over {
				return "bond " + amount(last.Resistance) + " BAD", true
			}
			return "bond " + amount(last.Resistance), false
		}
	}
	return "", false
}

// unmoved is said where no transfer is in the log. That nothing has moved it does not say.
const unmoved = "no transfer recorded"

// agreement is whether the measurements of what came out agree.
type agreement struct {
	Agree      string // agree, or what does not
	AgreeClass string // agree, doubt, or empty where there is nothing to compare
}

func (v *view) agreement() agreement {
	vol := v.State.Volume
	var bad []string
	checked := false
	for _, r := range vol.Reconciled {
		if r.Verdict == "disagree" {
			bad = append(bad, strings.Join(r.Of, ", "))
		}
		checked = checked || r.ChiSquare != nil
	}
	open := v.State.Quality.OpenDoubts
	for _, q := range vol.Questions {
		if len(q.Settled) == 0 {
			open++
		}
	}
	switch {
	case len(bad) > 0:
		return agreement{"DISAGREE at " + strings.Join(bad, ", "), "doubt"}
	case open > 0:
		return agreement{plural(open, "number", "numbers") + " in doubt", "doubt"}
	case len(vol.Legs) == 0 && !vol.Transferred.Known:
		return agreement{unmoved, ""}
	case !vol.Transferred.Known:
		return agreement{} // there is nothing to compare
	case !checked:
		return agreement{"one measurement only", ""}
	}
	return agreement{"agree", "agree"}
}

// timers lists what is due, the soonest first.
func (v *view) timers() (out []due1) {
	for _, d := range v.Incident.Due {
		out = append(out, due1{What: d.What, Subject: d.Subject, In: v.left(d), Owner: d.Owner, Level: d.Level})
	}
	return out
}

// gathered puts timers of one sort, that are late or are not, into one row, which stands
// where the most urgent of them does: six people who owe a rest must not hide the foam.
func gathered(timers []due1) (out []due1) {
	for _, d := range timers {
		i := slices.IndexFunc(out, func(o due1) bool { return o.What == d.What && o.Level == d.Level })
		if i < 0 || d.Subject == "" {
			out = append(out, d)
			continue
		}
		out[i].Subject += " " + d.Subject
	}
	return out
}

// left says how long until a timer is due, or how late it is.
func (v *view) left(d projections.Due) string {
	if d.At.IsZero() {
		return d.Level
	}
	if late := v.At.Sub(d.At); late >= 0 {
		return "late " + span(late.Minutes())
	}
	return "in " + span(d.At.Sub(v.At).Minutes())
}

// join joins what is not empty.
func join(sep string, parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), sep)
}

// ordinal writes 2nd, 3rd, 4th.
func ordinal(n int) string {
	switch {
	case n%100/10 == 1:
		return fmt.Sprintf("%dth", n)
	case n%10 == 1:
		return fmt.Sprintf("%dst", n)
	case n%10 == 2:
		return fmt.Sprintf("%dnd", n)
	case n%10 == 3:
		return fmt.Sprintf("%drd", n)
	}
	return fmt.Sprintf("%dth", n)
}
