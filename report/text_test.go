package report

import (
	"strings"
	"testing"
)

func TestEscape(t *testing.T) {
	for _, tt := range []struct{ name, in, want string }{
		{"plain words", "C4 to R1, 3537 gal (net) at 60 F.", "C4 to R1, 3537 gal (net) at 60 F."},
		{"number with a point", "934.4 gal", "934.4 gal"},
		{"a word with a line", "pump_off L5", "pump_off L5"},
		{"emphasis", "*very* _late_ ~~now~~", `\*very\* \_late\_ \~\~now\~\~`},
		{"a list", "1. first", `1\. first`},
		{"a list by bracket", "12) twelfth", `12\) twelfth`},
		{"a dash", "- minus", `\- minus`},
		{"a heading", "# not one", `\# not one`},
		{"an underline", "====", `\====`},
		{"a quotation", "> said", `\> said`},
		{"code", "    indented `code`", "indented \\`code\\`"},
		{"HTML", `<img src=x onerror=alert(1)>`, `\<img src=x onerror=alert(1)>`},
		{"an entity", "&lt; & &#60;", `\&lt; & \&#60;`},
		{"a link", "[here](https://a.example)", `\[here\](https\://a.example)`},
		{"a bare address", "www.a.example", `www\.a.example`},
		{"a mail address", "a@b.example", `a\@b.example`},
		{"a cell", "a | b", `a \| b`},
		{"a backslash", `a\`, `a\\`},
		{"a formula for a typesetter", "$x$ $27,000", `\$x\$ \$27,000`},
		{"a formula for a spreadsheet", "=1+2", `\=1+2`},
		{"lines", "one\ntwo\r\nthree\rfour\u2028five", "one↵ two↵ three↵ four↵ five"},
		{"NUL and bell", "a\x00b\x07", "a␀b␇"},
		{"turned round", "a\u202eb\u2066", `a\[U+202E\]b\[U+2066\]`},
		{"hidden", "pump\u200boff\ufeff", `pump\[U+200B\]off\[U+FEFF\]`},
		{"not UTF-8", "a\xffb", `a\[byte FF\]b`},
		{"Hebrew stays in its place", "שלום 12", "\u2068שלום 12\u2069"},
		{"joiners of a script stay", "\u0915\u094d\u200d\u0937", "\u0915\u094d\u200d\u0937"},
	} {
		if got := string(escape(tt.in)); got != tt.want {
			t.Errorf("%s: escape(%q) = %q, want %q", tt.name, tt.in, got, tt.want)
		}
	}
}

// nasty are texts that mean something to a Markdown reader, a browser, a terminal
// or a spreadsheet.
var nasty = []string{
	"</td></tr></table><script>alert(1)</script>", "<!-- ", "<![CDATA[", "<?php", "</style><b>", "a|b|c", "|---|---|", "\n\n# heading\n\n",
	"\n\n#### e1\n\n", "[e1](javascript:alert(1))", "![x](http://a.example/x.png)", "<http://a.example>", "http://a.example/", "`", "```\ncode\n```", "~~~",
	"*", "**", "__", "~~", "\\", "\\\\", "&amp;", "&#x3c;b&#x3e;", "\x00", "\u202eabc", "\u2067", "=cmd|'/c calc'!A1", "{{.}}", "{{define \"x\"}}", "\t\tcode",
	"- [ ] done", "1. one", "+ plus", "---", "===", "[^1]", "[^1]: note", "[e1]: http://a.example", ":::", "$$x$$", "\u0085", "\xff\xfe", "😀", "שלום",
	"“", "\"", "'", "<e1>", "(#e1)", "[", "]", "](#e1)", "!", "#", strings.Repeat("x", 100_000),
}

// shown turns a page's text back into what was said, as far as that can be done.
func TestEscapedTextIsShown(t *testing.T) {
	for _, s := range nasty {
		got := string(escape("x" + s + "x"))
		if strings.ContainsAny(got, "\n\r\x00\u202e\u2067") {
			t.Errorf("escape(%.40q) = %.80q: it breaks the line or the reading direction", s, got)
		}
	}
}
