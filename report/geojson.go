package report

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"tankside/events"
	"tankside/projections"
)

// ErrNoPlaces says that nothing of an incident can be put on a map.
var ErrNoPlaces = errors.New("report: no place of this incident has coordinates; give them with tankside log place_fixed --where \"Command post\" --lat 40.1234 --lon -82.4567, or type: place command post 40.1234 -82.4567")

// collection, feature and geometry are those of RFC 7946. There is no member for a
// reference system: by its section 4 all of it is WGS 84, longitude first.
type collection struct {
	Type     string    `json:"type"`
	Features []feature `json:"features"`
}

type feature struct {
	Type       string         `json:"type"`
	ID         string         `json:"id"`
	Geometry   geometry       `json:"geometry"`
	Properties map[string]any `json:"properties"`
}

type geometry struct {
	Type        string `json:"type"`
	Coordinates any    `json:"coordinates"`
}

// pointOn is a position, longitude first.
type pointOn [2]float64

// GeoJSON writes what can be put on a map: each place that somebody fixed as a point,
// what happened there as points with their time and words, and a zone as a polygon where
// three or more of its corners are recorded. It returns ErrNoPlaces where there is none.
func GeoJSON(d Document) ([]byte, error) {
	c := collection{Type: "FeatureCollection", Features: []feature{}}
	for i, p := range d.State.Places {
		c.Features = append(c.Features, placeFeature(p, i))
	}
	if len(c.Features) == 0 {
		return nil, ErrNoPlaces
	}
	for _, zone := range cornered(d.State.Places) {
		if f, ok := zoneFeature(zone); ok {
			c.Features = append(c.Features, f)
		}
	}
	for _, day := range d.Timeline {
		for _, r := range day.Rows {
			if p := projections.Where(d.State.Places, r.Where, r.At.Best); p != nil && r.Live && !slices.Contains(p.At.From, r.Seq) {
				c.Features = append(c.Features, entryFeature(r, *p))
			}
		}
	}
	out, err := json.MarshalIndent(c, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("report: map: %w", err)
	}
	return append(out, '\n'), nil
}

func on(p projections.Position) pointOn { return pointOn{p.Lon.Value, p.Lat.Value} }

// tell puts a text among the properties, unless it is empty.
func tell(to map[string]any, key, text string) {
	if text != "" {
		to[key] = shown(text)
	}
}

func placeFeature(p projections.Position, i int) feature {
	about := map[string]any{"what": "place", "place": shown(p.Place), "from": stamp(p.At.Best), "entries": p.At.From}
	tell(about, "how", p.How)
	tell(about, "corner_of", p.CornerOf)
	if p.Accuracy.Known {
		metres := p.Accuracy
		if toMetric(&metres); metres.Unit == "m" {
			about["accuracy_m"] = math.Round(metres.Value*10) / 10
		}
	}
	return feature{"Feature", fmt.Sprintf("place-%d", i+1), geometry{"Point", on(p)}, about}
}

func entryFeature(r Row, p projections.Position) feature {
	about := map[string]any{"what": "entry", "place": shown(p.Place), "kind": r.Kind, "entry": r.Seq, "happened": stamp(r.At.Best)}
	if r.At.Soft() {
		about["earliest"], about["latest"] = instant(r.At.Earliest), instant(r.At.Latest)
	}
	tell(about, "line", r.Line)
	tell(about, "words", r.Words)
	tell(about, "told_by", r.By)
	return feature{"Feature", strings.Trim(fmt.Sprintf("%s-e%d", r.Node, r.Seq), "-"), geometry{"Point", on(p)}, about}
}

// instant is a time, or nothing where there is none.
func instant(t time.Time) any {
	if t.IsZero() {
		return nil
	}
	return stamp(t)
}

// cornered gathers the corners of each zone in the order in which they go round: by
// their numbers, and those without one as they were told. Of two fixes of one corner
// the newer counts.
func cornered(all []projections.Position) (zones [][]projections.Position) {
	for _, p := range all {
		if p.CornerOf == "" {
			continue
		}
		i := slices.IndexFunc(zones, func(z []projections.Position) bool { return strings.EqualFold(z[0].CornerOf, p.CornerOf) })
		if i < 0 {
			i, zones = len(zones), append(zones, nil)
		}
		same := func(c projections.Position) bool { return strings.EqualFold(c.Place, p.Place) }
		if k := slices.IndexFunc(zones[i], same); k >= 0 {
			zones[i][k] = p
		} else {
			zones[i] = append(zones[i], p)
		}
	}
	for _, z := range zones {
		slices.SortStableFunc(z, func(a, b projections.Position) int {
			if !a.Corner.Known || !b.Corner.Known {
				return 0
			}
			return int(a.Corner.Value - b.Corner.Value)
		})
	}
	return zones
}

// zoneFeature is a zone as a polygon, its outer ring counterclockwise; false where it has
// too few corners, or where its sides cross.
func zoneFeature(corners []projections.Position) (feature, bool) {
	var ring []pointOn
	var from []events.Seq
	for _, c := range corners {
		if !slices.Contains(ring, on(c)) {
			ring = append(ring, on(c))
		}
		from = append(from, c.At.From...)
	}
	if len(ring) < 3 || crosses(ring) || math.Abs(doubledArea(ring)) < noArea {
		return feature{}, false
	}
	if doubledArea(ring) < 0 {
		slices.Reverse(ring)
	}
	ring = append(ring, ring[0])
	name := corners[0].CornerOf
	about := map[string]any{"what": "zone", "zone": shown(name), "entries": from}
	return feature{"Feature", "zone-" + events.IncidentID(name), geometry{"Polygon", [][]pointOn{ring}}, about}, true
}

// noArea is an area in square degrees, a few hundred square centimetres, below which a
// ring is a line: which way it goes round is then a matter of the last digits.
const noArea = 1e-12

// doubledArea is twice the area of a ring that is not closed, positive where it goes round
// counterclockwise.
func doubledArea(ring []pointOn) (a float64) {
	for i := 1; i+1 < len(ring); i++ {
		a += turn(ring[0], ring[i], ring[i+1]) // from the first corner: the digits that all share cancel before they can be lost
	}
	return a
}

// turn is positive where a, b, c turn to the left.
func turn(a, b, c pointOn) float64 { return (b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0]) }

// crosses reports whether two sides of a ring that are no neighbours meet.
func crosses(ring []pointOn) bool {
	n := len(ring)
	for i := range n {
		for j := i + 2; j < n; j++ {
			if i == 0 && j == n-1 {
				continue
			}
			a, b, c, d := ring[i], ring[(i+1)%n], ring[j], ring[(j+1)%n]
			if turn(a, b, c)*turn(a, b, d) <= 0 && turn(c, d, a)*turn(c, d, b) <= 0 {
				return true
			}
		}
	}
	return false
}
