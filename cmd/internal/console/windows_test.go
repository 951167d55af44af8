package console_test

import (
	"fmt"
	"testing"

	"tankside/cmd/internal/browser"
)

// TestTwoWindows types into windows of one browser: each has its own line, a new one takes
// up the newest, and one that is kept is gone in every window that held it.
func TestTwoWindows(t *testing.T) {
	p := quarryBend(t, "2025-10-14T21:40:20-05:00")
	first := browser.Open(t, p.URL, browser.Laptop)
	second := first.Beside(p.URL+"/story", browser.Laptop)
	holds := func(w *browser.Page, line string) {
		t.Helper()
		w.Wait(fmt.Sprintf(`document.getElementById("line").value === %q`, line))
	}
	first.Type("lel 22 at")
	second.Type("bond r2")
	third := first.Beside(p.URL+"/due", browser.Laptop)
	holds(third, "bond r2")
	third.Type(" 0.7")
	holds(second, "bond r2 0.7")
	third.Press("Enter")
	holds(second, "")
	holds(third, "")
	holds(first, "lel 22 at")
	first.Go(p.URL + "/people")
	holds(first, "lel 22 at")
	third.Reload()
	holds(third, "")
	first.Type(" c4 lid")
	first.Press("Enter")
	first.Wait(`document.querySelector("#latest").textContent.includes("LEL 22 %")`)
	lines := 0
	for r, err := range p.log.Read(t.Context(), 1) {
		if err != nil {
			t.Fatal(err)
		}
		if r.Words == "lel 22 at c4 lid" || r.Words == "bond r2 0.7" {
			lines++
		}
	}
	if lines != 2 {
		t.Errorf("%d entries of the lines that were kept, want 2", lines)
	}
}
