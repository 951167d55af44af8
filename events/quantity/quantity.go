// Package quantity gives the numbers of an incident their units as Go types, so
// that ohms cannot be passed for gallons and a gross gallon cannot be added to a
// net one.
//
// A bare type such as Gallons holds a value in its canonical unit. Amount holds
// what somebody said: the value or range as entered, the unit as entered, the
// qualifier (about, over, up to) and the words that followed. Nothing said is
// the zero Amount, which is never the number zero.
package quantity

import (
	"fmt"
	"math"
	"strings"
)

// Quantity is a float64 type that knows the scale it is measured on.
type Quantity interface {
	~float64
	// Scale returns the units in which the quantity may be entered.
	Scale() *Scale
}

// Unit is one way to write a quantity: canonical = entered × Factor + Offset.
type Unit struct {
	Symbol  string   // as printed, e.g. "gal"
	Aliases []string // other spellings that mean the same
	Factor  float64
	Offset  float64
}

// Scale is a dimension with its accepted units; the first is canonical.
type Scale struct {
	Name  string
	Units []Unit
}

// Canonical returns the symbol of the unit that bare values are held in.
func (s *Scale) Canonical() string { return s.Units[0].Symbol }

// Find returns the unit written as symbol. Spelling is matched exactly first,
// then without regard to case.
func (s *Scale) Find(symbol string) (Unit, bool) {
	for _, same := range []func(a, b string) bool{func(a, b string) bool { return a == b }, strings.EqualFold} {
		for _, u := range s.Units {
			if same(u.Symbol, symbol) {
				return u, true
			}
			for _, a := range u.Aliases {
				if same(a, symbol) {
					return u, true
				}
			}
		}
	}
	return Unit{}, false
}

// Symbols lists the accepted unit symbols, canonical first.
func (s *Scale) Symbols() []string {
	out := make([]string, len(s.Units))
	for i, u := range s.Units {
		out[i] = u.Symbol
	}
	return out
}

// ScaleOf returns the scale of Q.
func ScaleOf[Q Quantity]() *Scale { var q Q; return q.Scale() }

// Check refuses what no reading can be: NaN and infinities.
func Check(v float64) error {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return fmt.Errorf("quantity: %v is not a number that can be read or written down", v)
	}
	return nil
}
