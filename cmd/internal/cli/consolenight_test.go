package cli

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"tankside/cmd/internal/browser"
	"tankside/cmd/internal/remote"
	"tankside/events"
	"tankside/events/kinds"
)

// post is a console in this process, whose hour the test sets.
type post struct {
	dir, url string
	hour     atomic.Pointer[time.Time]
	clock    atomic.Pointer[func() time.Time] // a clock that runs, in the place of hour
}

func (p *post) now() time.Time {
	if run := p.clock.Load(); run != nil {
		return (*run)()
	}
	return *p.hour.Load()
}

// openPost serves the console of a data folder until the test ends.
func openPost(t testing.TB, dir, name string, hour time.Time) *post {
	t.Helper()
	p := &post{dir: dir}
	p.hour.Store(&hour)
	out, in := io.Pipe()
	a := &App{In: strings.NewReader(""), Out: in, Err: testLog{t}, Now: p.now, catalogue: kinds.Catalogue()}
	ctx, cancel := context.WithCancel(t.Context())
	var serving sync.WaitGroup
	serving.Go(func() {
		if code := a.Run(ctx, []string{"open", name, "--dir", p.dir}); code != 0 {
			t.Errorf("tankside open: exit %d", code)
		}
		in.Close()
	})
	t.Cleanup(func() { cancel(); serving.Wait() })
	lines := bufio.NewScanner(out)
	for p.url == "" && lines.Scan() {
		if m := consoleAt.FindStringSubmatch(lines.Text()); m != nil {
			p.url = m[1]
		}
	}
	if p.url == "" {
		t.Fatal("tankside open ended without serving")
	}
	go func() { _, _ = io.Copy(io.Discard, out) }()
	return p
}

// testLog is what a program says, in the log of the test.
type testLog struct{ t testing.TB }

// Write logs.
func (l testLog) Write(b []byte) (int, error) {
	l.t.Logf("%s", b)
	return len(b), nil
}

// state is what tankside state --json says of a folder.
func state(t *testing.T, dir string) (s struct {
	Entries        int
	Accountability struct{ In []string }
	Volume         struct {
		Transferred  struct{ Value, Low *float64 }
		Legs         []struct{ ID string }
		Released     struct{ Value float64 }
		Aboard       struct{ Value float64 } `json:"should_be_aboard"`
		Compartments []struct {
			Name        string
			Transferred struct{ Value *float64 }
		}
	}
	Trucks []struct{ Name string }
}) {
	t.Helper()
	a, out, errs := newApp()
	if code := a.Run(t.Context(), []string{"state", "--json", "--dir", dir}); code != 0 {
		t.Fatalf("tankside state: exit %d, %s", code, errs)
	}
	if err := json.Unmarshal(out.Bytes(), &s); err != nil {
		t.Fatal(err)
	}
	return s
}

// TestNightThroughTheLine puts the whole of the invented incident into the page's own
// line, each line at its hour of that night, while a relay posts beside it. Nothing is
// dropped, focus and caret stay, and in the end the board says what tankside state says.
func TestNightThroughTheLine(t *testing.T) {
	a, _, _ := newApp()
	rows, err := a.script("quarry-bend")
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile("../../../testdata/lines/quarry-bend.txt")
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(text)), "\n")
	if len(lines) != len(rows) {
		t.Fatalf("%d lines for %d entries", len(lines), len(rows))
	}
	if testing.Short() {
		rows, lines = rows[:40], lines[:40]
	}
	p := openPost(t, filepath.Join(t.TempDir(), "data"), "Quarry Bend", rows[0].Reported.Add(-time.Second))
	s := sit(t, p.url, browser.Laptop)
	relay, err := remote.Dial(t.Context(), p.dir, a.catalogue, nil)
	if err != nil {
		t.Fatal(err)
	}
	defer relay.Close()
	log, err := relay.Log("Quarry Bend")
	if err != nil {
		t.Fatal(err)
	}
	at181 := 0 // the number that entry 181 of the night has here
	var posting sync.WaitGroup
	for i, line := range lines {
		p.hour.Store(&rows[i].Reported)
		if i%3 == 0 {
			d := events.Draft{ID: events.ContentID(rows[i].Reported, fmt.Sprint(i)), Incident: "Quarry Bend", Occurred: events.At(rows[i].Reported),
				Reported: rows[i].Reported, Channel: events.Device, Words: fmt.Sprintf("relay %d", i), Payload: kinds.Note{}}
			posting.Go(func() {
				if _, err := log.Append(t.Context(), d); err != nil {
					t.Errorf("relay %d: %v", i, err)
				}
			})
		}
		line = strings.Replace(line, "fix 181:", fmt.Sprintf("fix %d:", at181), 1)
		lines[i] = line
		s.keep(line)
		s.has(line, "", 0)
		posting.Wait()
		if i == 180 {
			at181 = s.number(line)
		}
	}
	s.matches(t, p, log, lines)
}

// keep puts a line in and keeps it; where the line is asked about, Enter once more keeps
// it as typed. Key by key lines are typed in the other tests.
func (s scribe) keep(line string) {
	s.t.Helper()
	s.Put(line)
	s.kept(line)
}

// kept keeps what stands in the line.
func (s scribe) kept(line string) {
	s.t.Helper()
	s.Wait(fmt.Sprintf(`document.querySelector("#preview .reading")?.dataset.line === %q`, line))
	s.Press("Enter")
	if text, _ := s.line(); text == line {
		s.Press("Enter")
	}
	s.saved()
}

// number is the number under which a line was saved, as the page says.
func (s scribe) number(line string) (n int) {
	s.t.Helper()
	s.Wait(`/^saved as \d+/.test(document.querySelector("#preview").innerText)`)
	if _, err := fmt.Sscanf(s.Text("#preview"), "saved as %d", &n); err != nil {
		s.t.Fatalf("after %q the page says %q", line, s.Text("#preview"))
	}
	return n
}

// matches holds the page against the log and against tankside state.
func (s scribe) matches(t *testing.T, p *post, log events.Log, lines []string) {
	t.Helper()
	var words []string
	last := events.Seq(0)
	for r, err := range log.Read(t.Context(), 1) {
		if err != nil {
			t.Fatal(err)
		}
		if last = r.Seq; r.Words != "" && !strings.HasPrefix(r.Words, "relay ") && !slices.Contains(words, r.Words) {
			words = append(words, r.Words) // a line may become two entries
		}
	}
	want := slices.Compact(slices.Sorted(slices.Values(lines)))
	if got := slices.Sorted(slices.Values(words)); !slices.Equal(got, want) {
		t.Errorf("the log has the lines\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	s.Wait(fmt.Sprintf(`document.querySelector("#latest #n%d") !== null`, last))
	st := state(t, p.dir)
	gallons := "no transfer recorded" // as in the short form of the night
	switch out := st.Volume.Transferred; {
	case out.Value != nil:
		gallons = digits(math.Round(*out.Value))
	case out.Low != nil && *out.Low > 0:
		gallons = "at least " + digits(math.Round(*out.Low))
	case len(st.Volume.Legs) > 0:
		gallons = "not said"
	}
	s.Wait(fmt.Sprintf(`document.querySelector("#board .out").innerText.includes(%q)`, gallons))
	for what, v := range map[string]float64{"released": st.Volume.Released.Value, "aboard": st.Volume.Aboard.Value} {
		if text := s.Text("#board .tank"); v != 0 && !strings.Contains(text, digits(math.Round(v))) {
			t.Errorf("%s by tankside state: %g gal; the board has\n%s", what, v, text)
		}
	}
	if got, want := s.Text("#board .in h2 b"), fmt.Sprint(len(st.Accountability.In)); got != want {
		t.Errorf("the board has %s in, state %s", got, want)
	}
	board := s.Text("#board")
	for _, c := range st.Volume.Compartments {
		if v := c.Transferred.Value; v != nil && !strings.Contains(board, c.Name) {
			t.Errorf("%s is not on the board", c.Name)
		}
	}
	for _, tr := range st.Trucks {
		if !strings.Contains(board, tr.Name) {
			t.Errorf("truck %s is not on the board", tr.Name)
		}
	}
	t.Logf("%d entries, out of the tank: %s", st.Entries, gallons)
	s.Reload()
	s.live()
	if fresh := s.Text("#board"); fresh != board {
		t.Errorf("loaded anew the board says\n%s\nby its feed it said\n%s", fresh, board)
	}
	if got := s.Complaints(); len(got) > 0 {
		t.Errorf("the page complained: %q", got)
	}
}
