package tankside_test

import (
	"bytes"
	"path"
	"regexp"
	"strings"
	"testing"
)

// barred are words that have no business in the tree. Each is written in two
// halves, so that this file may stand in the tree itself; the sample is a line
// that the pattern must find.
var barred = []struct{ pattern, sample, why string }{
	{`(^|[^a-z.])/(wo` + `rk|ro` + `ot)/`, "see /wo" + "rk/main", "a path of one machine"},
	{`/t` + `mp/`, "cat /t" + "mp/x", "a path of one machine: use a folder made for the purpose"},
	{`\.\./sha` + `red`, "../sha" + "red/a.md", "a file outside the tree: cite the published source"},
	{`hand` + `book/`, "hand" + "book/a.md", "a file outside the tree: cite the published source"},
	{`(proxy|sum)\.gol` + `ang`, "sum.gol" + "ang.org", "a package host: the go command knows where to look"},
	{`registry\.np` + `mjs`, "registry.np" + "mjs.org", "a package host: npm knows where to look"},
	{`deb\.deb` + `ian`, "deb.deb" + "ian.org", "a package host: apt knows where to look"},
	{`\b(TO` + `DO|FIX` + `ME|XX` + `X)\b`, "// TO" + "DO later", "unfinished work: finish it or leave it out"},
	{`(?i)not imple` + `mented`, "Not imple" + "mented", "unfinished work: finish it or leave it out"},
	{`(?i)\biss` + `ue #?[0-9]`, "see iss" + "ue 7", "a ticket number: say what it said"},
}

func TestBarredWords(t *testing.T) {
	patterns := make([]*regexp.Regexp, len(barred))
	for i, b := range barred {
		patterns[i] = regexp.MustCompile(b.pattern)
		if !patterns[i].MatchString(b.sample) {
			t.Errorf("pattern %s does not find its sample %q", b.pattern, b.sample)
		}
	}
	walk(t, func(name string, text []byte) {
		if path.Base(name) == "go.sum" || bytes.IndexByte(text, 0) >= 0 {
			return // checksums, pictures and archives
		}
		for i, line := range strings.Split(string(text), "\n") {
			for j, p := range patterns {
				if m := p.FindString(line); m != "" {
					t.Errorf("%s:%d: %q is %s", name, i+1, m, barred[j].why)
				}
			}
		}
	})
}
