package scene_test

import (
	"encoding/csv"
	"fmt"
	"os"
	"regexp"
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

// cost is what typing a line takes: its keys with Enter, how many completions were taken,
// and the time.
type cost struct {
	keys, taken int
	time        float64
}

// ways are the completions at each place of a line.
func ways(ctx lines.Context, line string) (out [][]lines.Completion) {
	for i := range line {
		out = append(out, lines.Complete(ctx, line[:i], i))
	}
	return out
}

// typing is the cheapest way to type a line. A completion is taken by Tab; one that does
// not stand first wants an arrow key for each place it stands lower. With look, each
// completion that is taken costs another moment of getting ready, which is what a scribe
// takes who looks before every Tab, and the way is the quickest by that; without, it is
// that of the fewest keys.
func typing(ways [][]lines.Completion, line string, look bool) cost {
	ready := 0.0
	if look {
		ready = perReady
	}
	best := make([]cost, len(line)+1)
	for i := range line {
		best[i+1] = cost{time: 1e9}
	}
	better := func(from cost, keys, taken, at int) {
		c := cost{from.keys + keys, from.taken + taken, from.time + perKey*float64(keys) + ready*float64(taken)}
		if b := best[at]; c.time < b.time || c.time == b.time && c.taken < b.taken {
			best[at] = c
		}
	}
	for i := range line {
		here := best[i]
		better(here, 1, 0, i+1)
		for lower, way := range ways[i] {
			text := line[:way.From] + way.Text
			if trimmed := strings.TrimRight(text, " "); len(trimmed) == len(line) {
				text = trimmed
			}
			if n := len(text); n <= len(line) && n > i && strings.EqualFold(line[:n], text) {
				better(here, 1+lower, 1, n)
			}
		}
	}
	end := best[len(line)]
	end.keys++ // Enter
	end.time += perKey + perReady
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

// freeWords are the lines of the incident that are mostly somebody's own words: decisions,
// rules, orders, stops and handovers. No vocabulary has them.
var freeWords = regexp.MustCompile("^([0-9]{4} )?(decide|rules?|order|stop|handover|settled|doubt) ")

// TestKeys counts the keys of every line of the invented incident, with what completions
// save, and of the forty lines, and works out the model time. The model has
// one moment of getting ready a line; beside it stands the time with another such moment
// for each completion.
func TestKeys(t *testing.T) {
	log, typed := night(t)
	for i := range log {
		log[i].Words = typed[i] // the log holds what was typed
	}
	var all, worded tally
	for i, line := range typed {
		offered := ways(before(log, i), line)
		fewest, quickest := typing(offered, line, false), typing(offered, line, true)
		all.add(fewest, quickest)
		if !freeWords.MatchString(line) {
			worded.add(fewest, quickest)
		}
		if testing.Verbose() && fewest.keys > 34 {
			t.Logf("%d: %d keys, %d of them Tab: %s", i+1, fewest.keys, fewest.taken, line)
		}
	}
	middle := before(log, len(log)/2) // the forty are typed in the middle of the night
	for _, line := range fortyLines(t) {
		offered := ways(middle, line)
		fewest, quickest := typing(offered, line, false), typing(offered, line, true)
		all.add(fewest, quickest)
		worded.add(fewest, quickest)
		if testing.Verbose() && fewest.keys > 34 {
			t.Logf("forty: %d keys, %d of them Tab: %s", fewest.keys, fewest.taken, line)
		}
	}
	t.Logf("all: %v", &all)
	t.Logf("without free words: %v", &worded)
	if median := all.part(50); median.keys > 20 || median.time > 7 {
		t.Errorf("median %d keys and %.1f s, want at most 20 and 7", median.keys, median.time)
	}
	if most := all.part(90); most.keys > 34 || most.time > 12 {
		t.Errorf("90th of 100 %d keys and %.1f s, want at most 34 and 12", most.keys, most.time)
	}
}

// tally are the costs of lines, by the fewest keys and by the time with a look before
// every Tab.
type tally struct {
	keys  []int
	looks []float64
}

func (c *tally) add(fewest, quickest cost) {
	c.keys, c.looks = append(c.keys, fewest.keys), append(c.looks, quickest.time)
	slices.Sort(c.keys)
	slices.Sort(c.looks)
}

// part is the keys, and the model time of those, of the line that so many of a hundred do
// not exceed.
func (c *tally) part(percent int) cost {
	k := c.keys[len(c.keys)*percent/100]
	return cost{keys: k, time: perReady + perKey*float64(k)}
}

func (c *tally) String() string {
	half, most, n := c.part(50), c.part(90), len(c.keys)
	return fmt.Sprintf("%d lines: median %d keys, 90th of 100 %d; model time %.1f s and %.1f s; with a look before every Tab %.1f s and %.1f s",
		n, half.keys, most.keys, half.time, most.time, c.looks[n/2], c.looks[n*9/10])
}
