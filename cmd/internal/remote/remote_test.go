package remote

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"go.uber.org/goleak"

	"tankside/events"
	"tankside/events/journal"
	"tankside/events/logtest"
)

// hour is the hour at the suite's incident.
func hour() time.Time { return time.Date(2025, 10, 14, 23, 41, 0, 0, time.FixedZone("", -5*3600)) }

// mustServe opens a journal in dir, serves it and reaches it, all until the test ends.
func mustServe(t *testing.T, dir string, onTrouble ...func(journal.Trouble)) (*journal.Journal, *Server, *Client) {
	t.Helper()
	cfg := journal.Config{Dir: dir, Now: logtest.Clock(), Catalogue: logtest.Catalogue()}
	for _, f := range onTrouble {
		cfg.OnTrouble = f
	}
	j, err := journal.Open(t.Context(), cfg)
	if err != nil {
		t.Fatal(err)
	}
	s, err := Serve(Config{Folder: j, Catalogue: logtest.Catalogue(), Now: hour})
	if err != nil {
		t.Fatal(err)
	}
	c, err := Dial(t.Context(), dir, logtest.Catalogue(), nil)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := errors.Join(c.Close(), s.Close(), j.Close()); err != nil {
			t.Error(err)
		}
	})
	return j, s, c
}

func mustLog(t *testing.T, f Folder) events.Log {
	t.Helper()
	l, err := f.Log(logtest.Incident)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// TestSuite: the log of another process is a log like every other.
func TestSuite(t *testing.T) {
	var (
		j *journal.Journal
		s *Server
		c *Client
	)
	open := func(t *testing.T) events.Log {
		j, s, c = mustServe(t, t.TempDir())
		return mustLog(t, c)
	}
	reopen := func(t *testing.T) events.Log {
		if err := errors.Join(c.Close(), s.Close(), j.Close()); err != nil {
			t.Fatal(err)
		}
		j, s, c = mustServe(t, j.Dir())
		return mustLog(t, c)
	}
	logtest.Suite(t, open, reopen)
}

// TestFolder holds everything else a client gives against the folder itself.
func TestFolder(t *testing.T) {
	j, _, first := mustServe(t, t.TempDir())
	if _, err := mustLog(t, first).AppendAll(t.Context(), logtest.Drafts(1, 20)); err != nil {
		t.Fatal(err)
	}
	c, err := Dial(t.Context(), j.Dir(), logtest.Catalogue(), nil)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	if got, want := c.Incidents(), j.Incidents(); !slices.Equal(got, want) || len(got) != 1 {
		t.Errorf("Incidents = %v, want %v", got, want)
	}
	if !c.Now().Equal(hour()) {
		t.Errorf("Now = %v, want %v", c.Now(), hour())
	}
	if c.Dir() != j.Dir() || len(c.Consoles()) != 0 {
		t.Errorf("Dir and Consoles = %s, %v", c.Dir(), c.Consoles())
	}
	got, err := c.Verify(t.Context())
	want, err2 := j.Verify(t.Context())
	if err != nil || err2 != nil || !got.OK() || !slices.Equal(got.Logs, want.Logs) || got.Logs[0].Entries != 20 {
		t.Errorf("Verify = %+v, %v; want %+v, %v", got, err, want, err2)
	}
	key, err := c.PublicKey()
	if mine, err2 := j.PublicKey(); err != nil || err2 != nil || !mine.Equal(key) {
		t.Errorf("PublicKey = %x, %v; want %x", key, err, mine)
	}
	if _, err := c.Log("?"); err == nil {
		t.Error("Log of a name without letters is no error")
	}
}

// TestStale: an address that a process left behind is not followed.
func TestStale(t *testing.T) {
	dir := t.TempDir()
	for _, tt := range []struct {
		name  string
		leave func() error
		want  error
	}{
		{"none", func() error { return nil }, ErrNotServed},
		{"of a process that has gone", func() error { return address{PID: os.Getpid() + 1, Host: "127.0.0.1:1"}.write(dir) }, ErrNotServed},
	} {
		err := tt.leave()
		if c, dialled := Dial(t.Context(), dir, logtest.Catalogue(), nil); err != nil || !errors.Is(dialled, tt.want) {
			t.Errorf("%s: Dial = %v, %v (%v); want %v", tt.name, c, dialled, err, tt.want)
		}
	}
	j, s, _ := mustServe(t, dir)
	if info, err := os.Stat(fileName(dir)); err != nil || runtime.GOOS != "windows" && info.Mode().Perm() != 0o600 {
		t.Errorf("the address file is %v, %v; want it for the owner only", info, err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(fileName(dir)); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("the address file after Close: %v, want it gone", err)
	}
	// A holder that has stopped serving, as one that is being killed: nobody answers.
	if err := s.addr.write(dir); err != nil {
		t.Fatal(err)
	}
	if _, err := Dial(t.Context(), j.Dir(), logtest.Catalogue(), nil); err == nil || errors.Is(err, ErrNotServed) {
		t.Errorf("Dial of a closed port = %v, want an error that says so", err)
	}
	if err := os.WriteFile(fileName(dir), []byte("{"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Dial(t.Context(), dir, logtest.Catalogue(), nil); err == nil || !strings.Contains(err.Error(), "served.json") {
		t.Errorf("Dial with half an address = %v, want the file named", err)
	}
}

// TestGuard: neither a page in a browser nor another user gets in.
func TestGuard(t *testing.T) {
	_, s, c := mustServe(t, t.TempDir())
	for name, tt := range map[string]struct {
		spoil func(*http.Request)
		want  int
	}{
		"as it should be": {func(*http.Request) {}, http.StatusOK},
		"no token":        {func(r *http.Request) { r.Header.Del("Authorization") }, http.StatusUnauthorized},
		"another token":   {func(r *http.Request) { r.Header.Set("Authorization", "Bearer x") }, http.StatusUnauthorized},
		"from a page":     {func(r *http.Request) { r.Header.Set("Origin", "http://"+s.addr.Host) }, http.StatusForbidden},
		"from a form":     {func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "none") }, http.StatusForbidden},
		"rebound name":    {func(r *http.Request) { r.Host = "example.com" }, http.StatusMisdirectedRequest},
		"asking whether it may": {func(r *http.Request) {
			r.Method = http.MethodOptions
			r.Header.Set("Origin", "null")
		}, http.StatusForbidden},
	} {
		req, err := http.NewRequestWithContext(t.Context(), http.MethodGet, "http://"+s.addr.Host+"/folder", nil)
		if err != nil {
			t.Fatal(err)
		}
		req.Header.Set("Authorization", "Bearer "+s.addr.Token)
		tt.spoil(req)
		resp, err := c.http.Do(req)
		if err != nil {
			t.Fatal(err)
		}
		resp.Body.Close()
		if resp.StatusCode != tt.want || resp.Header.Get("Access-Control-Allow-Origin") != "" {
			t.Errorf("%s: status %d and headers %v, want %d", name, resp.StatusCode, resp.Header, tt.want)
		}
	}
}

// TestBodies: what is no draft, or too much, is refused with a reason.
func TestBodies(t *testing.T) {
	_, _, c := mustServe(t, t.TempDir())
	for name, tt := range map[string]struct {
		body []byte
		want error
		text string
	}{
		"no JSON":  {[]byte("bond r2\n"), events.ErrNotAnEntry, "draft 1"},
		"no entry": {[]byte("{}"), events.ErrInvalid, "draft 1"},
		"too much": {bytes.Repeat([]byte("\n"), maxBody+1), events.ErrInvalid, "send it in parts"},
	} {
		_, err := c.ask(t.Context(), http.MethodPost, "/log/ditch-road", tt.body)
		if !errors.Is(err, tt.want) || !strings.Contains(err.Error(), tt.text) {
			t.Errorf("%s: %v, want %v with %q", name, err, tt.want, tt.text)
		}
	}
}

// TestStops: whoever waits for a process that cannot save is told that nothing is
// saved; whoever sends it again, when it can, has one entry.
func TestStops(t *testing.T) {
	dir := t.TempDir()
	cannot := make(chan journal.Trouble, 100)
	j, s, c := mustServe(t, dir, func(tr journal.Trouble) { cannot <- tr })
	inTheWay := filepath.Join(dir, "copy", events.IncidentID(logtest.Incident)+".jsonl")
	if err := os.Mkdir(inTheWay, 0o700); err != nil {
		t.Fatal(err)
	}
	leaked := goleak.IgnoreCurrent()
	told := make(chan journal.Trouble, 1)
	c.onTrouble = func(tr journal.Trouble) { told <- tr }
	ctx, cancel := context.WithCancel(t.Context())
	var wait sync.WaitGroup
	wait.Go(func() {
		if _, err := mustLog(t, c).Append(ctx, logtest.Draft(1)); !errors.Is(err, events.ErrNotSaved) || !errors.Is(err, context.Canceled) {
			t.Errorf("Append given up = %v, want ErrNotSaved and the context's error", err)
		}
	})
	<-cannot
	if tr := <-told; tr.Saved || tr.Entries != 1 || !strings.Contains(tr.String(), "NOT SAVED") {
		t.Errorf("told %v", tr)
	}
	cancel()
	wait.Wait()

	if err := os.Remove(inTheWay); err != nil {
		t.Fatal(err)
	}
	if r, err := mustLog(t, c).Append(t.Context(), logtest.Draft(1)); err != nil || r.Seq != 1 {
		t.Errorf("Append of the same again = entry %d, %v; want entry 1", r.Seq, err)
	}
	if rs, err := logtest.Collect(mustLog(t, j).Read(t.Context(), 1)); err != nil || len(rs) != 1 {
		t.Errorf("the log has %d entries, %v; want 1", len(rs), err)
	}
	if err := errors.Join(s.Close(), c.Close()); err != nil {
		t.Error(err)
	}
	if _, err := mustLog(t, c).Append(t.Context(), logtest.Draft(2)); !errors.Is(err, events.ErrNotSaved) {
		t.Errorf("Append after the process has stopped = %v, want ErrNotSaved", err)
	}
	goleak.VerifyNone(t, leaked)
}

// TestFollowersAreTold: a follower of a process that stops is told so; it does not
// look as if nothing more had been said.
func TestFollowersAreTold(t *testing.T) {
	_, s, c := mustServe(t, t.TempDir())
	l := mustLog(t, c)
	if _, err := l.Append(t.Context(), logtest.Draft(1)); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
	defer cancel()
	n := 0
	for _, err := range l.Follow(ctx, 1) {
		if n++; n == 2 {
			if !errors.Is(err, events.ErrClosed) {
				t.Errorf("the follower ends with %v, want ErrClosed", err)
			}
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
	t.Error("the follower ended without a word")
}

// TestFaultsGoAlong: what the chain shows of an entry, and its bytes do not, arrives.
func TestFaultsGoAlong(t *testing.T) {
	c := logtest.Catalogue()
	r, err := c.Seal(logtest.Draft(1), "n", nil, logtest.Clock()())
	if err != nil {
		t.Fatal(err)
	}
	odd := r
	odd.Raw = bytes.Replace(slices.Clone(r.Raw), []byte(`"v":1`), []byte(`"v":9`), 1)
	if odd, err = c.Open(odd.Raw); err != nil || len(odd.Faults) == 0 {
		t.Fatalf("a version from the future opens as %v, %v", odd, err)
	}
	for _, beyond := range [][]string{nil, {"the chain is broken here"}, {"a\nb", "\xe2\x80\xa8<!"}} {
		for _, e := range []events.Recorded{r, odd} {
			e.Faults = append(slices.Clone(e.Faults), beyond...)
			var b bytes.Buffer
			if err := writeEntry(&b, c, e); err != nil {
				t.Fatal(err)
			}
			got, err := readEntry(bufio.NewReader(&b), c)
			if err != nil || !bytes.Equal(got.Raw, e.Raw) || !slices.Equal(got.Faults, e.Faults) {
				t.Errorf("got %q with %q, %v; want %q", got.Raw, got.Faults, err, e.Faults)
			}
		}
	}
	if _, err := readEntry(bufio.NewReader(strings.NewReader(`{"id":`)), c); !errors.Is(err, io.ErrUnexpectedEOF) {
		t.Errorf("half an entry = %v, want unexpected EOF", err)
	}
}

// TestAfterTakesOne: only one entry can be put behind a known last; two are refused whole.
func TestAfterTakesOne(t *testing.T) {
	_, _, c := mustServe(t, t.TempDir())
	l := mustLog(t, c).(*incidentLog)
	if _, err := l.save(t.Context(), "?after=0", logtest.Drafts(1, 2)); !errors.Is(err, events.ErrInvalid) {
		t.Errorf("two entries after 0: %v, want %v", err, events.ErrInvalid)
	}
	for r, err := range l.Read(t.Context(), 1) {
		t.Errorf("the log has entry %d, %v; want none", r.Seq, err)
	}
}
