package console_test

import (
	"testing"

	"tankside/cmd/internal/browser"
	"tankside/events"
	"tankside/events/kinds"
)

// TestSound: no sound until it is switched on by its key; then one chirp for an alarm that
// is new, none for one that goes on standing or comes within a minute of the last, and none
// once it is switched off. The alarm stands on the page all the while.
func TestSound(t *testing.T) {
	p := quarryBend(t, "2025-10-14T22:20:20-05:00")
	page := browser.Open(t, p.URL, browser.Laptop)
	page.Wait(isLive)
	browser.Eval[bool](page, `document.addEventListener("chirp", () => { window.chirps++ }) || (window.chirps = 0, true)`)
	chirps := func() int { return browser.Eval[int](page, `window.chirps`) }
	stop := func(where string) {
		t.Helper()
		_, err := p.log.Append(t.Context(), events.Draft{
			ID: events.NewID(*p.hour.Load()), Incident: "Quarry Bend", Mode: events.Exercise, Occurred: events.At(*p.hour.Load()), Reported: *p.hour.Load(),
			Where: where, Payload: kinds.StopWork{Why: "hose kicks"},
		})
		if err != nil {
			t.Fatal(err)
		}
		page.Wait(`[...document.querySelectorAll("#banner p")].some(p => p.textContent.includes("` + where + `"))`)
		// the sound has looked at it since
		page.Wait(`JSON.parse(localStorage.getItem("tankside.heard.Quarry Bend")).length === document.querySelectorAll("[data-alarm]").length || localStorage.getItem("tankside.sound") === "yes"`)
	}
	rested := func() {
		browser.Eval[bool](page, `localStorage.setItem("tankside.chirped", Date.now() - 61000) || true`)
	}
	stop("R1")
	if n := chirps(); n != 0 {
		t.Errorf("%d chirps before the sound was switched on", n)
	}
	page.Press("F1")
	page.Wait(`window.chirps === 1 && document.getElementById("sound").innerText.startsWith("Sound on")`)
	stop("R2")
	page.Wait(`document.querySelectorAll("[data-alarm]").length >= 2`)
	if n := chirps(); n != 1 {
		t.Errorf("%d chirps within a minute, want 1", n)
	}
	rested()
	page.Wait(`window.chirps === 2`)
	rested()
	page.Press("F1")
	page.Wait(`document.getElementById("sound").innerText.startsWith("Sound off")`)
	stop("C4")
	if n := chirps(); n != 2 {
		t.Errorf("%d chirps, want 2: the one for an alarm that stands, or one after it was switched off", n)
	}
	page.Reload()
	page.Wait(isLive)
	if got := page.Text("#sound"); got[:9] != "Sound off" {
		t.Errorf("loaded anew: %q, want the sound off as it was left", got)
	}
}
