package cli

import (
	"strings"
	"unicode"
)

// legible writes text that came from outside so that it shows and does nothing: what
// would steer a terminal, such as an escape sequence, becomes a mark, and a line break
// becomes a space. What is stored stays as it was said.
func legible(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n', r == '\r', r == '\t':
			return ' '
		case unicode.IsControl(r), unicode.Is(unicode.Bidi_Control, r), r == '\u2028', r == '\u2029':
			return unicode.ReplacementChar
		}
		return r
	}, s)
}
