package projections

import (
	"math"

	"tankside/events"
	"tankside/projections/calc/transfer"
)

// Between is what a meter counted between two readings that follow each other, held
// against what its pump did before. Nothing that came later plays a part in it.
type Between struct {
	Start    Moment `json:"start"`
	End      Moment `json:"end"`
	Moved    Figure `json:"moved"`    // gal by the meter; below zero where its register went down
	Rate     Figure `json:"rate"`     // gal/min by the meter
	Expected Figure `json:"expected"` // gal/min by the pump
	Basis    string `json:"basis"`    // what Expected is worked out from
	Verdict  string `json:"verdict"`  // fits, too little, too much, register went down, not compared
}

// between lists the intervals of a leg's meter.
func (k *ledger) between(l *Leg) []Between {
	w := k.watched(l)
	out := make([]Between, 0, len(w.intervals))
	for _, v := range w.intervals {
		a, b := w.at[v.From], w.at[v.To]
		from := union(a.Reads.From, b.Reads.From)
		s := Between{
			Start: a.At, End: b.At, Moved: Exact(float64(v.Moved), "gal", "meter", from...),
			Rate: Lacking("gpm", "time between two readings"), Expected: Lacking("gpm", "what the pump did before"), Basis: v.Basis.String(), Verdict: v.Verdict.String(),
		}
		if rate := float64(v.Rate); !math.IsNaN(rate) {
			s.Rate = Exact(rate, "gpm", "gallons over minutes the pump ran", from...)
		}
		if v.Basis != transfer.NoBasis && !math.IsNaN(float64(v.Expected)) {
			s.Expected = Exact(float64(v.Expected), "gpm", "worked out from "+v.Basis.String(), w.before(v, k.pump[l])...)
		}
		out = append(out, s)
	}
	return out
}

// before is what says how much a pump should move in an interval: what was read until its
// end, which also says what of it was sound, and what the pump did in a leg before.
func (w watched) before(v transfer.Interval, pump Figure) []events.Seq {
	from := pump.From
	for _, r := range w.at[:v.To+1] {
		from = union(from, union(r.Reads.From, r.Strokes.From))
	}
	return from
}
