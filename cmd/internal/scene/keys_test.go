package scene_test

import (
	"encoding/csv"
	"os"
	"slices"
	"strings"
	"testing"

	"tankside/events/intake/lines"
)

// The keystroke-level model of Card, Moran and Newell: a key of an average typist, and
// getting ready for an act (values from memory of their book of 1983).
const (
	perKey   = 0.28 // s
	perReady = 1.35 // s
)

// cost is what typing a line takes: its keys, and how many of them were Tab.
type cost struct{ keys, tabs int }

// typing is the fewest keys that a line takes, with Enter. A completion is taken by Tab
// alone, so only the first that is offered counts.
func typing(ctx lines.Context, line string) cost {
	best := make([]cost, len(line)+1)
	for i := range line {
		best[i+1] = cost{keys: 1 << 20}
	}
	better := func(c cost, at int) {
		if b := best[at]; c.keys < b.keys || c.keys == b.keys && c.tabs < b.tabs {
			best[at] = c
		}
	}
	for i := range line {
		here := best[i]
		better(cost{here.keys + 1, here.tabs}, i+1)
		ways := lines.Complete(ctx, line[:i], i)
		if len(ways) == 0 {
			continue
		}
		text := line[:ways[0].From] + ways[0].Text
		if trimmed := strings.TrimRight(text, " "); len(trimmed) == len(line) {
			text = trimmed
		}
		if n := len(text); n <= len(line) && n > i && strings.EqualFold(line[:n], text) {
			better(cost{here.keys + 1, here.tabs + 1}, n)
		}
	}
	end := best[len(line)]
	end.keys++ // Enter
	return end
}

// fortyLines are the lines of the table of lines that a scribe types most.
func fortyLines(t *testing.T) (out []string) {
	t.Helper()
	f, err := os.Open(testdata + "lines/forty.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		if strings.Trim(row[0], "0123456789") == "" {
			out = append(out, row[2])
		}
	}
	return out
}

// TestKeys counts the keys of every line of the invented incident, with what completions
// save, and of the forty lines as typed out, and works out the model time. The model has
// one moment of getting ready a line; beside it stands the time with another such moment
// for each completion, which is what a scribe takes who looks before every Tab.
func TestKeys(t *testing.T) {
	log, typed := night(t)
	var keys []int
	var looks []float64
	plain := 0
	for i, line := range typed {
		c := typing(before(log, i), line)
		keys, looks = append(keys, c.keys), append(looks, perReady*float64(1+c.tabs)+perKey*float64(c.keys))
		plain += len(line) + 1
	}
	for _, line := range fortyLines(t) {
		keys, looks = append(keys, len(line)+1), append(looks, perReady+perKey*float64(len(line)+1))
	}
	slices.Sort(keys)
	slices.Sort(looks)
	n := len(keys)
	seconds := func(k int) float64 { return perReady + perKey*float64(k) }
	t.Logf("%d lines: median %d keys, 90th of 100 %d; model time %.1f s and %.1f s; with a look before every Tab %.1f s and %.1f s",
		n, keys[n/2], keys[n*9/10], seconds(keys[n/2]), seconds(keys[n*9/10]), looks[n/2], looks[n*9/10])
	if keys[n/2] > 20 {
		t.Errorf("median %d keys, want at most 20", keys[n/2])
	}
	if s := seconds(keys[n/2]); s > 7 {
		t.Errorf("median %.1f s, want at most 7", s)
	}
}
