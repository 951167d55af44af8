package lines

import (
	"fmt"
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
)

// slip makes one slip in a line as a cold hand does; the meaning stays.
type slip struct {
	name string
	make func(r *rand.Rand, line string) string
}

// letters are the places of letters in words of at least n letters.
func letters(line string, n int) (out []int) {
	for _, m := range regexp.MustCompile(`[A-Za-z]+`).FindAllStringIndex(line, -1) {
		coded := m[1] < len(line) && isDigit(line[m[1]]) || m[0] > 0 && isDigit(line[m[0]-1])
		if m[1]-m[0] < n || coded {
			continue
		}
		for i := m[0]; i < m[1]; i++ {
			out = append(out, i)
		}
	}
	return out
}

func neighbour(r *rand.Rand, c byte) byte {
	var near []byte
	for d := byte('a'); d <= 'z'; d++ {
		if besides[[2]byte{c | 0x20, d}] {
			near = append(near, d)
		}
	}
	if len(near) == 0 {
		return c
	}
	return near[r.IntN(len(near))]
}

var slipKinds = []slip{
	{"neighbour key", func(r *rand.Rand, s string) string {
		return atLetter(r, s, 3, func(i int) string { return s[:i] + string(neighbour(r, s[i])) + s[i+1:] })
	}},
	{"letters changed about", func(r *rand.Rand, s string) string {
		return atLetter(r, s, 4, func(i int) string {
			if i+1 >= len(s) || s[i+1] < 'a' {
				return s
			}
			return s[:i] + s[i+1:i+2] + s[i:i+1] + s[i+2:]
		})
	}},
	{"letter left out", func(r *rand.Rand, s string) string {
		return atLetter(r, s, 4, func(i int) string { return s[:i] + s[i+1:] })
	}},
	{"letter twice", func(r *rand.Rand, s string) string {
		return atLetter(r, s, 3, func(i int) string { return s[:i] + s[i:i+1] + s[i:] })
	}},
	{"capitals", func(_ *rand.Rand, s string) string { return strings.ToUpper(s) }},
	{"blanks", func(r *rand.Rand, s string) string { return "  " + strings.ReplaceAll(s, " ", "   ") + " " }},
	{"filler before", func(r *rand.Rand, s string) string { return []string{"ok ", "copy, ", "uh ", "and "}[r.IntN(4)] + s }},
	{"filler behind", func(r *rand.Rand, s string) string { return s + []string{" over", " please", ".", " now"}[r.IntN(4)] }},
}

func atLetter(r *rand.Rand, s string, n int, do func(i int) string) string {
	at := letters(s, n)
	if len(at) == 0 {
		return s
	}
	return do(at[r.IntN(len(at))])
}

// gist is what a reading comes to apart from words kept as they were typed: the kinds,
// the places, the names and the numbers.
func gist(ds []events.Draft) string {
	var out []string
	for _, d := range ds {
		part := string(d.Payload.Kind()) + " | " + strings.ToLower(d.Where)
		t := kinds.Catalogue().Type(d.Payload.Kind())
		for _, p := range t.Values(d.Payload) {
			f, _ := t.Field(p.Key)
			if f.Type == events.TextField || f.Type == events.TextsField {
				if !namesThing[p.Key] {
					continue
				}
			}
			v := p.Value
			if len(f.Units) > 0 && f.Units[0] != "" {
				v = strings.TrimSuffix(v, " "+f.Units[0]) // assumed or typed, it is the same
			}
			part += "; " + p.Key + "=" + v
		}
		out = append(out, part)
	}
	return strings.Join(out, " + ")
}

var namesThing = map[string]bool{"pair": true, "person": true, "truck": true, "hole": true, "leg": true, "rod": true}

// tally counts what came of slipped lines.
type tally struct{ all, right, unsure, wrong int }

func (c *tally) add(want, got string, r Reading) (wrong bool) {
	c.all++
	switch {
	case got == want:
		c.right++
	case r.Certainty != Clear || r.Ask != nil:
		c.unsure++
	default:
		c.wrong++
		return true
	}
	return false
}

func (c *tally) String() string {
	share := func(n int) float64 { return 100 * float64(n) / float64(max(c.all, 1)) }
	return fmt.Sprintf("%d lines: %.1f %% right, %.1f %% asked, guessed or kept as a note, %.2f %% wrong but confident", c.all, share(c.right), share(c.unsure), share(c.wrong))
}

// TestSlips makes slips in lines whose meaning is known. A line that is read otherwise
// must say that it is not sure: at most one in a hundred may be wrong and confident.
func TestSlips(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	var all tally
	table := rows(t, "forty.csv")
	for _, s := range slipKinds {
		var c tally
		for range 10 {
			for _, row := range table {
				ctx := night()
				scenes[row["scene"]](&ctx)
				line := s.make(r, row["line"])
				got, want := Parse(ctx, line), gist(Parse(ctx, row["line"]).Drafts)
				all.add(want, gist(got.Drafts), got)
				if c.add(want, gist(got.Drafts), got) && c.wrong <= 2 {
					t.Logf("%s: %q becomes %s, want %s", s.name, line, gist(got.Drafts), want)
				}
			}
		}
		t.Logf("%s: %v", s.name, &c)
	}
	t.Logf("in all: %v", &all)
	if all.wrong*100 > all.all {
		t.Errorf("more than 1 %% are wrong but confident: %v", &all)
	}
}

// gloved hits a wrong key beside the right one for about five in a hundred keys, of the
// letters or of the digits.
func gloved(r *rand.Rand, line string, digits bool) string {
	out := []byte(line)
	for i, c := range out {
		if r.Float64() > 0.05 {
			continue
		}
		switch {
		case !digits && (c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z'):
			out[i] = neighbour(r, c)
		case digits && isDigit(c):
			out[i] = besideDigit(r, c)
		}
	}
	return string(out)
}

func besideDigit(r *rand.Rand, c byte) byte {
	row := "1234567890"
	i := strings.IndexByte(row, c)
	switch {
	case i == 0:
		return row[1]
	case i == len(row)-1:
		return row[i-1]
	}
	return row[i-1+2*r.IntN(2)]
}

// TestGloves measures what becomes of lines typed in gloves. Of word slips four in five
// must still be read right. No grammar can see most digit slips; how many are asked
// about, because bounds, rates, loads or meters do not bear them out, is measured.
func TestGloves(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	var words, digits tally
	for range 30 {
		for _, row := range rows(t, "forty.csv") {
			ctx := night()
			scenes[row["scene"]](&ctx)
			want := gist(Parse(ctx, row["line"]).Drafts)
			got := Parse(ctx, gloved(r, row["line"], false))
			words.add(want, gist(got.Drafts), got)
			if line := gloved(r, row["line"], true); line != row["line"] {
				got := Parse(ctx, line)
				digits.add(want, gist(got.Drafts), got)
			}
		}
	}
	t.Logf("word slips: %v", &words)
	t.Logf("digit slips: %v", &digits)
	if words.right*100 < 80*words.all {
		t.Errorf("fewer than 80 %% of lines with word slips are read right: %v", &words)
	}
}
