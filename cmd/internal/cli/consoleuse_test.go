package cli

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"tankside/cmd/internal/browser"
	"tankside/cmd/internal/remote"
	"tankside/events"
	"tankside/events/kinds"
)

// TestKeyboardAlone does with keys whatever a scribe does: every page by its key, a line
// on each, a completion, recall, a line thought better of, looking back.
func TestKeyboardAlone(t *testing.T) {
	c := serveConsole(t, "Mill Lane")
	s := sit(t, c.url, browser.Laptop)
	browser.Eval[bool](s.Page, `(document.documentElement.style.pointerEvents = "none", true)`)
	var want []string
	for i, key := range []string{"F3", "F4", "F7", "F8", "F2"} {
		s.Type("half a lin")
		s.Press(key)
		s.Wait(fmt.Sprintf(`document.querySelector("nav a[aria-current]").dataset.key === %q`, key))
		s.live()
		s.has("on the page of "+key, "half a lin", len("half a lin"))
		s.Press("Escape")
		s.has("after Escape", "", 0)
		line := fmt.Sprintf("note %d from the page of %s", i, key)
		s.say(line)
		s.shows(strings.TrimPrefix(line, "note "))
		want = append(want, line)
	}
	s.Press("Up")
	s.has("recalled", want[4], len(want[4]))
	s.Press("Up")
	s.has("recalled what was dropped: that is kept too", "half a lin", len("half a lin"))
	s.Press("Down")
	s.Press("Down")
	s.has("back again", "", 0)

	s.Type("plugg")
	s.Wait(`document.querySelector("#preview .reading[data-line=plugg] .ways button") !== null`)
	s.Press("Tab")
	if got, _ := s.line(); got == "plugg" || !strings.HasPrefix(got, "plugg") {
		t.Errorf("Tab made %q of plugg", got)
	}
	s.Press("Escape")
	s.Press("F9")
	s.Wait(`document.documentElement.dataset.page === "far" && /^live/.test(document.querySelector("#live").textContent)`)
	s.Press("F2")
	s.live()
	if got := c.words(); !slices.Equal(got, want) {
		t.Errorf("the log has %q, want %q", got, want)
	}
	if got := s.Complaints(); len(got) > 0 {
		t.Errorf("the pages complained: %q", got)
	}
}

// client reaches a served console as another program of this machine does.
func (c *servedConsole) client() *remote.Client {
	c.t.Helper()
	cl, err := remote.Dial(c.t.Context(), c.dir, kinds.Catalogue(), nil)
	if err != nil {
		c.t.Fatal(err)
	}
	c.t.Cleanup(func() { _ = cl.Close() })
	return cl
}

// relay is the log of the incident, for such a program.
func (c *servedConsole) relay() events.Log {
	c.t.Helper()
	log, err := c.client().Log(c.name)
	if err != nil {
		c.t.Fatal(err)
	}
	return log
}

// reading is the nth air reading that a relay posts.
func (c *servedConsole) reading(n int, where string) events.Draft {
	at := time.Now().Truncate(time.Second)
	d := events.Draft{
		ID: events.ContentID(at, c.name, fmt.Sprint(n)), Incident: c.name, Occurred: events.At(at), Reported: at,
		Channel: events.Radio, ObservedBy: "Entry team 2", Where: where,
	}
	p, err := kinds.Catalogue().Type("air_read").With(kinds.Catalogue().Type("air_read").Empty(), "LEL", fmt.Sprint(n%20))
	if err != nil {
		c.t.Fatal(err)
	}
	d.Payload = p
	return d
}

// TestFocusIsNotStolen: entries come in from relays while somebody types in the middle
// of a line; the focus stays, and the caret does not move.
func TestFocusIsNotStolen(t *testing.T) {
	c := serveConsole(t, "Mill Lane")
	s := sit(t, c.url, browser.Laptop)
	log := c.relay()
	const line = "lel 6 at the lid"
	s.Type(line)
	for range 7 {
		s.Press("Left")
	}
	text, caret := line, len(line)-7
	s.has("before", text, caret)
	for n := range 20 {
		r, err := log.Append(t.Context(), c.reading(n, fmt.Sprintf("C%d lid", 1+n%5)))
		if err != nil {
			t.Fatal(err)
		}
		key := string(rune('a' + n))
		s.Type(key)
		text, caret = text[:caret]+key+text[caret:], caret+1
		s.Wait(fmt.Sprintf(`document.querySelector("#latest #n%d") !== null`, r.Seq))
		s.has(fmt.Sprintf("after entry %d", r.Seq), text, caret)
	}
	s.Wait(`/LEL/.test(document.querySelector("#board").innerText)`)
	s.has("with the board folded", text, caret)
}

// TestDraftOutlivesReload: what is half typed is there again with the caret in its
// place, and says since when.
func TestDraftOutlivesReload(t *testing.T) {
	c := serveConsole(t, "Mill Lane")
	s := sit(t, c.url, browser.Laptop)
	const line = "bond r2 .7 été 液体 scraped paint"
	s.Type(line)
	for range 5 {
		s.Press("Left")
	}
	_, caret := s.line()
	for range 3 {
		s.Reload()
		s.live()
		s.has("after a reload", line, caret)
	}
	s.Wait(`/you were typing this at \d\d:\d\d/.test(document.querySelector("#preview").innerText) || document.querySelector("#preview .reading") !== null`)
	s.Press("Enter")
	s.Press("Enter") // where the line is asked about
	s.saved()
	s.Reload()
	s.live()
	s.has("after it was kept", "", 0)
	if got, want := c.words(), []string{line}; !slices.Equal(got, want) {
		t.Errorf("the log has %q, want %q", got, want)
	}
}

// TestEverybodySeesIt: what one page keeps, and what a second shell writes, is on every
// page without being asked for.
func TestEverybodySeesIt(t *testing.T) {
	c := serveConsole(t, "Mill Lane")
	a, b := sit(t, c.url, browser.Laptop), sit(t, c.url, browser.Phone)
	a.say("note the driver walks about")
	for _, s := range []scribe{a, b} {
		s.shows("the driver walks about")
	}
	b.say("note he sits down now")
	c.ask("log", "note", "--words", "said into a second shell")
	for _, s := range []scribe{a, b} {
		for _, text := range []string{"he sits down now", "said into a second shell"} {
			s.shows(text)
		}
	}
}

// TestCutOff: lines that are kept while the server cannot be reached wait in the page
// and are saved in their order, once, when it can; the page says meanwhile that it is
// not live, and by its feed brings the board up to date afterwards.
func TestCutOff(t *testing.T) {
	t.Parallel() // it waits more than it works
	for name, tt := range map[string]struct{ cut, mend func(*servedConsole, scribe) }{
		"the network": {
			func(_ *servedConsole, s scribe) { s.Offline(true) },
			func(_ *servedConsole, s scribe) { s.Offline(false) },
		},
		"the server": {
			func(c *servedConsole, _ scribe) { c.stop() },
			func(c *servedConsole, _ scribe) { c.start() },
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			c := serveConsole(t, "Mill Lane")
			s := sit(t, c.url, browser.Laptop)
			want := []string{"note said before"}
			s.say(want[0])
			tt.cut(c, s)
			for i := range 3 {
				line := fmt.Sprintf("note %d said into the dark", i)
				want = append(want, line)
				s.Type(line)
				s.Press("Enter")
			}
			s.Wait(`document.querySelectorAll("#outbox li").length === 3`)
			if name == "the server" {
				s.Wait(`/NOT LIVE/.test(document.querySelector("#live").textContent)`)
			}
			s.has("while it is cut off", "", 0)
			tt.mend(c, s)
			s.saved()
			s.shows("2 said into the dark")
			s.Wait(`document.querySelectorAll("#outbox li").length === 0`)
			s.live()
			if got := c.words(); !slices.Equal(got, want) {
				t.Errorf("the log has %q, want %q", got, want)
			}
		})
	}
}

// markup is text that would do something if a page took it for more than text.
var markup = []string{
	`<script>window.pwned=1</script>`, `<img src=x onerror=window.pwned=1>`, `"><svg onload=window.pwned=1>`,
	`</textarea><script>pwned=1</script>`, `javascript:pwned=1`, `{{.}} ${pwned=1} <!--`, `<hx-partial hx-target="#line">x</hx-partial>`,
	"\u202egnp.exe \u2028 \ufeff", `<a href="//example.com" hx-get="/part" hx-trigger="load">x</a>`,
}

// TestTextIsText: whatever somebody says, and whatever a relay puts into any field, is
// shown as it was said and does nothing.
func TestTextIsText(t *testing.T) {
	c := serveConsole(t, "Mill <b>Lane</b> & 'Sons'")
	s := sit(t, c.url, browser.Laptop)
	log := c.relay()
	for i, text := range markup {
		d := c.reading(i, text)
		d.ObservedBy, d.RelayedBy, d.Words, d.Extra = text, text, text, []events.Pair{{Key: text, Value: text}}
		if _, err := log.Append(t.Context(), d); err != nil {
			t.Fatal(err)
		}
		s.Type("note " + text)
		s.Press("Enter")
		s.Press("Enter") // where the line is asked about
		s.saved()
	}
	for _, page := range []string{"", "story", "product", "people", "due", "far"} {
		s.Go(c.url + page)
		s.Wait(`/^live/.test(document.querySelector("#live").textContent)`)
		if browser.Eval[bool](s.Page, `window.pwned !== undefined || document.querySelector("img[src=x], svg[onload], #board script, #latest script, h1 b, a[hx-get]") !== null`) {
			t.Errorf("/%s: text has become more than text", page)
		}
	}
	s.Go(c.url + "story")
	for _, text := range markup[:4] {
		s.Wait(fmt.Sprintf(`document.body.innerText.includes(%q)`, text))
	}
	if got := s.Complaints(); len(got) > 0 {
		t.Errorf("the pages complained: %q", got)
	}
}

// TestQuestionByKeys: a line that is asked about is kept by a second Enter, or by the key
// of an answer, and not by the first Enter alone.
func TestQuestionByKeys(t *testing.T) {
	c := serveConsole(t, "Mill Lane")
	s := sit(t, c.url, browser.Laptop)
	const line = "lel 220 c4 lid" // no meter reads that
	ask := func() {
		s.Type(line)
		s.Wait(fmt.Sprintf(`document.querySelector("#preview .reading")?.dataset.line === %q && document.querySelector("#preview [data-answer=T]") !== null`, line))
		s.Press("Enter")
		s.has("after the first Enter", line, len(line))
	}
	ask()
	s.Press("Enter")
	s.saved()
	s.has("after the second", "", 0)
	ask()
	s.Press("t")
	s.saved()
	s.has("after the key of an answer", "", 0)
	s.shows("LEL 22 %")
	if got := c.words(); !slices.Equal(got, []string{line, line}) {
		t.Errorf("the log has %q, want the line twice", got)
	}
}

// TestTwoScribes: two people keep lines at once, without waiting for what comes of them;
// all are saved, and each one's in the order in which they were kept.
func TestTwoScribes(t *testing.T) {
	c := serveConsole(t, "Mill Lane")
	const each = 15
	pages := []scribe{sit(t, c.url, browser.Laptop), sit(t, c.url, browser.Laptop)}
	for i := range each {
		for who, s := range pages {
			s.Type(fmt.Sprintf("note %d by scribe %d\n", i, who))
			s.has("after Enter", "", 0)
		}
	}
	for _, s := range pages {
		s.saved()
	}
	got := c.words()
	if len(got) != len(pages)*each {
		t.Errorf("the log has %d lines, want %d", len(got), len(pages)*each)
	}
	for who := range pages {
		i := 0
		for _, w := range got {
			if w == fmt.Sprintf("note %d by scribe %d", i, who) {
				i++
			}
		}
		if i != each {
			t.Errorf("of scribe %d %d lines are there in order, want %d: %q", who, i, each, got)
		}
	}
}
