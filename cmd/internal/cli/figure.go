package cli

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"tankside/projections"
)

// notRecorded stands where nothing was logged. It is never left blank and never 0.
const notRecorded = "not recorded"

// unknown stands for it in a narrow column.
const unknown = "?"

// digits writes a number for reading: a tenth from ten up, a hundredth below.
func digits(v float64) string {
	if math.Abs(v) >= 10 {
		return rounded(v, 1)
	}
	return rounded(v, 2)
}

// writer writes the numbers of a figure no finer than its doubt allows: to the
// second digit of the doubt.
func writer(f projections.Figure) func(float64) string {
	if f.U <= 0 {
		return digits
	}
	places := min(max(1-int(math.Floor(math.Log10(f.U))), 0), 3)
	return func(v float64) string { return rounded(v, places) }
}

// rounded writes a number to so many decimals, without empty ones, with commas
// between thousands.
func rounded(v float64, places int) string {
	s := strconv.FormatFloat(v, 'f', places, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
	}
	whole, rest, decimals := strings.Cut(strings.TrimPrefix(s, "-"), ".")
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	if decimals {
		whole += "." + rest
	}
	if strings.HasPrefix(s, "-") && whole != "0" {
		whole = "-" + whole
	}
	return whole
}

// value writes the best value of a figure for a column whose head says the unit.
func value(f projections.Figure) string {
	if !f.Known {
		if bound := bound(f, "<= ", ">= "); bound != "" {
			return bound
		}
		return unknown
	}
	switch text := writer(f)(f.Value); {
	case math.IsInf(f.Low, -1) && f.High == f.Value:
		return "<= " + text
	case math.IsInf(f.High, 1) && f.Low == f.Value:
		return ">= " + text
	default:
		return text
	}
}

// bound writes the bound that an unknown figure may have, "" when it has none.
func bound(f projections.Figure, most, least string) string {
	bounded := f.Low != 0 || f.High != 0
	switch {
	case bounded && !math.IsInf(f.High, 0):
		return most + digits(f.High)
	case bounded && !math.IsInf(f.Low, 0) && f.Low > 0:
		return least + digits(f.Low)
	}
	return ""
}

// figure writes a figure in full: its value, doubt or range, and unit; for one that
// is not known, what is missing.
func figure(f projections.Figure) string {
	if !f.Known {
		if bound := bound(f, "at most ", "at least "); bound != "" {
			return unitText(bound, f.Unit)
		}
		if len(f.Missing) == 0 {
			return notRecorded
		}
		return "not known: " + strings.Join(f.Missing, ", ")
	}
	write := writer(f)
	text := write(f.Value)
	if f.U > 0 {
		text += " ± " + write(f.U)
	}
	text = unitText(text, f.Unit)
	if f.Exactly() || math.IsInf(f.Low, 0) && math.IsInf(f.High, 0) {
		return text
	}
	return text + " (" + between(f) + ")"
}

func between(f projections.Figure) string {
	write := writer(f)
	switch {
	case math.IsInf(f.Low, 0):
		return "at most " + write(f.High)
	case math.IsInf(f.High, 0):
		return "at least " + write(f.Low)
	}
	return write(f.Low) + " to " + write(f.High)
}

// edge writes one bound of a figure, unknown where there is none.
func edge(f projections.Figure, v float64) string {
	if math.IsInf(v, 0) {
		return unknown
	}
	return writer(f)(v)
}

func unitText(number, unit string) string {
	return strings.TrimSpace(fmt.Sprintf("%s %s", number, unit))
}
