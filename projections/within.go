package projections

import (
	"math"
	"slices"
	"strings"
)

// within writes a figure of gallons with its bounds and doubt for a sentence.
func within(f Figure) string {
	if !f.Known {
		return strings.TrimSpace("not computable; missing: " + strings.Join(distinct(f.Missing), ", ") + bounds(f))
	}
	text := gallons(f.Value)
	switch {
	case math.IsInf(f.Low, 0) && !math.IsInf(f.High, 0) && near(f.High, f.Value):
		text = "at most " + text
	case math.IsInf(f.High, 0) && !math.IsInf(f.Low, 0) && near(f.Low, f.Value):
		text = "at least " + text
	case !near(f.Low, f.High) && f.beyond():
		text += " (" + between(f) + ")"
	}
	if f.U > 0 {
		text += " ± " + gallons(f.U)
	}
	return text
}

// beyond reports whether the bounds reach further than the doubt: bounds that lie
// inside it would read as if the amount were known to between them.
func (f Figure) beyond() bool { return f.Low < f.Value-f.U || f.High > f.Value+f.U }

func near(a, b float64) bool { return math.Abs(a-b) < 0.5 }

// bounds writes what is known of an unknown figure: "; at most 516 gal".
func bounds(f Figure) string {
	if math.IsInf(f.Low, 0) && math.IsInf(f.High, 0) || f.Low == 0 && math.IsInf(f.High, 0) {
		return ""
	}
	return "; " + between(f)
}

func between(f Figure) string {
	switch {
	case math.IsInf(f.Low, 0) && math.IsInf(f.High, 0):
		return "no bounds"
	case math.IsInf(f.Low, 0):
		return "at most " + gallons(f.High)
	case math.IsInf(f.High, 0):
		return "at least " + gallons(f.Low)
	}
	return "between " + gallons(f.Low) + " and " + gallons(f.High)
}

// distinct drops repeats and keeps the order.
func distinct(list []string) []string {
	var out []string
	for _, s := range list {
		if !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	return out
}
