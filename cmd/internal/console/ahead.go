package console

import (
	"fmt"
	"math"
	"strings"
	"time"

	"tankside/events"
	"tankside/events/intake/lines"
	"tankside/events/kinds"
	"tankside/events/quantity"
	"tankside/projections/calc/exposure"
)

// holds is how long a reading of the air speaks for its place, as where nobody ordered
// how often it is read (judgement, as in the report).
const holds quantity.Minutes = 20

// shortAhead says what a reading of benzene would make of the average over the fifteen
// minutes before it, at its place, by what the log holds now: each reading held to the
// next and straight lines between them, as the report has both.
func shortAhead(ctx *lines.Context, drafts []events.Draft) (out []string) {
	for _, d := range drafts {
		k, ok := d.Payload.(kinds.AirRead)
		if at := d.Occurred.At; ok && k.Benzene.Said() && d.Where != "" && !at.IsZero() {
			out = append(out, averageAt(ctx, d.Where, at, k.Benzene.Value()))
		}
	}
	return out
}

func averageAt(ctx *lines.Context, where string, at time.Time, now quantity.PPM) string {
	readings := []exposure.Reading{exposure.Read(0, now)}
	for i := range ctx.Entries {
		e := &ctx.Entries[i]
		k, ok := e.Payload.(kinds.AirRead)
		ago := at.Sub(e.At)
		if ok && !e.Off && k.Benzene.Said() && strings.EqualFold(e.Where, where) && ago > 0 && ago < time.Duration(holds+exposure.Short)*time.Minute {
			readings = append(readings, exposure.Read(quantity.Minutes(-ago.Minutes()), k.Benzene.Value()))
		}
	}
	window := []exposure.Span{{From: -exposure.Short, To: 0}}
	low, high, read := math.Inf(1), 0.0, quantity.Minutes(0)
	for _, m := range []exposure.Method{exposure.HoldPrevious, exposure.StraightLines} {
		p, err := exposure.New(readings, m, holds, 0)
		if err != nil {
			return "Benzene: no average of a reading that is no level."
		}
		p = p.Within(window)
		average := float64(p.Dose().Average(exposure.Short))
		low, high, read = min(low, average), max(high, average), p.Minutes()
	}
	if read < 0.5 {
		return "Benzene at " + where + ": no reading in the 15 min before, so no 15-min average yet."
	}
	text := fmt.Sprintf("Benzene at %s, last 15 min: average %.1f", where, low)
	if fmt.Sprintf("%.1f", low) != fmt.Sprintf("%.1f", high) {
		text += fmt.Sprintf(" to %.1f", high)
	}
	text += " ppm"
	if limit, ok := exposure.LimitOf("benzene", exposure.OverShort); ok {
		text += fmt.Sprintf(" (limit %g)", float64(limit.Value))
	}
	if read < exposure.Short-0.5 {
		text += fmt.Sprintf("; %.0f of the 15 min unread, counted as nothing", float64(exposure.Short-read))
	}
	return text + "."
}
