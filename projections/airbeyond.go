package projections

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"tankside/events"
	"tankside/events/kinds"
)

// orBeyond returns the figure of a gas that an entry gives, or else what the entry
// says of it beside the figures: past the end of its scale, which is at least the
// end, or looked for and not found, which is at most the detection limit. Where the
// end or the limit is not said either, it stays unknown.
func orBeyond(f Figure, k kinds.AirRead, quantity, unit string, from []events.Seq) Figure {
	if f.Known {
		return f
	}
	if v, ok := beyond(k.OverRange, quantity); ok {
		if v == 0 && quantity == "LEL" {
			v = 100 // where the scale of every such sensor ends
		}
		if v > 0 {
			return Figure{Known: true, Value: v, Low: v, High: math.Inf(1), Unit: unit, Method: "past the end of the scale", From: from}
		}
	}
	if v, ok := beyond(k.Under, quantity); ok && v > 0 {
		return Figure{Known: true, Value: v, Low: math.Inf(-1), High: v, Unit: unit, Method: "below detection", From: from}
	}
	return f
}

// beyond finds a gas in a list such as "benzene 0.1 ppm, CO" and the number behind
// it, 0 where none is.
func beyond(words, quantity string) (v float64, ok bool) {
	f := strings.FieldsFunc(words, func(r rune) bool { return strings.ContainsRune(" ,;<>", r) })
	i := slices.IndexFunc(f, func(w string) bool { return strings.EqualFold(w, quantity) })
	if i < 0 {
		return 0, false
	}
	if i+1 < len(f) {
		v, _ = strconv.ParseFloat(strings.TrimSuffix(strings.TrimSuffix(f[i+1], "ppm"), "%"), 64)
	}
	return v, true
}
