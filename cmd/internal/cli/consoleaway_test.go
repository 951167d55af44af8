package cli

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"tankside/cmd/internal/browser"
)

// keptPage waits until the browser has kept a page with a text for the time when the server
// is away. It asks for that once at a time: a worker that is kept busy is never replaced.
func (s scribe) keptPage(path, text string) {
	s.t.Helper()
	s.Wait(fmt.Sprintf(`(() => {
		window.asking ??= (async () => {
			const r = await navigator.serviceWorker.getRegistration();
			if (!navigator.serviceWorker.controller || r.installing || r.waiting) return;
			const has = async () => (await (await caches.match(%[1]q))?.text() ?? "").includes(%[2]q);
			if (!await has()) navigator.serviceWorker.controller.postMessage(%[1]q);
			window.isKept = await has();
		})().finally(() => setTimeout(() => { delete window.asking }, 100));
		return window.isKept;
	})()`, path, text))
}

// TestPageWhileServerIsAway loads pages anew while nobody answers: they stand as they were
// last and say how old they are, the line is kept, and it becomes one entry.
func TestPageWhileServerIsAway(t *testing.T) {
	t.Parallel() // it waits more than it works
	c := serveConsole(t, "Mill Lane")
	s := sit(t, c.url, browser.Laptop)
	s.say("note the shell hisses at C4")
	s.shows("hisses at C4")
	s.keptPage("/", "hisses at C4")
	c.kill()
	for _, path := range []string{"", "story", ""} {
		s.Go(c.url + path)
		s.Wait(`/^NOT LIVE: as it was at [\d:]+, \d+ s ago$/.test(document.querySelector("#live").textContent)`)
		if got := s.Style("main", "filter"); !strings.Contains(got, "grayscale") {
			t.Errorf("/%s as it was kept is shown with filter %q", path, got)
		}
	}
	s.shows("hisses at C4")
	s.Type("note it stopped\nnote half of")
	s.Wait(`document.querySelector("#outbox").innerText.includes("note it stopped")`)
	s.Reload()
	s.Wait(`document.querySelector("#outbox").innerText.includes("note it stopped")`)
	s.has("loaded anew while the server is away", "note half of", len("note half of"))
	c.start()
	s.saved()
	s.live()
	s.shows("it stopped")
	s.has("when it is back", "note half of", len("note half of"))
	if got, want := c.words(), []string{"note the shell hisses at C4", "note it stopped"}; !slices.Equal(got, want) {
		t.Errorf("the log has %q, want %q", got, want)
	}
}

// TestAnotherIncidentAtTheAddress: a page of an incident that is served no more, with a
// line that waits, finds another incident at its address. The line goes into neither the
// log nor the line of that one, and is saved when its own is back.
func TestAnotherIncidentAtTheAddress(t *testing.T) {
	t.Parallel() // it waits more than it works
	mill := serveConsole(t, "Mill Lane")
	s := sit(t, mill.url, browser.Laptop)
	s.say("note at the mill")
	s.keptPage("/", "at the mill")
	mill.kill()
	s.Type("note of the mill\n")
	s.Wait(`document.querySelector("#outbox").innerText.includes("note of the mill")`)
	ford := &servedConsole{t: t, dir: t.TempDir(), name: "Ford Road", listen: mill.listen}
	t.Cleanup(ford.stop)
	ford.start()
	s.Wait(`document.documentElement.dataset.served === "Ford Road" && /^live/.test(document.querySelector("#live").textContent)`)
	s.Wait(`document.querySelector("#outbox").innerText.includes("1 line waits here for Mill Lane")`)
	s.has("at the other incident", "", 0)
	s.say("note at the ford")
	s.keptPage("/people", "Ford Road")
	if got, want := ford.words(), []string{"note at the ford"}; !slices.Equal(got, want) {
		t.Errorf("the log of the other incident has %q, want %q", got, want)
	}
	ford.kill()
	s.Go(ford.url + "people") // never seen here: kept all the same, and of this incident
	s.Wait(`document.documentElement.dataset.kept && document.documentElement.dataset.served === "Ford Road"`)
	mill.start()
	s.Wait(`document.documentElement.dataset.served === "Mill Lane" && /^live/.test(document.querySelector("#live").textContent)`)
	s.saved()
	if got, want := mill.words(), []string{"note at the mill", "note of the mill"}; !slices.Equal(got, want) {
		t.Errorf("the log has %q, want %q", got, want)
	}
}
