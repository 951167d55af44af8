// Package projections folds the entries of an incident into what people ask of
// it: who is in and for how long, how much is out and whether the numbers agree,
// what the air and the earth read, what was decided, told and handed over.
//
// Folds are pure: they read no clock and do no I/O, they never fail, and each
// number remembers the entries it came from. Whatever was not recorded is left
// unknown; it is never zero and never "not done".
package projections

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"

	"tankside/events"
)

// Figure is a number with its doubt and the entries it came from. The zero Figure
// is unknown.
type Figure struct {
	Known   bool
	Value   float64
	Low     float64 // -Inf where there is no lower bound
	High    float64 // +Inf where there is no upper bound
	U       float64 // standard uncertainty, one sigma; 0 where none is known
	Unit    string
	Method  string
	From    []events.Seq
	Missing []string // what would have to be known, when the figure is not
}

// Exact returns a known figure without doubt.
func Exact(v float64, unit, method string, from ...events.Seq) Figure {
	return Figure{Known: true, Value: v, Low: v, High: v, Unit: unit, Method: method, From: from}
}

// Range returns a known figure with a best value between bounds.
func Range(low, best, high float64, unit, method string, from ...events.Seq) Figure {
	return Figure{Known: true, Value: best, Low: low, High: high, Unit: unit, Method: method, From: from}
}

// Lacking returns an unknown figure that says what is missing.
func Lacking(unit string, missing ...string) Figure {
	return Figure{Low: math.Inf(-1), High: math.Inf(1), Unit: unit, Missing: missing}
}

// Plus returns f + g: bounds add up, doubts add in squares, and the sum is unknown
// where either is. The units must be the same.
func (f Figure) Plus(g Figure) Figure { return f.combine(g, 1, g.Low, g.High) }

// Minus returns f − g by interval arithmetic, as Plus.
func (f Figure) Minus(g Figure) Figure { return f.combine(g, -1, -g.High, -g.Low) }

func (f Figure) combine(g Figure, sign, low, high float64) Figure {
	if f.Unit != g.Unit {
		panic(fmt.Sprintf("projections: %s and %s cannot be added", f.Unit, g.Unit))
	}
	return Figure{
		Known: f.Known && g.Known, Value: f.Value + sign*g.Value, Low: f.Low + low, High: f.High + high,
		U: math.Hypot(f.U, g.U), Unit: f.Unit, Method: f.Method,
		From: union(f.From, g.From), Missing: slices.Concat(f.Missing, g.Missing),
	}
}

// As returns f with another method written on it.
func (f Figure) As(method string) Figure { f.Method = method; return f }

// Exactly reports whether the bounds leave only the value.
func (f Figure) Exactly() bool { return f.Known && f.Low == f.High }

// union merges two sorted lists of places in the log.
func union(a, b []events.Seq) []events.Seq {
	switch {
	case len(b) == 0 && ascending(a):
		return slices.Clip(a)
	case len(a) == 0 && ascending(b):
		return slices.Clip(b)
	}
	all := slices.Concat(a, b)
	slices.Sort(all)
	return slices.Compact(all)
}

// ascending reports whether a list that holds anything is in order, each place once.
func ascending(list []events.Seq) bool {
	for i := 1; i < len(list); i++ {
		if list[i] <= list[i-1] {
			return false
		}
	}
	return len(list) > 0
}

// MarshalJSON writes {value, low, high, u, unit, method, from, missing}; what is
// unknown is null.
func (f Figure) MarshalJSON() ([]byte, error) {
	type figure struct {
		Value   *float64     `json:"value"`
		Low     *float64     `json:"low"`
		High    *float64     `json:"high"`
		U       *float64     `json:"u"`
		Unit    string       `json:"unit"`
		Method  string       `json:"method,omitempty"`
		From    []events.Seq `json:"from"`
		Missing []string     `json:"missing,omitempty"`
	}
	out := figure{Unit: f.Unit, Method: f.Method, From: f.From, Missing: f.Missing}
	if out.From == nil {
		out.From = []events.Seq{}
	}
	if f.Known {
		out.Value = &f.Value
	} else if len(out.Missing) == 0 {
		out.Missing = []string{"not recorded"}
	}
	if f.Known || f.bounded() {
		out.Low, out.High = finite(f.Low), finite(f.High)
	}
	if f.U > 0 {
		out.U = &f.U
	}
	return json.Marshal(out)
}

// bounded reports whether an unknown figure still has a bound somebody set.
func (f Figure) bounded() bool { return f.Low != 0 || f.High != 0 }

func finite(v float64) *float64 {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return nil
	}
	return &v
}
