package findings

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections"
)

var orderChecks = map[string]func(*scene){
	"step-before-ready":             stepBeforeReady,
	"drilled-before-braced":         drilledBeforeBraced,
	"drilled-product-unknown":       drilledProductUnknown,
	"ignition-control-not-recorded": ignitionControl,
	"two-compartments-at-once":      twoAtOnce,
	"hole-not-plugged":              holeNotPlugged,
	"air-pressure-on-tank":          airPressure,
	"stop-not-lifted":               stopNotLifted,
}

// ownRule are the needs of a step that have a rule of their own.
var ownRule = []string{"backup ready", "air read", "ground", "bond", "vapour suppressed"}

// stepBeforeReady reports, once for each step, what the log does not have in place
// before it.
func stepBeforeReady(c *scene) {
	steps := map[string]*projections.Finding{}
	var order []string
	for _, g := range c.inc.Gates() {
		if g.Record == projections.InPlace || slices.ContainsFunc(ownRule, func(s string) bool { return strings.Contains(g.Need, s) }) {
			continue
		}
		f := steps[g.Step]
		if f == nil {
			f = &projections.Finding{Subject: g.Step, Start: g.At, End: g.At}
			steps[g.Step] = f
			order = append(order, g.Step)
		}
		need := g.Need
		if g.Record == projections.OnlyAfter {
			need += fmt.Sprintf(" (recorded %.0f min after)", -g.Margin.Value)
			f.From = append(f.From, g.Met.From...)
		}
		f.Statement = join(f.Statement, need)
	}
	for _, step := range order {
		f := steps[step]
		f.Statement = "before the " + step + " the log has no record of: " + f.Statement
		c.find(*f)
	}
}

func join(list, more string) string { return strings.TrimPrefix(list+", "+more, ", ") }

// opening is the first hole or outlet of the tank, the zero moment when none was made.
func (c *scene) opening() (first projections.Moment) {
	for _, h := range c.inc.Holes.All {
		if at := through(h); !at.IsZero() && (first.IsZero() || at.Best.Before(first.Best)) {
			first = at
		}
	}
	return first
}

// through is when a hole was begun, or else when it was through.
func through(h projections.Hole) projections.Moment {
	if !h.Begun.IsZero() {
		return h.Begun
	}
	return h.Through
}

// before returns the last of the moments that is not after t, or else the first after
// it; ok says that it is not after.
func before(t time.Time, at []projections.Moment) (m projections.Moment, ok bool) {
	for _, a := range at {
		switch {
		case !a.Best.After(t):
			m, ok = a, true
		case m.IsZero():
			m = a
		}
	}
	return m, ok
}

// late words what came only after a step, or was not recorded at all.
func (c *scene) late(what string, step projections.Moment, name string, met projections.Moment) string {
	if met.IsZero() {
		return fmt.Sprintf("%s was not recorded before %s", what, name)
	}
	return fmt.Sprintf("%s was recorded %.0f min after %s", what, met.Best.Sub(step.Best).Minutes(), name)
}

// braces are the words of a task or a piece of gear that keeps the tank from moving.
var braces = regexp.MustCompile(`(?i)\b(chock|crib|brac|strut|shor(e|ing)\b|stabili)`)

// drilledBeforeBraced reports the first opening of the tank where nothing says before
// it that the tank was kept from moving. A task with that aim counts.
func drilledBeforeBraced(c *scene) {
	open := c.opening()
	if open.IsZero() {
		return
	}
	at := moments[kinds.Braced](c)
	for e, k := range entries[kinds.InHot](c) {
		if braces.MatchString(k.Task) {
			at = append(at, projections.MomentOf(e))
		}
	}
	for e, k := range entries[kinds.GearReady](c) {
		if k.Cribs != "" {
			at = append(at, projections.MomentOf(e))
		}
	}
	slices.SortStableFunc(at, func(a, b projections.Moment) int { return a.Best.Compare(b.Best) })
	if met, ok := before(open.Best, at); !ok {
		c.find(projections.Finding{
			Subject: "tank", Start: open, End: open, From: met.From,
			Statement: c.late("bracing of the tank", open, "its first opening", met),
		})
	}
}

// drilledProductUnknown reports each compartment that was opened before anything but
// a placard said what is in it.
func drilledProductUnknown(c *scene) {
	seen := map[string]bool{}
	for _, h := range c.inc.Holes.All {
		at := through(h)
		if h.Compartment == "" || at.IsZero() || seen[h.Compartment] {
			continue
		}
		seen[h.Compartment] = true
		met, placard := c.named(h.Compartment)
		m, ok := before(at.Best, met)
		if ok {
			continue
		}
		f := projections.Finding{Subject: h.Compartment, Start: at, End: at, From: m.From}
		f.Statement = c.late("the product of "+h.Compartment, at, "it was opened", m)
		if p, ok := before(at.Best, placard); ok {
			f.Statement += "; a placard alone does not tell it"
			f.From = append(f.From, p.From...)
		}
		c.find(f)
	}
}

// named are when the product of a compartment was said, apart from placards.
func (c *scene) named(compartment string) (said, placard []projections.Moment) {
	for _, s := range c.inc.Volume.Load.Statements {
		for _, p := range s.Parts {
			if p.Compartment == compartment && p.Product != "" {
				said = append(said, s.At)
			}
		}
	}
	for _, p := range c.inc.Volume.Load.Named {
		switch {
		case p.Compartment != compartment && p.Compartment != "":
		case strings.Contains(strings.ToLower(p.Trust), "placard"):
			placard = append(placard, p.At)
		default:
			said = append(said, p.At)
		}
	}
	slices.SortStableFunc(said, func(a, b projections.Moment) int { return a.Best.Compare(b.Best) })
	return said, placard
}

// ignitionControl reports the first opening or pumping before which no control of
// ignition sources was recorded, and each source left within the distance.
func ignitionControl(c *scene) {
	c.sourcesNear()
	first, step := c.opening(), "the first opening of the tank"
	for e := range entries[kinds.PumpOn](c) {
		if at := projections.MomentOf(e); first.IsZero() || at.Best.Before(first.Best) {
			first, step = at, "the first pumping"
		}
		break
	}
	if first.IsZero() {
		return
	}
	if met, ok := before(first.Best, moments[kinds.IgnitionControlled](c)); !ok {
		c.find(projections.Finding{
			Subject: "ignition sources", Start: first, End: first, From: met.From,
			Statement: c.late("control of ignition sources", first, step, met),
		})
	}
}

// sourcesNear reports each source that an entry leaves within the distance.
func (c *scene) sourcesNear() {
	for e, k := range entries[kinds.IgnitionControlled](c) {
		at := projections.MomentOf(e)
		far := projections.FigureOf(k.Distance, "as said", e.Seq)
		if limit := c.limit("distance", e.Time()); far.Known && limit.Past(far.Value) {
			c.find(projections.Finding{
				Subject: k.Source, Severity: projections.Caution, Start: at, End: at, Observed: far, Limit: &limit,
				Statement: fmt.Sprintf("%s is recorded at %.0f ft; the distance kept is %.0f", cmp.Or(k.Source, "a source of ignition"), far.Value, limit.Value),
			})
		}
	}
}

// twoAtOnce reports each pair of legs from two compartments of the tank that ran at
// the same time.
func twoAtOnce(c *scene) {
	var legs []*projections.Leg
	for _, l := range c.inc.Volume.Legs {
		if l.Compartment != "" && !l.Start.IsZero() {
			legs = append(legs, l)
		}
	}
	for i, a := range legs {
		for _, b := range legs[i+1:] {
			start, end, overlap := both(a, b, c.now)
			if a.Compartment == b.Compartment || !overlap {
				continue
			}
			c.find(projections.Finding{
				Subject: a.Compartment + " and " + b.Compartment, Start: start, End: end, From: slices.Concat(a.Start.From, b.Start.From),
				Statement: fmt.Sprintf("%s (%s) and %s (%s) were pumped at the same time", a.Compartment, a.ID, b.Compartment, b.ID),
			})
		}
	}
}

// both is the time during which two legs ran.
func both(a, b *projections.Leg, now time.Time) (start, end projections.Moment, overlap bool) {
	start, end = a.Start, a.Stop
	if b.Start.Best.After(start.Best) {
		start = b.Start
	}
	if end.IsZero() || !b.Stop.IsZero() && b.Stop.Best.Before(end.Best) {
		end = b.Stop
	}
	until := projections.Interval{Start: start, End: end}.Until(now)
	return start, end, until.After(start.Best)
}

// holeNotPlugged reports drilled holes with no plug recorded by the lift, or within
// the limit after their compartment was last pumped. What is drawn through is told
// hole by hole; holes for air, which cannot leak by themselves, together.
func holeNotPlugged(c *scene) {
	var vents []projections.Hole
	for _, h := range c.inc.Holes.All {
		done, limit, over := c.overdue(h)
		if !over {
			continue
		}
		if forAir(h) {
			vents = append(vents, h)
			continue
		}
		f := projections.Finding{Subject: h.ID, Start: done, End: h.Plugged, From: h.Through.From, Limit: limit}
		f.Statement = "no plug was recorded in " + h.ID
		if !h.Plugged.IsZero() {
			f.Statement = fmt.Sprintf("%s was plugged %.0f min after its compartment was done", h.ID, h.Plugged.Best.Sub(done.Best).Minutes())
		}
		c.find(f)
	}
	c.vents(vents)
}

// forAir reports whether a hole lets air or vapour through and no liquid.
func forAir(h projections.Hole) bool {
	return strings.HasPrefix(h.Use, "vap") || strings.HasPrefix(h.Use, "vent")
}

// overdue reports whether a hole has no plug recorded in time, from when it is wanted
// and by which limit; before a lift it is wanted at once.
func (c *scene) overdue(h projections.Hole) (from projections.Moment, limit *projections.Threshold, over bool) {
	if h.Sort != "drilled" || h.Through.IsZero() {
		return from, nil, false
	}
	plugged := projections.Interval{End: h.Plugged}.Until(c.now)
	for _, l := range c.inc.Volume.Legs {
		if l.Compartment == h.Compartment && !l.Stop.IsZero() && l.Stop.Best.After(from.Best) {
			from = l.Stop
		}
	}
	if from.IsZero() {
		from = h.Through
	} else if t := c.limit("plug", from.Best); t.Past(plugged.Sub(from.Best).Minutes()) {
		return from, &t, true
	}
	for e := range entries[kinds.LiftBegun](c) {
		if e.Time().After(h.Through.Best) && !plugged.Before(e.Time()) && (h.Plugged.IsZero() || h.Plugged.Best.After(e.Time())) {
			return projections.MomentOf(e), nil, true
		}
	}
	return from, nil, false
}

// vents reports holes for air with no plug recorded, all in one.
func (c *scene) vents(holes []projections.Hole) {
	if len(holes) == 0 {
		return
	}
	var names []string
	var from []events.Seq
	for _, h := range holes {
		names, from = append(names, h.ID), append(from, h.Through.From...)
	}
	f := projections.Finding{
		Subject: "holes for air", Severity: projections.Info, Start: holes[0].Through, From: from,
		Statement: "no plug was recorded in " + strings.Join(names, ", ") + ", for air only; that is not to say they were open",
	}
	for e, k := range entries[kinds.LiftBegun](c) {
		if k.Plugs != "" {
			f.Statement += fmt.Sprintf("; the entry of the lift says plugs %s", k.Plugs)
			f.From = append(f.From, e.Seq)
		}
	}
	c.find(f)
}

// pushed are words for air pressure on the tank; idle is what takes them back.
var (
	pushed = regexp.MustCompile(`(?i)(compressed air|shop air|air pressure|blow(ing)? air|air line) (on|in|into|to|through) (the )?(tank|compartment|shell|C\d)|pressuri[sz](e|ed|ing) (the )?(tank|compartment|shell|C\d)[^.;]*\bair\b|(push|blow|forc)(ed|ing)? (it|the product|product|fuel|the load) (out |over )?(with|by) (compressed |shop )?air`)
	idle   = regexp.MustCompile(`(?i)\b(no|not|never|do not|don't|without|instead of)\b`)
)

// airPressure reports words that say air was put on the tank to move product. The air
// motor of a pump is not meant, nor inert gas, nor words that forbid it.
func airPressure(c *scene) {
	for _, e := range c.live {
		for _, text := range c.texts(e) {
			if !strings.Contains(strings.ToLower(text), "air") || !pushed.MatchString(text) || idle.MatchString(text) {
				continue
			}
			at := projections.MomentOf(e)
			c.find(projections.Finding{
				Subject: e.Where, Start: at, End: at, From: []events.Seq{e.Seq},
				Statement: fmt.Sprintf("an entry tells of air pressure on the tank to move product: %q", text),
			})
			break
		}
	}
}

// texts are what an entry says of how product was moved.
func (c *scene) texts(e *events.Entry) []string {
	switch k := e.Payload.(type) {
	case kinds.PumpOn:
		return []string{k.Pump, k.Vapour, k.Tube, e.Words}
	case kinds.GallonsTransferred:
		return []string{k.Method, e.Words}
	case kinds.Decision:
		return []string{k.Choice, e.Words}
	case kinds.OrderGiven:
		return []string{k.Act, e.Words}
	case kinds.Note:
		return []string{k.Text, e.Words}
	}
	return nil
}

// stopNotLifted reports each stop after which a step was taken, or the log closed, with
// nothing recorded that took the work up again. A stop may speak of one place alone;
// which steps it held, the chief knows.
func stopNotLifted(c *scene) {
	for _, s := range c.inc.Stops.List(c.now) {
		if !s.End.IsZero() {
			continue
		}
		f := projections.Finding{Subject: cmp.Or(s.Place, "work"), Start: s.Start}
		var taken []string
		for _, step := range c.steps() {
			if step.at.Best.After(s.Start.Best) {
				taken = append(taken, fmt.Sprintf("%s at %s", step.what, clock(step.at.Best)))
				f.From = append(f.From, step.at.From...)
			}
		}
		if len(taken) == 0 && !c.over() {
			continue
		}
		f.Statement = fmt.Sprintf("work was stopped at %s%s; nothing is recorded that took it up again", clock(s.Start.Best), reason(s))
		if len(taken) > 0 {
			f.Statement += "; after it came " + taken[0]
		}
		if n := len(taken); n == 2 {
			f.Statement += " and " + taken[1]
		} else if n > 2 {
			f.Statement += fmt.Sprintf(" and %d more steps", n-1)
		}
		c.find(f)
	}
}

// reason words where and why work was stopped, as far as it was said.
func reason(s projections.Stop) string {
	text := ""
	if s.Place != "" {
		text = " at " + s.Place
	}
	if s.Why != "" {
		text += " (" + s.Why + ")"
	}
	return text
}
