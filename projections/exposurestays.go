package projections

import (
	"slices"
	"sort"
	"strings"
	"time"

	"tankside/events/quantity"
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

// readFor are the readings of a quantity that speak for a stay, with how long each
// does: those at its place, or else at a place of the same truck or compartment, which
// is named; and those that the pair itself made while it was in. Of each place there is
// one more, after the stay, to tell how the last in it went on.
func (inc *Incident) readFor(w *AtWork, read string) (out []*AirReading, hold quantity.Minutes) {
	here := inc.placesOf(w, read)
	hold = inc.Air.holds(read, here)
	first := w.Start.Best.Add(-time.Duration(float64(hold) * float64(time.Minute)))
	end := w.Until(inc.AsOf)
	for _, s := range inc.Air.series {
		if s.Quantity != read {
			continue
		}
		at := slices.Contains(here, s.Place)
		for i := earlier(s.Readings, first); i < len(s.Readings); i++ {
			r := &s.Readings[i]
			if at || w.own(r, end) {
				out = append(out, r)
			}
			if r.At.Best.After(end) {
				break
			}
		}
	}
	slices.SortStableFunc(out, func(a, b *AirReading) int { return a.At.Best.Compare(b.At.Best) })
	return out, hold
}

// earlier counts the readings before t.
func earlier(readings []AirReading, t time.Time) int {
	return sort.Search(len(readings), func(i int) bool { return !readings[i].At.Best.Before(t) })
}

// own reports whether a reading was made by the pair itself while it was in.
func (w *AtWork) own(r *AirReading, end time.Time) bool {
	return w.pair != "" && !r.At.Best.Before(w.Start.Best) && !r.At.Best.After(end) && slices.Equal(pairOf(r.by), pairOf(w.pair))
}

// placesOf are the places of readings that are where a stay was: the very place, or
// else those that name the same truck or the same compartment as its place or task.
func (inc *Incident) placesOf(w *AtWork, read string) (near []string) {
	sites := slices.Concat(namedSites(w.Place), namedSites(w.task))
	for _, s := range inc.Air.series {
		if s.Quantity != read {
			continue
		}
		if strings.EqualFold(strings.TrimSpace(s.Place), strings.TrimSpace(w.Place)) {
			return []string{s.Place}
		}
		if slices.ContainsFunc(s.sites, func(site string) bool { return slices.Contains(sites, site) }) {
			near = append(near, s.Place)
		}
	}
	return near
}

// namedSites are the compartments and trucks that words name.
func namedSites(words string) []string {
	out := compartmentsOf(words)
	if t := TruckOf(receiverIn(words)); t != "" {
		out = append(out, t)
	}
	return out
}
