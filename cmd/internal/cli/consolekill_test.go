package cli

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tankside/cmd/internal/browser"
)

// killRounds is how often the process is killed while somebody types into its page.
func killRounds(t *testing.T) int {
	t.Helper()
	if text := os.Getenv("TANKSIDE_KILL_ROUNDS"); text != "" {
		n, err := strconv.Atoi(text)
		if err != nil {
			t.Fatalf("TANKSIDE_KILL_ROUNDS: %v", err)
		}
		return n
	}
	if testing.Short() {
		return 5
	}
	return 20
}

// TestKilledWhileTyping kills the process at a random key of a line, or while the line
// is being saved; now and then the page is loaded anew as well. Every line is in the log
// once, in its order, and what was half typed is still there.
func TestKilledWhileTyping(t *testing.T) {
	c := serveConsole(t, "Mill Lane")
	s := sit(t, c.url, browser.Laptop)
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	chance := rand.New(rand.NewPCG(seed, 0))
	var want []string
	for round := range killRounds(t) {
		line := fmt.Sprintf("note round %d the hiss at C%d goes on", round, 1+chance.IntN(5))
		at := chance.IntN(len(line) + 2)
		killed := make(chan struct{})
		kill := func() { c.kill(); close(killed) }
		if at >= len(line) { // while the line goes out
			s.Type(line)
			go kill()
			if at > len(line) {
				s.Press("Enter")
			}
			<-killed
		} else {
			s.Type(line[:at])
			go kill()
			s.Type(line[at:])
			<-killed
		}
		kept := at > len(line)
		if chance.IntN(3) == 0 { // the page too, when the process is there again
			c.start()
			s.Reload()
			s.live()
		} else {
			c.start()
			s.Wait(`/^live/.test(document.querySelector("#live").textContent)`)
		}
		if kept {
			s.has("after the kill", "", 0)
		} else {
			s.has("after the kill", line, len(line))
			s.Press("Enter")
		}
		want = append(want, line)
		s.saved()
	}
	got := slices.DeleteFunc(c.words(), func(w string) bool { return !strings.HasPrefix(w, "note round") })
	if !slices.Equal(got, want) {
		t.Errorf("the log has\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	c.stop()
	if text := c.ask("verify"); !strings.Contains(text, "whole, and the same in both places") {
		t.Errorf("verify says %q", text)
	}
}

// TestOlderDraft: what the server last knew of a line does not come back once the page
// has kept that line while the server was away.
func TestOlderDraft(t *testing.T) {
	c := serveConsole(t, "Mill Lane")
	s := sit(t, c.url, browser.Laptop)
	s.Type("note half")
	s.Wait(`document.querySelector("#preview .reading")?.dataset.line === "note half"`)
	c.stop()
	s.Type(" of it was typed while nobody answered\n")
	c.start()
	s.Reload()
	s.live()
	s.has("after the reload", "", 0)
	s.saved()
	if got, want := c.words(), []string{"note half of it was typed while nobody answered"}; !slices.Equal(got, want) {
		t.Errorf("the log has %q, want %q", got, want)
	}
}
