package tankside_test

import (
	"errors"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// The limits of the house, in lines.
const (
	maxFuncLines = 80
	maxFileLines = 500
)

// clockKeeper is the folder that may read the machine's clock; it hands the clock on.
const clockKeeper = "cmd/internal/cli"

// houseRules are the checks that every Go file must pass.
var houseRules = map[string]func([]source) []string{
	"imports":          importFaults,
	"function length":  longFuncs,
	"file length":      longFiles,
	"package comments": packageComments,
	"exported names":   undocumented,
	"clock":            clockReads,
}

func TestHouse(t *testing.T) {
	tree := parseTree(t)
	for name, check := range houseRules {
		t.Run(name, func(t *testing.T) {
			for _, fault := range check(tree) {
				t.Error(fault)
			}
		})
	}
}

// TestHouseBites gives each rule a file that breaks it, so that a check which has
// gone blind fails too.
func TestHouseBites(t *testing.T) {
	for _, tt := range []struct{ rule, path, planted, want string }{
		{"imports", "projections/calc/tank/x.go", `package tank; import _ "tankside/events"`, "imports tankside/events"},
		{"imports", "projections/x.go", `package projections; import _ "tankside/events/memlog"`, "imports tankside/events/memlog"},
		{"imports", "report/x.go", `package report; import _ "tankside"`, "imports tankside:"},
		{"imports", "events/memlog/x.go", `package memlog; import _ "github.com/nats-io/nats.go"`, "only events/journal may"},
		{"imports", "projections/x_test.go", `package projections; import _ "github.com/nats-io/nkeys"`, "only events/journal may"},
		{"imports", "projections/x.go", `package projections; import _ "os"`, "no clock"},
		{"imports", "helpers/x.go", `package helpers`, "no row"},
		{"function length", "events/x.go", "package events\nfunc long() {" + strings.Repeat("\n", maxFuncLines) + "}", "long has 81 lines"},
		{"file length", "events/x_test.go", "package events" + strings.Repeat("\n", maxFileLines+1), "has 501 lines"},
		{"package comments", "events/x.go", "package events", "package events has no comment"},
		{"exported names", "events/x.go", "package events\nfunc Open() {}", "Open is exported"},
		{"exported names", "events/x.go", "package events\n// T is.\ntype T[E any] struct{}\nfunc (*T[E]) Apply() {}", "T.Apply is"},
		{"exported names", "events/x.go", "package events\ntype (\n// A is.\nA int\nB int)", "B is"},
		{"exported names", "events/x.go", "package events\nvar A, b int", "A is"},
		{"clock", "projections/x.go", "package projections\nimport clock \"time\"\nvar f = clock.Now", "clock.Now"},
		{"clock", "report/x.go", "package report\nimport \"time\"\nfunc f(t time.Time) { _ = time.Since(t) }", "time.Since"},
	} {
		got := houseRules[tt.rule]([]source{parse(t, tt.path, []byte(tt.planted))})
		if len(got) != 1 || !strings.Contains(got[0], tt.want) {
			t.Errorf("%s: %s with %q: got %q, want one complaint with %q", tt.rule, tt.path, tt.planted, got, tt.want)
		}
	}
}

// source is one Go file of the tree, parsed. Its path is relative to the module
// and has forward slashes.
type source struct {
	path string
	fset *token.FileSet
	file *ast.File
}

func (s source) isTest() bool          { return strings.HasSuffix(s.path, "_test.go") }
func (s source) folder() string        { return path.Dir(s.path) }
func (s source) line(p token.Pos) int  { return s.fset.Position(p).Line }
func (s source) at(p token.Pos) string { return fmt.Sprintf("%s:%d", s.path, s.line(p)) }
func (s source) lines(n ast.Node) int  { return s.line(n.End()) - s.line(n.Pos()) + 1 }

// parse reads one file.
func parse(t *testing.T, name string, text []byte) source {
	t.Helper()
	fset := token.NewFileSet()
	file, err := parser.ParseFile(fset, name, text, parser.ParseComments|parser.SkipObjectResolution)
	if err != nil {
		t.Fatal(err)
	}
	return source{name, fset, file}
}

// parseTree reads every Go file of the module.
func parseTree(t *testing.T) []source {
	t.Helper()
	var tree []source
	walk(t, func(name string, text []byte) {
		if strings.HasSuffix(name, ".go") {
			tree = append(tree, parse(t, name, text))
		}
	})
	if len(tree) == 0 {
		t.Fatal("found no Go file: the test must run in the root of the module")
	}
	return tree
}

// walk gives every file of the module to visit, leaving out what .gitignore
// keeps out and the folder of the version control itself.
func walk(t *testing.T, visit func(name string, text []byte)) {
	t.Helper()
	skip := []string{".git", "bin", "demo-out", filepath.Join(".ci", "pages", "node_modules")}
	err := filepath.WalkDir(".", func(name string, d fs.DirEntry, err error) error {
		switch {
		case errors.Is(err, fs.ErrNotExist):
			return nil // gone since its folder was listed: another test's temporary file
		case err != nil:
			return err
		case d.IsDir() && slices.Contains(skip, name):
			return fs.SkipDir
		case !d.Type().IsRegular():
			return nil
		}
		text, err := os.ReadFile(name)
		if err == nil {
			visit(filepath.ToSlash(name), text)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// longFuncs lists the functions that no longer fit a screen. Tests are let off:
// a long table is easier read than split.
func longFuncs(tree []source) []string {
	var faults []string
	for _, s := range tree {
		for _, d := range s.file.Decls {
			if f, ok := d.(*ast.FuncDecl); ok && !s.isTest() && s.lines(f) > maxFuncLines {
				faults = append(faults, fmt.Sprintf("%s: %s has %d lines, the limit is %d: split it",
					s.at(f.Pos()), f.Name.Name, s.lines(f), maxFuncLines))
			}
		}
	}
	return faults
}

// longFiles lists the files that hold too much.
func longFiles(tree []source) []string {
	var faults []string
	for _, s := range tree {
		if n := s.fset.File(s.file.FileStart).LineCount(); n > maxFileLines {
			faults = append(faults, fmt.Sprintf("%s: has %d lines, the limit is %d: split it by subject", s.path, n, maxFileLines))
		}
	}
	return faults
}

// clockReads lists the places that read the machine's clock without leave.
func clockReads(tree []source) []string {
	var faults []string
	for _, s := range tree {
		clock := importName(s, "time")
		if s.isTest() || s.folder() == clockKeeper || clock == "" {
			continue
		}
		ast.Inspect(s.file, func(n ast.Node) bool {
			sel, ok := n.(*ast.SelectorExpr)
			if !ok {
				return true
			}
			x, ok := sel.X.(*ast.Ident)
			if ok && x.Name == clock && slices.Contains([]string{"Now", "Since", "Until"}, sel.Sel.Name) {
				faults = append(faults, fmt.Sprintf("%s: reads %s.%s: take the time from the caller",
					s.at(n.Pos()), clock, sel.Sel.Name))
			}
			return true
		})
	}
	return faults
}

// importName is the name by which the file knows an imported package, or "".
func importName(s source, pkg string) string {
	for _, spec := range s.file.Imports {
		if spec.Path.Value != `"`+pkg+`"` {
			continue
		}
		if spec.Name != nil {
			return spec.Name.Name
		}
		return path.Base(pkg)
	}
	return ""
}
