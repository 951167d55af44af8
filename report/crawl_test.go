package report

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"tankside/events"
)

// anyFigure is a number with a unit of the log.
var anyFigure = regexp.MustCompile(`−?[0-9][0-9,]*(?:\.[0-9]+)?(?: ± [0-9.,]+)? (?:gal net|gal|L net|L|min|psi/min|psi|kPa|ppm|%|Ω|gpm|lb|kg|ft|in|°F|mph)(?:[ ;,.|)\x{a0}]|$)`)

// cites is a link to an entry or to a list of them.
var cites = regexp.MustCompile(`\]\(#(?:e|list)[0-9]+\)`)

// sourced is a figure that is no reading of this incident: a limit or a property with
// its source, the number of a section, a share of all entries.
var sourced = regexp.MustCompile(`CFR|ACGIH|common practice|NIOSH|in section [0-9]+ \||^- \*\*Times that are`)

// uncited finds the rows and points of a report above its timeline that print a figure
// and lead neither to an entry nor to a source. Heads of tables are no rows.
func uncited(md string) (out []string) {
	body, _, _ := strings.Cut(md, "## Appendix A")
	lines := strings.Split(body, "\n")
	for i, line := range lines {
		row := strings.HasPrefix(line, "|") || strings.HasPrefix(line, "- ")
		head := i+1 < len(lines) && strings.HasPrefix(lines[i+1], "|---")
		if row && !head && anyFigure.MatchString(line) && !cites.MatchString(line) && !sourced.MatchString(line) {
			out = append(out, line)
		}
	}
	return out
}

// TestNoFigureWithoutEntry crawls both reports. A row whose marks are taken away is
// found, so that the crawl is known to see.
func TestNoFigureWithoutEntry(t *testing.T) {
	for _, g := range goldens[:2] {
		md := markdownOf(t, built(g.log(t), events.View{}))
		for _, line := range uncited(md) {
			t.Errorf("%s: no entry behind %q", g.name, line)
		}
		if n := len(uncited(cites.ReplaceAllString(md, "]"))); n < 200 {
			t.Errorf("%s: without any mark %d rows are found, want hundreds", g.name, n)
		}
	}
}

// outside runs a validator of .ci/pages over a file; the test is skipped where it is not
// installed.
func outside(t *testing.T, name string, args ...string) {
	t.Helper()
	tool, err := filepath.Abs(filepath.Join("..", ".ci", "pages", "node_modules", ".bin", name))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(tool); err != nil {
		t.Skipf("%s is not installed, so no validator from outside reads the report: run npm ci in .ci/pages", name)
	}
	cmd := exec.Command(tool, args...)
	cmd.Dir = filepath.Join("..", ".ci", "pages")
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Errorf("%s: %v\n%.3000s", name, err, out)
	}
}

// TestOutsideValidators has every edition of both incidents read by an HTML validator
// and a Markdown linter that are not ours.
func TestOutsideValidators(t *testing.T) {
	if testing.Short() {
		t.Skip("two programs of node; left out of the short run")
	}
	dir := t.TempDir()
	for _, g := range goldens[:2] {
		unit := map[string]string{"quarry-bend": "Hazmat 2", "harrow-mill": "Hazmat 4"}[g.name]
		for _, o := range everyEdition("P1A", unit) {
			d := as(t, g.log(t), o)
			name := filepath.Join(dir, g.name+"-"+string(d.Edition)+string(o.Units))
			for ext, text := range map[string]string{".html": htmlOf(t, d), ".md": markdownOf(t, d)} {
				if err := os.WriteFile(name+ext, []byte(text), 0o600); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
	t.Run("html", func(t *testing.T) {
		outside(t, "html-validate", "-c", "htmlvalidate.json", "-f", "text", filepath.Join(dir, "*.html"))
	})
	t.Run("markdown", func(t *testing.T) {
		outside(t, "markdownlint-cli2", "--config", ".markdownlint-cli2.jsonc", filepath.ToSlash(filepath.Join(dir, "*.md")))
	})
}
