package report

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tankside/events"
)

var update = flag.Bool("update", false, "write the golden reports anew")

// goldens are the logs whose reports are kept whole in testdata/golden.
var goldens = []struct {
	name string
	log  func(t testing.TB) []events.Recorded
}{
	{"quarry-bend", func(t testing.TB) []events.Recorded { return incident(t, "quarry-bend.csv", "Quarry Bend") }},
	{"harrow-mill", func(t testing.TB) []events.Recorded { return incident(t, "harrow-mill.csv", "Harrow Mill") }},
	{"nothing-logged", func(testing.TB) []events.Recorded { return nil }},
	{"one-entry", func(t testing.TB) []events.Recorded { return sealed(t, []events.Draft{sayingOf("one word")}) }},
}

// TestGolden compares each report, as Markdown and as a page, with the one kept.
// Each is made twice: the same log always gives the same bytes.
func TestGolden(t *testing.T) {
	for _, g := range goldens {
		d := built(g.log(t), events.View{})
		for ext, text := range map[string]string{".md": markdownOf(t, d), ".html": htmlOf(t, d)} {
			again := built(g.log(t), events.View{})
			if second := map[string]string{".md": markdownOf(t, again), ".html": htmlOf(t, again)}[ext]; second != text {
				t.Errorf("%s%s differs when made a second time", g.name, ext)
			}
			golden(t, g.name+ext, text)
		}
	}
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("..", "testdata", "golden", name)
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatalf("%v; write it with go test ./report -update", err)
	}
	if got != string(want) {
		t.Errorf("%s has changed; read it, then write it anew with go test ./report -update\n%s", name, firstDifference(got, string(want)))
	}
}

// firstDifference shows the first line in which two texts differ.
func firstDifference(got, want string) string {
	g, w := strings.Split(got, "\n"), strings.Split(want, "\n")
	for i := range g {
		if i >= len(w) || g[i] != w[i] {
			return fmt.Sprintf("line %d: got %.300q, want %.300q", i+1, g[i], append(w, make([]string, i+1)...)[i])
		}
	}
	return fmt.Sprintf("got %d lines, want %d", len(g), len(w))
}
