package lines

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

// placed is a line that says where a place lies: "place command post 40.1234 -82.4567",
// with degrees in decimals, N S E W or a sign, and after them how far off and by what.
var placed = regexp.MustCompile(`(?i)^\s*(?:place|position of|position|coordinates of|coordinates)\s+(.+?)[\s,:]+(?:is\s+at\s+|at\s+)?` +
	`([NS]?)\s*([+-]?\d{1,3}\.\d+)\s*°?\s*([NS]?)[\s,;]+([EW]?)\s*([+-]?\d{1,3}\.\d+)\s*°?\s*([EW]?)` +
	`(?:[\s,]+(?:within|±|\+/-|accuracy|good to)?\s*(\d+(?:\.\d+)?)\s*(m|ft|feet|metres|meters))?(?:[\s,]+(?:by|from|off)\s+(?:the\s+)?(.+?))?\s*$`)

// corner is the name of a corner: "hot zone corner 3".
var corner = regexp.MustCompile(`(?i)^(.+?)\s+corner\s+(\d{1,3})$`)

// position reads where a place lies; false where the line is no such line. It is asked
// about where latitude and longitude may be swapped.
func position(ctx *Context, raw string) (r Reading, ok bool) {
	m := placed.FindStringSubmatch(raw)
	if m == nil {
		return r, false
	}
	lat, lon := degrees(m[3], m[2]+m[4]), degrees(m[6], m[5]+m[7])
	k := kinds.PlaceFixed{How: m[10]}
	if m[8] != "" {
		if a, err := quantity.Parse[quantity.Feet](m[8] + " " + m[9]); err == nil {
			k.Accuracy = a
		}
	}
	name := ctx.named(m[1])
	if c := corner.FindStringSubmatch(m[1]); c != nil {
		n, _ := strconv.ParseFloat(c[2], 64) // up to three digits
		k.CornerOf, k.Corner, name = c[1], quantity.Of(quantity.Count(n)), m[1]
	}
	at := func(lat, lon float64) Choice {
		k := k
		k.Lat, k.Lon = quantity.Of(quantity.Degrees(lat)), quantity.Of(quantity.Degrees(lon))
		d := ctx.draft(raw, k)
		d.Where = name
		return Choice{Says: fmt.Sprintf("%s lies at %g, %g", name, lat, lon), Drafts: []events.Draft{d}}
	}
	good, can := abs(lat) <= 90 && abs(lon) <= 180, abs(lon) <= 90 && abs(lat) <= 180
	if !good && !can {
		return ctx.asNote(raw, fmt.Sprintf("No place lies at latitude %g, longitude %g; a latitude is within 90, a longitude within 180. It is kept as a note.", lat, lon))
	}
	typed := at(lat, lon)
	r = Reading{Raw: raw, Grammar: Grammar, Certainty: Clear, Says: typed.Says, Drafts: typed.Drafts, Board: []string{"the position of " + name}}
	if !good {
		note, _ := ctx.asNote(raw, "")
		typed, r.Certainty = Choice{Says: "kept as a note", Drafts: note.Drafts}, Note
		r.Says, r.Drafts, r.Board = typed.Says, typed.Drafts, nil
	}
	if can && (!good || ctx.swapped(lat, lon)) {
		swap := at(lon, lat)
		typed.Key, typed.Label, swap.Key, swap.Label = EnterKey, "keep as typed", "S", "they are swapped"
		r.Ask = &Question{Text: fmt.Sprintf("Latitude %g, longitude %g: are the two swapped?", lat, lon), Choices: []Choice{typed, swap}}
	}
	return r, true
}

// degrees is a coordinate; S and W make it negative.
func degrees(text, side string) float64 {
	v, _ := strconv.ParseFloat(text, 64) // digits, by the pattern
	if strings.ContainsAny(side, "SsWw") {
		return -abs(v)
	}
	return v
}

func abs(v float64) float64 { return max(v, -v) }

// named is a place as the incident calls it, or as it was typed.
func (ctx *Context) named(place string) string {
	for _, p := range ctx.Places {
		if strings.EqualFold(p, place) {
			return p
		}
	}
	return strings.ToUpper(place[:1]) + place[1:]
}

// swapped reports whether a position fits the incident better with its numbers swapped:
// where other places lie, and where nobody fixed one, south and east of zero.
func (ctx *Context) swapped(lat, lon float64) bool {
	for i := len(ctx.Entries) - 1; i >= 0; i-- {
		k, ok := ctx.Entries[i].Payload.(kinds.PlaceFixed)
		if !ok || ctx.Entries[i].Off || !k.Lat.Said() || !k.Lon.Said() {
			continue
		}
		near := func(a, b float64) bool { return abs(a-k.Lat.Best) < 2 && abs(b-k.Lon.Best) < 3 }
		return !near(lat, lon) && near(lon, lat)
	}
	return lat < 0 && lon > 0
}
