package lines

import (
	"math/rand/v2"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"tankside/events"
	"tankside/events/kinds"
)

// kept checks that nothing of a line is lost: it becomes entries that a log takes, with
// the line itself in each, and so does every answer to its question.
func kept(t testing.TB, ctx Context, line string) Reading {
	t.Helper()
	r := Parse(ctx, line)
	if strings.TrimSpace(line) == "" {
		if len(r.Drafts) > 0 {
			t.Errorf("a blank line becomes %s", becomes(r.Drafts))
		}
		return r
	}
	all := [][]events.Draft{r.Drafts}
	if r.Ask != nil {
		for _, c := range r.Ask.Choices {
			all = append(all, c.Drafts)
		}
	}
	for _, ds := range all {
		if len(ds) == 0 {
			t.Fatalf("%q is lost", line)
		}
		ids := 0
		Number(ds, func() events.ID { ids++; return events.ContentID(time.Unix(int64(ids), 0), line) })
		for _, d := range ds {
			if d.Words != r.Raw || d.Grammar != Grammar {
				t.Fatalf("%q is kept as %q by grammar %q", line, d.Words, d.Grammar)
			}
			if err := kinds.Catalogue().Validate(d); err != nil {
				t.Fatalf("%q becomes %s, which no log takes: %v", line, becomes(ds), err)
			}
		}
	}
	for _, m := range r.Assumed {
		if m.From < 0 || m.To > len(r.Raw) || m.From > m.To {
			t.Fatalf("%q: the mark %+v is not within the line", line, m)
		}
	}
	for _, c := range Complete(ctx, r.Raw, len(r.Raw)) {
		if c.From < 0 || c.To > len(r.Raw) || c.From > c.To || c.Text == "" {
			t.Fatalf("%q: the completion %+v is not within the line", line, c)
		}
	}
	return r
}

// seeds are the lines of the tables.
func seeds(t testing.TB) (out []string) {
	tt, ok := t.(*testing.T)
	if !ok {
		return []string{"pair 1 in 2980 3010", "fix 181: 3537 L", "c5 liquid hole 3 in, 4 gal in pan", "p3 in at 2252, out 2306, from grounding"}
	}
	for _, row := range rows(tt, "forty.csv") {
		out = append(out, row["line"])
	}
	return out
}

// TestNothingIsLost mangles ten thousand lines: bytes and words changed, dropped,
// doubled and put elsewhere.
func TestNothingIsLost(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	lines, ctx := seeds(t), night()
	notes := 0
	n := 10_000
	if testing.Short() {
		n = 500
	}
	kept(t, ctx, strings.Repeat("product ", 10_000))
	for range n {
		if kept(t, ctx, mangle(r, lines)).Certainty == Note {
			notes++
		}
	}
	t.Logf("%d lines, all kept, %d of them as plain notes", n, notes)
}

func mangle(r *rand.Rand, lines []string) string {
	line := lines[r.IntN(len(lines))]
	for range 1 + r.IntN(4) {
		words := strings.Fields(line)
		if len(words) == 0 {
			break
		}
		i, j := r.IntN(len(words)), r.IntN(len(words))
		switch r.IntN(7) {
		case 0:
			words[i], words[j] = words[j], words[i]
		case 1:
			words = append(words[:i], words[i+1:]...)
		case 2:
			words = append(words, words[i])
		case 3:
			words[i] += string(rune(33 + r.IntN(400)))
		case 4:
			other := strings.Fields(lines[r.IntN(len(lines))])
			words = append(words, other[r.IntN(len(other)):]...)
		case 5:
			b := []byte(words[i])
			b[r.IntN(len(b))] = byte(33 + r.IntN(90))
			words[i] = string(b)
		case 6:
			words[i] = strings.Repeat("9", 1+r.IntN(8)) + []string{"", "%", " gal", "-5", ":70", "."}[r.IntN(6)]
		}
		line = strings.Join(words, " ")
	}
	if !utf8.ValidString(line) {
		line = strings.ToValidUTF8(line, "?")
	}
	if strings.TrimSpace(line) == "" {
		return lines[0]
	}
	return line
}

func FuzzLine(f *testing.F) {
	for _, s := range seeds(f) {
		f.Add(s)
	}
	f.Add("9999999 gal in c4, stop stop \x00 \xff - -- ->>")
	f.Fuzz(func(t *testing.T, line string) {
		kept(t, night(), line)
		kept(t, Context{Incident: "x", Now: time.Unix(1760493600, 0)}, line)
	})
}
