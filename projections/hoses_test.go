package projections

import (
	"math"
	"strings"
	"testing"

	"tankside/events/kinds"
	"tankside/events/quantity"
)

// A 3 in hose may carry 72.28 gpm to begin with and 474.30 from then on by NFPA 77,
// 237.15 by IEC 60079-32-1 at the least.
func TestHoseLimits(t *testing.T) {
	leg := func(gallons, bore string) VolumeState {
		on := kinds.PumpOn{Leg: "L1", From: "C1", To: "R1", Start: parsed[quantity.Gallons](t, "0 gal")}
		if bore != "" {
			on.Bore = parsed[quantity.Inches](t, bore)
		}
		return volumeOf(t, line{"09:00", "C1 to R1", on}, line{"09:10", "C1 to R1", kinds.PumpOff{Leg: "L1", Meter: parsed[quantity.Gallons](t, gallons)}})
	}
	for _, c := range []struct{ gallons, bore, says string }{
		{"2000 gal", "3 in", ""}, {"2500 gal", "3 in", "IEC 60079-32-1 has up to 237, NFPA 77 up to 474"},
		{"5000 gal", "3 in", "500 gpm through a hose of 3 in; NFPA 77 has up to 474"}, {"5000 gal", "", ""},
	} {
		s := leg(c.gallons, c.bore)
		var notes []string
		for _, n := range s.Notes {
			if strings.Contains(n.Text, "hose") {
				notes = append(notes, n.Text)
			}
		}
		if got := strings.Join(notes, "; "); c.says == "" && got != "" || !strings.Contains(got, c.says) {
			t.Errorf("%s through %q: %q; want %q", c.gallons, c.bore, got, c.says)
		}
		h := s.Legs[0].Hose
		if c.bore == "" {
			if h.Limit.Known || h.Start.Known || h.Limit.Missing[0] != "bore of the hose" {
				t.Errorf("no bore said: %+v", h)
			}
			continue
		}
		if math.Abs(h.Start.Value-72.2833) > 1e-3 || math.Abs(h.Limit.Value-474.2998) > 1e-3 || math.Abs(h.Limit.Low-237.15) > 1e-2 {
			t.Errorf("3 in: %+v; want 72.28, 237.15 and 474.30", h)
		}
	}
}
