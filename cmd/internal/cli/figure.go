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

// digits writes a number for reading: a tenth from ten up, a hundredth below, with
// commas between thousands.
func digits(v float64) string {
	places := 2
	if math.Abs(v) >= 10 {
		places = 1
	}
	s := strconv.FormatFloat(v, 'f', places, 64)
	s = strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
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
	return digits(f.Value)
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
	text := digits(f.Value)
	if f.U > 0 {
		text += " ± " + digits(f.U)
	}
	text = unitText(text, f.Unit)
	if f.Exactly() || math.IsInf(f.Low, 0) && math.IsInf(f.High, 0) {
		return text
	}
	return text + " (" + between(f) + ")"
}

func between(f projections.Figure) string {
	switch {
	case math.IsInf(f.Low, 0):
		return "at most " + digits(f.High)
	case math.IsInf(f.High, 0):
		return "at least " + digits(f.Low)
	}
	return digits(f.Low) + " to " + digits(f.High)
}

// edge writes one bound of a figure, unknown where there is none.
func edge(v float64) string {
	if math.IsInf(v, 0) {
		return unknown
	}
	return digits(v)
}

func unitText(number, unit string) string {
	return strings.TrimSpace(fmt.Sprintf("%s %s", number, unit))
}
