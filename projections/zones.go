package projections

import (
	"strings"
	"time"

	"tankside/events"
	"tankside/events/kinds"
)

// ZoneSet is the zones as somebody set, moved or lifted them.
type ZoneSet struct {
	At     Moment `json:"at"`
	State  string `json:"state"`
	Place  string `json:"place,omitempty"`
	Hot    Figure `json:"hot"`
	Warm   Figure `json:"warm"`
	Cold   Figure `json:"cold"`
	Access string `json:"access,omitempty"`
	Basis  string `json:"basis,omitempty"`
	Wind   string `json:"wind,omitempty"`
}

// Isolation is a distance that a decision or a reference kept clear.
type Isolation struct {
	At       Moment `json:"at"`
	Distance Figure `json:"distance"`
	By       string `json:"by"`
}

// Closure is a road closed in one direction, or in all of them.
type Closure struct {
	Road      string     `json:"road"`
	Direction string     `json:"direction"` // "all" when none was named
	Stretches []Interval `json:"stretches"`
	Partly    []Interval `json:"partly"` // some lanes back, some still closed
	Lanes     Figure     `json:"lanes"`
	Detour    string     `json:"detour,omitempty"`
	Closed    Figure     `json:"closed"`        // min, all stretches
	Longest   Figure     `json:"longest"`       // min
	PartlyFor Figure     `json:"partly_closed"` // min, apart from closed
	Decided   bool       `json:"decided"`       // the log has the decision to close, not the closing itself

	back float64 // lanes given back since the last closing
}

// open returns the stretch that has not ended, nil when the road is open.
func (c *Closure) open() *Interval {
	if n := len(c.Stretches); n > 0 && c.Stretches[n-1].End.IsZero() {
		return &c.Stretches[n-1]
	}
	return nil
}

// part returns the stretch with some lanes closed that has not ended.
func (c *Closure) part() *Interval {
	if n := len(c.Partly); n > 0 && c.Partly[n-1].End.IsZero() {
		return &c.Partly[n-1]
	}
	return nil
}

// reopen gives lanes back at a moment: all of them where none were counted. It
// reports whether anything was closed.
func (c *Closure) reopen(at Moment, lanes Figure) bool {
	full, part := c.open(), c.part()
	if full == nil && part == nil {
		return false
	}
	c.back += lanes.Value
	some := lanes.Known && c.Lanes.Known && c.back < c.Lanes.Value
	if full != nil {
		full.End = at
	}
	switch {
	case part == nil && some:
		c.Partly = append(c.Partly, Interval{Start: at})
	case part != nil && !some:
		part.End = at
	}
	return true
}

// Moved is people told to leave or to stay indoors.
type Moved struct {
	Interval
	Minutes   Figure `json:"minutes"`
	Area      string `json:"area,omitempty"`
	People    Figure `json:"people"`
	Buildings Figure `json:"buildings"`
	Shelter   string `json:"shelter,omitempty"`
	Completed Moment `json:"completed"`
	Site      string `json:"site,omitempty"`
	By        string `json:"by,omitempty"`
}

// Zones is what was kept clear: zones, roads and people.
type Zones struct {
	Sets       []ZoneSet
	Isolations []Isolation
	Notes      []Note

	ending
	closures []*Closure
	moved    []Moved
}

// Apply folds one entry.
func (z *Zones) Apply(e *events.Entry) {
	switch k := e.Payload.(type) {
	case kinds.ZonesSet:
		z.Sets = append(z.Sets, ZoneSet{
			MomentOf(e), orElse(k.State, "set"), e.Where, FigureOf(k.Hot, "", e.Seq), FigureOf(k.Warm, "", e.Seq), FigureOf(k.Cold, "", e.Seq),
			k.Access, k.Basis, k.Wind,
		})
	case kinds.Decision:
		z.decision(e, k)
	case kinds.RoadClosed:
		z.close(e, k)
	case kinds.RoadOpened:
		z.reopen(e, k)
	case kinds.PeopleMoved:
		z.people(e, k)
	case kinds.LogOpened, kinds.LogClosed:
		z.end(e)
	}
}

// decision takes the distance to keep clear, and a decision to close a road or lane
// as its closing until the closing itself is logged.
func (z *Zones) decision(e *events.Entry, k kinds.Decision) {
	if k.Isolate.Said() {
		z.Isolations = append(z.Isolations, Isolation{MomentOf(e), FigureOf(k.Isolate, "", e.Seq), orElse(k.By, e.ObservedBy)})
	}
	said := strings.ToLower(k.Choice)
	if strings.HasPrefix(said, "close ") && (strings.Contains(said, "road") || strings.Contains(said, "lane") || strings.Contains(said, "highway")) {
		c := z.closure(e.Where, allWays)
		if c.open() == nil {
			c.Decided = true
			c.Stretches = append(c.Stretches, Interval{Start: MomentOf(e)})
		}
	}
}

// allWays is the direction of a closing that names none.
const allWays = "all"

func (z *Zones) closure(road, direction string) *Closure {
	for _, c := range z.closures {
		if c.Road == road && c.Direction == direction {
			return c
		}
	}
	c := &Closure{Road: road, Direction: direction, Lanes: Lacking("")}
	z.closures = append(z.closures, c)
	return c
}

// close opens a stretch. The closing takes over from a decision to close.
func (z *Zones) close(e *events.Entry, k kinds.RoadClosed) {
	road := orElse(k.Road, e.Where)
	c := z.closure(road, orElse(k.Direction, allWays))
	if k.Lanes.Said() {
		c.Lanes = FigureOf(k.Lanes, "", e.Seq)
	}
	c.Detour = orElse(k.Detour, c.Detour)
	start := MomentOf(e)
	if d := z.closure(road, allWays); d.Decided && d.open() != nil {
		d.Stretches = d.Stretches[:len(d.Stretches)-1]
		d.Decided = false
	}
	c.back = 0
	if p := c.part(); p != nil {
		p.End = start
	}
	switch o := c.open(); {
	case o == nil:
		c.Stretches = append(c.Stretches, Interval{Start: start})
	case e.Occurred.Form != events.Span:
		z.Notes = append(z.Notes, Note{e.Seq, road + " " + c.Direction + " was closed while closed since " + clock(o.Start.Best)})
		return
	}
	if e.Occurred.Form == events.Span {
		c.open().End = EndOf(e)
	}
}

// reopen ends the closures of a road that it names, or of some of their lanes: with
// no direction all of them; with one that was not closed by itself, that direction
// of a closing all ways.
func (z *Zones) reopen(e *events.Entry, k kinds.RoadOpened) {
	road, ended := orElse(k.Road, e.Where), false
	for _, c := range z.closures {
		if c.Road == road && (k.Direction == "" || c.Direction == k.Direction) && c.reopen(MomentOf(e), FigureOf(k.Lanes, "", e.Seq)) {
			ended = true
		}
	}
	if !ended && k.Direction != "" {
		if all := z.closure(road, allWays).open(); all != nil {
			c := z.closure(road, k.Direction)
			c.Stretches = append(c.Stretches, Interval{all.Start, MomentOf(e)})
			ended = true
		}
	}
	if !ended {
		z.Notes = append(z.Notes, Note{e.Seq, strings.TrimSpace(orElse(road, "a road")+" "+k.Direction) + " was opened but was never logged closed"})
	}
}

func (z *Zones) people(e *events.Entry, k kinds.PeopleMoved) {
	var m *Moved
	for i := range z.moved {
		if z.moved[i].Area == k.Area && z.moved[i].End.IsZero() {
			m = &z.moved[i]
		}
	}
	if m == nil {
		if k.State == "completed" || k.State == "lifted" {
			z.Notes = append(z.Notes, Note{e.Seq, orElse(k.Area, "an area not said") + ": " + k.State + ", but no order to leave or shelter was logged"})
		}
		m = z.order(e, k)
	}
	switch k.State {
	case "completed":
		m.Completed = EndOf(e)
	case "lifted":
		m.End = EndOf(e)
	}
	if k.People.Said() {
		m.People = FigureOf(k.People, "", e.Seq)
	}
	if k.Buildings.Said() {
		m.Buildings = FigureOf(k.Buildings, "", e.Seq)
	}
	m.Site = orElse(k.Site, m.Site)
}

// order opens a stretch; one that is first heard of when it is over has no start.
func (z *Zones) order(e *events.Entry, k kinds.PeopleMoved) *Moved {
	m := Moved{Area: k.Area, Shelter: k.Shelter, By: k.By, People: Lacking(""), Buildings: Lacking("")}
	if k.State == "" || k.State == "ordered" {
		m.Start = MomentOf(e)
	}
	z.moved = append(z.moved, m)
	return &z.moved[len(z.moved)-1]
}

// Closures returns the closures of roads as at now, without those that only ever
// stood on a decision later replaced by the closing itself.
func (z *Zones) Closures(now time.Time) []Closure {
	var out []Closure
	for _, c := range z.closures {
		if len(c.Stretches) == 0 {
			continue
		}
		d := *c
		var each []Figure
		d.Longest = Lacking("min")
		for _, s := range c.Stretches {
			each = append(each, z.lasted(s.Start, s.End, now))
			d.Longest = longer(d.Longest, each[len(each)-1])
		}
		d.Closed = Sum("min", "", each)
		each = nil
		for _, s := range c.Partly {
			each = append(each, z.lasted(s.Start, s.End, now))
		}
		d.Partly, d.PartlyFor = list(c.Partly), Sum("min", "", each)
		out = append(out, d)
	}
	return out
}

// People returns who was told to leave or shelter, as at now.
func (z *Zones) People(now time.Time) []Moved {
	out := make([]Moved, len(z.moved))
	for i, m := range z.moved {
		m.Minutes = z.lasted(m.Start, m.End, now)
		out[i] = m
	}
	return out
}
