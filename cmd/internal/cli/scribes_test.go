package cli

import (
	"fmt"
	"slices"
	"sync"
	"testing"

	"tankside/cmd/internal/browser"
)

// TestScribesAtOnce types at once on two pages and from the shell: every line is in the log
// once, each of the three in its own order, and says who wrote it.
func TestScribesAtOnce(t *testing.T) {
	const each = 8
	c := serveConsole(t, "Mill Hill")
	pages := []scribe{sit(t, c.url, browser.Laptop), sit(t, c.url, browser.Laptop)}
	var at sync.WaitGroup
	for i, s := range pages {
		at.Go(func() {
			for n := range each {
				s.Type(fmt.Sprintf("note page %d says %d", i, n))
				s.Press("Enter")
			}
			s.saved()
		})
	}
	for n := range each {
		c.ask("log", fmt.Sprintf("note shell says %d", n), "--scribe", "Second scribe")
	}
	at.Wait()
	said := map[string][]string{}
	log, err := c.client().Log(c.name)
	if err != nil {
		t.Fatal(err)
	}
	for r, err := range log.Read(t.Context(), 2) {
		if err != nil {
			t.Fatal(err)
		}
		said[r.Words[:len("note page 0")]] = append(said[r.Words[:len("note page 0")]], r.Words)
		if want := r.Words[:10] == "note shell"; want != (r.RecordedBy == "Second scribe") {
			t.Errorf("%q is written by %q", r.Words, r.RecordedBy)
		}
	}
	for who, lines := range said {
		if len(lines) != each || !slices.IsSorted(lines) {
			t.Errorf("%s: the log has %q, want %d lines in their order", who, lines, each)
		}
	}
	if len(said) != 3 {
		t.Errorf("%d wrote, want 3", len(said))
	}
	for i, s := range pages {
		s.Wait(fmt.Sprintf(`document.querySelector("#latest").textContent.includes("says %d")`, each-1))
		if got, _ := s.line(); got != "" {
			t.Errorf("page %d: the line has %q", i, got)
		}
	}
}
