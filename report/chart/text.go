package chart

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// widths are the breadths of the printable ASCII characters in hundredths of the
// size of the letters: those of DejaVu Sans, the broadest of the fonts that the page
// of a report names, measured with a browser. Any other font needs less room.
var widths = [95]uint8{
	32, 41, 46, 84, 64, 96, 78, 28, 40, 40, 50, 84, 32, 37, 32, 34, // space to /
	64, 64, 64, 64, 64, 64, 64, 64, 64, 64, 34, 34, 84, 84, 84, 54, // 0 to ?
	100, 69, 69, 70, 78, 64, 58, 78, 76, 30, 30, 66, 56, 87, 75, 79, // @ to O
	61, 79, 70, 64, 62, 74, 69, 99, 69, 62, 69, 40, 34, 40, 84, 50, // P to _
	50, 62, 64, 55, 64, 62, 36, 64, 64, 28, 28, 58, 28, 98, 64, 62, // ` to o
	64, 64, 42, 53, 40, 64, 60, 82, 60, 60, 53, 64, 34, 64, 84, // p to ~
}

// textWidth estimates the breadth of words in pixels. It errs to the broad side.
func textWidth(words string, px float64) (w float64) {
	for _, r := range words {
		w += runeWidth(r)
	}
	return w * px / 100
}

func runeWidth(r rune) float64 {
	switch {
	case r >= ' ' && r < ' '+rune(len(widths)):
		return float64(widths[r-' '])
	case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		return 0
	case r == '±' || r == '−':
		return 84
	case r > 0xffff:
		return 140
	}
	return 100
}

// broad is how much broader bold letters are.
const broad = 1.12

// fit shortens words to a breadth, and shows by dots that it did.
func fit(words string, px, breadth float64) string {
	if textWidth(words, px) <= breadth {
		return words
	}
	left := breadth - textWidth("…", px)
	for i, r := range words {
		if left -= runeWidth(r) * px / 100; left < 0 {
			return strings.TrimRight(words[:i], " ") + "…"
		}
	}
	return words
}

// wrap breaks words into lines of a breadth, at spaces; a word that is broader is
// shortened.
func wrap(words string, px, breadth float64) (lines []string) {
	for _, w := range strings.Fields(words) {
		last := len(lines) - 1
		if last >= 0 && textWidth(lines[last]+" "+w, px) <= breadth {
			lines[last] += " " + w
			continue
		}
		lines = append(lines, fit(w, px, breadth))
	}
	return lines
}

// safe writes words as the text they are, whatever they hold. A character that may
// not stand in a document at all shows as a box.
func safe(words string) string {
	var b strings.Builder
	for i, r := range words {
		switch {
		case r == '<':
			b.WriteString("&lt;")
		case r == '>':
			b.WriteString("&gt;")
		case r == '&':
			b.WriteString("&amp;")
		case r == '"':
			b.WriteString("&#34;")
		case r == '\t' || r == '\n' || r == '\r':
			b.WriteByte(' ')
		case r < ' ' || r >= 0x7f && r < 0xa0 || r&0xfffe == 0xfffe || r == utf8.RuneError && !strings.HasPrefix(words[i:], string(utf8.RuneError)):
			b.WriteRune('\u25a1')
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// Breadth estimates the breadth of words in pixels at a size of letters in pixels, on the
// broad side, as the pictures do when they look for room.
func Breadth(words string, px float64, heavy bool) float64 {
	if heavy {
		px *= broad
	}
	return textWidth(words, px)
}
