package cylinder

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"tankside/events/quantity"
)

var (
	saidMinutes = regexp.MustCompile(`\b([0-9]+) ?-?(?:m|min|mins|minutes?)\b`)
	saidPSI     = regexp.MustCompile(`\b([0-9]+) ?-?(?:psi|lb|pounds?)\b`)
	saidVessel  = regexp.MustCompile(`\b([0-9]+(?:\.[0-9]+)?) ?-?(?:l|litres?|liters?)\b.*?\b([0-9]+) ?-?bar\b`)
)

// Find returns the bottle that words name: by its rated minutes, with the pressure
// where two have the same ("30 min 2216 psi"), or by water volume and pressure ("6.8 L
// 300 bar"). Of two with the same minutes and no pressure said it is the one that
// holds read, the highest pressure anybody read off one, or else the 4500 psi one.
func Find(words string, read quantity.PSI) (Type, bool) {
	said := strings.ToLower(strings.ReplaceAll(words, ",", ""))
	if m := saidVessel.FindStringSubmatch(said); m != nil {
		return vessel(number(m[1]), number(m[2]))
	}
	m := saidMinutes.FindStringSubmatch(said)
	if m == nil {
		if n, err := strconv.ParseFloat(strings.TrimSpace(said), 64); err == nil && n <= 120 {
			m = []string{"", fmt.Sprint(n)} // "45" alone
		} else {
			return Type{}, false
		}
	}
	full := 0.0
	if p := saidPSI.FindStringSubmatch(said); p != nil {
		full = number(p[1])
	}
	var found Type
	for _, t := range Types {
		fits := float64(t.Rated) == number(m[1]) && (full == 0 || full == float64(t.Full))
		if fits && (found.Full == 0 || full == 0 && (read == 0 || read > found.Full)) {
			found = t
		}
	}
	return found, found.Full > 0
}

// Pressure returns the pressure that words name ("turn back at 2,000 psi").
func Pressure(words string) (quantity.PSI, bool) {
	m := saidPSI.FindStringSubmatch(strings.ToLower(strings.ReplaceAll(words, ",", "")))
	if m == nil {
		return 0, false
	}
	return quantity.PSI(number(m[1])), true
}

// vessel is a bottle by its water volume in litres and its pressure in bar.
func vessel(water, bar float64) (Type, bool) {
	v := FreeAir(water, bar)
	t := Type{
		Name: fmt.Sprintf("%g L at %g bar", water, bar), Rated: Lasts(v, RatedBreath), Full: quantity.PSI(bar * PSIPerBar), Litres: v,
		Source: "water volume times pressure",
	}
	return t, t.Check() == nil
}

func number(s string) float64 {
	v, _ := strconv.ParseFloat(s, 64) // the patterns let nothing else through
	return v
}
