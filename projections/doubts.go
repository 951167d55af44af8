package projections

import (
	"slices"
	"strings"

	"tankside/events"
	"tankside/events/kinds"
)

// Doubt is a disagreement between measurements that somebody raised.
type Doubt struct {
	About   string `json:"about"`
	Gap     Figure `json:"gap"`
	Raised  Moment `json:"raised"`
	Settled Moment `json:"settled"`
	Ruling  string `json:"ruling,omitempty"`
	By      string `json:"by,omitempty"`

	id events.ID
}

// byRuling is the method of a volume that a ruling states: a weight that somebody
// turned into gallons, which is no weighing of its own.
const byRuling = "by ruling"

// settle takes a ruling: it closes the doubt it is about, and what it sets aside
// no longer counts, but stays in sight.
func (v *Volume) settle(e *events.Entry, k kinds.DoubtSettled) {
	about := orElse(k.About, e.Where)
	for i := range slices.Backward(v.Doubts) {
		d := &v.Doubts[i]
		if d.Settled.IsZero() && (k.Entry != "" && d.id == k.Entry || d.About == about) {
			d.Settled, d.Ruling, d.By = MomentOf(e), k.Ruling, orElse(k.By, e.ObservedBy)
			break
		}
	}
	l := v.legIn(about)
	if l != nil && k.WeightSays.Said() {
		g := grossOf(k.WeightSays, "by weight, as ruled", e)
		l.told = append(l.told, Measurement{Method: byRuling, Gross: Gross{doubt(g.Figure, "scale")}, Net: noNet(), Temp: l.Temp, Water: noGross()})
	}
	for _, method := range vouchedBy(k.Ruling) {
		v.vouch(l, v.receivers[receiverIn(about)], setAside{method, k.Ruling, MomentOf(e), e.Seq, orElse(k.By, e.ObservedBy)})
	}
	for _, method := range setAsideBy(k.Ruling) {
		out := setAside{method, k.Ruling, MomentOf(e), e.Seq, orElse(k.By, e.ObservedBy)}
		if l != nil {
			l.out = append(l.out, out)
		} else if r := v.receivers[receiverIn(about)]; r != nil {
			r.out = append(r.out, out)
		} else {
			v.note(e, "the ruling sets the %s aside, but %q is no leg and no receiver", method, about)
		}
	}
}

// vouch notes that a person stands by a way of measuring a leg, or else a receiver.
func (v *Volume) vouch(l *Leg, r *Receiver, kept setAside) {
	switch {
	case l != nil:
		l.kept = append(l.kept, kept)
	case r != nil:
		r.kept = append(r.kept, kept)
	}
}

// vouchedBy lists the methods that a ruling in words lets stand, as "meter stands"
// or "stick kept".
func vouchedBy(ruling string) (out []string) {
	said := strings.ToLower(ruling)
	for _, m := range Trusted {
		for _, stands := range []string{" stands", " stand", " kept", " is right", " is good"} {
			if strings.Contains(said, m+stands) {
				out = append(out, m)
				break
			}
		}
	}
	return out
}

// setAsideBy lists the methods that a ruling in words sets aside; the meter where
// it names none.
func setAsideBy(ruling string) (out []string) {
	said := strings.ToLower(ruling)
	before, _, found := strings.Cut(said, "set aside")
	if !found {
		return nil
	}
	for _, m := range Trusted {
		if strings.Contains(before, m) {
			out = append(out, m)
		}
	}
	if len(out) == 0 {
		out = []string{"meter"}
	}
	return out
}

// legIn returns the leg that words name, as the L3 of "Leg L3".
func (v *Volume) legIn(words string) *Leg {
	for _, w := range strings.Fields(words) {
		if l := v.legs[w]; l != nil {
			return l
		}
	}
	return nil
}
