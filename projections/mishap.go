package projections

import (
	"slices"
	"strings"
	"time"

	"tankside/events"
	"tankside/events/kinds"
)

// mishapTold is when somebody says that the mishap happened.
type mishapTold struct {
	by string
	at Moment
}

// width is how exactly somebody knows the time; -1 when it knows none.
func (t mishapTold) width() time.Duration {
	if t.at.Earliest.IsZero() {
		return -1
	}
	return t.at.Latest.Sub(t.at.Earliest)
}

// crashed takes the mishap. Where others tell another time neither wins: the
// sharper one counts, of equals the earlier, and the moment runs from the earliest
// to the latest that any of them allows, until one of the entries is struck or
// joined to the other. A teller who tells it again changes nothing.
func (p *Phases) crashed(e *events.Entry) {
	t := mishapTold{e.ObservedBy, MomentOf(e)}
	moment := &p.at[atCrash]
	switch {
	case moment.IsZero():
		p.crash, *moment = t, t.at
	case t.by != p.crash.by:
		p.note(e, "the mishap was %s by %s and %s by %s; both are kept", during(p.crash.at), p.crash.by, during(t.at), t.by)
		best := p.crash
		if t.width() >= 0 && t.width() < best.width() {
			best = t
		}
		*moment = spanning(best.at, *moment, t.at)
		p.crash = best
	}
}

// spanning is the best moment with the range of all of them.
func spanning(best Moment, all ...Moment) Moment {
	for _, m := range all {
		if m.Earliest.Before(best.Earliest) {
			best.Earliest = m.Earliest
		}
		if m.Latest.After(best.Latest) {
			best.Latest = m.Latest
		}
		best.From = union(best.From, m.From)
	}
	return best
}

// during writes a moment with its day: a clock time, or the two it lies between.
func during(m Moment) string {
	const layout = "2006-01-02 15:04"
	if !m.Soft() || m.Earliest.IsZero() {
		return "at " + m.Best.Format(layout)
	}
	return "between " + m.Earliest.Format(layout) + " and " + m.Latest.Format(layout)
}

// left folds who and what left. The last unit has left once none that is known to
// have come is still there.
func (p *Phases) left(e *events.Entry, k kinds.LeftScene) {
	if isWreck(k.Carrying) || slices.ContainsFunc(k.Unit, isWreck) {
		p.last(atWreckGone, EndOf(e))
		return
	}
	for _, u := range k.Unit {
		delete(p.here, u)
	}
	if len(k.Unit) > 0 && len(p.here) == 0 {
		p.last(atLastLeft, EndOf(e))
	}
}

// isWreck reports whether words mean the overturned vehicle. A unit may be called
// Tanker 5.
func isWreck(words string) bool {
	w := strings.Fields(strings.ToLower(words))
	return slices.Contains(w, "wreck") || len(w) == 2 && w[0] == "the" && slices.Contains([]string{"tank", "tanker", "trailer", "truck"}, w[1])
}
