package report

import (
	"encoding/json"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tankside/events"
)

// figure is a number with its unit and the entries it came from.
type figure struct {
	value float64
	u     float64
	unit  string
	from  []events.Seq
}

// stateFigures finds every known figure of the state JSON.
func stateFigures(v any) (out []figure) {
	switch v := v.(type) {
	case []any:
		for _, e := range v {
			out = append(out, stateFigures(e)...)
		}
	case map[string]any:
		value, known := v["value"].(float64)
		unit, isFigure := v["unit"].(string)
		if !known || !isFigure {
			for _, e := range v {
				out = append(out, stateFigures(e)...)
			}
			return out
		}
		f := figure{value: value, unit: unit}
		f.u, _ = v["u"].(float64)
		for _, s := range v["from"].([]any) {
			f.from = append(f.from, events.Seq(s.(float64)))
		}
		out = append(out, f)
	}
	return out
}

// printedFigure is a number with its unit, what may stand in brackets after it,
// and either the end of a cell or the first entry it came from.
var printedFigure = regexp.MustCompile(`(?:[|:,] |\*\*)\**(−?[\d,]+(?:\.\d+)?)(?: ± [\d.,]+)? (gal net|gal|min|psi/min|psi|ppm|%|Ω|gpm|lb|ft|in|°F|mph)(?: \([^)|]*\))?(?: \||\x{a0}\[e(\d+))`)

// logUnit is the unit of the state that print shows otherwise.
var logUnit = map[string]string{"gal net": "gal at 60 F", "Ω": "ohm", "°F": "F"}

// printedFigures finds the figures in a report above its timeline.
func printedFigures(t *testing.T, md string) (out []figure) {
	t.Helper()
	body, _, _ := strings.Cut(md, "## Appendix A")
	// Cells share their borders, so each is looked at with a border of its own.
	for _, m := range printedFigure.FindAllStringSubmatch(strings.ReplaceAll(body, " | ", " | | "), -1) {
		v, err := strconv.ParseFloat(strings.NewReplacer(",", "", "−", "-").Replace(m[1]), 64)
		if err != nil {
			t.Fatal(err)
		}
		f := figure{value: v, unit: m[2]}
		if u, ok := logUnit[m[2]]; ok {
			f.unit = u
		}
		if m[3] != "" {
			n, _ := strconv.ParseUint(m[3], 10, 64)
			f.from = []events.Seq{events.Seq(n)}
		}
		out = append(out, f)
	}
	return out
}

// holds reports whether a printed figure is one of the state's: the same number to
// the digits that its doubt bears, the same unit, the same first entry.
func holds(state []figure, p figure) bool {
	return slices.ContainsFunc(state, func(s figure) bool {
		half := 0.005
		switch {
		case s.u > 0:
			half = math.Pow10(-placesOf(s.u)) / 2
		case math.Abs(p.value) >= 10:
			half = 0.05
		}
		return s.unit == p.unit && math.Abs(s.value-p.value) <= half+1e-9 && (len(p.from) == 0 || len(s.from) > 0 && s.from[0] == p.from[0])
	})
}

// TestFiguresAreTheState: a number on paper is the number in the state JSON, with
// the entries it came from.
func TestFiguresAreTheState(t *testing.T) {
	for _, g := range goldens[:2] {
		d := built(g.log(t), events.View{})
		b, err := json.Marshal(d.State)
		if err != nil {
			t.Fatal(err)
		}
		var state any
		if err := json.Unmarshal(b, &state); err != nil {
			t.Fatal(err)
		}
		want, got := stateFigures(state), printedFigures(t, markdownOf(t, d))
		if len(got) < 150 {
			t.Errorf("%s: found %d figures in the report, expected hundreds", g.name, len(got))
		}
		for _, p := range got {
			if !holds(want, p) {
				t.Errorf("%s: the report prints %g %s from %v, which is no figure of the state", g.name, p.value, p.unit, p.from)
			}
		}
	}
}

// TestTables: every table has its border line, as many cells in each row as in
// its head, and empty lines around it.
func TestTables(t *testing.T) {
	for _, g := range goldens {
		lines := strings.Split(markdownOf(t, built(g.log(t), events.View{})), "\n")
		tables := 0
		for i := 0; i < len(lines); i++ {
			if !strings.HasPrefix(lines[i], "|") {
				continue
			}
			tables++
			if lines[i-1] != "" {
				t.Errorf("%s: line %d: table begins below %q", g.name, i+1, lines[i-1])
			}
			cells := borders(lines[i])
			if strings.Trim(lines[i+1], "|-:") != "" {
				t.Errorf("%s: line %d: no border below the head of the table: %q", g.name, i+2, lines[i+1])
			}
			for ; strings.HasPrefix(lines[i], "|"); i++ {
				if borders(lines[i]) != cells || !strings.HasSuffix(lines[i], "|") {
					t.Errorf("%s: line %d: %d borders, the head has %d: %q", g.name, i+1, borders(lines[i]), cells, lines[i])
				}
			}
			if lines[i] != "" {
				t.Errorf("%s: line %d: table ends above %q", g.name, i+1, lines[i])
			}
		}
		if tables == 0 {
			t.Errorf("%s: no table found", g.name)
		}
	}
}

// borders counts the borders of a row: bars that are not escaped.
func borders(line string) int {
	return strings.Count(line, "|") - strings.Count(line, `\|`)
}
