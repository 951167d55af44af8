package cli

import (
	"fmt"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"tankside/cmd/internal/browser"
	"tankside/events"
	"tankside/events/journal"
	"tankside/events/kinds"
)

// longFolder makes a data folder whose log has n entries, Quarry Bend over and over,
// each time three days later. It returns the hour of the last.
func longFolder(b *testing.B, dir string, n int) time.Time {
	b.Helper()
	a, _, _ := newApp()
	night, err := a.script("quarry-bend")
	if err != nil {
		b.Fatal(err)
	}
	j, err := journal.Open(b.Context(), journal.Config{Dir: dir, Now: time.Now, Catalogue: kinds.Catalogue()})
	if err != nil {
		b.Fatal(err)
	}
	defer j.Close()
	log, err := j.Log("Quarry Bend")
	if err != nil {
		b.Fatal(err)
	}
	var last time.Time
	for round, left := 0, n; left > 0; round++ {
		shift := time.Duration(round) * 72 * time.Hour
		var batch []events.Draft
		for _, d := range night[:min(left, len(night))] {
			d.Occurred, d.Reported, d.Source = d.Occurred.Shift(shift), d.Reported.Add(shift), events.Source{}
			d.ID = events.ContentID(d.Occurred.At, string(d.ID), fmt.Sprint(round))
			batch, last = append(batch, d), d.Reported
		}
		if _, err := log.AppendAll(b.Context(), batch); err != nil {
			b.Fatal(err)
		}
		left -= len(batch)
	}
	return last
}

// stopwatch measures in the page itself: from the key Enter to the line among the
// latest entries and to the reading on the board, and from each key to its preview.
const stopwatch = `(() => {
	const line = document.querySelector("#line"), took = window.took = {line: [], board: [], preview: []};
	let entered = 0, typed = 0, text = "";
	const look = () => {
		const now = performance.now(), latest = document.querySelector("#latest li:last-child");
		if (entered && !window.onLine && latest && latest.textContent.includes(window.reads)) { window.onLine = true; took.line.push(now - entered) }
		if (entered && !window.onBoard && document.querySelector("#board").textContent.includes(window.reads)) { window.onBoard = true; took.board.push(now - entered) }
		const p = document.querySelector("#preview .reading");
		if (typed && p && p.dataset.line === line.value && text === line.value) { took.preview.push(now - typed); typed = 0 }
	};
	new MutationObserver(look).observe(document.body, {subtree: true, childList: true, characterData: true, attributes: true});
	line.addEventListener("keydown", e => { if (e.key === "Enter") { entered = performance.now(); window.onLine = window.onBoard = false } }, true);
	line.addEventListener("input", () => { typed = performance.now(); text = line.value }, true);
	return true;
})()`

// BenchmarkEnterOnPage types into a page in a browser, with the durable log behind it,
// and gives what the page itself measured: from Enter to the line among the latest and
// to the board, and from a key to its preview.
func BenchmarkEnterOnPage(b *testing.B) {
	for _, n := range []int{1_000, 10_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			dir := filepath.Join(b.TempDir(), "data")
			p := openPost(b, dir, "Quarry Bend", longFolder(b, dir, n).Add(time.Minute))
			s := sit(b, p.url, browser.Laptop)
			browser.Eval[bool](s.Page, stopwatch)
			i := 0
			for b.Loop() {
				i++
				hour := p.hour.Load().Add(time.Minute)
				p.hour.Store(&hour)
				value := 20 + i%60 // another one than stands on the board
				browser.Eval[bool](s.Page, fmt.Sprintf(`(window.reads = "LEL %d %%", true)`, value))
				line := fmt.Sprintf("lel %d c4 lid", value)
				s.Type(line)
				s.kept(line)
				s.Wait(`window.onLine && window.onBoard`)
			}
			for what, unit := range map[string]string{"line": "ms-line", "board": "ms-board", "preview": "ms-preview"} {
				took := browser.Eval[[]float64](s.Page, "took."+what)
				slices.Sort(took)
				b.ReportMetric(took[len(took)/2], unit+"-p50")
				b.ReportMetric(took[len(took)*95/100], unit+"-p95")
				b.ReportMetric(took[len(took)-1], unit+"-worst")
			}
		})
	}
}
