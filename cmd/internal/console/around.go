package console

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"tankside/projections"
)

// earth is a path to earth or between metals that ends at no truck, as it was read last.
type earth struct {
	Name, Text string
	Bad        bool
}

// airRow is the newest readings at a place.
type airRow struct {
	Place, Text, Age string
	Over             bool
}

// earths lists the paths to earth, and the bonds that end at no truck, that stand: what is
// bad each by itself, the rest in one row.
func (v *view) earths() (out []earth) {
	var good []string
	for _, p := range v.State.Grounding {
		n := len(p.Readings)
		if n == 0 || !p.Removed.IsZero() || p.Truck != "" || p.FixedIn != nil && p.Verdict == projections.Past { // read again with more rods
			continue
		}
		last := p.Readings[n-1]
		text := amount(last.Resistance)
		if last.Limit.Known {
			text += " (limit " + number(last.Limit) + ")"
		}
		if p.Verdict == projections.Past {
			out = append(out, earth{p.Path, join(", ", text+" BAD", p.Place, since(v.At, last.At.Best)+" old"), true})
		} else {
			good = append(good, p.Path+" "+text)
		}
	}
	if len(good) == 0 && len(out) == 0 {
		good = []string{"ground and bond " + notSaid}
	}
	if len(good) > 0 {
		out = append(out, earth{"earth", strings.Join(good, ", "), false})
	}
	return out
}

// dose is the highest average over the quarter of an hour that ends now: of whoever is
// in, or of a place.
func (v *view) dose() string {
	worst := projections.Exposed{}
	for _, e := range v.State.Exposure {
		if e.Last15.Hold.Known && (!worst.Last15.Hold.Known || e.Last15.Hold.Value > worst.Last15.Hold.Value) {
			worst = e
		}
	}
	if !worst.Last15.Hold.Known {
		return ""
	}
	return fmt.Sprintf("%s %s, %s", worst.Substance, "about "+digits(worst.Last15.Hold.Value, 1)+unit(worst.Last15.Hold.Unit), cmp.Or(worst.Person, strings.Join(worst.Places, ", ")))
}

// air lists the places with their newest readings, the newest first.
func (v *view) air(most int) (out []airRow) {
	type place struct {
		airRow
		at time.Time
	}
	var places []place
	for _, a := range v.State.Air {
		if len(a.Readings) == 0 {
			continue
		}
		last := a.Readings[len(a.Readings)-1]
		i := slices.IndexFunc(places, func(p place) bool { return p.Place == a.Place })
		if i < 0 {
			places = append(places, place{airRow{Place: a.Place}, last.At.Best})
			i = len(places) - 1
		}
		p := &places[i]
		p.Text, p.Over = join(", ", p.Text, a.Quantity+" "+amount(last.Value)), p.Over || last.Over
		if last.At.Best.After(p.at) {
			p.at = last.At.Best
		}
	}
	slices.SortStableFunc(places, func(a, b place) int { return cmp.Or(b.at.Compare(a.at), cmp.Compare(a.Place, b.Place)) })
	for _, p := range places[:min(len(places), most)] {
		p.Age = since(v.At, p.at)
		out = append(out, p.airRow)
	}
	return out
}
