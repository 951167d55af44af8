package console_test

import (
	"net/http"
	"strings"
	"testing"

	"tankside/cmd/internal/browser"
	"tankside/events"
	"tankside/events/kinds"
)

// rewriter answers as another program would, by what it says otherwise.
type rewriter struct {
	http.ResponseWriter
	newer *strings.Replacer
}

// Write writes.
func (w rewriter) Write(b []byte) (int, error) {
	for _, values := range w.Header() {
		for i := range values {
			values[i] = w.newer.Replace(values[i])
		}
	}
	if _, err := w.ResponseWriter.Write([]byte(w.newer.Replace(string(b)))); err != nil {
		return 0, err
	}
	return len(b), nil
}

// Unwrap lets the feed flush.
func (w rewriter) Unwrap() http.ResponseWriter { return w.ResponseWriter }

// kept is true once the browser has kept every page of the program that the page is of, and
// nothing else.
const kept = `(() => {
	window.asking ??= (async () => {
		const r = await navigator.serviceWorker.getRegistration(), names = await caches.keys();
		const pages = names.length === 1 ? (await (await caches.open(names[0])).keys()).map(q => new URL(q.url)) : [];
		window.isKept = !!r?.active && r.active.state === "activated" && !r.installing && !r.waiting && navigator.serviceWorker.controller === r.active &&
			["/", "/story", "/product", "/people", "/due", "/far"].every(p => pages.some(u => u.pathname === p)) &&
			pages.some(u => u.search === "?v=" + document.documentElement.dataset.build);
	})().finally(() => setTimeout(() => { delete window.asking }, 50));
	return window.isKept;
})()`

// TestNewerProgram puts another program behind an open page: while something is typed the
// page stays; then it takes the other's files, and nothing of the one before is kept.
func TestNewerProgram(t *testing.T) {
	p := quarryBend(t, "2025-10-14T21:40:20-05:00")
	page := browser.Open(t, p.URL, browser.Laptop)
	page.Wait(isLive)
	page.Wait(kept)
	build := browser.Eval[string](page, `document.documentElement.dataset.build`)
	of := browser.Eval[string](page, `caches.keys().then(k => k[0].split(" ")[1])`)
	page.Type("half a line")
	p.newer.Store(strings.NewReplacer(build, "0123456789ab", of, "fedcba9876543210"))
	p.CloseClientConnections()
	r, err := p.log.Append(t.Context(), events.Draft{
		ID: events.NewID(*p.hour.Load()), Incident: "Quarry Bend", Mode: events.Exercise, Occurred: events.At(*p.hour.Load()), Reported: *p.hour.Load(),
		Words: "by the other program", Payload: kinds.Note{},
	})
	if err != nil {
		t.Fatal(err)
	}
	page.Wait(`document.querySelector("#latest").textContent.includes("by the other program")`)
	if got := browser.Eval[string](page, `document.documentElement.dataset.build + document.getElementById("line").value`); got != build+"half a line" {
		t.Errorf("with entry %d of the other program the page of %s, with half a line, has %q", r.Seq, build, got)
	}
	page.Press("Escape")
	page.Wait(`document.documentElement.dataset.build === "0123456789ab" && document.querySelector("script[src*='feed.js?v=0123456789ab']") !== null`)
	page.Wait(isLive)
	page.Wait(kept)
	if got := browser.Eval[string](page, `caches.keys().then(k => k.join())`); got != "tankside fedcba9876543210" {
		t.Errorf("kept is %q, want what the other program keeps alone", got)
	}
}
