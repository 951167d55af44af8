package console

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"tankside/projections"
)

// notSaid stands for what nobody logged. It is never left blank and never 0.
const notSaid = "not said"

// number writes a value no finer than its doubt allows, with commas between thousands.
func number(f projections.Figure) string {
	if !f.Known {
		return notSaid
	}
	places := 2
	switch {
	case f.U > 0:
		places = min(max(1-int(math.Floor(math.Log10(f.U))), 0), 2)
	case math.Abs(f.Value) >= 100:
		places = 0
	case math.Abs(f.Value) >= 10:
		places = 1
	}
	return digits(f.Value, places)
}

// digits writes v to so many places, without empty ones.
func digits(v float64, places int) string {
	text := strconv.FormatFloat(v, 'f', places, 64)
	whole, rest, _ := strings.Cut(text, ".")
	sign := ""
	if strings.HasPrefix(whole, "-") {
		sign, whole = "−", whole[1:]
	}
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	if rest = strings.TrimRight(rest, "0"); rest != "" {
		rest = "." + rest
	}
	if whole+rest == "0" {
		sign = ""
	}
	return sign + whole + rest
}

// amount writes a figure with its unit; what is an estimate says about.
func amount(f projections.Figure) string {
	if !f.Known {
		return notSaid
	}
	text := number(f) + unit(f.Unit)
	if !f.Exactly() && f.U == 0 {
		return "about " + text
	}
	return text
}

// band writes a figure with its doubt, or with the bounds it lies in.
func band(f projections.Figure) string {
	switch {
	case !f.Known && !math.IsInf(f.Low, 0) && f.Low > 0:
		return "at least " + digits(f.Low, 0) + unit(f.Unit)
	case !f.Known:
		return notSaid
	case f.U > 0:
		return number(f) + " ± " + digits(f.U, max(0, 1-int(math.Floor(math.Log10(f.U))))) + unit(f.Unit)
	case f.Exactly() || math.IsInf(f.Low, 0) || math.IsInf(f.High, 0):
		return amount(f)
	}
	return number(f) + unit(f.Unit) + " (" + digits(f.Low, 0) + " to " + digits(f.High, 0) + ")"
}

// figure writes a figure for who has two seconds: in whole numbers of the first digit of
// its doubt, with the doubt.
func figure(f projections.Figure) string {
	if !f.Known || f.U <= 0 {
		return number(f)
	}
	places := max(0, -int(math.Floor(math.Log10(f.U))))
	return digits(f.Value, places) + " ± " + digits(f.U, places)
}

// briefly is such a figure with its unit.
func briefly(f projections.Figure) string {
	if f.Known && f.U > 0 {
		return figure(f) + unit(f.Unit)
	}
	return band(f)
}

// units are the symbols that a screen shows otherwise than the log.
var units = map[string]string{"": "", "F": " °F", "ohm": " Ω", "gal at 60 F": " gal net", "%": " %"}

func unit(u string) string {
	if shown, ok := units[u]; ok {
		return shown
	}
	return " " + u
}

// span writes minutes as a person says them: 8 min, 3 h 10, 30 days.
func span(minutes float64) string {
	m := int(math.Round(math.Abs(minutes)))
	switch {
	case m < 120:
		return fmt.Sprintf("%d min", m)
	case m >= 48*60:
		return fmt.Sprintf("%d days", (m+12*60)/(24*60))
	}
	return fmt.Sprintf("%d h %02d", m/60, m%60)
}

// since writes how long before now something was.
func since(now, t time.Time) string { return span(now.Sub(t).Minutes()) }

// plural writes a count with its noun.
func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// offset writes the zone of t: UTC−5, UTC+5:30.
func offset(t time.Time) string {
	_, s := t.Zone()
	sign := '+'
	if s < 0 {
		sign, s = '−', -s
	}
	text := fmt.Sprintf("UTC%c%d", sign, s/3600)
	if m := s % 3600 / 60; m > 0 {
		text += fmt.Sprintf(":%02d", m)
	}
	return text
}
