package projections

import (
	"fmt"

	"tankside/events/quantity"
	"tankside/projections/calc/hose"
)

// HoseLimits are what a leg's hose may carry before the product charges itself, gal/min.
type HoseLimits struct {
	Bore Figure `json:"bore"` // in, as said
	// Start holds until the inlet of the receiver is covered.
	Start Figure `json:"start"`
	// Limit holds from then on: by NFPA 77, its low end by IEC 60079-32-1 for fuel of
	// low sulfur whose conductivity nobody knows.
	Limit Figure `json:"limit"`
	// Fastest is the greatest rate of the leg, between readings or over all of it.
	Fastest Figure `json:"fastest"`
}

// hoses works out what the hose of a leg may carry; unknown where nobody said its bore.
func (s *LegState) hoses() HoseLimits {
	h := HoseLimits{Bore: s.bore, Start: Lacking("gpm", "bore of the hose"), Limit: Lacking("gpm", "bore of the hose"), Fastest: s.Rate}
	for _, r := range s.Readings {
		if r.Rate.Known && (!h.Fastest.Known || r.Rate.Value > h.Fastest.Value) {
			h.Fastest = r.Rate
		}
	}
	if !s.bore.Known || s.bore.Value <= 0 {
		return h
	}
	bore := quantity.Inches(s.bore.Value)
	_, most := hose.Fastest(bore, hose.AnyNFPA)
	_, least := hose.Fastest(bore, hose.Least)
	h.Start = Exact(float64(hose.FlowAt(hose.Slow, bore)), "gpm", "1 m/s, NFPA 77", s.bore.From...)
	h.Limit = Range(float64(least), float64(most), float64(most), "gpm", "NFPA 77; low end IEC 60079-32-1", s.bore.From...)
	return h
}

// TooFast says that a leg ran faster than its hose may carry, "" where it did not.
func (h HoseLimits) TooFast() string {
	switch f := h.Fastest; {
	case !f.Known || !h.Limit.Known || f.Value <= h.Limit.Low:
		return ""
	case f.Value > h.Limit.Value:
		return fmt.Sprintf("%.0f gpm through a hose of %s in; NFPA 77 has up to %.0f once the inlet is covered", f.Value, quantity.Digits(h.Bore.Value), h.Limit.Value)
	default:
		return fmt.Sprintf("%.0f gpm through a hose of %s in; for fuel of low sulfur whose conductivity nobody knows IEC 60079-32-1 has up to %.0f, NFPA 77 up to %.0f",
			f.Value, quantity.Digits(h.Bore.Value), h.Limit.Low, h.Limit.Value)
	}
}
