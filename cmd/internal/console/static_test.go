package console

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"io/fs"
	"path"
	"slices"
	"strings"
	"testing"

	"tankside/templates"
)

// mostWeight is what a page and all that it loads may weigh, gzipped: 100 KB.
const mostWeight = 100 << 10

// TestVendored holds what comes from outside to the sums that were written down when it
// was taken, and nothing else may lie beside it.
func TestVendored(t *testing.T) {
	sources, err := templates.Static.ReadFile("static/vendor/SOURCES")
	if err != nil {
		t.Fatal(err)
	}
	sums := map[string]string{}
	for l := range strings.Lines(string(sources)) {
		if f := strings.Fields(l); len(f) > 0 && f[0] != "#" {
			sums[f[0]] = f[len(f)-1]
		}
	}
	files, err := fs.Glob(templates.Static, "static/vendor/*.js")
	if err != nil || len(files) != len(sums) {
		t.Fatalf("%d files, %d sums, %v", len(files), len(sums), err)
	}
	for _, name := range files {
		text, err := templates.Static.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		sum := sha256.Sum256(text)
		if got := hex.EncodeToString(sum[:]); got != sums[path.Base(name)] {
			t.Errorf("%s has the sum %s, %q is written down", name, got, sums[path.Base(name)])
		}
	}
	if _, err := templates.Static.ReadFile("static/vendor/htmx.LICENSE"); err != nil {
		t.Error(err)
	}
}

// TestWeight weighs everything that any page loads.
func TestWeight(t *testing.T) {
	total := 0
	err := fs.WalkDir(templates.Static, "static", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !slices.Contains([]string{".js", ".css", ".svg"}, path.Ext(name)) {
			return err
		}
		text, err := templates.Static.ReadFile(name)
		var b bytes.Buffer
		z := gzip.NewWriter(&b)
		_, werr := z.Write(text)
		if err := z.Close(); werr != nil || err != nil {
			t.Error(werr, err)
		}
		t.Logf("%6d bytes of %6d  %s", b.Len(), len(text), name)
		total += b.Len()
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if total > mostWeight {
		t.Errorf("all that a page loads weighs %d bytes, at most %d are allowed", total, mostWeight)
	}
	t.Logf("%d bytes in all", total)
}

// TestNothingFromElsewhere holds the pages to what this server has.
func TestNothingFromElsewhere(t *testing.T) {
	for _, dir := range []fs.FS{templates.Console, templates.Static} {
		err := fs.WalkDir(dir, ".", func(name string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || strings.Contains(name, "vendor/") {
				return err
			}
			text, err := fs.ReadFile(dir, name)
			for _, bad := range []string{"http://", "https://", "//cdn", "style=", "onclick", "<style", "javascript:"} {
				plain := strings.ReplaceAll(string(text), "http://www.w3.org/2000/svg", "")
				if strings.Contains(plain, bad) {
					t.Errorf("%s holds %q", name, bad)
				}
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
}
