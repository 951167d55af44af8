package projections

import (
	"math"
	"strings"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections/calc/transfer"
)

// sayable is how far the compartments of a statement may be from its total, gal: what
// rounding leaves.
const sayable = 0.5

// askSums asks about statements of the load whose compartments do not add up to their
// total. A ruling on the load settles it, and so does a later statement, no less to be
// believed, that adds up.
func (l *Load) askSums() (out []Question) {
	for i := range l.Statements {
		s := &l.Statements[i]
		off, odd := s.off()
		if !odd {
			continue
		}
		q := Question{
			Seq: lastOf(s.Total.Gross.From), At: s.At, About: "the load",
			What: "the compartments come to " + gallons(s.said(s.sum()).Value) + ", the total says " + gallons(s.said(s.Total).Value),
			Why:  "they are " + gallons(math.Abs(off)) + " apart", WayOut: "ask for each compartment and its unit again, and put the wrong one right with a correction",
			Settled: l.sumsSettled(i), on: s.Total.Gross.From,
		}
		for _, p := range s.Parts {
			v := s.said(p).Value
			want := v - off
			if slips := transfer.Slips(transfer.Volume, v, transfer.Range{Low: 0.99 * want, Best: want, High: 1.01 * want}); want > 0 && len(slips) > 0 {
				q.Why += "; " + p.Compartment
				q = q.suspecting(slips, "gal")
				break
			}
		}
		out = append(out, q)
	}
	return out
}

// said is what a part says in the basis of its statement.
func (s *LoadStatement) said(p LoadPart) Figure {
	if s.Basis == kinds.Net {
		return p.Net.Figure
	}
	return p.Gross.Figure
}

// off is how much more the compartments of a statement come to than its total, and
// whether that is more than rounding leaves.
func (s *LoadStatement) off() (float64, bool) {
	sum, total := s.said(s.sum()), s.said(s.Total)
	d := sum.Value - total.Value
	return d, len(s.Parts) > 0 && sum.Known && total.Known && math.Abs(d) > sayable
}

// sumsSettled lists the entry that answered a statement that does not add up.
func (l *Load) sumsSettled(i int) []events.Seq {
	asked := lastOf(l.Statements[i].Total.Gross.From)
	for _, r := range l.rulings {
		if seq := lastOf(r.at.From); seq > asked && strings.Contains(r.about, "load") {
			return []events.Seq{seq}
		}
	}
	for j := i + 1; j < len(l.Statements); j++ {
		s := &l.Statements[j]
		if _, odd := s.off(); !odd && s.rank >= l.Statements[i].rank && len(s.Parts) > 0 {
			return []events.Seq{lastOf(s.At.From)}
		}
	}
	return nil
}
