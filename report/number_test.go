package report

import (
	"math"
	"testing"

	"tankside/projections"
)

func with(v, u float64) projections.Figure {
	f := projections.Exact(v, "gal", "")
	f.U = u
	return f
}

func spread(f projections.Figure, low, high float64) projections.Figure {
	f.Low, f.High = low, high
	return f
}

func TestNumber(t *testing.T) {
	inf := math.Inf(1)
	doubtful := projections.Exact(8205, "gal", "")
	doubtful.U = 6.4
	bounded := projections.Lacking("gal", "load")
	bounded.High = 3900
	for _, tt := range []struct {
		name string
		f    projections.Figure
		want string
	}{
		{"exact", projections.Exact(8205, "gal", ""), "8,205 gal"},
		{"as said", projections.Exact(18.75, "gal", ""), "18.75 gal"},
		{"tenths", projections.Exact(8636.4217, "gal", ""), "8,636.4 gal"},
		{"hundredths", projections.Exact(0.15, "gpm", ""), "0.15 gpm"},
		{"zero", projections.Exact(0, "gal", ""), "0 gal"},
		{"hardly below zero", projections.Exact(-0.001, "gal", ""), "0 gal"},
		{"negative", projections.Exact(-1234.5, "gal", ""), "−1,234.5 gal"},
		{"million", projections.Exact(1234567, "gal", ""), "1,234,567 gal"},
		{"doubt", doubtful, "8,205 ± 6.4 gal"},
		{"no finer than its doubt", spread(with(16.23, 57.71), -82.8, 151.1), "16 ± 58 gal (−83 to 151)"},
		{"finer than a tenth", with(0.1234, 0.0123), "0.123 ± 0.012 gal"},
		{"a long delay", projections.Exact(30532, "s", ""), "30,532 s (8 h 29)"},
		{"range", projections.Range(2800, 3000, 3200, "gal", ""), "3,000 gal (2,800 to 3,200)"},
		{"at least", projections.Range(1500, 1500, inf, "gal", ""), "at least 1,500 gal"},
		{"at most", projections.Range(-inf, 3400, 3400, "gal", ""), "at most 3,400 gal"},
		{"best and a floor", projections.Range(100, 200, inf, "gal", ""), "200 gal, at least 100"},
		{"best and a roof", projections.Range(-inf, 200, 300, "gal", ""), "200 gal, at most 300"},
		{"no bound at all", projections.Range(-inf, 200, inf, "gal", ""), "about 200 gal"},
		{"long", projections.Exact(548, "min", ""), "548 min (9 h 08)"},
		{"short", projections.Exact(97.5, "min", ""), "97.5 min"},
		{"heat", projections.Exact(62, "F", ""), "62 °F"},
		{"count", projections.Exact(8, "", ""), "8"},
		{"nothing", projections.Figure{}, "*not recorded*"},
		{"missing", projections.Lacking("gal", "load", "load", "heel"), "*not computable*; missing: load, heel"},
		{"missing with a bound", bounded, "*not computable*; missing: load; at most 3,900 gal"},
	} {
		if got := number(tt.f); got != tt.want {
			t.Errorf("%s: number(%+v) = %q, want %q", tt.name, tt.f, got, tt.want)
		}
	}
}
