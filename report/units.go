package report

import (
	"math"
	"reflect"
	"regexp"
	"strconv"
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

// inMetric is the state in SI: every figure and limit of it, what the balances count, and
// the sentences. Sentences of ours follow the unit; what somebody said stays as it was
// said, with what it is in SI in brackets.
func inMetric(s projections.State) projections.State {
	s = rewritten(rewriter{text: besideMetric, ours: ourWords, own: metricWords, figure: toMetric, limit: limitToMetric}, s)
	litres := strings.NewReplacer("gallons", "litres")
	s.Volume.Basis = litres.Replace(s.Volume.Basis)
	for i := range s.Volume.Balances { // a copy of our own by now
		s.Volume.Balances[i].Basis = litres.Replace(s.Volume.Balances[i].Basis)
	}
	return s
}

// ourWords are the texts of the state that the program writes, by type and field. All
// others may be somebody's.
var ourWords = map[reflect.Type][]string{
	reflect.TypeFor[projections.Figure]():      {"Method", "Missing"},
	reflect.TypeFor[projections.Finding]():     {"Statement", "Method", "Clears", "Confidence"},
	reflect.TypeFor[projections.Question]():    {"What", "Why", "WayOut"},
	reflect.TypeFor[projections.Balance]():     {"Verdict"},
	reflect.TypeFor[projections.VolumeState](): {"Verdict"},
	reflect.TypeFor[projections.Note]():        {"Text"},
	reflect.TypeFor[projections.Due]():         {"What", "Subject"},
	reflect.TypeFor[projections.Alarm]():       {"Statement"},
}

// amountSaid is a number, or a range or a number with its doubt, with a unit that SI has
// another for. An inch is left out: "2 in" is two people in.
var amountSaid = regexp.MustCompile(`(^|[^\pL\pN.,−-])([−-]?[0-9][0-9,]*(?:\.[0-9]+)?)(?: (to|±|and|or|by) ([−-]?[0-9][0-9,]*(?:\.[0-9]+)?))? ?(gal at 60 F|gal net|gal|gallons|gpm/ft2|gpm|psi/min|psi|ft2|ft|feet|yd3|mph|miles|mi|lb/gal|lb|pounds|°F|F)($|[^\pL\pN/])`)

// spoken are the units of sentences by the name that the conversions know.
var spoken = map[string]string{"gallons": "gal", "feet": "ft", "miles": "mi", "pounds": "lb", "°F": "F", "gal net": "gal at 60 F"}

// metricWords turns the amounts of a sentence.
func metricWords(text string) string {
	return turned(text, func(_, metric string) string { return metric })
}

// besideMetric puts what the amounts of a sentence are in SI behind them, in brackets.
func besideMetric(text string) string {
	return turned(text, func(said, metric string) string { return said + " (" + metric + ")" })
}

// turned puts in the place of each amount of a text what write makes of it.
func turned(text string, write func(said, metric string) string) string {
	var b strings.Builder
	for {
		m := amountSaid.FindStringSubmatchIndex(text)
		if m == nil {
			return b.String() + text
		}
		part := func(n int) string {
			if m[2*n] < 0 {
				return ""
			}
			return text[m[2*n]:m[2*n+1]]
		}
		start, end := m[4], m[11]
		metric, ok := inSI(part(2), part(3), part(4), part(5), strings.HasSuffix(text[:start], "each "))
		if standard := part(2) == "60" && part(5) == "F" && strings.HasSuffix(text[:start], "at "); !ok || standard {
			b.WriteString(text[:end])
		} else {
			b.WriteString(text[:start] + write(text[start:end], metric))
		}
		text = text[end:]
	}
}

// inSI writes a number, or two with a word between, in the unit that SI has for theirs; a
// difference of temperatures has no zero to move.
func inSI(first, word, second, unit string, difference bool) (string, bool) {
	c, ok := metric[either(spoken[unit], unit)]
	if !ok {
		return "", false
	}
	if difference {
		c.plus = 0
	}
	out, ok := numberInSI(first, c)
	if second != "" && ok {
		if word == "±" {
			c.plus = 0
		}
		var more string
		more, ok = numberInSI(second, c)
		out += " " + word + " " + more
	}
	return out + " " + c.unit, ok
}

// numberInSI turns a number, with as many digits as it has, three at least.
func numberInSI(said string, c conversion) (string, bool) {
	v, err := strconv.ParseFloat(strings.NewReplacer(",", "", "−", "-").Replace(said), 64)
	if err != nil {
		return "", false
	}
	v = v*c.by + c.plus
	digits := max(3, len(strings.Trim(strings.NewReplacer(",", "", ".", "", "−", "", "-", "").Replace(said), "0")))
	places := 0
	if v != 0 {
		places = max(0, digits-1-int(math.Floor(math.Log10(math.Abs(v)))))
	}
	return rounded(v, places), true
}
