package console_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"tankside/cmd/internal/browser"
)

// TestPictures takes a picture of every page, for somebody to look at. It runs where
// TANKSIDE_PICTURES names a folder.
func TestPictures(t *testing.T) {
	dir := os.Getenv("TANKSIDE_PICTURES")
	if dir == "" {
		t.Skip("no pictures asked for: TANKSIDE_PICTURES names no folder")
	}
	p := quarryBend(t, "2025-10-15T03:49:20-05:00")
	for name, size := range map[string]browser.Size{"laptop": browser.Laptop, "zoomed": browser.Zoomed, "phone": browser.Phone} {
		page := browser.Open(t, p.URL, size)
		for _, at := range []string{"", "story", "product", "people", "due", "far", "?as_of=150&known_at=150"} {
			page.Go(p.URL + "/" + at)
			page.Wait(`document.getElementById("live").textContent.includes("live") || document.documentElement.classList.contains("back")`)
			shoot(t, page, dir, fmt.Sprintf("%s-%s", name, at))
			if name == "laptop" {
				browser.Eval[bool](page, `document.getElementById("night").click() || true`)
				shoot(t, page, dir, "night-"+at)
				browser.Eval[bool](page, `document.getElementById("night").click() || true`)
			}
		}
		page.Go(p.URL)
		page.Wait(`/^live/.test(document.getElementById("live").textContent)`)
		page.Type("bond r2 1850")
		page.Wait(`document.querySelector(".reading")?.dataset.line === "bond r2 1850"`)
		shoot(t, page, dir, name+"-typing")
		if c := page.Complaints(); len(c) > 0 {
			t.Errorf("the pages complain: %q", c)
		}
	}
}

func shoot(t *testing.T, page *browser.Page, dir, name string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(dir, name+".png"), page.Screenshot(), 0o600); err != nil {
		t.Fatal(err)
	}
}
