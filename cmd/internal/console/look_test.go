package console_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"tankside/cmd/internal/browser"
	"tankside/events"
	"tankside/events/kinds"
)

// TestLookBack moves the two clocks by keyboard and holds the board to that hour, while
// what cannot wait and what is logged meanwhile go on being shown.
func TestLookBack(t *testing.T) {
	p := busy(t)
	page := browser.Open(t, p.URL, browser.Laptop)
	page.Wait(isLive)
	if got := page.Text(".in h2"); !strings.Contains(got, "2") {
		t.Fatalf("in at 23:41: %q, want 2", got)
	}
	page.Press("F10")
	page.Wait(`document.activeElement.name === "as_of"`)
	page.Press("Home")
	page.Wait(`document.querySelector("#clocks output").textContent !== "now"`)
	page.Wait(`document.querySelector(".in h2").textContent.includes("0")`)
	page.Wait(`document.getElementById("live").textContent === "LOOKING BACK"`)
	stop := events.Draft{
		ID: events.NewID(*p.hour.Load()), Incident: "Quarry Bend", Mode: events.Exercise, Occurred: events.At(*p.hour.Load()), Reported: *p.hour.Load(),
		Where: "R1", Payload: kinds.StopWork{Why: "hose kicks"},
	}
	r, err := p.log.Append(t.Context(), stop)
	if err != nil {
		t.Fatal(err)
	}
	page.Wait(`document.getElementById("banner").textContent.includes("STOPPED")`)
	page.Wait(fmt.Sprintf(`document.getElementById("n%d") !== null`, r.Seq))
	if got := page.Text(".in h2"); !strings.Contains(got, "0") {
		t.Errorf("the board left the hour that is looked at: in %q", got)
	}
	page.Press("a")
	page.Go(p.URL + "/?as_of=145&known_at=145") // the same by its address
	page.Wait(`document.querySelector("#clocks output").textContent === "22:56"`)
	if got := page.Text(".in h2"); !strings.Contains(got, "4") && !strings.Contains(got, "2") {
		t.Errorf("in at 22:56: %q", got)
	}
	page.Go(p.URL)
	page.Wait(isLive)
	if got := page.Text(".in h2"); !strings.Contains(got, "2") {
		t.Errorf("in, back in the present: %q, want 2", got)
	}
}

// TestNoStatusByColourAlone takes all colour away and holds every status to a sign or a
// word of its own.
func TestNoStatusByColourAlone(t *testing.T) {
	for _, hour := range []string{"2025-10-14T22:54:20-05:00", "2025-10-14T23:47:20-05:00", "2025-10-15T01:10:20-05:00", "2025-10-15T03:20:20-05:00"} {
		p := quarryBend(t, hour)
		page := browser.Open(t, p.URL, browser.Laptop)
		for _, at := range addresses {
			page.Go(p.URL + at)
			page.Wait(isLive)
			bare := browser.Eval[[]string](page, `[...document.querySelectorAll(".now, .soon, .late, .doubt, .agree")].filter(e => e.checkVisibility()).filter(e => {
				const sign = n => ["::before", "::after"].some(p => !["none", "normal", '""'].includes(getComputedStyle(n, p).content));
				const drawn = [...e.querySelectorAll("i")].some(i => i.checkVisibility()) || sign(e) || [...e.querySelectorAll("*")].some(sign);
				const waved = [e, ...e.querySelectorAll("*")].some(n => getComputedStyle(n).textDecorationStyle === "wavy");
				return !drawn && !waved && !/late|leak|slowed|bad|doubt|disagree|told|No PAR|backup|STOP|QUIET/i.test(e.textContent);
			}).map(e => e.className + ": " + e.textContent.trim().slice(0, 60))`)
			if len(bare) > 0 {
				t.Errorf("%s, %s: told by colour alone: %q", hour, at, bare)
			}
		}
	}
}

// TestFind holds the story to the words that are looked for, also after the feed has
// brought it up to the present.
func TestFind(t *testing.T) {
	p := busy(t)
	page := browser.Open(t, p.URL+"/story?q=benzene+hose", browser.Laptop)
	page.Wait(isLive)
	r, err := p.log.Append(t.Context(), events.Draft{
		ID: events.NewID(*p.hour.Load()), Incident: "Quarry Bend", Mode: events.Exercise, Occurred: events.At(*p.hour.Load()), Reported: *p.hour.Load(),
		Words: "benzene at the hose end is down", Payload: kinds.Note{Text: "benzene at the hose end is down"},
	})
	if err != nil {
		t.Fatal(err)
	}
	page.Wait(fmt.Sprintf(`document.getElementById("e%d") !== null`, r.Seq))
	for _, text := range browser.Eval[[]string](page, `[...document.querySelectorAll(".story .story li:not(.day)")].map(e => e.textContent.toLowerCase())`) {
		if !strings.Contains(text, "benzene") || !strings.Contains(text, "hose") {
			t.Errorf("found by benzene and hose: %q", text)
		}
	}
}

// TestCannotSave holds every page to saying that nothing can be saved, for as long as
// that is so.
func TestCannotSave(t *testing.T) {
	p := busy(t)
	pages := []*browser.Page{browser.Open(t, p.URL, browser.Laptop), browser.Open(t, p.URL+"/far", browser.Laptop)}
	p.trouble.Store("no space on the disk")
	for _, page := range pages {
		page.Wait(`document.getElementById("cannot").checkVisibility() && /CANNOT SAVE.*no space on the disk/.test(document.getElementById("cannot").textContent)`)
	}
	p.trouble.Store("")
	for _, page := range pages {
		page.Wait(`!document.getElementById("cannot").checkVisibility()`)
	}
}

// TestNightFollows holds the choice of night to the next page.
func TestNightFollows(t *testing.T) {
	p := busy(t)
	page := browser.Open(t, p.URL, browser.Laptop)
	day := page.Style("body", "background-color")
	browser.Eval[bool](page, `document.getElementById("night").click() || true`)
	page.Go(p.URL + "/people")
	if night := page.Style("body", "background-color"); night == day {
		t.Errorf("by night the ground is %s as by day", night)
	}
}

// TestSilentFeed cuts a page off and holds the page to saying that what it
// shows is no longer live, and how old it is.
func TestSilentFeed(t *testing.T) {
	p := busy(t)
	page := browser.Open(t, p.URL, browser.Laptop)
	page.Wait(isLive)
	p.cut.Store(true)
	p.CloseClientConnections()
	page.Wait(`document.documentElement.classList.contains("stale")`)
	if got := page.Text("#live"); !strings.Contains(got, "NOT LIVE") || !strings.Contains(got, " ago") {
		t.Errorf("a page that hears nothing says %q", got)
	}
	if got := page.Style("main", "filter"); !strings.Contains(got, "grayscale") {
		t.Errorf("a board that is not live is shown with filter %q", got)
	}
	hour := p.hour.Load().Add(time.Minute)
	p.hour.Store(&hour)
	p.cut.Store(false)
	page.Wait(`document.getElementById("live").textContent.startsWith("live")`)
}
