package projections

import (
	"fmt"
	"slices"

	"tankside/events"
	"tankside/events/quantity"
	"tankside/projections/calc/air"
)

// sensorSet is what a combustible sensor is calibrated on, which decides what it shows
// of fuel.
type sensorSet struct {
	at         Moment
	instrument string // "" for all
	gas        string
	factor     Figure // as somebody gave it
}

func (a *Air) setting(e *events.Entry, instrument, gas string, factor quantity.Amount[quantity.Ratio]) {
	if gas != "" || factor.Said() {
		a.set = append(a.set, sensorSet{MomentOf(e), instrument, gas, FigureOf(factor, "", e.Seq)})
	}
}

// setFor is how the sensor of a reading was set at the time, nil where nobody said.
func (a *Air) setFor(r *AirReading) *sensorSet {
	for i, s := range slices.Backward(a.set) {
		if !s.at.Best.After(r.At.Best) && (s.instrument == "" || s.instrument == r.Instrument) {
			return &a.set[i]
		}
	}
	return nil
}

// correct writes beside what combustible sensors showed what that means in the fuel
// of the load, and holds that to the action level.
func (inc *Incident) correct(series []AirSeries) {
	fuel := map[bool]string{true: "gasoline"}[inc.gasoline()]
	for i := range series {
		s := &series[i]
		if s.Quantity != "LEL" {
			continue
		}
		for j := range s.Readings {
			r := &s.Readings[j]
			set := inc.Air.setFor(r)
			if set == nil {
				continue
			}
			if r.Corrected = set.corrected(r.Value, fuel); r.Corrected == nil || r.Limit == nil {
				continue
			}
			if over := past(s.Quantity, Exact(r.Corrected.Value, "%", ""), *r.Limit); over != r.Over {
				r.Over = over
				s.Over += map[bool]int{true: 1, false: -1}[over]
			}
		}
	}
}

// corrected is a share of the limit as shown turned into that of the fuel, by the
// factor that was given or else by the table; nil where neither is known.
func (s *sensorSet) corrected(shown Figure, fuel string) *Figure {
	low, mid, high, by := s.factor.Value, s.factor.Value, s.factor.Value, "as given"
	if !s.factor.Known {
		f, ok := air.FactorFor(fuel, s.gas)
		if !ok {
			return nil
		}
		low, high = f.Bounds()
		mid, by = f.Mid(), f.Source+", "+f.Status
	}
	method := fmt.Sprintf("shown times %s (%s)", quantity.Digits(mid), by)
	if s.gas != "" {
		method += ", calibrated on " + s.gas
	}
	out := Range(shown.Low*low, shown.Value*mid, shown.High*high, "%", method, union(shown.From, s.at.From)...)
	return &out
}
