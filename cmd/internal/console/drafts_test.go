package console

import (
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"
)

// TestDraftsOutlive holds half-typed lines to what a next run finds, and lines that were
// sent to being gone.
func TestDraftsOutlive(t *testing.T) {
	file := filepath.Join(t.TempDir(), "drafts.json")
	at := time.Date(2025, 10, 14, 23, 41, 20, 0, time.UTC)
	run := func(what func(*drafts)) *Console {
		c := lanConsole(nil)
		ctx, stop := context.WithCancel(t.Context())
		stop() // it writes what there is as it ends
		if err := c.ReadDrafts(file); err != nil {
			t.Fatal(err)
		}
		what(&c.drafts)
		if err := c.drafts.write(file); err != nil {
			t.Fatal(err)
		}
		if err := c.KeepDrafts(ctx, file); err != nil {
			t.Fatal(err)
		}
		return c
	}
	run(func(d *drafts) {
		d.keep("laptop", "benzene 9.6 hose", at)
		d.keep("phone", "pair 2 o", at)
	})
	c := run(func(d *drafts) { d.sent("phone", "pair 2 o") })
	if got := c.drafts.of("laptop"); got.Line != "benzene 9.6 hose" || !got.At.Equal(at) {
		t.Errorf("after a restart the line is %+v", got)
	}
	if got := c.drafts.of("phone"); got.Line != "" {
		t.Errorf("a line that was sent is %+v", got)
	}
	if err := os.WriteFile(file, []byte(`{"":{"line":"ben`), 0o600); err != nil {
		t.Fatal(err)
	}
	run(func(d *drafts) { d.keep("laptop", "after a torn file", at) })
}
