package quantity

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
)

// Parse reads an amount as it is written in a log: an optional qualifier, a
// number or a range, an optional "± doubt", an optional unit and any words.
//
//	5 gal into pan      about 3 gpm      2800 to 3200 gal      up to 3400 gal
//	3830 ± 30 gal       +250 s           1,240                 > 1500 gal
//	38 1/4 in           3/4 in
//
// A comma is a thousands mark and nothing else: "1,5" is refused, since it would be
// read as 15. A number without a unit gets the
// canonical unit, marked Assumed. It fails when there is no number, and when the
// word after the number is a unit of something else.
func Parse[Q Quantity](s string) (Amount[Q], error) {
	var a Amount[Q]
	rest := strings.TrimSpace(s)
	a.Qual, rest = leadingQualifier(rest)
	v, rest, ok := leadingNumber(rest)
	switch {
	case !ok && digits(rest) > 0:
		return Amount[Q]{}, fmt.Errorf("%q does not begin with a number that can be read; write it as 1240 or 1,240, 1.5 with a point, or 38 1/4", s)
	case !ok:
		return Amount[Q]{}, fmt.Errorf("%q does not begin with a number; %s", s, ScaleOf[Q]().writeAs())
	}
	a.Best = v
	if hi, after, ok := rangeEnd(rest); ok {
		if a.Qual != Exactly {
			return Amount[Q]{}, fmt.Errorf("%q has both %q and a range; leave one out", s, a.Qual)
		}
		a.Qual, a.Low, a.High, a.Best, rest = Between, v, hi, v+(hi-v)/2, after
	}
	if u, after, ok := plusMinus(rest); ok {
		a.U, rest = u, after
	}
	a.Unit, a.Words, a.Assumed = splitUnit(ScaleOf[Q](), rest)
	if a.Assumed {
		if other := foreignUnit(ScaleOf[Q](), a.Words); other != "" {
			return Amount[Q]{}, fmt.Errorf("%q is in %s, which is not a %s; use %s", s, other, ScaleOf[Q]().Name, strings.Join(ScaleOf[Q]().Symbols(), ", "))
		}
	}
	return a, a.Fault(math.Inf(-1), math.Inf(1))
}

// writeAs is how an amount on the scale is written.
func (s *Scale) writeAs() string {
	if unit := s.Canonical(); unit != "" {
		return fmt.Sprintf("write it as \"12 %s\"", unit)
	}
	return "write a number first, such as 12, and any words after it"
}

var qualifierWords = []struct {
	word string
	q    Qualifier
}{
	{"about", About}, {"around", About}, {"~", About}, {"approx.", About}, {"approx", About},
	{"more than", Over}, {"over", Over}, {"at least", Over}, {">", Over},
	{"less than", Under}, {"under", Under}, {"<", Under},
	{"up to", UpTo}, {"at most", UpTo},
}

func leadingQualifier(s string) (Qualifier, string) {
	low := strings.ToLower(s)
	for _, w := range qualifierWords {
		if rest, ok := strings.CutPrefix(low, w.word); ok {
			letter := unicode.IsLetter(rune(w.word[len(w.word)-1]))
			if !letter || strings.HasPrefix(rest, " ") {
				return w.q, strings.TrimSpace(s[len(w.word):])
			}
		}
	}
	return Exactly, s
}

// leadingNumber takes a decimal number with optional sign and thousands commas, or a
// whole number with a fraction.
func leadingNumber(s string) (v float64, rest string, ok bool) {
	i := 0
	if i < len(s) && (s[i] == '+' || s[i] == '-') {
		i++
	}
	start := i
	for i < len(s) && (isDigit(s[i]) || s[i] == '.' || (s[i] == ',' && i+1 < len(s) && isDigit(s[i+1]))) {
		i++
	}
	if i == start || !thousands(s[start:i]) {
		return 0, s, false
	}
	if digits(s[start:]) == i-start {
		if v, rest, found := withFraction(s[start:i], s[i:]); found {
			if s[0] == '-' {
				v = -v
			}
			return v, rest, !math.IsNaN(v)
		}
	}
	i += exponent(s[i:])
	v, err := strconv.ParseFloat(strings.ReplaceAll(s[:i], ",", ""), 64)
	if err != nil || math.IsInf(v, 0) {
		return 0, s, false
	}
	return v, strings.TrimSpace(s[i:]), true
}

// thousands reports whether the commas in a number part off thousands.
func thousands(number string) bool {
	whole, _, _ := strings.Cut(number, ".")
	groups := strings.Split(whole, ",")
	for i, g := range groups {
		if len(groups) > 1 && (i > 0 && len(g) != 3 || i == 0 && (g == "" || len(g) > 3)) {
			return false
		}
	}
	return !strings.Contains(number[len(whole):], ",")
}

// withFraction takes the "/4" of "3/4", where whole is "3", or the " 1/4" of
// "38 1/4". The value is NaN for one that cannot be read, such as 1/0 or 10/14/25.
func withFraction(whole, after string) (v float64, rest string, found bool) {
	over, add := whole, 0.0
	if rest = strings.TrimLeft(after, " "); rest != after {
		over = rest[:digits(rest)]
		add, _ = strconv.ParseFloat(whole, 64)
		rest = rest[len(over):]
	}
	if over == "" || len(rest) < 2 || rest[0] != '/' || !isDigit(rest[1]) {
		return 0, after, false
	}
	under := rest[1 : 1+digits(rest[1:])]
	rest = rest[1+len(under):]
	a, _ := strconv.ParseFloat(over, 64)
	b, _ := strconv.ParseFloat(under, 64)
	if v = add + a/b; b == 0 || math.IsInf(v, 0) || rest != "" && strings.ContainsRune("/.,", rune(rest[0])) {
		v = math.NaN()
	}
	return v, strings.TrimSpace(rest), true
}

// digits is the number of digits that s begins with.
func digits(s string) int {
	n := 0
	for n < len(s) && isDigit(s[n]) {
		n++
	}
	return n
}

// exponent returns the length of an exponent such as e-3, 0 when there is none.
func exponent(s string) int {
	if s == "" || s[0] != 'e' && s[0] != 'E' {
		return 0
	}
	i := 1
	if i < len(s) && (s[i] == '+' || s[i] == '-') {
		i++
	}
	n := digits(s[i:])
	if n == 0 {
		return 0
	}
	return i + n
}

func isDigit(b byte) bool { return b >= '0' && b <= '9' }

func rangeEnd(s string) (float64, string, bool) {
	for _, sep := range []string{"to ", "- ", "-", "–"} {
		if rest, ok := strings.CutPrefix(s, sep); ok {
			return leadingNumber(strings.TrimSpace(rest))
		}
	}
	return 0, s, false
}

func plusMinus(s string) (float64, string, bool) {
	for _, sep := range []string{"±", "+/-", "+-"} {
		if rest, ok := strings.CutPrefix(s, sep); ok {
			return leadingNumber(strings.TrimSpace(rest))
		}
	}
	return 0, s, false
}

// splitUnit takes the longest unit of the scale that s begins with; the rest are words.
func splitUnit(scale *Scale, s string) (unit, words string, assumed bool) {
	best, length := "", 0
	for _, u := range scale.Units {
		for _, name := range append([]string{u.Symbol}, u.Aliases...) {
			if len(name) > length && hasWord(s, name) {
				best, length = s[:len(name)], len(name)
			}
		}
	}
	if length == 0 {
		return scale.Canonical(), s, scale.Canonical() != ""
	}
	return best, strings.TrimSpace(s[length:]), false
}

// hasWord reports whether s begins with name as a whole word.
func hasWord(s, name string) bool {
	if name == "" || len(s) < len(name) || !strings.EqualFold(s[:len(name)], name) {
		return false
	}
	if len(s) == len(name) {
		return true
	}
	last, next := rune(name[len(name)-1]), rune(s[len(name)])
	return !unicode.IsLetter(last) || !unicode.IsLetter(next) && !unicode.IsDigit(next)
}

var allScales = []*Scale{grossScale, massScale, flowScale, heatScale, ohmScale, ppmScale, lelScale, pressureScale,
	inchScale, footScale, areaScale, speedScale, angleScale, minuteScale, rateScale, mileScale}

// foreignUnit returns the symbol when words begin with a unit of another scale.
func foreignUnit(scale *Scale, words string) string {
	for _, other := range allScales {
		if other == scale {
			continue
		}
		sym, after, assumed := splitUnit(other, words)
		if !assumed && sym != "" && (sym != "in" || after == "") { // "5 in the pan" is no length
			return sym
		}
	}
	return ""
}
