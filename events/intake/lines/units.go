package lines

import (
	"tankside/events"
)

// unitWords are the words that stand behind a number as its unit. What is longer than a
// word is joined first: see joinedUnits.
var unitWords = wordSet(`gal gals gallon gallons l litre litres liter liters bbl barrel barrels qt quart quarts pt pint pints cup cups
	lb lbs pound pounds kg ton tons tonne gpm lpm l/min gph f °f c °c deg degrees ° ohm ohms Ω ω kohm kω mohm mω megohm megohms
	ppm ppb % percent psi bar kpa in inch inches mm cm ft foot feet m metre metres meter meters yd yard yards mi mile miles km
	mph kph km/h kt knots kn min mins minute minutes h hr hrs hour hours s sec secs second seconds bpm /min usd $ dollars ev`)

func isUnit(w string) bool { return unitWords[w] }

// joinedUnits are the units of several words, as one.
var joinedUnits = []struct{ words, unit string }{
	{"gal a minute", "gpm"}, {"gallons a minute", "gpm"}, {"gal per minute", "gpm"}, {"gallons per minute", "gpm"}, {"gal per min", "gpm"},
	{"gal/min", "gpm"}, {"gal min", "gpm"}, {"a minute", "a minute"}, {"per minute", "a minute"}, {"per min", "a minute"}, {"/min", "a minute"},
	{"percent lel", "%"}, {"% lel", "%"}, {"sq ft", "ft2"}, {"square feet", "ft2"}, {"ft2", "ft2"}, {"cu yd", "yd3"}, {"yd3", "yd3"},
	{"imp gal", "imp gal"},
}

// sayUnits are the words a field's unit is called by that its scale does not list.
var sayUnits = map[string]string{
	"gals": "gal", "mins": "min", "m": "min", "hrs": "h", "secs": "s", "ω": "ohm", "kω": "kohm", "mω": "mohm", "deg": "F", "degrees": "F", "c": "C", "bpm": "per min",
}

// unitOf returns the symbol of the unit that word means for the field.
func unitOf(f events.FieldInfo, word string) (symbol string, ok bool) {
	if word == "a minute" {
		for _, s := range []string{"gpm", "per min"} {
			if symbol, ok = f.Unit(s); ok {
				return symbol, true
			}
		}
		return "", false
	}
	if symbol, ok = f.Unit(word); ok {
		return symbol, true
	}
	said, ok := sayUnits[word]
	if !ok {
		return "", false
	}
	return f.Unit(said)
}

// measure gives every number the unit behind it and the "about" before it, and joins
// "3800 to 3860" to a range.
func measure(toks []token) []token {
	toks = qualify(toks)
	var out []token
	for i := 0; i < len(toks); i++ {
		t := toks[i]
		if t.num == nil {
			out = append(out, t)
			continue
		}
		if !t.ends && i+2 < len(toks) && spans(toks, i) && rangeTo(t, toks[i+2]) {
			n := *t.num
			n.high = toks[i+2].num.text
			t.num, t.to, t.ends = &n, toks[i+2].to, toks[i+2].ends
			i += 2
		}
		unit, n := unitAt(toks[i+1:])
		if t.ends || n == 0 {
			out = append(out, t)
			continue
		}
		num, last := *t.num, toks[i+n]
		num.unit, num.clock = unit, false
		t.num, t.to, t.ends = &num, last.to, last.ends
		out = append(out, t)
		i += n
	}
	return out
}

// spans reports whether the word behind token i makes a range: to, or, and where
// "between" stands before it.
func spans(toks []token, i int) bool {
	w := toks[i+1].word
	return w == "to" || w == "or" || w == "and" && i > 0 && toks[i-1].word == "between"
}

// rangeTo reports whether b is the upper end of a range that begins with a. A
// compartment and what it is pumped into are no range.
func rangeTo(a, b token) bool {
	return b.num != nil && b.num.high == "" && a.num.high == "" && a.num.about == "" && b.num.value > a.num.value && !a.num.small()
}

// unitAt reads the unit at the beginning of toks and says how many tokens it is. The
// "in" of inches is left for the kinds that measure in them: it says where, mostly.
func unitAt(toks []token) (unit string, n int) {
	for _, j := range joinedUnits {
		if n := matches(toks, j.words); n > 0 {
			return j.unit, n
		}
	}
	if len(toks) > 0 && toks[0].num == nil && isUnit(toks[0].word) && toks[0].word != "in" {
		return toks[0].word, 1
	}
	return "", 0
}

var qualifiers = map[string]string{
	"about": "about ", "around": "about ", "approx": "about ", "roughly": "about ", "maybe": "about ", "~": "about ",
	"over": "over ", "under": "under ", "below": "under ", "above": "over ", "at least": "at least ", "at most": "at most ", "up to": "up to ",
	"more than": "more than ", "less than": "less than ", "call it": "about ",
}

// qualify gives a number the word before it that says how it is meant.
func qualify(toks []token) []token {
	var out []token
	for i := 0; i < len(toks); i++ {
		n, about := 0, ""
		for words, q := range qualifiers {
			if m := matches(toks[i:], words); m > n && i+m < len(toks) && toks[i+m].num != nil && !toks[i+m-1].ends {
				n, about = m, q
			}
		}
		if n == 0 {
			out = append(out, toks[i])
			continue
		}
		t := toks[i+n]
		num := *t.num
		if num.high == "" {
			num.about = about
		}
		t.num, t.from = &num, toks[i].from
		out = append(out, t)
		i += n
	}
	return out
}

// matches reports of how many tokens words are the beginning of toks, 0 when they are
// not. A comma parts words.
func matches(toks []token, words string) int {
	n := 0
	for words != "" {
		var w string
		w, words = cutWord(words)
		if n >= len(toks) || toks[n].word != w || words != "" && toks[n].ends {
			return 0
		}
		n++
	}
	return n
}

func cutWord(s string) (word, rest string) {
	for i := range len(s) {
		if s[i] == ' ' {
			return s[:i], s[i+1:]
		}
	}
	return s, ""
}
