package console_test

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"tankside/cmd/internal/browser"
	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/memlog"
	"tankside/projections"
	"tankside/projections/findings"
	"tankside/report"
)

// overlaps are the words of the pictures in sight that are cut off or stand on others, as
// the browser has set them: with its own fonts, where the tests of the pictures go by a
// table of breadths.
const overlaps = `(() => {
	const out = []
	for (const svg of document.querySelectorAll("svg")) {
		const frame = svg.getBoundingClientRect()
		if (!frame.width) continue
		const boxes = [...svg.querySelectorAll("text")].map(e => {
			const b = e.getBoundingClientRect()
			return {words: e.textContent, left: b.left, right: b.right, top: b.top + 0.15 * b.height, bottom: b.bottom - 0.15 * b.height}
		})
		boxes.forEach((a, i) => {
			if (a.left < frame.left - 1 || a.right > frame.right + 1 || a.top < frame.top - 1 || a.bottom > frame.bottom + 1)
				out.push(a.words + " is cut off")
			for (const b of boxes.slice(0, i))
				if (a.left < b.right - 0.5 && b.left < a.right - 0.5 && a.top < b.bottom && b.top < a.bottom)
					out.push(a.words + " stands on " + b.words)
		})
	}
	return out
})()`

// The number of pictures in sight, and the height of the smallest letters in them.
const (
	inSight  = `[...document.querySelectorAll("svg")].filter(s => s.getBoundingClientRect().width).length`
	smallest = `Math.min(...[...document.querySelectorAll("svg text")].filter(e => e.getBoundingClientRect().width).map(e => e.getScreenCTM().a * e.getAttribute("font-size")))`
)

// planted is a picture in which words are cut off and stand on others.
const planted = `document.body.insertAdjacentHTML("beforeend", '<svg viewBox="0 0 50 20"><text x="0" y="15">short</text><text x="0" y="15">longer than the picture</text></svg>')`

// reportOf writes the report of a demonstration to a file.
func reportOf(t *testing.T, name string) string {
	t.Helper()
	made := time.Date(2026, 2, 1, 9, 30, 0, 0, time.UTC)
	c, log := kinds.Catalogue(), memlog.New(kinds.Catalogue(), "Quarry Bend", "node", func() time.Time { return made })
	for _, d := range script(t, name) {
		if _, err := log.Append(t.Context(), d); err != nil {
			t.Fatal(err)
		}
	}
	var all []events.Recorded
	for r, err := range log.Read(t.Context(), 1) {
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, r)
	}
	tl := c.NewTimeline(slices.Clone(all), events.View{})
	inc := projections.Fold(c, tl)
	findings.Judge(inc, tl, findings.Defaults())
	f, err := os.Create(filepath.Join(t.TempDir(), name+".html"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := report.HTML(f, report.Build(c, inc, tl, made)); err != nil {
		t.Fatal(err)
	}
	return f.Name()
}

// TestReportInBrowser opens the reports of the demonstrations on a laptop and on a phone
// of 360 pixels: the page is no broader than the screen, and no word of the pictures in
// sight is too small, cut off or on another.
func TestReportInBrowser(t *testing.T) {
	for _, name := range []string{"quarry-bend", "harrow-mill"} {
		file := reportOf(t, name)
		for screen, size := range map[string]browser.Size{"laptop": browser.Laptop, "phone": browser.Phone} {
			page := browser.Open(t, "file://"+file, size)
			if wide := browser.Eval[float64](page, `document.documentElement.scrollWidth - innerWidth`); wide > 0 {
				t.Errorf("%s on a %s: the page is %g px broader than the screen", name, screen, wide)
			}
			if n := browser.Eval[int](page, inSight); n < 8 {
				t.Errorf("%s on a %s: %d pictures in sight, want 8 at least", name, screen, n)
			}
			if px := browser.Eval[float64](page, smallest); px < 10.5 {
				t.Errorf("%s on a %s: letters in a picture are %.1f px high, want 10.5 at least", name, screen, px)
			}
			for _, f := range browser.Eval[[]string](page, overlaps) {
				t.Errorf("%s on a %s: %s", name, screen, f)
			}
			browser.Eval[any](page, planted)
			if got := browser.Eval[[]string](page, overlaps); len(got) < 2 {
				t.Errorf("%s on a %s: of a picture with two faults the check saw %q", name, screen, got)
			}
		}
	}
}
