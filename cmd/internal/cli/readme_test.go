package cli

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// TestReadme runs the commands of the README's tour, as printed and in order, so
// that what a newcomer types is what works.
func TestReadme(t *testing.T) {
	root := filepath.Join("..", "..", "..")
	text, err := os.ReadFile(filepath.Join(root, "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	_, tour, found := strings.Cut(string(text), "\n## Five minutes\n")
	if !found {
		t.Fatal(`README.md has no section "Five minutes"`)
	}
	tour, _, _ = strings.Cut(tour, "\n## ")
	var script strings.Builder
	for line := range strings.Lines(tour) {
		if strings.HasPrefix(line, "tankside ") {
			script.WriteString("exec " + strings.ReplaceAll(line, `"`, "'"))
		}
	}
	if script.Len() == 0 {
		t.Fatal("the tour has no commands")
	}
	file := filepath.Join(t.TempDir(), "readme.txtar")
	if err := os.WriteFile(file, []byte(script.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Files: []string{file},
		Setup: func(env *testscript.Env) error {
			env.Setenv("TANKSIDE_DIR", filepath.Join(env.WorkDir, "data"))
			const incidents = "testdata/incidents"
			return os.CopyFS(filepath.Join(env.WorkDir, incidents), os.DirFS(filepath.Join(root, incidents)))
		},
	})
}
