package projections

import (
	"slices"
	"strings"

	"tankside/events"
)

// AtWork is a time that somebody spent where the air was, or ought to have been, read.
type AtWork struct {
	Interval        // the start is null where nobody logged it
	How      string `json:"how"` // in the hot zone, at a post, stopped at work
	Place    string `json:"place,omitempty"`
	Air      string `json:"air"` // what was worn, or not recorded

	pair, task string
}

// The ways to be at work.
const (
	inHotZone = "in the hot zone"
	atPost    = "at a post"
	stoppedAt = "stopped at work"
)

// notWorn is what is said of a mask that nobody logged.
const notWorn = "not recorded"

// stays are the times of a person at work, in the order of time and apart from each
// other.
func (inc *Incident) stays(p *Person) (out []AtWork) {
	for _, c := range p.crossings {
		if !c.Start.IsZero() {
			out = append(out, AtWork{c.Interval, inHotZone, c.Place, p.worn(&c), c.Pair, c.Task})
		}
	}
	for _, post := range p.Posts {
		if !post.Start.IsZero() {
			out = append(out, AtWork{post.Interval, atPost, post.Place, orElse(post.Air, notWorn), "", post.Task})
		}
	}
	for _, s := range inc.Stops.stops {
		covered := func(w AtWork) bool {
			return !w.Start.Best.After(s.Start.Best) && !w.Until(inc.AsOf).Before(s.Start.Best)
		}
		if s.Worker == p.Person && !slices.ContainsFunc(out, covered) {
			out = append(out, AtWork{Interval{End: s.Start}, stoppedAt, s.Place, notWorn, "", ""})
		}
	}
	slices.SortStableFunc(out, func(a, b AtWork) int { return a.began().Best.Compare(b.began().Best) })
	for i := 1; i < len(out); i++ {
		if last := out[i-1].Until(inc.AsOf); !out[i].Start.IsZero() && out[i].Start.Best.Before(last) {
			out[i].Start.Best = last // in twice at once, which the log says elsewhere
		}
	}
	return out
}

// began is the start of a stay, or what is known instead of it.
func (w *AtWork) began() Moment {
	if w.Start.IsZero() {
		return w.End
	}
	return w.Start
}

// worn is what a person breathed through on a trip: as the entry says, as it was said
// on dressing, or a pack whose pressure was told.
func (p *Person) worn(c *Crossing) string {
	said := c.Air
	for _, s := range p.Suited {
		if said == "" && s.Air != "" && !s.At.Best.After(c.Start.Best) {
			said = s.Air
		}
	}
	if said == "" && (c.PressureIn.Known || c.PressureOut.Known) {
		return "air pack, by its pressure"
	}
	return orElse(said, notWorn)
}

// readFor are the readings of a quantity that speak for a stay: those at its place, or
// else at a place of the same truck or compartment, which is named; and those that the
// pair itself made while it was in.
func (inc *Incident) readFor(w *AtWork, quantity string) (out []AirReading, places []string) {
	seen := map[events.Seq]bool{}
	take := func(s *AirSeries, fits func(AirReading) bool) {
		for _, r := range s.Readings {
			if fits(r) && !seen[r.At.From[0]] {
				seen[r.At.From[0]] = true
				r.place = s.Place
				out = append(out, r)
				if !slices.Contains(places, s.Place) {
					places = append(places, s.Place)
				}
			}
		}
	}
	own := func(r AirReading) bool {
		return w.pair != "" && slices.Equal(pairOf(r.by), pairOf(w.pair)) && !r.At.Best.Before(w.Start.Best) && !r.At.Best.After(w.Until(inc.AsOf))
	}
	here := inc.placesOf(w, quantity)
	for _, s := range inc.Air.series {
		switch {
		case s.Quantity != quantity:
		case slices.Contains(here, s.Place):
			take(s, func(AirReading) bool { return true })
		default:
			take(s, own)
		}
	}
	slices.SortStableFunc(out, func(a, b AirReading) int { return a.At.Best.Compare(b.At.Best) })
	return out, places
}

// placesOf are the places of readings that are where a stay was: the very place, or
// else those that name the same truck or the same compartment as its place or task.
func (inc *Incident) placesOf(w *AtWork, quantity string) (near []string) {
	sites := slices.Concat(namedSites(w.Place), namedSites(w.task))
	for _, s := range inc.Air.series {
		if s.Quantity != quantity {
			continue
		}
		if strings.EqualFold(strings.TrimSpace(s.Place), strings.TrimSpace(w.Place)) {
			return []string{s.Place}
		}
		if slices.ContainsFunc(namedSites(s.Place), func(site string) bool { return slices.Contains(sites, site) }) {
			near = append(near, s.Place)
		}
	}
	return near
}

// namedSites are the compartments and trucks that words name.
func namedSites(words string) []string {
	out := compartmentsOf(words)
	if t := truckOf(receiverIn(words)); t != "" {
		out = append(out, t)
	}
	return out
}
