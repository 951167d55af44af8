package cli

import (
	"math"
	"testing"

	"tankside/projections"
)

func TestFigures(t *testing.T) {
	doubtful := projections.Exact(3460.9, "gal", "")
	doubtful.U = 5.9
	rough := projections.Range(-82.8, 16.23, 151.1, "gal", "")
	rough.U = 57.71
	bounded := projections.Lacking("gal", "a dip")
	bounded.Low, bounded.High = 0, 3900
	for _, tt := range []struct {
		f             projections.Figure
		narrow, whole string
	}{
		{projections.Figure{}, "?", "not recorded"},
		{projections.Lacking("gal", "a dip"), "?", "not known: a dip"},
		{projections.Exact(0, "gal", ""), "0", "0 gal"},
		{projections.Exact(8636.44, "gal", ""), "8,636.4", "8,636.4 gal"},
		{projections.Exact(1000000, "", ""), "1,000,000", "1,000,000"},
		{projections.Exact(-0.001, "gal", ""), "0", "0 gal"},
		{projections.Exact(-1234.5, "gal", ""), "-1,234.5", "-1,234.5 gal"},
		{projections.Range(90, 100, 110, "min", ""), "100", "100 min (90 to 110)"},
		{projections.Range(math.Inf(-1), 3, 5, "min", ""), "3", "3 min (at most 5)"},
		{projections.Range(1, 3, math.Inf(1), "min", ""), "3", "3 min (at least 1)"},
		{doubtful, "3,460.9", "3,460.9 ± 5.9 gal"},
		{rough, "16", "16 ± 58 gal (-83 to 151)"},
		{projections.Range(math.Inf(-1), 1, 1, "%", ""), "<= 1", "1 % (at most 1)"},
		{bounded, "<= 3,900", "at most 3,900 gal"},
	} {
		if got := value(tt.f); got != tt.narrow {
			t.Errorf("value(%+v) = %q, want %q", tt.f, got, tt.narrow)
		}
		if got := figure(tt.f); got != tt.whole {
			t.Errorf("figure(%+v) = %q, want %q", tt.f, got, tt.whole)
		}
	}
}
