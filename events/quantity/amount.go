package quantity

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Qualifier says how a number was meant.
type Qualifier string

// The qualifiers. NotSaid is the zero value: no number was given at all.
const (
	NotSaid Qualifier = ""
	Exactly Qualifier = "="
	About   Qualifier = "about"
	Over    Qualifier = ">"     // the bound is the least it can be
	Under   Qualifier = "<"     // the bound is the most it can be, and it was less
	UpTo    Qualifier = "up to" // the bound is the most it can be
	Between Qualifier = "range" // low to high
)

// Amount is a quantity as it was entered. The zero Amount means "not said".
// Best, Low, High and U are in the unit as entered.
type Amount[Q Quantity] struct {
	Qual    Qualifier
	Best    float64 // the number said; for Between the middle
	Low     float64 // only for Between
	High    float64 // only for Between
	Unit    string  // as entered, or the canonical unit when none was entered
	U       float64 // standard uncertainty (one sigma) as stated; 0 means none was stated
	Assumed bool    // no unit was entered
	Words   string  // what followed the unit, e.g. "into pan"
}

// Of returns the exact amount v in the canonical unit of Q.
func Of[Q Quantity](v Q) Amount[Q] {
	return Amount[Q]{Qual: Exactly, Best: float64(v), Unit: v.Scale().Canonical()}
}

// Said reports whether a number was given.
func (a Amount[Q]) Said() bool { return a.Qual != NotSaid }

func (a Amount[Q]) convert(v float64) Q {
	if a.Assumed || math.IsInf(v, 0) {
		return Q(v)
	}
	u, ok := ScaleOf[Q]().Find(a.Unit)
	if !ok {
		return Q(v)
	}
	if u.Factor == 1 && u.Offset == 0 {
		return Q(v)
	}
	return Q(v*u.Factor + u.Offset)
}

// Value returns the best value in the canonical unit. For an amount that was not
// said it is NaN, so that it cannot pass for zero.
func (a Amount[Q]) Value() Q {
	if !a.Said() {
		return Q(math.NaN())
	}
	return a.convert(a.Best)
}

// Or returns the best value in the canonical unit, or other when nothing was said.
func (a Amount[Q]) Or(other Q) Q {
	if !a.Said() {
		return other
	}
	return a.convert(a.Best)
}

// Interval returns the bounds that the words allow, in the canonical unit:
// equal for an exact or "about" number, infinite on the open side of a bound,
// -Inf to +Inf when nothing was said.
func (a Amount[Q]) Interval() (low, high Q) {
	inf := math.Inf(1)
	switch a.Qual {
	case NotSaid:
		return Q(-inf), Q(inf)
	case Between:
		return a.convert(a.Low), a.convert(a.High)
	case Over:
		return a.convert(a.Best), Q(inf)
	case Under, UpTo:
		return Q(-inf), a.convert(a.Best)
	default:
		return a.convert(a.Best), a.convert(a.Best)
	}
}

// StdErr returns the stated standard uncertainty in the canonical unit, 0 when
// none was stated.
func (a Amount[Q]) StdErr() Q {
	u, ok := ScaleOf[Q]().Find(a.Unit)
	if !ok {
		return Q(a.U)
	}
	return Q(a.U * u.Factor)
}

// Fault returns what makes a impossible to have been measured: NaN, infinities, an
// unknown unit, a range upside down, a negative uncertainty. low and high bound
// the canonical value.
func (a Amount[Q]) Fault(low, high float64) error {
	if !a.Said() {
		return nil
	}
	for _, v := range []float64{a.Best, a.Low, a.High, a.U} {
		if err := Check(v); err != nil {
			return err
		}
	}
	s := ScaleOf[Q]()
	if _, ok := s.Find(a.Unit); !ok {
		return fmt.Errorf("unit %q is not one of %s", a.Unit, strings.Join(s.Symbols(), ", "))
	}
	if a.Assumed && a.Unit != s.Canonical() {
		return fmt.Errorf("unit %q cannot be assumed: a number without a unit is in %s", a.Unit, s.Canonical())
	}
	if a.Qual == Between && a.Low > a.High {
		return fmt.Errorf("%v is upside down: write the smaller number first", a)
	}
	if a.U < 0 {
		return fmt.Errorf("the doubt ±%v is negative", a.U)
	}
	vs := []Q{a.convert(a.Best)}
	if a.Qual == Between {
		vs = append(vs, a.convert(a.Low), a.convert(a.High))
	}
	for _, v := range vs {
		if float64(v) < low || float64(v) > high {
			return fmt.Errorf("%v is outside %s", a, Bounds(low, high, s.Canonical()))
		}
	}
	return nil
}

// Bounds writes a range of allowed values, e.g. "0 to 100 %".
func Bounds(low, high float64, unit string) string {
	return strings.TrimSpace(fmt.Sprintf("%s to %s %s", Digits(low), Digits(high), unit))
}

// Digits writes a number in plain decimals, as short as reads back to the same.
func Digits(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// String writes the amount as a scribe would: "about 5 gal into pan".
func (a Amount[Q]) String() string {
	if !a.Said() {
		return "not said"
	}
	var b strings.Builder
	switch a.Qual {
	case About:
		b.WriteString("about ")
	case Over:
		b.WriteString("over ")
	case Under:
		b.WriteString("under ")
	case UpTo:
		b.WriteString("up to ")
	}
	if a.Qual == Between {
		b.WriteString(Digits(a.Low) + " to " + Digits(a.High))
	} else {
		b.WriteString(Digits(a.Best))
	}
	if a.U > 0 {
		b.WriteString(" ± " + Digits(a.U))
	}
	for _, w := range []string{a.Unit, a.Words} {
		if w != "" {
			b.WriteString(" " + w)
		}
	}
	return b.String()
}
