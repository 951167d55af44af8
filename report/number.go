package report

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"tankside/events"
	"tankside/projections"
)

// notRecorded stands wherever nothing was logged.
const notRecorded markdown = "*not recorded*"

// digits writes a number for reading: as it was said where two decimals hold it,
// else to a tenth from ten up and to a hundredth below.
func digits(v float64) string {
	places := 2
	if math.Abs(v) >= 10 && math.Abs(v*100-math.Round(v*100)) > 1e-6 {
		places = 1
	}
	return rounded(v, places)
}

// placesOf is how many decimals a number with the doubt u bears: those of the
// second digit of the doubt.
func placesOf(u float64) int {
	return min(max(1-int(math.Floor(math.Log10(u))), 0), 3)
}

// rounded writes a number to so many decimals, without empty ones, with commas
// between thousands.
func rounded(v float64, places int) string {
	s := strconv.FormatFloat(v, 'f', places, 64)
	whole, rest, _ := strings.Cut(s, ".")
	rest = strings.TrimRight(rest, "0")
	sign := ""
	if strings.HasPrefix(whole, "-") {
		sign, whole = "−", whole[1:]
	}
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	if rest != "" {
		rest = "." + rest
	}
	if whole+rest == "0" {
		sign = ""
	}
	return sign + whole + rest
}

// number writes a figure with its doubt, without the entries it came from.
func number(f projections.Figure) string {
	if !f.Known {
		return lacking(f)
	}
	write := writer(f)
	text := write(f.Value)
	least, most := !math.IsInf(f.Low, -1), !math.IsInf(f.High, 1)
	switch {
	case least && most && write(f.Low) == write(f.High):
		text += doubt(f) + unit(f.Unit)
	case least && most:
		text += doubt(f) + unit(f.Unit) + fmt.Sprintf(" (%s to %s)", write(f.Low), write(f.High))
	case least && f.Low == f.Value:
		text = "at least " + text + unit(f.Unit)
	case most && f.High == f.Value:
		text = "at most " + text + unit(f.Unit)
	case least:
		text += unit(f.Unit) + ", at least " + write(f.Low)
	case most:
		text += unit(f.Unit) + ", at most " + write(f.High)
	default:
		text = "about " + text + unit(f.Unit)
	}
	switch {
	case f.Unit == "min" && math.Abs(f.Value) >= 120:
		text += fmt.Sprintf(" (%s)", hours(f.Value))
	case f.Unit == "s" && math.Abs(f.Value) >= 3600:
		text += fmt.Sprintf(" (%s)", hours(f.Value/60))
	}
	return text
}

// writer writes the numbers of a figure no finer than its doubt allows.
func writer(f projections.Figure) func(float64) string {
	if f.U <= 0 {
		return digits
	}
	return func(v float64) string { return rounded(v, placesOf(f.U)) }
}

func doubt(f projections.Figure) string {
	if f.U > 0 {
		return " ± " + writer(f)(f.U)
	}
	return ""
}

// units are the symbols that print shows otherwise than the log.
var units = map[string]string{"F": "°F", "ohm": "Ω", "gal at 60 F": "gal net", "C": "°C", "L at 60 F": "L net"}

func unit(u string) string {
	if u == "" {
		return ""
	}
	if shown, ok := units[u]; ok {
		u = shown
	}
	return " " + string(escape(u))
}

// hours writes minutes as hours and minutes.
func hours(minutes float64) string {
	m := math.Round(minutes)
	return fmt.Sprintf("%.0f h %02.0f", math.Trunc(m/60), math.Abs(math.Mod(m, 60)))
}

// lacking says that a figure is not known, why, and the bound there may be.
func lacking(f projections.Figure) string {
	bounds := limits(f)
	if len(f.Missing) == 0 && len(bounds) == 0 {
		return string(notRecorded)
	}
	text := "*not computable*"
	if len(f.Missing) > 0 {
		text += "; missing: " + strings.Join(missing(f), ", ")
	}
	return strings.Join(append([]string{text}, bounds...), "; ")
}

// limits writes the bounds that there are of a figure that is not known.
func limits(f projections.Figure) (bounds []string) {
	if f.Low != 0 && !math.IsInf(f.Low, 0) {
		bounds = append(bounds, "at least "+digits(f.Low)+unit(f.Unit))
	}
	if f.High != 0 && !math.IsInf(f.High, 0) {
		bounds = append(bounds, "at most "+digits(f.High)+unit(f.Unit))
	}
	return bounds
}

// unexplained is a figure that does not say what it lacks where it has a bound to say: for
// where another beside it says what is missing.
func unexplained(f projections.Figure) projections.Figure {
	if len(limits(f)) > 0 {
		f.Missing = nil
	}
	return f
}

// missing names each thing that would have to be known once.
func missing(f projections.Figure) (out []string) {
	for _, m := range f.Missing {
		if text := string(escape(m)); text != "" && !slices.Contains(out, text) {
			out = append(out, text)
		}
	}
	return out
}

// brief is number for a cell of a table: what is missing is left to the row to say,
// and a stated doubt speaks for the bounds.
func brief(f projections.Figure) markdown {
	switch {
	case !f.Known && len(f.Missing) > 0:
		return "*not computable*"
	case f.Known && f.U > 0:
		f.Low, f.High = f.Value, f.Value
	}
	return markdown(number(f))
}

// anchor is the name under which the timeline holds an entry.
func anchor(s events.Seq) string { return "e" + strconv.FormatUint(uint64(s), 10) }

// link writes the number of an entry as a link to it.
func link(s events.Seq) string { return "[" + anchor(s) + "](#" + anchor(s) + ")" }

// score writes a number without a unit, such as a count of standard errors; a dash
// where there is none.
func score(v any, places int) (markdown, error) {
	switch v := v.(type) {
	case *float64:
		if v == nil {
			return "–", nil
		}
		return markdown(rounded(*v, places)), nil
	case float64:
		return markdown(rounded(v, places)), nil
	}
	return "", fmt.Errorf("score is for numbers, not for a %T", v)
}
