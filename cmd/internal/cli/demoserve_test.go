package cli

import (
	"bufio"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"tankside/cmd/internal/browser"
)

// TestDemoServed plays Quarry Bend onto a console in a process of its own, at full pace:
// a page that was open from the first word has it all, at the hour of that night, and
// the process goes on until it is stopped.
func TestDemoServed(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "demo")
	cmd := exec.Command("tankside", "demo", "--serve", "--pace", "36000", "--out", dir)
	cmd.Stderr = testLog{t}
	out, err := cmd.StdoutPipe()
	if err == nil {
		err = cmd.Start()
	}
	if err != nil {
		t.Fatal(err)
	}
	defer cmd.Wait()
	defer cmd.Process.Kill()
	said := bufio.NewScanner(out)
	var s scribe
	for said.Scan() && !strings.HasPrefix(said.Text(), "That was the last word.") {
		if m := consoleAt.FindStringSubmatch(said.Text()); m != nil {
			s = sit(t, m[1], browser.Laptop)
		}
	}
	if s.Page == nil {
		t.Fatal("the demonstration has no console")
	}
	s.Wait(`document.querySelector("#latest #n213") !== null`)
	s.Wait(`/^0[56]:\d\d:\d\d/.test(document.querySelector("#clock").innerText) && /exercise/.test(document.querySelector("h1").innerText)`)
	s.say("note typed beside the play")
	s.shows("typed beside the play")
	data, err := os.ReadFile(filepath.Join(dir, "log", "copy", "quarry-bend.jsonl"))
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(data)), "\n")
	if last := lines[len(lines)-1]; len(lines) != 214 || !strings.Contains(last, `"mode":"exercise"`) || !strings.Contains(last, `"told":"2025-10-15T0`) {
		t.Errorf("%d entries, the last is %s; want 214, and one told in that night's exercise", len(lines), last)
	}
	if err := cmd.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	for said.Scan() {
	}
	if err := cmd.Wait(); err != nil {
		t.Errorf("stopped, the demonstration ends with %v", err)
	}
}
