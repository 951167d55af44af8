package cli

import (
	"os/exec"
	"strings"
	"testing"
)

// TestOpenBesideAnother asks for a second incident in a folder whose console shows
// another: it is told which and what to do, and nothing is begun.
func TestOpenBesideAnother(t *testing.T) {
	c := serveConsole(t, "Mill Hill")
	open := func(name string) (string, error) {
		out, err := exec.Command("tankside", "open", name, "--dir", c.dir).CombinedOutput()
		return string(out), err
	}
	got, err := open("Quarry Bend")
	for _, want := range []string{`open "Quarry Bend": another process serves "Mill Hill"`, c.url, "--dir"} {
		if err == nil || !strings.Contains(got, want) {
			t.Errorf("a second incident: %v, %s; want a refusal with %q", err, got, want)
		}
	}
	if list, err := exec.Command("tankside", "incidents", "--dir", c.dir).CombinedOutput(); err != nil || strings.Contains(string(list), "Quarry Bend") {
		t.Errorf("the incident was begun all the same: %v\n%s", err, list)
	}
	if got, err := open("Mill Hill"); err != nil || !strings.Contains(got, c.url) {
		t.Errorf("the same incident: %v, %s; want its console's address", err, got)
	}
}
