package lines

import (
	"strconv"
	"strings"
)

// number is a number as typed or spoken, with what stood around it.
type number struct {
	text   string // in digits, as an amount is written: 1240, .7, +250
	value  float64
	high   string // the upper end of a range, "" when there is none
	about  string // "about ", "over " and the like
	unit   string // the word of its unit as typed, "" when none was
	spoken bool
	clock  bool // four digits that were written without a point or a unit
}

// written reads a number in digits.
func written(s string) *number {
	n := &number{text: strings.ReplaceAll(s, ",", "")}
	for sign, about := range map[string]string{"~": "about ", "<": "< ", ">": "> "} {
		if rest, ok := strings.CutPrefix(n.text, sign); ok {
			n.about, n.text = about, rest
		}
	}
	if strings.HasPrefix(n.text, ".") {
		n.text = "0" + n.text
	}
	n.value, _ = strconv.ParseFloat(n.text, 64)
	n.clock = (len(n.text) == 4 || len(n.text) == 3) && strings.Trim(n.text, "0123456789") == ""
	return n
}

// amount writes the number for a field, in the unit symbol.
func (n *number) amount(unit string) string {
	text := n.about + n.text
	if n.high != "" {
		text += " to " + n.high
	}
	return strings.TrimSpace(text + " " + unit)
}

// small reports whether the number can name a compartment, a pair, a rod or a leg.
func (n *number) small() bool {
	return n != nil && n.unit == "" && n.high == "" && n.about == "" && len(n.text) == 1 && n.text != "0"
}

// numbersUnit reports whether the number can be that of an engine or a medic.
func (n *number) numbersUnit() bool {
	return n != nil && n.unit == "" && n.high == "" && n.about == "" && len(n.text) < 4 && n.value > 0 && n.value == float64(int(n.value))
}

var digitWords = map[string]string{
	"zero": "0", "oh": "0", "one": "1", "two": "2", "three": "3", "four": "4", "five": "5",
	"six": "6", "seven": "7", "eight": "8", "nine": "9", "niner": "9",
}

var teenWords = map[string]string{
	"ten": "10", "eleven": "11", "twelve": "12", "thirteen": "13", "fourteen": "14", "fifteen": "15",
	"sixteen": "16", "seventeen": "17", "eighteen": "18", "nineteen": "19",
}

var tensWords = map[string]string{
	"twenty": "2", "thirty": "3", "forty": "4", "fifty": "5", "sixty": "6", "seventy": "7", "eighty": "8", "ninety": "9",
}

func isNumberWord(w string) bool {
	return digitWords[w] != "" || teenWords[w] != "" || tensWords[w] != ""
}

// names are the words behind which a number names something and counts nothing: only
// the next number word belongs to it.
var names = wordSet("par pair team rod rods leg number compartment comp truck hole plug lid tac channel engine battalion medic")

// speak joins number words into numbers, as they are spoken over a radio: "ten twelve"
// is 1012, "point four" 0.4, "thirty eight hundred" 3800.
func speak(toks []token) []token {
	var out []token
	for i := 0; i < len(toks); {
		most := len(toks)
		if i > 0 && names[toks[i-1].word] && digitWords[toks[i].word] != "" {
			most = i + 1
		}
		text, n := spokenNumber(toks[i:most])
		if n == 0 {
			out = append(out, toks[i])
			i++
			continue
		}
		num := written(text)
		num.spoken = true
		last := toks[i+n-1]
		out = append(out, token{from: toks[i].from, to: last.to, word: text, num: num, ends: last.ends})
		i += n
	}
	return out
}

// spokenNumber reads the number words at the beginning of toks and says how many
// tokens they are.
func spokenNumber(toks []token) (text string, n int) {
	groups, point := []string{}, -1
	for n < len(toks) {
		w := toks[n].word
		took := 1
		switch {
		case digitWords[w] != "":
			groups = append(groups, digitWords[w])
		case teenWords[w] != "":
			groups = append(groups, teenWords[w])
		case tensWords[w] != "":
			g := tensWords[w] + "0"
			if !toks[n].ends && n+1 < len(toks) && digitWords[toks[n+1].word] > "0" {
				g, took = tensWords[w]+digitWords[toks[n+1].word], 2
			}
			groups = append(groups, g)
		case w == "hundred" && len(groups) > 0:
			groups[len(groups)-1] += "00"
		case w == "thousand" && len(groups) > 0:
			groups = []string{strings.Join(groups, "") + "000"}
		case w == "point" && point < 0 && n+1 < len(toks) && isNumberWord(toks[n+1].word):
			point = len(groups)
		case w == "and" && n > 0 && (toks[n-1].word == "hundred" || toks[n-1].word == "thousand") && n+1 < len(toks) && isNumberWord(toks[n+1].word):
		default:
			return together(groups, point), n
		}
		n += took
		if toks[n-1].ends {
			break
		}
	}
	return together(groups, point), n
}

// together writes groups of digits as one number: side by side, except that what
// follows a round hundred or thousand fills its noughts.
func together(groups []string, point int) string {
	whole, rest := groups, []string(nil)
	if point >= 0 {
		whole, rest = groups[:point], groups[point:]
	}
	text := ""
	for _, g := range whole {
		if cut := len(text) - len(g); cut > 0 && strings.HasSuffix(text, "00") && strings.Trim(text[cut:], "0") == "" {
			text = text[:cut] + g
			continue
		}
		text += g
	}
	if point < 0 {
		return text
	}
	if text == "" {
		text = "0"
	}
	return text + "." + strings.Join(rest, "")
}

// wordSet makes a set of the words of s.
func wordSet(s string) map[string]bool {
	out := map[string]bool{}
	for _, w := range strings.Fields(s) {
		out[w] = true
	}
	return out
}
