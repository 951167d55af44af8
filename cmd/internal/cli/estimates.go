package cli

import (
	"fmt"
	"strings"

	"tankside/projections"
)

// estimates lists what nobody measured, worked out by a rule; nothing at all where the
// log gives none the means.
func (b *board) estimates() {
	g := grid{title: "ESTIMATES, in no balance", heads: []string{"", "at", "gal", "low", "high", "min", "gpm at first"}, right: []int{2, 3, 4, 5, 6}}
	for _, s := range b.s.Volume.Estimates {
		g.add(s.What, s.Place, value(s.Amount), edge(s.Amount, s.Amount.Low), edge(s.Amount, s.Amount.High), orElse(value(s.Minutes), "-"), value(s.Rate))
	}
	if len(g.rows) == 0 {
		return
	}
	b.table(g)
	for _, s := range b.s.Volume.Estimates {
		b.para("%s at %s: %s", s.What, orElse(s.Place, "a place not said"), basis(s))
	}
}

// basis says what an estimate is made of and what was said beside it.
func basis(s projections.Estimate) string {
	var parts []string
	if s.How != "" {
		parts = append(parts, s.How)
	}
	if !s.Amount.Known {
		parts = append(parts, "missing: "+strings.Join(s.Amount.Missing, ", "))
	}
	for _, o := range s.Beside {
		verdict := "disagrees"
		if o.Agrees {
			verdict = "agrees"
		}
		parts = append(parts, fmt.Sprintf("%s was said, which %s", figure(o.Said), verdict))
	}
	return strings.Join(append(parts, s.Source), "; ")
}

// hoses says how fast each leg ran where the bore of its hose is known.
func (b *board) hoses() {
	g := grid{title: "HOSES, gpm", heads: []string{"leg", "bore, in", "to begin with", "up to", "fastest"}, right: []int{1, 2, 3, 4}}
	for _, l := range b.s.Volume.Legs {
		if h := l.Hose; h.Limit.Known {
			g.add(l.ID, value(h.Bore), rounded(h.Start.Value, 0), rounded(h.Limit.Low, 0)+" to "+rounded(h.Limit.High, 0), value(h.Fastest))
		}
	}
	if len(g.rows) == 0 {
		return
	}
	b.table(g)
	b.para("to begin with: 1 m/s until the inlet is covered, then up to the higher by NFPA 77, the lower by IEC 60079-32-1 where sulfur is low and nobody knows the conductivity")
	for _, l := range b.s.Volume.Legs {
		if text := l.Hose.TooFast(); text != "" {
			b.para("leg %s: %s", l.ID, text)
		}
	}
}
