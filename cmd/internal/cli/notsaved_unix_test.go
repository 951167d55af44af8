//go:build unix

package cli

import (
	"bufio"
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"tankside/cmd/internal/browser"
)

// TestNotSaved lets the disk refuse an entry: the screen says so and goes on trying;
// broken off, the entry is printed, and what was printed can be brought in, once.
func TestNotSaved(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	t.Setenv("TANKSIDE_DIR", dir)
	run(t, "import", "../../../testdata/incidents/quarry-bend.csv", "--incident", "Quarry Bend")

	cmd := exec.CommandContext(t.Context(), "sh", "-c", `ulimit -f 50 && exec tankside log note --words "hiss at the lid"`)
	var out bytes.Buffer
	cmd.Stdout = &out
	errs, err := cmd.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	lines := bufio.NewScanner(errs)
	for lines.Scan() && !strings.HasPrefix(lines.Text(), "NOT SAVED: quarry-bend: 1 waiting, try 1: ") {
		t.Logf("before that: %s", lines.Text())
	}
	if err := cmd.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	last := ""
	for lines.Scan() {
		last = lines.Text()
	}
	_ = cmd.Wait() // its exit code is judged below
	if code := cmd.ProcessState.ExitCode(); code != 1 || !strings.HasPrefix(last, "tankside: the entry is not saved: ") {
		t.Errorf("exit %d, said last %q", code, last)
	}

	file := filepath.Join(t.TempDir(), "kept.jsonl")
	if err := os.WriteFile(file, out.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	a, got, _ := newApp() // told on Err: the store was copied aside after that stop
	for _, want := range []string{"1 new, 0 already there", "0 new, 1 already there"} {
		got.Reset()
		if code := a.Run(t.Context(), []string{"import", file}); code != 0 || !strings.Contains(got.String(), want) {
			t.Errorf("exit %d, said %q, want %q", code, got, want)
		}
	}
	if got := run(t, "verify"); !strings.Contains(got, "quarry-bend: 214 entries: whole, and the same in both places") {
		t.Errorf("verify says %q", got)
	}
}

// TestPageCannotSave lets the disk refuse what a page keeps: the page says so across the
// top and holds the line; when the disk takes it again it is saved, once, and the banner
// goes.
func TestPageCannotSave(t *testing.T) {
	c := serveConsole(t, "Quarry Bend")
	c.ask("import", "../../../testdata/incidents/quarry-bend.csv", "--incident", "Quarry Bend")
	s := sit(t, c.url, browser.Laptop)
	c.stop()
	c.before = "ulimit -f 50"
	c.start()
	s.live()
	const line = "note hiss at the lid"
	s.Type(line + "\n")
	s.Wait(`/CANNOT SAVE/.test(document.querySelector("#cannot").innerText) && document.querySelector("#cannot").checkVisibility()`)
	s.Wait(`/NOT SAVED/.test(document.querySelector("#outbox").innerText)`)
	s.has("while nothing can be saved", "", 0)
	c.kill() // it would go on trying
	c.before = ""
	c.start()
	s.saved()
	s.Wait(`!document.querySelector("#cannot").checkVisibility()`)
	s.shows("hiss at the lid")
	n := 0
	for _, w := range c.words() {
		if w == line {
			n++
		}
	}
	if n != 1 {
		t.Errorf("the line is in the log %d times, want once", n)
	}
}
