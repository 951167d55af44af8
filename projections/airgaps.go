package projections

import (
	"slices"
	"strings"
	"time"

	"tankside/events"
	"tankside/projections/calc/exposure"
)

// placeRule is how often a quantity is to be read at a place.
type placeRule struct {
	MinutesRule
	place    string
	quantity string // "" for any
}

// readEvery takes from an order how often to read: "benzene read every 10 min" at
// the place of the order, "air read every 15 min" for all that is read there.
func (a *Air) readEvery(e *events.Entry, text string) {
	what, rest, found := strings.Cut(text, " read every ")
	m, ok := minutesAfter("every "+rest, "every ")
	if !found || !ok {
		return
	}
	for _, u := range airUnits {
		if strings.EqualFold(what, u.quantity) {
			a.every = append(a.every, placeRule{minutesRule(e, text, m), e.Where, u.quantity})
		}
	}
	if strings.EqualFold(what, "air") {
		a.every = append(a.every, placeRule{minutesRule(e, text, m), e.Where, ""})
	}
}

// ruleFor returns the last rule on how often to read a series, nil when there is none.
func (a *Air) ruleFor(s *AirSeries) *MinutesRule {
	for i, r := range slices.Backward(a.every) {
		if r.place == s.Place && (r.quantity == "" || r.quantity == s.Quantity) {
			return &a.every[i].MinutesRule
		}
	}
	return nil
}

// airList works the series out. A place goes on being unread after its last reading for as long as the log has it
// worked: a pump runs from or into what the place names, or somebody is in or posted
// there.
// Where an order says how often to read, and the log has no work, it does so for as
// long as the log runs.
func (inc *Incident) airList() []AirSeries {
	out := inc.Air.List()
	inc.correct(out)
	newest := lastRead(out)
	for i := range out {
		s := &out[i]
		s.Every = inc.Air.ruleFor(s)
		inc.unread(s)
		last := s.Readings[len(s.Readings)-1].At
		if slices.ContainsFunc(worksites(s.Place), func(site string) bool {
			return newest[site].place != s.Place && newest[site].at.After(last.Best)
		}) {
			continue // the work has moved to another place there, where the air was read
		}
		works := inc.workAt(s.Place)
		if len(works) == 0 && s.Every != nil {
			works = []work{{Interval{last, inc.Phases.closed}, "", "log closed"}}
		}
		for _, w := range works {
			if w.Until(inc.AsOf).After(last.Best) {
				s.LongestGap = longer(s.LongestGap, w.unread(last, inc.AsOf))
			}
		}
	}
	return out
}

// worksites are what a place names that may be worked: a compartment, a truck; or
// else the place itself.
func worksites(place string) (out []string) {
	for _, name := range []string{compartmentOf(place), TruckOf(receiverIn(place))} {
		if name != "" {
			out = append(out, name)
		}
	}
	if len(out) == 0 {
		out = []string{place}
	}
	return out
}

// readAt is when and where the air was read.
type readAt struct {
	at    time.Time
	place string
}

// lastRead is when and where the air was last read at each worksite.
func lastRead(series []AirSeries) map[string]readAt {
	newest := map[string]readAt{}
	for i := range series {
		s := &series[i]
		at := s.Readings[len(s.Readings)-1].At.Best
		for _, site := range worksites(s.Place) {
			if at.After(newest[site].at) {
				newest[site] = readAt{at, s.Place}
			}
		}
	}
	return newest
}

// work is a stretch of work at a place, with what began and ended it.
type work struct {
	Interval
	began, ended string
}

// unread is the part of the work after the last reading; its method says from when
// to when.
func (w work) unread(last Moment, now time.Time) Figure {
	from, began := last, ""
	if w.Start.Best.After(last.Best) {
		from, began = w.Start, w.began+" "
	}
	if w.End.IsZero() {
		return Elapsed(from, w.End, now).As(began + clock(from.Best) + ", so far")
	}
	return minutes(from, w.End).As(began + clock(from.Best) + " to " + w.ended + " " + clock(w.End.Best))
}

// workAt returns the work that the log has at a place.
func (inc *Incident) workAt(place string) (out []work) {
	compartment, truck := compartmentOf(place), TruckOf(receiverIn(place))
	for _, l := range inc.Phases.Legs {
		if compartment != "" && l.Compartment == compartment || truck != "" && l.Truck == truck {
			out = append(out, work{l.Interval, "pump on", "pump off"})
		}
	}
	var stays, posts []Interval
	for _, person := range inc.People.persons {
		for _, c := range person.crossings {
			if c.Place == place && !c.Start.IsZero() {
				stays = append(stays, c.Interval)
			}
		}
		for _, p := range person.Posts {
			if p.Place == place && !p.Start.IsZero() {
				posts = append(posts, p.Interval)
			}
		}
	}
	for _, i := range merge(posts) {
		out = append(out, work{i, "post taken", "post left"})
	}
	for _, i := range merge(stays) {
		out = append(out, work{i, "in", "out"})
	}
	return out
}

// unread lists when a place was worked and no reading of the quantity spoke for it.
func (inc *Incident) unread(s *AirSeries) {
	hold := inc.Air.holds(s.Quantity, []string{s.Place})
	s.Speaks = float64(hold)
	r := ruler{s.Readings[0].At.Best}
	levels := make([]exposure.Reading, len(s.Readings))
	for i := range s.Readings {
		levels[i] = exposure.Read(r.at(s.Readings[i].At.Best), 0) // when, not how much
	}
	spoken, err := exposure.New(levels, exposure.HoldPrevious, hold, r.at(inc.AsOf))
	if err != nil {
		return // a rule of no minutes speaks for nothing
	}
	var spans []exposure.Span
	for _, w := range inc.WorkAt(s.Place) {
		spans = append(spans, exposure.Span{From: r.at(w.Start.Best), To: r.at(w.Until(inc.AsOf))})
	}
	for _, g := range spoken.Unmonitored(spans) {
		s.Unread = append(s.Unread, Unmonitored{Window{r.time(g.From), r.time(g.To)}, float64(g.Length())})
	}
}

func (inc *Incident) workedAt(place string) (out []Interval) {
	for _, w := range inc.workAt(place) {
		out = append(out, w.Interval)
	}
	return merge(out)
}

func (inc *Incident) workedAll() []Interval {
	all := slices.Clone(inc.Occupied())
	for _, l := range inc.Phases.Legs {
		if !l.Start.IsZero() {
			all = append(all, l.Interval)
		}
	}
	return merge(all)
}
