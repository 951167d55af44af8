package projections

import (
	"fmt"
	"math"
	"strings"
	"time"

	"tankside/events"
	"tankside/events/kinds"
)

// Position is where a place lies, in WGS 84, from a moment on until it is fixed anew.
type Position struct {
	At       Moment `json:"at"`
	Place    string `json:"place"`
	Lat      Figure `json:"lat"`      // deg, north positive
	Lon      Figure `json:"lon"`      // deg, east positive
	Accuracy Figure `json:"accuracy"` // ft
	How      string `json:"how,omitempty"`
	CornerOf string `json:"corner_of,omitempty"`
	Corner   Figure `json:"corner"` // its number, going round
}

// Places is where the places of the incident lie.
type Places struct {
	Fixed []Position // in the order of time
	Notes []Note
}

// Apply folds one entry.
func (p *Places) Apply(e *events.Entry) {
	k, ok := e.Payload.(kinds.PlaceFixed)
	if !ok {
		return
	}
	at := Position{
		MomentOf(e), e.Where, FigureOf(k.Lat, "", e.Seq), FigureOf(k.Lon, "", e.Seq), FigureOf(k.Accuracy, "", e.Seq),
		k.How, k.CornerOf, FigureOf(k.Corner, "", e.Seq),
	}
	switch {
	case e.Where == "":
		p.Notes = append(p.Notes, Note{e.Seq, "a position without the name of its place; give it with where"})
	case !at.Known():
		p.Notes = append(p.Notes, Note{e.Seq, e.Where + ": a position needs both latitude and longitude"})
	default:
		if why := p.Odd(at); why != "" {
			p.Notes = append(p.Notes, Note{e.Seq, why})
		}
		p.Fixed = append(p.Fixed, at)
	}
}

// Known reports whether both coordinates are known.
func (p Position) Known() bool { return p.Lat.Known && p.Lon.Known }

// Swapped is the position with latitude and longitude taken for each other; false where
// they cannot be.
func (p Position) Swapped() (Position, bool) {
	p.Lat, p.Lon = p.Lon, p.Lat
	return p, math.Abs(p.Lat.Value) <= 90 && math.Abs(p.Lon.Value) <= 180
}

// farApart is the distance, in km, beyond which two places can hardly be of one incident.
// Common practice, no source.
const farApart = 200

// Odd asks about a position that may have latitude and longitude swapped, or is far from
// the other places of the incident; "" where nothing is odd.
func (p *Places) Odd(at Position) string {
	other, can := at.Swapped()
	if len(p.Fixed) == 0 {
		if at.Lat.Value < 0 && at.Lon.Value > 0 && can {
			return fmt.Sprintf("%s lies south and east of zero; were latitude and longitude swapped?", at.Place)
		}
		return ""
	}
	near := p.Fixed[len(p.Fixed)-1]
	km := at.Kilometres(near)
	switch {
	case km <= farApart:
		return ""
	case can && other.Kilometres(near) <= farApart:
		return fmt.Sprintf("%s lies %.0f km from %s; were latitude and longitude swapped?", at.Place, km, near.Place)
	}
	return fmt.Sprintf("%s lies %.0f km from %s; is a digit or a sign wrong?", at.Place, km, near.Place)
}

// earthRadius is the mean radius of the earth in km: IUGG 1980, R1.
const earthRadius = 6371.0088

// Kilometres is the distance to another position over a sphere (haversine), good to half
// a percent, which is all that is asked of it.
func (p Position) Kilometres(q Position) float64 {
	rad := func(f Figure) float64 { return f.Value * math.Pi / 180 }
	a, b := rad(p.Lat), rad(q.Lat)
	h := math.Pow(math.Sin((b-a)/2), 2) + math.Cos(a)*math.Cos(b)*math.Pow(math.Sin((rad(q.Lon)-rad(p.Lon))/2), 2)
	return 2 * earthRadius * math.Asin(math.Sqrt(math.Min(h, 1)))
}

// Where is the position of a place at a time: the newest fixed by then, or else the
// first fixed later. Corners of zones are places of their own. nil where nobody fixed it.
func Where(fixed []Position, place string, at time.Time) (found *Position) {
	for i := range fixed {
		f := &fixed[i]
		if f.CornerOf != "" || !strings.EqualFold(f.Place, place) {
			continue
		}
		if found == nil || !f.At.Best.After(at) {
			found = f
		}
	}
	return found
}
