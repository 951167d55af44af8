package cli

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"tankside/cmd/internal/browser"
	"tankside/events"
)

// served is a process of its own that serves an incident's console.
type servedConsole struct {
	t      *testing.T
	dir    string
	listen string
	name   string
	url    string
	before string // of the shell, before the program: a limit on it
	cmd    *exec.Cmd
	errs   bytes.Buffer
}

var consoleAt = regexp.MustCompile(`console is at (http://\S+)`)

// serveConsole starts tankside open in a folder of its own. The port stays the same over
// every start, as a scribe's bookmark does.
func serveConsole(t *testing.T, name string) *servedConsole {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	c := &servedConsole{t: t, dir: filepath.Join(t.TempDir(), "data"), name: name, listen: l.Addr().String()}
	l.Close()
	t.Cleanup(c.stop)
	c.start()
	return c
}

// start starts the process and waits until its pages can be asked for.
func (c *servedConsole) start() {
	c.t.Helper()
	c.cmd = exec.Command("tankside", "open", c.name, "--dir", c.dir, "--listen", c.listen)
	if c.before != "" {
		c.cmd = exec.Command("sh", append([]string{"-c", c.before + ` && exec "$@"`, "sh"}, c.cmd.Args...)...)
	}
	c.cmd.Stderr = &c.errs
	out, err := c.cmd.StdoutPipe()
	if err == nil {
		err = c.cmd.Start()
	}
	if err != nil {
		c.t.Fatal(err)
	}
	for lines := bufio.NewScanner(out); lines.Scan(); {
		if m := consoleAt.FindStringSubmatch(lines.Text()); m != nil {
			c.url = m[1]
			go func() { _, _ = io.Copy(io.Discard, out) }() // what else it says
			return
		}
	}
	_ = c.cmd.Wait()
	c.t.Fatalf("tankside open ended without serving: %s", &c.errs)
}

// kill ends the process as a power cut of that process would.
func (c *servedConsole) kill() {
	_ = c.cmd.Process.Kill()
	_ = c.cmd.Wait() // it was killed
}

// stop ends the process as Ctrl-C does.
func (c *servedConsole) stop() {
	if c.cmd == nil || c.cmd.ProcessState != nil {
		return
	}
	_ = c.cmd.Process.Signal(os.Interrupt)
	if err := c.cmd.Wait(); err != nil {
		c.t.Errorf("tankside open ends with %v: %s", err, &c.errs)
	}
}

// ask runs another command on the folder, which has to succeed.
func (c *servedConsole) ask(args ...string) string {
	c.t.Helper()
	var errs bytes.Buffer
	cmd := exec.Command("tankside", append(args, "--dir", c.dir)...)
	cmd.Stderr = &errs
	out, err := cmd.Output()
	if err != nil {
		c.t.Fatalf("tankside %s: %v: %s", strings.Join(args, " "), err, &errs)
	}
	return string(out)
}

// words are the words of every entry as said, in the order of the log.
func (c *servedConsole) words() (out []string) {
	c.t.Helper()
	data, err := os.ReadFile(filepath.Join(c.dir, "copy", events.IncidentID(c.name)+".jsonl"))
	if err != nil {
		c.t.Fatal(err)
	}
	for line := range bytes.Lines(data) {
		var e struct{ Words string }
		if err := json.Unmarshal(line, &e); err != nil {
			c.t.Fatalf("%q: %v", line, err)
		}
		if e.Words != "" {
			out = append(out, e.Words)
		}
	}
	return out
}

// scribe is a page on which somebody types.
type scribe struct {
	*browser.Page
	t testing.TB
}

// sit opens a page with a line, and waits until it is live. On a phone the line is
// reached for, as the focus would bring the keyboard up over the board.
func sit(t testing.TB, url string, size browser.Size) scribe {
	t.Helper()
	s := scribe{browser.Open(t, url, size), t}
	if size.Phone {
		s.Wait(`/^live/.test(document.querySelector("#live").textContent)`)
		browser.Eval[bool](s.Page, `(document.querySelector("#line").focus(), true)`)
	}
	s.live()
	return s
}

// live waits until the page has the feed and the line has the focus.
func (s scribe) live() {
	s.t.Helper()
	s.Wait(`/^live/.test(document.querySelector("#live").textContent) && document.activeElement.id === "line"`)
}

// line is what stands in the line and where the caret is.
func (s scribe) line() (text string, caret int) {
	s.t.Helper()
	v := browser.Eval[struct {
		Text  string
		Caret int
	}](s.Page, `(l => ({Text: l.value, Caret: l.selectionStart}))(document.querySelector("#line"))`)
	return v.Text, v.Caret
}

// has checks what stands in the line, and that it has the focus and the caret its place.
func (s scribe) has(when, text string, caret int) {
	s.t.Helper()
	got, at := s.line()
	if got != text || at != caret {
		s.t.Errorf("%s: the line has %q with the caret at %d, want %q with it at %d", when, got, at, text, caret)
	}
	if id := browser.Eval[string](s.Page, `document.activeElement.id`); id != "line" {
		s.t.Errorf("%s: the focus is on %q, want it on the line", when, id)
	}
}

// saved waits until every line that was kept is saved.
func (s scribe) saved() {
	s.t.Helper()
	s.Wait(`outbox.waiting().length === 0`)
}

// shows waits until a text stands on the page among the entries.
func (s scribe) shows(text string) {
	s.t.Helper()
	s.Wait(fmt.Sprintf(`[...document.querySelectorAll("#latest, #board")].some(e => e.textContent.includes(%q))`, text))
}

// say types a line, keeps it and waits until it is saved and on the page.
func (s scribe) say(line string) {
	s.t.Helper()
	s.Type(line)
	s.Press("Enter")
	s.saved()
}
