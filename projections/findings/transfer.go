package findings

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
	"tankside/projections"
	"tankside/projections/calc/hose"
)

var transferChecks = map[string]func(*scene){
	"receiver-over-fill":    receiverOverFill,
	"receiver-no-room":      receiverNoRoom,
	"product-mixed":         productMixed,
	"rate-over-hose-limit":  rateOverHose,
	"no-slow-start":         noSlowStart,
	"volume-unaccounted":    volumeUnaccounted,
	"more-than-load":        moreThanLoad,
	"measurement-set-aside": setAside,
	"truck-late":            truckLate,
	"custody-open":          custodyOpen,
	"vacuum-into-406":       vacuumInto406,
}

// receiverOverFill reports each receiver that holds more than its least limit, and
// while a pump runs into it one that comes near.
func receiverOverFill(c *scene) {
	for _, r := range c.volume().Receivers {
		if !r.Room.Known || len(r.Limits) == 0 || !r.Limits[0].Hold.Known {
			continue
		}
		hold := r.Limits[0]
		held := hold.Hold.Minus(r.Room).As("what it took in by the best measurement, and what it held on arrival")
		legs := c.legs(r.Legs)
		f := projections.Finding{Subject: r.ID, Observed: held, From: hold.Hold.From}
		for _, l := range legs {
			f.Start, f.End = l.Start, l.Stop
		}
		over, near := c.limit("over", c.now), c.limit("near", c.now)
		running := len(legs) > 0 && f.End.IsZero()
		share := 100 * held.Value / hold.Hold.Value
		limit := projections.Threshold{Op: ">", Value: hold.Hold.Value + over.Value, Unit: "gal", Source: hold.Limit + ", " + hold.Why, Status: over.Status}
		switch {
		case limit.Past(held.Value):
			f.Statement = fmt.Sprintf("%s holds %.0f gal; it may hold %.0f by %s", r.ID, held.Value, hold.Hold.Value, hold.Limit)
		case running && near.Past(share):
			f.Severity = c.severity("near")
			f.Statement = fmt.Sprintf("%s is at %.0f %% of the %.0f gal it may hold, with the pump running", r.ID, share, hold.Hold.Value)
			limit.Op, limit.Value = near.Op, near.Value/100*hold.Hold.Value
		default:
			continue
		}
		f.Limit = &limit
		c.find(f)
	}
}

// volume is the product as its state has it.
func (c *scene) volume() *projections.VolumeState { return c.inc.Amounts() }

// legStates are the legs with what each moved.
func (c *scene) legStates() (out []*projections.LegState) {
	legs := c.volume().Legs
	for i := range legs {
		out = append(out, &legs[i])
	}
	return out
}

// legs are those of the names, in the order of the log.
func (c *scene) legs(names []string) (out []*projections.Leg) {
	for _, l := range c.inc.Volume.Legs {
		if slices.Contains(names, l.ID) {
			out = append(out, l)
		}
	}
	return out
}

// receiverNoRoom reports each leg whose compartment held more than the receiver had
// room for when the pump was started.
func receiverNoRoom(c *scene) {
	v := c.volume()
	for _, r := range v.Receivers {
		room := r.Usable
		if len(r.Limits) > 0 && r.Limits[0].Hold.Known {
			room = r.Limits[0].Hold
		}
		for _, l := range c.legStates() {
			if !slices.Contains(r.Legs, l.ID) || l.Start.IsZero() {
				continue
			}
			planned := c.aboard(l)
			limit := c.limit("room", l.Start.Best)
			if planned.Known && room.Known && limit.Past(planned.Value-room.Value) {
				limit = projections.Threshold{Op: ">", Value: room.Value + limit.Value, Unit: "gal", Source: "room in the receiver at the start, " + limit.Source, Status: limit.Status}
				c.find(projections.Finding{
					Subject: l.ID, Start: l.Start, End: l.Start, Observed: planned, Limit: &limit, From: room.From,
					Statement: fmt.Sprintf("when %s began, %s was to have %.0f gal aboard and %s had room for %.0f", l.ID, l.Compartment, planned.Value, r.ID, max(0, room.Value)),
				})
			}
			if l.Gross.Known && room.Known {
				room = projections.Exact(room.Value-l.Gross.Value, "gal", "", append(slices.Clone(room.From), l.Gross.From...)...)
			}
		}
	}
}

// aboard is what the papers leave in the compartment of a leg when it began: the load
// less drops and earlier legs.
func (c *scene) aboard(l *projections.LegState) projections.Figure {
	for _, k := range c.volume().Compartments {
		if k.ID != l.Compartment || !k.Load.Known {
			continue
		}
		left := projections.Exact(k.Load.Value, "gal", "load less drops and earlier legs", k.Load.From...)
		if k.Delivered.Known {
			left.Value -= k.Delivered.Value
			left.From = append(left.From, k.Delivered.From...)
		}
		for _, earlier := range c.legStates() {
			if earlier.Compartment == l.Compartment && earlier.Start.Best.Before(l.Start.Best) && earlier.Net.Known {
				left.Value -= earlier.Net.Value
				left.From = append(left.From, earlier.Net.From...)
			}
		}
		left.Low, left.High = left.Value, left.Value
		return left
	}
	return projections.Lacking("gal", "load of the compartment")
}

// productMixed reports a different product into one receiver, through one hose, or
// into a truck whose last load was another and that was not said to be dry or drained.
func productMixed(c *scene) {
	inReceiver := map[string]*projections.LegState{}
	var hosed *projections.LegState
	pumps := pumpEntries(c)
	for _, l := range c.legStates() {
		if l.Recovers || l.Product == "" || l.Start.IsZero() {
			continue
		}
		if last := inReceiver[l.To]; last != nil && !same(last.Product, l.Product) {
			c.mixed(l, fmt.Sprintf("%s went into %s after %s", l.Product, l.To, last.Product), last.Start)
		}
		inReceiver[l.To] = l
		on := pumps[l.ID]
		if yes(on.Vacuum) {
			continue
		}
		if hosed != nil && !same(hosed.Product, l.Product) && on.Hoses == "" {
			c.mixed(l, fmt.Sprintf("%s was pumped after %s and no change or flush of the hoses was recorded", l.Product, hosed.Product), hosed.Start)
		}
		hosed = l
	}
	c.lastLoads()
}

// lastLoads reports trucks that last carried another product and were not said to be
// dry or drained.
func (c *scene) lastLoads() {
	for _, t := range c.inc.Trucks.All {
		for _, l := range c.legStates() {
			if l.Recovers || l.Product == "" || l.Start.IsZero() || projections.TruckOf(l.To) != t.Name {
				continue
			}
			for _, k := range t.Checks {
				if k.LastLoad != "" && !same(k.LastLoad, l.Product) && k.Dry == "" && k.Drained == "" && !k.At.Best.After(l.Start.Best) {
					c.mixed(l, fmt.Sprintf("%s went into %s, which last carried %s and was not said to be dry or drained", l.Product, t.Name, k.LastLoad), k.At)
				}
			}
			break // the first leg into it
		}
	}
}

func (c *scene) mixed(l *projections.LegState, what string, before projections.Moment) {
	c.find(projections.Finding{Subject: l.ID + " to " + l.To, Start: l.Start, End: l.Start, From: before.From, Statement: what})
}

func same(a, b string) bool { return strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b)) }

func yes(s string) bool { return strings.HasPrefix(strings.ToLower(s), "y") }

// pumpEntries are the starts of pumps by leg, the first of each.
func pumpEntries(c *scene) map[string]kinds.PumpOn {
	out := map[string]kinds.PumpOn{}
	for _, k := range entries[kinds.PumpOn](c) {
		if _, known := out[k.Leg]; !known {
			out[k.Leg] = k
		}
	}
	return out
}

// fastest is the flow up to which a hose may be run by the limits of the rule, in
// gal/min.
func (c *scene) fastest(bore quantity.Inches) projections.Threshold {
	charging, speed := c.limit("charging", c.now), c.limit("speed", c.now)
	metres, _ := hose.Fastest(bore, hose.Charging(charging.Value))
	limit := charging
	limit.Value, limit.Unit = float64(hose.FlowAt(min(metres, speed.Value), bore)), "gal/min"
	return limit
}

// rateOverHose reports each leg that went faster than its hose allows: once, at its
// fastest.
func rateOverHose(c *scene) {
	pumps := pumpEntries(c)
	for _, l := range c.legStates() {
		on := pumps[l.ID]
		if !on.Bore.Said() || on.Bore.Value() <= 0 {
			continue
		}
		limit := c.fastest(on.Bore.Value())
		var worst *projections.Between
		for i, b := range l.Intervals {
			if b.Rate.Known && limit.Past(b.Rate.Value) && (worst == nil || b.Rate.Value > worst.Rate.Value) {
				worst = &l.Intervals[i]
			}
		}
		if worst == nil {
			continue
		}
		c.find(projections.Finding{
			Subject: l.ID, Start: worst.Start, End: worst.End, Observed: worst.Rate, Limit: &limit, From: l.Start.From,
			Statement: fmt.Sprintf("%s ran at up to %.0f gal/min through a %v hose; the limit for static is %.0f", l.ID, worst.Rate.Value, on.Bore, limit.Value),
		})
	}
}

// noSlowStart reports each leg whose first reading, where it came soon enough to tell,
// shows that it began fast.
func noSlowStart(c *scene) {
	pumps := pumpEntries(c)
	for _, l := range c.legStates() {
		on := pumps[l.ID]
		if !on.Bore.Said() || on.Bore.Value() <= 0 || len(l.Intervals) == 0 || !l.Intervals[0].Rate.Known {
			continue
		}
		first := l.Intervals[0]
		limit := c.limit("slow", l.Start.Best)
		limit.Value, limit.Unit = float64(hose.FlowAt(limit.Value, on.Bore.Value())), "gal/min"
		soon := c.limit("within", l.Start.Best)
		if soon.Past(first.End.Best.Sub(first.Start.Best).Minutes()) && limit.Past(first.Rate.Value) {
			c.find(projections.Finding{
				Subject: l.ID, Start: first.Start, End: first.End, Observed: first.Rate, Limit: &limit, From: l.Start.From,
				Statement: fmt.Sprintf("%s began at %.0f gal/min; a slow start through this hose is %.0f", l.ID, first.Rate.Value, limit.Value),
			})
		}
	}
}

// volumeUnaccounted reports a balance of the load that does not close, once the tank
// was dipped.
func volumeUnaccounted(c *scene) {
	v := c.volume()
	if !v.Unaccounted.Known || !v.Load.Known || !v.Remaining.Known {
		return
	}
	share, least := c.limit("share", c.now), c.limit("least", c.now)
	limit := least
	if byShare := share.Value / 100 * v.Load.Value; byShare > least.Value {
		limit = share
		limit.Value, limit.Unit = byShare, "gal"
	}
	off := v.Unaccounted
	if !limit.Past(max(off.Value, -off.Value)) {
		return
	}
	what := "are not accounted for"
	if off.Value < 0 {
		what = "more were accounted for than were aboard"
	}
	at := c.latest(v.Remaining.From)
	c.find(projections.Finding{
		Subject: "tank", Start: at, End: at, Observed: off, Limit: &limit,
		Statement: fmt.Sprintf("%.0f gal ± %.0f %s", max(off.Value, -off.Value), off.U, what),
	})
}

// latest is when the last of some entries happened.
func (c *scene) latest(from []events.Seq) (last projections.Moment) {
	for _, n := range from {
		if e := c.entry(n); e != nil && !e.Time().Before(last.Best) {
			last = projections.MomentOf(e)
		}
	}
	return last
}

// moreThanLoad reports that more product was taken out than was aboard.
func moreThanLoad(c *scene) {
	v := c.volume()
	if !v.Load.Known || !v.Transferred.Known {
		return
	}
	load := v.Load
	if v.Delivered.Known {
		load = load.Minus(v.Delivered)
	}
	limit := c.limit("share", c.now)
	limit.Value, limit.Unit = load.Value*(1+limit.Value/100), "gal"
	if !limit.Past(v.Transferred.Value) {
		return
	}
	last := projections.Moment{}
	for _, l := range c.legStates() {
		if !l.Stop.IsZero() && l.Stop.Best.After(last.Best) {
			last = l.Stop
		}
	}
	c.find(projections.Finding{
		Subject: "tank", Start: last, End: last, Observed: v.Transferred, Limit: &limit, From: load.From,
		Statement: fmt.Sprintf("%.0f gal were taken out of the tank and %.0f were aboard by the papers", v.Transferred.Value, load.Value),
	})
}

// setAside reports each measurement that the answer does without.
func setAside(c *scene) {
	for _, s := range c.volume().SetAside {
		by := "stands aside by the readings against it"
		if s.By != "" {
			by = "was set aside by " + s.By
		}
		if s.Asked {
			by = "stands aside until somebody answers"
		}
		c.find(projections.Finding{
			Subject: s.What, Start: s.At, End: s.At, Observed: s.Gross.Figure, Severity: projections.Info,
			Statement: fmt.Sprintf("%s %s: %s", reading(s), by, s.Why),
		})
	}
}

// reading is what a measurement that stands aside is of, and what it says.
func reading(s projections.SetAside) string {
	if !s.Gross.Known {
		return s.What
	}
	return fmt.Sprintf("%s, %.0f gal,", s.What, s.Gross.Value)
}

// truckLate reports each truck that came later than first promised.
func truckLate(c *scene) {
	for _, t := range c.inc.Trucks.List() {
		if len(t.ETAs) == 0 {
			continue
		}
		limit := c.limit("late", t.ETAs[0].At.Best)
		if !t.Late.Known || !limit.Past(t.Late.Value) {
			continue
		}
		f := projections.Finding{
			Subject: t.Name, Start: t.ETAs[0].For, End: t.Arrived, Observed: t.Late, Limit: &limit,
			Statement: fmt.Sprintf("%s came %.0f min after the time first promised", t.Name, t.Late.Value),
		}
		for _, eta := range t.ETAs {
			f.From = append(f.From, eta.At.From...)
		}
		if n := len(t.ETAs) - 1; n > 0 {
			f.Statement += fmt.Sprintf("; the time was moved %d times", n)
		}
		c.find(f)
	}
}

// custodyOpen reports each time a load was turned away, until another site was named.
func custodyOpen(c *scene) {
	for _, chain := range c.inc.Custody.State().Chains {
		for _, i := range chain.Unplaced {
			c.find(projections.Finding{
				Subject: chain.Load, Start: i.Start, End: i.End,
				Statement: fmt.Sprintf("%s was turned away, and no other site was named for it meanwhile", chain.Load),
			})
		}
	}
}

// vacuumInto406 reports each leg drawn by vacuum into a truck that was said to be
// built to DOT 406.
func vacuumInto406(c *scene) {
	spec := map[string]projections.Moment{}
	for e, k := range entries[kinds.TruckOrdered](c) {
		if strings.Contains(k.Spec, "406") {
			spec[k.Truck] = projections.MomentOf(e)
		}
	}
	for e, k := range entries[kinds.TruckChecked](c) {
		if strings.Contains(k.Spec, "406") {
			spec[cmp.Or(k.Truck, e.Where)] = projections.MomentOf(e)
		}
	}
	pumps := pumpEntries(c)
	for _, l := range c.inc.Volume.Legs {
		for _, t := range c.inc.Trucks.All {
			said, known := spec[t.Name]
			if known && projections.TruckOf(l.To) == t.Name && yes(pumps[l.ID].Vacuum) && !l.Start.IsZero() {
				c.find(projections.Finding{
					Subject: t.Name, Start: l.Start, End: l.Stop, From: said.From,
					Statement: fmt.Sprintf("%s was drawn by vacuum into %s, which was said to be a DOT 406 tank", l.ID, t.Name),
				})
			}
		}
	}
}
