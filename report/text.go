package report

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// markdown is text that is Markdown already and is printed as it stands.
type markdown string

// always are the characters that mean something to Markdown wherever they stand.
// The dollar sign is there for readers that take it for a formula.
const always = "\\`*[]<|~$"

// rightToLeft are the scripts whose letters pull neighbouring digits round.
var rightToLeft = []*unicode.RangeTable{unicode.Hebrew, unicode.Arabic, unicode.Syriac, unicode.Thaana, unicode.Nko, unicode.Adlam}

// Isolates keep a text from right to left from reordering what stands beside it.
const (
	firstStrongIsolate = "\u2068"
	popIsolate         = "\u2069"
)

// escape writes s so that a Markdown reader shows it as the text it is, on one
// line: no markup, no link, no HTML, no table border. Control characters and
// marks that steer the reading direction are made visible.
func escape(s string) markdown {
	s = strings.TrimSpace(s)
	var b strings.Builder
	b.Grow(len(s) + 8)
	start := leading(s)
	for i, r := range s {
		if r < utf8.RuneSelf && (i < start || meant(s, i)) {
			b.WriteByte('\\')
		}
		writeRune(&b, s, i, r, `\`)
	}
	if strings.ContainsFunc(s, func(r rune) bool { return unicode.In(r, rightToLeft...) }) {
		return markdown(firstStrongIsolate + b.String() + popIsolate)
	}
	return markdown(b.String())
}

// shown writes s as the plain text it is, on one line, for a picture: what has no
// shape is made visible.
func shown(s string) string {
	var b strings.Builder
	for i, r := range s {
		writeRune(&b, s, i, r, "")
	}
	return b.String()
}

// leading returns how far the mark reaches that would begin a heading, a list, a
// quotation, a rule or an underline if s stood at the start of a line.
func leading(s string) int {
	if s == "" {
		return 0
	}
	if strings.IndexByte("#>+-=:", s[0]) >= 0 {
		return 1
	}
	return 0
}

// meant reports whether the ASCII character at i would be read as markup.
func meant(s string, i int) bool {
	switch c := s[i]; c {
	case '_':
		return !(i > 0 && word(s[i-1]) && i+1 < len(s) && word(s[i+1]))
	case '&':
		return i+1 < len(s) && (s[i+1] == '#' || word(s[i+1]))
	case '.', ')':
		ends := i+1 == len(s) || s[i+1] == ' '
		return ends && numbered(s[:i]) || c == '.' && strings.EqualFold(s[max(0, i-3):i], "www")
	case ':':
		return strings.HasPrefix(s[i:], "://")
	case '@':
		return true
	default:
		return strings.IndexByte(always, c) >= 0
	}
}

func word(c byte) bool {
	return '0' <= c && c <= '9' || 'a' <= c && c <= 'z' || 'A' <= c && c <= 'Z' || c >= utf8.RuneSelf
}

// numbered reports whether s is all digits, as the number of a list is.
func numbered(s string) bool {
	return s != "" && len(s) <= 9 && strings.Trim(s, "0123456789") == ""
}

// writeRune writes r, or what shows that r is there where it has no shape itself, in
// brackets that esc stands before.
func writeRune(b *strings.Builder, s string, i int, r rune, esc string) {
	switch {
	case r == '\n' || r == '\u2028' || r == '\u2029' || r == '\u0085':
		b.WriteString("↵ ")
	case r == '\r':
		if !strings.HasPrefix(s[i:], "\r\n") {
			b.WriteString("↵ ")
		}
	case r == '\t':
		b.WriteByte(' ')
	case r < ' ':
		b.WriteRune('\u2400' + r) // the control pictures
	case r == 0x7f:
		b.WriteRune('\u2421')
	case r == utf8.RuneError && !strings.HasPrefix(s[i:], string(utf8.RuneError)):
		fmt.Fprintf(b, "%s[byte %02X%[1]s]", esc, s[i])
	case hidden(r):
		fmt.Fprintf(b, "%s[U+%04X%[1]s]", esc, r)
	default:
		b.WriteRune(r)
	}
}

// hidden reports whether r steers or hides text without showing itself. The two
// joiners are left alone: words of some scripts need them.
func hidden(r rune) bool {
	return r >= utf8.RuneSelf && r != '\u200c' && r != '\u200d' && (unicode.Is(unicode.Cf, r) || unicode.IsControl(r))
}
