package lines

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// token is one word, number or code of a line.
type token struct {
	from, to int    // bytes of the line
	word     string // small letters, without the punctuation around it
	num      *number
	ends     bool // a comma or the like follows: what belongs together ends here
	used     bool // has found its place
	chosen   bool // is the phrase that settled the kind
	action   bool // belongs to what was said for the kind
	labelled bool // its field has its text
	aside    bool // belongs to the time or the teller
	pressed  bool // belongs to a pair that moves
}

// lex cuts a line into tokens. Nothing is dropped but blanks and punctuation.
func lex(raw string) []token {
	var out []token
	for i := 0; i < len(raw); {
		r, n := utf8.DecodeRuneInString(raw[i:])
		if unicode.IsSpace(r) {
			i += n
			continue
		}
		j := i + strings.IndexFunc(raw[i:]+" ", unicode.IsSpace)
		out = append(out, chunk(raw, i, j)...)
		i = j
	}
	return bloodPressures(out)
}

// bloodPressures joins what is said as 150 over 90, which is one thing and no pulse.
func bloodPressures(ts []token) []token {
	for i := 1; i+2 < len(ts); i++ {
		a, b := ts[i], ts[i+2]
		if w := ts[i-1].word; w != "bp" && w != "pressure" || ts[i+1].word != "over" || a.num == nil || b.num == nil || len(a.word) > 3 || len(b.word) > 3 {
			continue
		}
		ts[i] = token{from: a.from, to: b.to, word: a.word + "/" + b.word, ends: b.ends}
		ts = append(ts[:i+1], ts[i+3:]...)
	}
	return ts
}

// arrows are the signs that part two things written together: c4>r1.
var arrowSigns = []string{"->", "=>", ">"}

// chunk cuts what stands between two blanks.
func chunk(raw string, from, to int) []token {
	for _, sign := range arrowSigns {
		a, _, ok := strings.Cut(raw[from:to], sign)
		if at := from + len(a); ok && (at > from || at+len(sign) == to) && !(sign == ">" && at == from) {
			out := append(word(raw, from, at), token{from: at, to: at + len(sign), word: "to"})
			return append(out, chunk(raw, at+len(sign), to)...)
		}
	}
	if a, b, ok := strings.Cut(raw[from:to], "/"); ok && isPressure(a) && isPressure(strings.TrimRight(b, closing)) {
		return append(word(raw, from, from+len(a)), word(raw, from+len(a)+1, to)...)
	}
	return word(raw, from, to)
}

// isPressure reports whether s is three or four digits, as of a cylinder and not of a
// pulse: 4400/4390 is two numbers, 140/90 is a blood pressure.
func isPressure(s string) bool {
	return (len(s) == 3 && s >= "300" || len(s) == 4) && numeral(s) == len(s) && !strings.ContainsAny(s, ".,+~<>")
}

const (
	opening = "\"'([{“‘"
	closing = ",;.!?\"')]}”’:"
)

// word makes the tokens of one word: a number and its unit part company.
func word(raw string, from, to int) []token {
	start, end := from, to
	for start < end && strings.ContainsRune(opening, first(raw[start:end])) {
		_, n := utf8.DecodeRuneInString(raw[start:end])
		start += n
	}
	ends := false
	for end > start {
		r, n := utf8.DecodeLastRuneInString(raw[start:end])
		if !strings.ContainsRune(closing, r) {
			break
		}
		ends = ends || strings.ContainsRune(",;.!?:", r)
		end -= n
	}
	if start == end {
		return nil
	}
	t := token{from: start, to: end, word: strings.TrimSuffix(strings.TrimSuffix(strings.ToLower(raw[start:end]), "'s"), "’s"), ends: ends}
	digits := numeral(t.word)
	unit := t.word[digits:]
	switch {
	case digits == 0:
		return []token{t}
	case unit == "":
		t.num = written(t.word)
		return []token{t}
	case unit[0] == '-' && len(unit) > 1 && numeral(unit[1:]) == len(unit)-1:
		t.num = written(t.word[:digits])
		t.num.high = written(unit[1:]).text
		return []token{t}
	case isUnit(unit) && t.from+digits <= t.to:
		head, tail := t, t
		head.to, head.word, head.ends = t.from+digits, t.word[:digits], false
		head.num = written(head.word)
		tail.from, tail.word = head.to, unit
		return []token{head, tail}
	}
	return []token{t}
}

func first(s string) rune { r, _ := utf8.DecodeRuneInString(s); return r }

// numeral returns how many bytes of s are a number in digits: 12  1,240  .7  +250  3.5
func numeral(s string) int {
	i := 0
	if i < len(s) && strings.IndexByte("+~<>", s[i]) >= 0 {
		i++
	}
	start, seen := i, false
	for i < len(s) {
		switch {
		case s[i] >= '0' && s[i] <= '9':
			seen = true
		case s[i] == '.' && !strings.Contains(s[start:i], ".") && i+1 < len(s) && isDigit(s[i+1]):
		case s[i] == ',' && seen && groupOf3(s[i+1:]):
		default:
			if !seen {
				return 0
			}
			return i
		}
		i++
	}
	if !seen {
		return 0
	}
	return i
}

// groupOf3 reports whether s goes on with three digits and no fourth, as behind the
// comma of thousands.
func groupOf3(s string) bool {
	return len(s) >= 3 && isDigit(s[0]) && isDigit(s[1]) && isDigit(s[2]) && (len(s) == 3 || !isDigit(s[3]))
}

func isDigit(b byte) bool { return b >= '0' && b <= '9' }
