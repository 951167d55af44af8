package report

import (
	"math"
	"strings"

	"tankside/projections"
)

// Units is the system that the figures of a report are in.
type Units string

// The systems of units. What was said stays in the units it was said in.
const (
	US Units = "us"
	SI Units = "si"
)

// conversion turns a unit of the log into one of SI or used with it: times by, plus.
type conversion struct {
	unit     string
	by, plus float64
}

// metric holds the conversions. The factors are exact: NIST Special Publication 811,
// 2008 edition, appendix B.8, and for the gallon 231 cubic inches.
var metric = map[string]conversion{
	"gal":         {"L", 3.785411784, 0},
	"gal at 60 F": {"L at 60 F", 3.785411784, 0},
	"gpm":         {"L/min", 3.785411784, 0},
	"psi":         {"kPa", 6.894757293168361, 0},
	"psi/min":     {"kPa/min", 6.894757293168361, 0},
	"ft":          {"m", 0.3048, 0},
	"in":          {"mm", 25.4, 0},
	"ft2":         {"m2", 0.09290304, 0},
	"gpm/ft2":     {"L/min/m2", 3.785411784 / 0.09290304, 0},
	"yd3":         {"m3", 0.764554857984, 0},
	"mph":         {"km/h", 1.609344, 0},
	"mi":          {"km", 1.609344, 0},
	"lb":          {"kg", 0.45359237, 0},
	"lb/gal":      {"kg/L", 0.45359237 / 3.785411784, 0},
	"F":           {"C", 5.0 / 9, -160.0 / 9},
}

// toMetric writes a figure in SI, its bounds and its doubt with it.
func toMetric(f *projections.Figure) {
	c, ok := metric[f.Unit]
	if !ok {
		return
	}
	f.Unit = c.unit
	if f.Known {
		f.Value = f.Value*c.by + c.plus
	}
	f.Low, f.High = bound(f.Low, *f, c), bound(f.High, *f, c)
	f.U *= c.by
}

// bound converts a bound. Nothing on an unknown figure stays nothing: it says that
// there is no bound.
func bound(v float64, f projections.Figure, c conversion) float64 {
	if math.IsInf(v, 0) || !f.Known && v == 0 {
		return v
	}
	return v*c.by + c.plus
}

func limitToMetric(t *projections.Threshold) {
	if c, ok := metric[t.Unit]; ok {
		t.Unit, t.Value = c.unit, t.Value*c.by+c.plus
	}
}

// inMetric is the state in SI: every figure and limit of it, and what the balances count.
// Sentences stay as they were said or worked out: turned, their rounded numbers would no
// longer fit the figures.
func inMetric(s projections.State) projections.State {
	s = rewritten(rewriter{figure: toMetric, limit: limitToMetric}, s)
	litres := strings.NewReplacer("gallons", "litres")
	s.Volume.Basis = litres.Replace(s.Volume.Basis)
	for i := range s.Volume.Balances { // a copy of our own by now
		s.Volume.Balances[i].Basis = litres.Replace(s.Volume.Balances[i].Basis)
	}
	return s
}
