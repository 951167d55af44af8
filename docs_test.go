package tankside_test

import (
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
)

var (
	requirement = regexp.MustCompile(`(?m)^(?:require)?\s+([a-z0-9.-]+\.[a-z]+/\S+) v\S+$`) // an indirect one ends in a comment
	inTable     = regexp.MustCompile("`([^`]+\\.[a-z]+/[^`]+)`")
)

// TestDependencyTable holds the table in DEVELOPERS.md and the direct
// requirements in go.mod against each other.
func TestDependencyTable(t *testing.T) {
	var want []string
	for _, m := range requirement.FindAllStringSubmatch(read(t, "go.mod"), -1) {
		want = append(want, m[1])
	}
	_, section, found := strings.Cut(read(t, "DEVELOPERS.md"), "\n## Dependencies\n")
	if !found {
		t.Fatal(`DEVELOPERS.md has no section "Dependencies"`)
	}
	section, _, _ = strings.Cut(section, "\n## ")
	var got []string
	for line := range strings.Lines(section) {
		row, _ := strings.CutPrefix(line, "|")
		names, _, _ := strings.Cut(row, "|")
		for _, m := range inTable.FindAllStringSubmatch(names, -1) {
			got = append(got, m[1])
		}
	}
	for _, m := range want {
		if !slices.Contains(got, m) {
			t.Errorf("go.mod requires %s and DEVELOPERS.md does not say why", m)
		}
	}
	for _, m := range got {
		if !slices.Contains(want, m) {
			t.Errorf("DEVELOPERS.md gives a reason for %s, which go.mod does not require", m)
		}
	}
}

func read(t *testing.T, name string) string {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}
