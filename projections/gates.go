package projections

import (
	"slices"
	"strings"
)

// Gate is something that ought to be in place before a step is taken. It says what
// the log has of it and by how many minutes it came first. It judges nobody: what
// has no record may well have been there.
type Gate struct {
	Step   string   `json:"step"`
	At     Moment   `json:"at"` // of the step
	Need   string   `json:"need"`
	Record Standing `json:"record"`
	Met    Moment   `json:"met"`    // the last record before the step, or the first after it
	Margin Figure   `json:"margin"` // minutes from the record to the step; negative when it came after
	Why    string   `json:"why,omitempty"`
}

// Standing says where the record of a gate stands to its step.
type Standing string

// The standings.
const (
	InPlace   Standing = "in place"
	OnlyAfter Standing = "only after"
	NoRecord  Standing = "no record"
)

// Gates holds each step taken against what ought to come before it: the list is
// common practice, no one source.
func (inc *Incident) Gates() []Gate {
	var g gates
	p := &inc.Phases
	g.step("first entry", p.at[atFirstEntry])
	g.need("zones set", []Moment{p.at[atZonesSet]})
	g.need("safety briefing", inc.briefings())
	g.need("medical check of the team", inc.medicals())
	g.need("decon ready", inc.deconOpen())
	g.need("backup ready", inc.backupsAt(p.at[atFirstEntry]))
	g.need("air read", inc.Air.reads)

	g.step("first hole or outlet open", p.at[atFirstHole])
	g.need("air read", inc.Air.reads)
	g.path(inc, "ground")
	g.path(inc, "bond")
	g.need("vapour suppressed", inc.foamed())
	g.need("place of the hole marked", inc.marked())

	for _, truck := range inc.Trucks.All {
		inc.loading(&g, truck)
	}
	g.step("lift", p.at[atLiftBegun])
	g.need("compartments emptied or dipped", []Moment{p.at[atEmptied], p.at[atDipped]})
	g.need("safety briefing", inc.briefings())
	g.need("air read", inc.Air.reads)
	return list(g.all)
}

// loading adds the gates of the first pumping into a truck.
func (inc *Incident) loading(g *gates, truck *Truck) {
	if len(truck.Loading) == 0 {
		return
	}
	g.step("first pumping into "+truck.Name, truck.Loading[0].Start)
	var checked []Moment
	for _, c := range truck.Checks {
		checked = append(checked, c.At)
	}
	g.need("truck checked", checked)
	var bonds []OhmReading
	for _, p := range inc.Grounding.List() {
		if p.Path == "bond" && p.Truck == truck.Name {
			bonds = append(bonds, p.Readings...)
		}
	}
	g.within("bond to the truck within limit", bonds)
	g.need("way in for air at the compartment", inc.vents(truck))
}

// vents are the vapour holes and outlets of the compartments pumped to a truck
// first.
func (inc *Incident) vents(truck *Truck) (at []Moment) {
	for _, leg := range inc.Volume.Legs {
		if leg.Compartment == "" || TruckOf(leg.To) != truck.Name {
			continue
		}
		for _, h := range inc.Holes.All {
			if h.Compartment == leg.Compartment && (strings.HasPrefix(h.Use, "vap") || strings.HasPrefix(h.Use, "vent")) {
				at = append(at, h.Through)
			}
		}
		return at
	}
	return nil
}

func (inc *Incident) briefings() (at []Moment) {
	for _, b := range inc.People.Briefings {
		at = append(at, b.At)
	}
	return at
}

func (inc *Incident) medicals() (at []Moment) {
	for _, p := range inc.Persons() {
		for _, s := range p.Suited {
			if s.Fit != "" || s.Vitals.BP != "" || s.Vitals.Pulse.Known || s.Vitals.Temp.Known || s.Vitals.Breath.Known {
				at = append(at, s.At)
			}
		}
	}
	return at
}

func (inc *Incident) deconOpen() (at []Moment) {
	for _, d := range inc.People.Lines {
		if d.State != "closed" {
			at = append(at, d.At)
		}
	}
	return at
}

// backupsAt are the backups still standing at t.
func (inc *Incident) backupsAt(t Moment) (at []Moment) {
	for _, b := range inc.People.Backups {
		if b.End.IsZero() || !b.End.Best.Before(t.Best) {
			at = append(at, b.Start)
		}
	}
	return at
}

func (inc *Incident) foamed() (at []Moment) {
	for _, f := range inc.Foam.Applications {
		at = append(at, f.At)
	}
	return at
}

func (inc *Incident) marked() (at []Moment) {
	for _, h := range inc.Holes.All {
		at = append(at, h.Marked)
	}
	return at
}

// gates collects the needs of one step after the other.
type gates struct {
	all  []Gate
	name string
	at   Moment
}

func (g *gates) step(name string, at Moment) { g.name, g.at = name, at }

// need adds a gate that the last of the records before the step meets, or else the
// first after it. A step that was not recorded has no gates.
func (g *gates) need(what string, records []Moment) {
	if g.at.IsZero() {
		return
	}
	out := Gate{Step: g.name, At: g.at, Need: what, Record: NoRecord, Margin: Lacking("min", "no record")}
	records = slices.DeleteFunc(slices.Clone(records), Moment.IsZero)
	slices.SortStableFunc(records, func(a, b Moment) int { return a.Best.Compare(b.Best) })
	for _, m := range records {
		if m.Best.After(g.at.Best) {
			if out.Record == NoRecord {
				out.Record, out.Met = OnlyAfter, m
			}
			break
		}
		out.Record, out.Met = InPlace, m
	}
	if !out.Met.IsZero() {
		out.Margin = Elapsed(out.Met, g.at, g.at.Best).As("record to step")
	}
	g.all = append(g.all, out)
}

// within adds a gate that a reading within its limit meets, unless a later one
// before the step was over it.
func (g *gates) within(what string, readings []OhmReading) {
	var good []Moment
	why := ""
	for _, r := range readings {
		before := !r.At.Best.After(g.at.Best)
		switch {
		case r.Verdict == Within:
			good = append(good, r.At)
			if before {
				why = ""
			}
		case before && r.Verdict == Past:
			good, why = nil, "the last reading before it was over the limit"
		case before && r.Verdict == NoLimit && len(good) == 0:
			why = "it was read before it, and no limit was said"
		}
	}
	g.need(what, good)
	if n := len(g.all); n > 0 && !g.at.IsZero() {
		g.all[n-1].Why = why
	}
}

// path adds the gate of the paths to ground, or of the bonds.
func (g *gates) path(inc *Incident, path string) {
	var readings []OhmReading
	for _, p := range inc.Grounding.List() {
		if p.Path == path {
			readings = append(readings, p.Readings...)
		}
	}
	slices.SortStableFunc(readings, func(a, b OhmReading) int { return a.At.Best.Compare(b.At.Best) })
	g.within(path+" read within limit", readings)
}
