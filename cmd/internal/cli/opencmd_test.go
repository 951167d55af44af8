package cli

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"tankside/cmd/internal/browser"
	"tankside/events"
)

// try runs another command on the folder and returns what it says, with its error.
func (c *servedConsole) try(args ...string) (string, error) {
	out, err := exec.Command("tankside", append(args, "--dir", c.dir)...).CombinedOutput()
	return string(out), err
}

// beside opens another incident in the folder of a process that serves one, and returns
// the address of its console.
func (c *servedConsole) beside(name string) string {
	c.t.Helper()
	m := consoleAt.FindStringSubmatch(c.ask("open", name, "--scribe", "Scribe of "+name))
	if m == nil || m[1] == c.url {
		c.t.Fatalf("the console of %s is at %q, that of %s at %q", name, m, c.name, c.url)
	}
	return m[1]
}

// refuses checks that a command is refused with exit code 2 and every one of the words.
func (c *servedConsole) refuses(args []string, words ...string) {
	c.t.Helper()
	got, err := c.try(args...)
	ended, _ := err.(*exec.ExitError)
	if ended == nil || ended.ExitCode() != 2 || strings.Count(got, "\n") != 1 {
		c.t.Errorf("tankside %q: %v, %s; want one line and exit code 2", args, err, got)
	}
	for _, w := range words {
		if !strings.Contains(got, w) {
			c.t.Errorf("tankside %q says %q; want %q in it", args, got, w)
		}
	}
}

// TestTwoIncidents has one process serve two incidents: each page says whose it is and
// leads to the other with what is new there; a restart serves both at their addresses,
// and one that is closed leaves the other alone.
func TestTwoIncidents(t *testing.T) {
	c := serveConsole(t, "Mill Hill")
	mill := sit(t, c.url, browser.Laptop)
	mill.Type("lel 6")
	mill.Wait(`document.querySelector("#preview .says") !== null`)
	if got := mill.Text("#preview"); strings.Contains(got, "Mill Hill") {
		t.Errorf("alone, the preview names the incident: %q", got)
	}
	bend := c.beside("Quarry Bend")
	if again := c.beside("quarry bend"); again != bend {
		t.Errorf("opened again it is at %s, want %s", again, bend)
	}
	mill.Wait(`document.querySelector("#others a")?.textContent === "Quarry Bend"`)
	mill.Type(" %")
	mill.Wait(`document.querySelector("#preview .says")?.textContent.startsWith("Mill Hill")`)
	c.ask("log", "plugged c5", "--incident", "Quarry Bend")
	mill.Wait(`document.querySelector("#others a").textContent === "Quarry Bend 1 new"`)
	mill.Press("Enter")
	mill.saved()

	mill.Go(browser.Eval[string](mill.Page, `document.querySelector("#others a").href`))
	mill.live()
	if got := mill.Text("h1"); !strings.HasPrefix(got, "Quarry Bend") {
		t.Errorf("the other's page is of %q", got)
	}
	mill.say("p1 in")
	mill.Go(c.url)
	mill.live()
	mill.Wait(`document.querySelector("#others a")?.textContent === "Quarry Bend"`)

	if got := mill.Complaints(); len(got) > 0 {
		t.Errorf("the pages complained: %q", got)
	}

	c.kill()
	c.start()
	for range 200 { // the first is told of before the others are served
		if strings.Count(c.ask("incidents", "--json"), `"console"`) == 2 {
			break
		}
	}
	if got := c.ask("incidents", "--json"); strings.Count(got, `"console"`) != 2 || !strings.Contains(got, bend) || !strings.Contains(got, c.url) {
		t.Errorf("after a restart: %s; want both at their addresses", got)
	}
	mill.live()
	c.ask("close", "Quarry Bend")
	mill.Wait(`document.querySelector("#others").textContent === ""`)
	mill.say("p2 in")
	c.stop()
	c.start()
	if got := c.ask("incidents", "--json"); strings.Count(got, `"console"`) != 1 {
		t.Errorf("what was closed is served again: %s", got)
	}
	c.refuses([]string{"close", "Quarry Bend"}, `no console of "Quarry Bend" is served`)
	c.refuses([]string{"open", "Quarry Bend", "--listen", strings.TrimSuffix(strings.TrimPrefix(c.url, "http://"), "/")}, "--listen:")
}

// TestMoveByLine moves an entry from the line of the page it was typed into by mistake;
// the stories of both say where it is.
func TestMoveByLine(t *testing.T) {
	c := serveConsole(t, "Mill Hill")
	bend := c.beside("Quarry Bend")
	s := sit(t, c.url, browser.Laptop)
	s.say("lel 6 at the lid")
	s.Type("move 2 to quarry")
	s.Wait(`/moves entry 2 to Quarry Bend/.test(document.querySelector("#preview").textContent)`)
	s.Press("Enter")
	s.saved()
	s.Wait(`document.querySelector("#n2")?.textContent.includes("struck by 3: moved to Quarry Bend as 2")`)
	s.Go(bend + "story")
	s.live()
	s.Wait(`/LEL 6/.test(document.querySelector("#e2")?.textContent) && document.querySelector("#e2").textContent.includes("moved from Mill Hill 2")`)
	for name, want := range map[string]string{"Mill Hill": "moved to Quarry Bend as 2", "Quarry Bend": "moved from Mill Hill 2"} {
		if got := c.ask("report", "--incident", name, "--format", "md"); !strings.Contains(got, want) {
			t.Errorf("the report of %s does not say %q", name, want)
		}
	}
}

// TestMoveCut kills the process between the two steps of a move, and moves again: the
// entry is in the other log once, and struck here.
func TestMoveCut(t *testing.T) {
	c := serveConsole(t, "Mill Hill")
	c.beside("Quarry Bend")
	c.ask("log", "lel 6 at the lid", "--incident", "Mill Hill")
	copied := filepath.Join(c.dir, "copy", events.IncidentID("Mill Hill")+".jsonl")
	if err := os.Rename(copied, copied+".away"); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(copied, 0o700); err != nil { // nothing more can be saved here
		t.Fatal(err)
	}
	moving := exec.Command("tankside", "move", "Mill Hill", "2", "Quarry Bend", "--dir", c.dir)
	if err := moving.Start(); err != nil {
		t.Fatal(err)
	}
	c.until("Quarry Bend", 2)
	c.kill()
	if err := moving.Wait(); err == nil {
		t.Error("the move that was cut says that it is done")
	}
	if err := os.Remove(copied); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(copied+".away", copied); err != nil {
		t.Fatal(err)
	}
	c.start()
	// The kill may come before the strike is in the store or after it: then it is moved.
	got, err := exec.Command("tankside", "move", "Mill Hill", "2", "Quarry Bend", "--dir", c.dir).CombinedOutput()
	if !strings.Contains(string(got), "entry 2 of Mill Hill is entry 2 of Quarry Bend") && !strings.Contains(string(got), "entry 2 is struck already by 3: moved to Quarry Bend as 2") {
		t.Errorf("moved again: %s, %v", got, err)
	}
	for name, want := range map[string]int{"Mill Hill": 3, "Quarry Bend": 2} {
		if got := c.entries(name); got != want {
			t.Errorf("%s has %d entries, want %d", name, got, want)
		}
	}
	if got := c.ask("verify"); !regexp.MustCompile(`(?s)mill-hill: 3 entries: whole.*quarry-bend: 2 entries: whole`).MatchString(got) {
		t.Errorf("verify: %s", got)
	}
	c.refuses([]string{"move", "Mill Hill", "2", "Quarry Bend"}, "struck already by 3", "moved to Quarry Bend as 2")
}

// entries is how many entries an incident has.
func (c *servedConsole) entries(name string) int {
	c.t.Helper()
	var all []struct {
		Name    string
		Entries int
	}
	if err := json.Unmarshal([]byte(c.ask("incidents", "--json")), &all); err != nil {
		c.t.Fatal(err)
	}
	for _, i := range all {
		if i.Name == name {
			return i.Entries
		}
	}
	return 0
}

// until waits until an incident has n entries.
func (c *servedConsole) until(name string, n int) {
	c.t.Helper()
	log, err := c.client().Log(name)
	if err != nil {
		c.t.Fatal(err)
	}
	for r, err := range log.Follow(c.t.Context(), 1) {
		if err != nil {
			c.t.Fatal(err)
		}
		if int(r.Seq) >= n {
			return
		}
	}
}
