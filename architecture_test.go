package tankside_test

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// module is the first part of every import path of our own.
const module = "tankside"

// row says what one folder may import from this module. A row whose folder ends
// in "/..." speaks for everything below it that has no row of its own. Every
// package may import itself, which is how an outside test reaches it.
type row struct {
	folder string
	may    []string // in any file
	tests  []string // in _test.go files only
}

// suites are what a test may lean on beyond its package: the kinds with their
// examples, the log in memory, the suite for logs and the reader of incidents.
var suites = []string{
	"events", "events/quantity", "events/kinds", "events/memlog", "events/logtest", "events/intake",
}

// arrows is the law of the house: data flows from events to the report, and no
// import points back up. "*" is everything; only the command line has it.
var arrows = []row{
	{folder: "."},
	{folder: "events/quantity"},
	{folder: "events", may: []string{"events/quantity"}, tests: suites},
	{folder: "events/kinds", may: []string{"events", "events/quantity"}, tests: suites},
	{folder: "events/archive", may: []string{"events", "events/kinds"}, tests: suites},
	{folder: "events/memlog", may: []string{"events", "events/kinds"}, tests: suites},
	{folder: "events/logtest", may: []string{"events", "events/kinds"}, tests: suites},
	{
		folder: "events/journal", may: []string{"events", "events/archive", "events/kinds"},
		tests: append([]string{"events/journal/..."}, suites...),
	},
	{folder: "events/journal/...", may: []string{"events", "events/kinds"}, tests: suites},
	{folder: "events/intake", may: []string{"events", "events/kinds", "events/quantity"}, tests: suites},
	{folder: "events/intake/lines", may: []string{"events", "events/kinds", "events/quantity"}, tests: suites},
	{folder: "projections/calc/...", may: []string{"events/quantity", "projections/calc/..."}},
	{
		folder: "projections",
		may:    []string{"events", "events/kinds", "events/quantity", "projections/calc/..."}, tests: suites,
	},
	{
		folder: "projections/findings",
		may:    []string{"events", "events/kinds", "events/quantity", "projections", "projections/calc/..."}, tests: suites,
	},
	{folder: "projections/live", may: []string{"events", "projections"}, tests: suites},
	{folder: "templates"},
	{folder: "report/chart", tests: []string{"report/chart/charttest"}},
	{folder: "report/chart/charttest"}, // for tests alone
	{
		folder: "report",
		may:    []string{"events", "events/kinds", "events/quantity", "projections", "report/chart", "templates"},
		tests:  append([]string{"report/chart/charttest"}, suites...),
	},
	{
		folder: "cmd/internal/scene",
		may:    []string{"events", "events/intake/lines", "events/kinds", "events/quantity", "projections"}, tests: suites,
	},
	{
		folder: "cmd/internal/console",
		may: []string{
			"cmd/internal/desk", "cmd/internal/scene", "events", "events/intake/lines", "events/kinds", "events/quantity", "projections", "projections/calc/exposure", "projections/live", "report", "templates",
		},
		tests: append([]string{"cmd/internal/browser", "projections/findings"}, suites...),
	},
	{folder: "cmd/internal/desk", may: []string{"events", "events/kinds", "projections", "report"}, tests: suites},
	{folder: "cmd/internal/browser"}, // for tests alone
	{folder: "cmd/internal/move", may: []string{"events", "events/kinds"}, tests: suites},
	{folder: "cmd/internal/remote", may: []string{"events", "events/journal"}, tests: suites},
	{folder: "cmd/internal/cli", may: []string{"*"}},
	{folder: "cmd/tankside", may: []string{"cmd/internal/cli"}},
}

// holders names the only folders that may import certain outside packages, so
// that a storage engine, a flag library or a renderer can be replaced in one place.
var holders = []struct{ prefix, folder string }{
	{"github.com/nats-io/", "events/journal"},
	{"github.com/synadia-io/", "events/journal"},
	{"github.com/spf13/", "cmd/internal/cli"},
	{"github.com/jedib0t/", "cmd/internal/cli"},
	{"github.com/yuin/goldmark", "report"},
	{"github.com/chromedp/", "cmd/internal/browser"},
	{"gonum.org/", "projections/calc/..."},
}

// impure are the packages with a clock's, a disk's, a network's or a dice's
// reach: a fold or a formula that imports one is no longer a function of the log.
var impure = []string{
	"crypto/rand", "io/fs", "io/ioutil", "log", "log/slog", "math/rand", "math/rand/v2",
	"net", "net/http", "os", "os/exec", "path/filepath",
}

// covers reports whether the pattern of a table stands for the folder.
func covers(pattern, folder string) bool {
	if pattern == "*" || pattern == folder {
		return true
	}
	below, ok := strings.CutSuffix(pattern, "/...")
	return ok && strings.HasPrefix(folder, below+"/")
}

// rowOf finds the row of a folder: its own, or the first that covers it.
func rowOf(folder string) (row, bool) {
	for _, r := range arrows {
		if r.folder == folder {
			return r, true
		}
	}
	i := slices.IndexFunc(arrows, func(r row) bool { return covers(r.folder, folder) })
	if i < 0 {
		return row{}, false
	}
	return arrows[i], true
}

// importFaults lists the imports that point the wrong way.
func importFaults(tree []source) []string {
	var faults []string
	for _, s := range tree {
		r, known := rowOf(s.folder())
		if !known {
			faults = append(faults, s.path+": the folder has no row in the import table: add one or move the file")
			continue
		}
		for _, spec := range s.file.Imports {
			imported, err := strconv.Unquote(spec.Path.Value)
			if err != nil {
				continue // the parser has refused it already
			}
			if why := importFault(s, r, imported); why != "" {
				faults = append(faults, fmt.Sprintf("%s: imports %s: %s", s.at(spec.Pos()), imported, why))
			}
		}
	}
	return faults
}

// importFault says what is wrong with one import, or nothing.
func importFault(s source, r row, imported string) string {
	if imported == module {
		imported += "/." // the root, as its folder is called
	}
	if ours, ok := strings.CutPrefix(imported, module+"/"); ok {
		allowed := append([]string{s.folder()}, r.may...)
		if s.isTest() {
			allowed = append(allowed, r.tests...)
		}
		if !slices.ContainsFunc(allowed, func(p string) bool { return covers(p, ours) }) {
			return "the import table gives this folder only " + strings.Join(allowed[1:], ", ")
		}
		return ""
	}
	for _, h := range holders {
		if strings.HasPrefix(imported, h.prefix) && !covers(h.folder, s.folder()) {
			return "only " + h.folder + " may"
		}
	}
	if isPure(s) && slices.Contains(impure, imported) {
		return "folds and formulas have no clock, no disk, no network, no chance"
	}
	return ""
}

// isPure reports whether the file belongs to a fold or a formula.
func isPure(s source) bool {
	return !s.isTest() && (s.folder() == "projections" || covers("projections/calc/...", s.folder()))
}

func TestCovers(t *testing.T) {
	for _, tt := range []struct {
		pattern, folder string
		want            bool
	}{
		{"*", "report", true},
		{"events", "events", true},
		{"events", "events/kinds", false},
		{"projections/calc/...", "projections/calc/tank", true},
		{"projections/calc/...", "projections/calculus", false},
	} {
		if got := covers(tt.pattern, tt.folder); got != tt.want {
			t.Errorf("covers(%q, %q) = %v, want %v", tt.pattern, tt.folder, got, tt.want)
		}
	}
}
