package projections

import (
	"math"
	"slices"

	"tankside/events"
	"tankside/events/quantity"
)

// FigureOf returns what an amount says, in the canonical unit of its quantity: the
// bounds are those its words allow. An amount that was not said is unknown. The
// best value of a range is its middle, which nobody said: the method tells so.
func FigureOf[Q quantity.Quantity](a quantity.Amount[Q], method string, from ...events.Seq) Figure {
	unit := quantity.ScaleOf[Q]().Canonical()
	if !a.Said() {
		return Lacking(unit)
	}
	low, high := a.Interval()
	if a.Qual == quantity.Between {
		method = join(method, "middle of the range")
	}
	return Figure{
		Known: true, Value: float64(a.Value()), Low: float64(low), High: float64(high),
		U: float64(a.StdErr()), Unit: unit, Method: method, From: from,
	}
}

// Sum adds the figures that are known: bounds add up and doubts add in squares.
// Where one is not known the sum is the least it can be, has no upper bound and
// names what is missing; where none is known it is unknown. The sum of no figures
// is zero.
func Sum(unit, method string, terms []Figure) Figure {
	sum := Exact(0, unit, method)
	sum.Known = len(terms) == 0
	for _, f := range terms {
		sum.From = append(sum.From, f.From...)
		if !f.Known {
			sum.High = math.Inf(1)
			sum.Missing = append(sum.Missing, f.Missing...)
			continue
		}
		sum.Known = true
		sum.Value, sum.Low, sum.High, sum.U = sum.Value+f.Value, sum.Low+f.Low, sum.High+f.High, math.Hypot(sum.U, f.U)
	}
	slices.Sort(sum.From)
	sum.From = slices.Compact(sum.From)
	return sum
}

// Median returns the middle of the known figures, of an even number the mean of
// the two in the middle; unknown when none is known.
func Median(unit string, fs []Figure) Figure {
	known := slices.DeleteFunc(slices.Clone(fs), func(f Figure) bool { return !f.Known })
	if len(known) == 0 {
		return Lacking(unit)
	}
	slices.SortStableFunc(known, func(a, b Figure) int { return compare(a.Value, b.Value) })
	a, b := known[(len(known)-1)/2], known[len(known)/2]
	return Exact((a.Value+b.Value)/2, unit, "median", union(a.From, b.From)...)
}

func compare(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}
