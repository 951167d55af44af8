package cli

import (
	"bufio"
	"bytes"
	"cmp"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"tankside/cmd/internal/browser"
	"tankside/cmd/internal/remote"
	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

// relay is a process of its own that posts into the folder it is given, through the door
// that a serving process leaves open: for each hour that it reads, in milliseconds, a
// reading and then a note. It says what it has saved.
func relay() {
	ctx, catalogue := context.Background(), kinds.Catalogue()
	door, err := remote.Dial(ctx, os.Args[1], catalogue, nil)
	if err == nil {
		var log events.Log
		if log, err = door.Log("Quarry Bend"); err == nil {
			err = relayAll(ctx, log, os.Stdin, os.Stdout)
		}
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func relayAll(ctx context.Context, log events.Log, in io.Reader, out io.Writer) error {
	n := 0
	for rows := bufio.NewScanner(in); rows.Scan(); n++ {
		ms, err := strconv.ParseInt(rows.Text(), 10, 64)
		if err != nil {
			return err
		}
		at := time.UnixMilli(ms)
		var said events.Payload = kinds.Note{}
		if n%2 == 0 {
			said = kinds.AirRead{LEL: quantity.Of(quantity.PercentLEL(1))}
		}
		r, err := log.Append(ctx, events.Draft{ID: events.ContentID(at, "relay", strconv.Itoa(n)), Incident: "Quarry Bend", Occurred: events.At(at),
			Reported: at, Channel: events.Device, Mode: events.Exercise, Words: fmt.Sprintf("relay %d", n), Where: "Staging", Payload: said})
		if err != nil {
			return err
		}
		fmt.Fprintln(out, r.Seq)
	}
	return nil
}

// pace is how much faster than the incident's clock the busy stretch is typed, and how long
// that stretch is.
func pace(t *testing.T) (faster float64, stretch time.Duration) {
	t.Helper()
	text := os.Getenv("TANKSIDE_PACE")
	if text == "" {
		return 120, 6 * time.Minute
	}
	faster, err := strconv.ParseFloat(text, 64)
	if err != nil || faster <= 0 {
		t.Fatalf("TANKSIDE_PACE: %q is no pace: a number above 0, such as 4", text)
	}
	if stretch, err = time.ParseDuration(cmp.Or(os.Getenv("TANKSIDE_STRETCH"), "30m")); err != nil || stretch <= 0 {
		t.Fatalf("TANKSIDE_STRETCH: %q is no time above 0, such as 30m or 12h", os.Getenv("TANKSIDE_STRETCH"))
	}
	return faster, stretch
}

// busiest is the first and the last of the entries of the stretch in which most was told.
func busiest(rows []events.Draft, stretch time.Duration) (from, to int) {
	for i := range rows {
		j := i
		for j+1 < len(rows) && rows[j+1].Reported.Sub(rows[i].Reported) < stretch {
			j++
		}
		if j-i > to-from {
			from, to = i, j
		}
	}
	return from, to
}

// relayEvery is the time between two posts of the relays at the incident: 20 a minute.
const relayEvery = 3 * time.Second

// TestBusyStretchAtPace types the busiest stretch of the night into the page at the pace of
// the incident's clock, so many times as fast, key by key, while a second process posts what
// the relays send at their times. Nothing is dropped, and whatever comes in, the focus stays
// on the line and the caret at its end. TANKSIDE_PACE=4 takes the busiest half hour at four
// times its pace, TANKSIDE_STRETCH=12h with it the whole night.
func TestBusyStretchAtPace(t *testing.T) {
	faster, stretch := pace(t)
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
	from, to := busiest(rows, stretch)
	p := openPost(t, filepath.Join(t.TempDir(), "data"), "Quarry Bend", rows[from].Reported)
	door, err := remote.Dial(t.Context(), p.dir, a.catalogue, nil)
	if err != nil {
		t.Fatal(err)
	}
	defer door.Close()
	log, err := door.Log("Quarry Bend")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := log.AppendAll(t.Context(), rows[:from]); err != nil {
		t.Fatal(err)
	}
	s := sit(t, p.url, browser.Laptop)
	s.Wait(fmt.Sprintf(`document.querySelector("#latest li:last-child .seq").textContent >= %d`, from))
	begun := time.Now()
	clock := func() time.Time {
		return rows[from].Reported.Add(time.Duration(float64(time.Since(begun)) * faster))
	}
	p.clock.Store(&clock)
	posted := relays(t, p.dir, clock, rows[to].Reported, faster)
	watch(s)
	late, want, at181 := time.Duration(0), []string{}, 181
	for _, d := range rows[:from] {
		if d.Words != "" {
			want = append(want, d.Words)
		}
	}
	for i := from; i <= to; i++ {
		<-time.After(time.Duration(float64(rows[i].Reported.Sub(clock())) / faster))
		lines[i] = strings.Replace(lines[i], "fix 181:", fmt.Sprintf("fix %d:", at181), 1)
		s.typed(lines[i], faster)
		if i == 180 { // which is put right later, by its number here
			at181 = s.number(lines[i])
		}
		late = max(late, clock().Sub(rows[i].Reported))
		want = append(want, lines[i])
	}
	s.saved()
	n := posted()
	came := s.unmoved()
	s.matches(t, p, log, want)
	t.Logf("x%g, %v from %s: %d lines, %d posts by relays; %d changes of the page beside the line, focus and caret kept; at most %v behind the incident's clock (%v by this one)",
		faster, stretch, rows[from].Reported.Format(time.TimeOnly), to-from+1, n, came, late.Round(time.Second), time.Duration(float64(late)/faster).Round(time.Millisecond))
}

// relays starts the second process and gives it the hours of its posts when they come. What
// it returns waits for the last of them and says how many are saved.
func relays(t *testing.T, dir string, clock func() time.Time, until time.Time, faster float64) func() int {
	t.Helper()
	cmd := exec.Command("relay", dir)
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	in, err := cmd.StdinPipe()
	if err == nil {
		err = cmd.Start()
	}
	if err != nil {
		t.Fatal(err)
	}
	sent, ended := 0, make(chan struct{})
	go func() {
		defer close(ended)
		defer in.Close()
		for at := clock().Add(relayEvery); at.Before(until) && t.Context().Err() == nil; at = at.Add(relayEvery) {
			<-time.After(time.Duration(float64(at.Sub(clock())) / faster))
			fmt.Fprintln(in, at.UnixMilli())
			sent++
		}
	}()
	return func() int {
		t.Helper()
		<-ended
		if err := cmd.Wait(); err != nil {
			t.Errorf("the relay ends with %v: %s", err, &errs)
		}
		if n := strings.Count(out.String(), "\n"); n != sent {
			t.Errorf("the relay saved %d of %d posts", n, sent)
		}
		return sent
	}
}

// typed types a line as fast as a good typist at the incident would, and keeps it.
func (s scribe) typed(line string, faster float64) {
	s.t.Helper()
	for _, r := range line {
		s.Type(string(r))
		<-time.After(time.Duration(float64(200*time.Millisecond) / faster))
	}
	s.kept(line)
}

// watch looks at focus and caret whenever anything changes beside the line.
func watch(s scribe) {
	browser.Eval[bool](s.Page, `(() => {
		const line = document.getElementById("line");
		window.seen = { n: 0, stolen: [] };
		const look = (what) => {
			seen.n++;
			if (document.activeElement !== line) seen.stolen.push(what + ": the focus is on " + document.activeElement.id);
			else if (line.selectionStart !== line.value.length || line.selectionEnd !== line.value.length) seen.stolen.push(what + ": the caret is at " + line.selectionStart + " of " + line.value);
		};
		for (const id of ["latest", "board", "banner", "alarms"]) new MutationObserver(() => look(id)).observe(document.getElementById(id), { childList: true, subtree: true, characterData: true });
		return true;
	})()`)
}

// unmoved holds the page to what watch saw, and returns how much came in.
func (s scribe) unmoved() int {
	s.t.Helper()
	seen := browser.Eval[struct {
		N      int
		Stolen []string
	}](s.Page, `({N: seen.n, Stolen: seen.stolen.slice(0, 5)})`)
	if len(seen.Stolen) > 0 {
		s.t.Errorf("while entries came in: %q", seen.Stolen)
	}
	if seen.N == 0 {
		s.t.Error("nothing came in while the scribe typed")
	}
	return seen.N
}
