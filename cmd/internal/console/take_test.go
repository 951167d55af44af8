package console

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"iter"
	"math"
	"net/http"
	"net/http/httptest"
	"net/url"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"tankside/events"
	"tankside/events/intake/lines"
	"tankside/events/kinds"
	"tankside/events/memlog"
	"tankside/projections"
	"tankside/projections/live"
)

// quiet is a console whose follower does not run: it never hears of what is saved.
func quiet() *Console { return lanConsole(NewPairing()) }

func logged(t *testing.T, c *Console) (out []events.Recorded) {
	t.Helper()
	for r, err := range c.cfg.Log.Read(t.Context(), 1) {
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, r)
	}
	return out
}

// TestSentAgainBeforeHeard posts a line again whose entry the log has and the follower
// does not, as when its answer was lost: it is the same entry, not a refusal.
func TestSentAgainBeforeHeard(t *testing.T) {
	c := quiet()
	id := events.NewID(c.cfg.Now())
	for i, ago := range []int64{0, 5000} {
		status, a := c.take(t.Context(), id, said{Line: "plugged c5", Ago: ago}, writer{role: "Scribe"})
		if status != http.StatusOK || len(a.Seqs) != 1 || a.Seqs[0] != 1 {
			t.Errorf("post %d: %d %+v, want entry 1", i+1, status, a)
		}
	}
	if got := logged(t, c); len(got) != 1 {
		t.Errorf("%d entries, want 1", len(got))
	}
}

// TestPageLeftWhileSaving posts a line from a page that is gone before it is saved.
func TestPageLeftWhileSaving(t *testing.T) {
	c := quiet()
	gone, leave := context.WithCancel(t.Context())
	leave()
	body, err := json.Marshal(said{ID: string(events.NewID(c.cfg.Now())), Line: "plugged c5"})
	if err != nil {
		t.Fatal(err)
	}
	w := httptest.NewRecorder()
	c.say(w, httptest.NewRequestWithContext(gone, http.MethodPost, "/say", strings.NewReader(string(body))))
	if got := logged(t, c); w.Code != http.StatusOK || len(got) != 1 {
		t.Errorf("status %d, %d entries, want the line saved", w.Code, len(got))
	}
}

// TestSlowBoardNoSlowLine saves a line while the state does not come: it is read against
// the one there is.
func TestSlowBoardNoSlowLine(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c := kinds.Catalogue()
		log := memlog.New(c, "Quarry Bend", "node", time.Now)
		held := make(chan struct{})
		f := live.New(live.Config{Log: log, Catalogue: c, Now: time.Now, Wall: time.Now, Fold: func(tl *events.Timeline) *projections.Incident {
			if len(tl.Entries) > 0 {
				<-held
			}
			return projections.Fold(c, tl)
		}})
		pages := New(Config{Log: log, Name: "Quarry Bend", Live: f, Catalogue: c, Now: time.Now, Wall: time.Now, Scribe: "Scribe"})
		ctx, stop := context.WithCancel(t.Context())
		ended := make(chan error, 1)
		go func() { ended <- f.Run(ctx) }()
		for i, line := range []string{"plugged c5", "p1 in"} {
			synctest.Wait() // the follower has heard of what came before
			soon, cancel := context.WithTimeout(ctx, saveTime)
			began := time.Now() // of the clock of this test, which no machine slows
			status, a := pages.take(soon, events.NewID(time.Now()), said{Line: line}, writer{role: "Scribe"})
			if took := time.Since(began); status != http.StatusOK || took > readTime {
				t.Errorf("line %d: %d after %v, want it saved after at most %v: %s", i+1, status, took, readTime, a.Why)
			}
			cancel()
		}
		if got := marksOf(logged(t, pages)); !slices.Equal(got, []string{"", "entries 1 to 1, which were not worked out yet"}) {
			t.Errorf("the lines say they were read without %q", got)
		}
		close(held)
		stop()
		if err := <-ended; err != nil {
			t.Error(err)
		}
	})
}

// marksOf is what each entry says its line was read without.
func marksOf(entries []events.Recorded) (out []string) {
	for _, r := range entries {
		mark := ""
		for _, p := range r.Extra {
			if p.Key == readWithout {
				mark = p.Value
			}
		}
		out = append(out, mark)
	}
	return out
}

// TestReadAgainstAllSaved posts a line while the follower has not heard of an entry that
// is saved: the line waits for it.
func TestReadAgainstAllSaved(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c := kinds.Catalogue()
		log := &lateLog{Log: memlog.New(c, "Quarry Bend", "node", time.Now)}
		f := live.New(live.Config{Log: log, Catalogue: c, Now: time.Now, Wall: time.Now, Fold: func(tl *events.Timeline) *projections.Incident { return projections.Fold(c, tl) }})
		pages := New(Config{Log: log, Name: "Quarry Bend", Live: f, Catalogue: c, Now: time.Now, Wall: time.Now, Scribe: "Scribe"})
		ctx, stop := context.WithCancel(t.Context())
		ended := make(chan error, 1)
		go func() { ended <- f.Run(ctx) }()
		var says string
		for _, line := range []string{"pump on c4 to r1", "pump off 1012"} {
			_, a := pages.take(ctx, events.NewID(time.Now()), said{Line: line}, writer{role: "Scribe"})
			says = a.Says
		}
		if !strings.Contains(says, "L1") {
			t.Errorf("the pump that goes off is that of no leg: %s", says)
		}
		if got := marksOf(logged(t, pages)); slices.Compact(got)[0] != "" || len(slices.Compact(got)) > 1 {
			t.Errorf("the lines say they were read without %q", got)
		}
		stop()
		if err := <-ended; err != nil {
			t.Error(err)
		}
	})
}

// lateLog is a log whose followers hear of an entry a little after it is saved.
type lateLog struct{ events.Log }

func (l *lateLog) Follow(ctx context.Context, from events.Seq) iter.Seq2[events.Recorded, error] {
	return func(yield func(events.Recorded, error) bool) {
		for r, err := range l.Log.Follow(ctx, from) {
			time.Sleep(readTime / 4) // of the clock of this test
			if !yield(r, err) {
				return
			}
		}
	}
}

// TestSaysWhatWasChosen holds what a page is told to what was saved.
func TestSaysWhatWasChosen(t *testing.T) {
	first, second := []events.Draft{{Words: "1"}}, []events.Draft{{Words: "2"}}
	r := lines.Reading{Says: "as typed", Drafts: first, Ask: &lines.Question{Choices: []lines.Choice{
		{Key: lines.EnterKey, Says: "as typed", Drafts: first}, {Key: "P", Says: "pump off", Drafts: second},
	}}}
	for key, want := range map[string]string{"": "as typed", "p": "pump off", "Z": "as typed"} {
		drafts, says := chosen(r, key)
		if says != want || len(drafts) != 1 || (drafts[0].Words == "2") != (want == "pump off") {
			t.Errorf("answer %q: %q, drafts %v, want %q", key, says, drafts, want)
		}
	}
}

// TestOthersOnlyAdd posts, from this machine and from a paired one, a line that takes an
// entry back.
func TestOthersOnlyAdd(t *testing.T) {
	for machine, want := range map[string]string{"": "struck", "phone": "note"} {
		c := quiet()
		entry, err := c.cfg.Log.Append(t.Context(), events.Draft{
			ID: events.NewID(c.cfg.Now()), Incident: "Quarry Bend", Reported: c.cfg.Now(), Occurred: events.At(c.cfg.Now()),
			Words: "plugged c5", Channel: events.Typed, Mode: events.Actual, RecordedBy: "Scribe", Payload: kinds.Note{},
		})
		if err != nil {
			t.Fatal(err)
		}
		tl := c.cfg.Catalogue.NewTimeline([]events.Recorded{entry}, events.View{})
		c.learn(projections.Fold(c.cfg.Catalogue, tl), tl)
		_, a := c.take(t.Context(), events.NewID(c.cfg.Now()), said{Line: "strike 1 said twice"}, writer{role: "Leader", machine: machine})
		all := logged(t, c)
		last := all[len(all)-1]
		if got := string(last.Payload.Kind()); got != want || last.Words != "strike 1 said twice" {
			t.Errorf("from machine %q it became %s (%q), want %s", machine, got, last.Words, want)
		}
		if note := strings.HasPrefix(a.Says, "kept as a note"); note != (want == "note") {
			t.Errorf("machine %q is told %q", machine, a.Says)
		}
	}
}

// endless is a body without an end.
type endless struct{ read int }

func (e *endless) Read(b []byte) (int, error) {
	if e.read += len(b); e.read > 100*maxBody {
		return 0, io.ErrUnexpectedEOF
	}
	for i := range b {
		b[i] = 'a'
	}
	return len(b), nil
}

// TestLongPostOfStranger holds what is read of a machine that is not paired to the same
// length as of any other.
func TestLongPostOfStranger(t *testing.T) {
	for _, form := range []string{"application/x-www-form-urlencoded", "multipart/form-data; boundary=x"} {
		body := &endless{}
		r := httptest.NewRequest(http.MethodPost, "/pair", body)
		r.RemoteAddr, r.Host = "192.0.2.9:5000", lanHost
		r.Header.Set("Content-Type", form)
		w := httptest.NewRecorder()
		quiet().Handler().ServeHTTP(w, r)
		if w.Code != http.StatusForbidden || body.read > 2*maxBody {
			t.Errorf("%s: status %d after %d bytes, want %d after at most %d", form, w.Code, body.read, http.StatusForbidden, 2*maxBody)
		}
	}
}

// TestPairedForADay takes a code as it is read out, in two groups, and lets the machine
// go when its day is over.
func TestPairedForADay(t *testing.T) {
	p := NewPairing()
	c := lanConsole(p)
	code := p.Code()
	res := from("192.0.2.9:5000", c, http.MethodPost, "/pair", url.Values{"token": {c.token}, "code": {code[:3] + " " + code[3:] + " "}, "role": {"Leader"}}, nil)
	if res.StatusCode != http.StatusSeeOther || len(res.Cookies()) != 1 {
		t.Fatalf("a code in two groups: %s", res.Status)
	}
	key := res.Cookies()[0].Value
	for after, want := range map[time.Duration]string{pairedFor - time.Second: "Leader", pairedFor: ""} {
		if got := p.role(key, c.cfg.Wall().Add(after)); got != want {
			t.Errorf("%v after it was paired it writes as %q, want %q", after, got, want)
		}
	}
}

// TestDraftsTriedAgain keeps half-typed lines that the disk refused for the next time.
func TestDraftsTriedAgain(t *testing.T) {
	dir := t.TempDir()
	d := drafts{lines: map[string]draft{}}
	d.keep("laptop", "benzene 9.6", time.Unix(0, 0))
	if err := d.write(filepath.Join(dir, "gone", "drafts.json")); err == nil {
		t.Fatal("a folder that is not there took the lines")
	}
	file := filepath.Join(dir, "drafts.json")
	if err := d.write(file); err != nil {
		t.Fatal(err)
	}
	next := drafts{lines: map[string]draft{}}
	if err := next.read(file); err != nil || next.of("laptop").Line != "benzene 9.6" {
		t.Errorf("after a disk that refused once there is %+v, %v", next.of("laptop"), err)
	}
}

// TestOtherSites asks with the right token as a browser asks for a page of another site:
// it may lead here by a link, and no more.
func TestOtherSites(t *testing.T) {
	for _, tt := range []struct {
		method, site, mode string
		want               int
	}{
		{http.MethodGet, "cross-site", "navigate", http.StatusOK},
		{http.MethodGet, "cross-site", "no-cors", http.StatusForbidden},
		{http.MethodGet, "same-site", "cors", http.StatusForbidden},
		{http.MethodPost, "same-site", "cors", http.StatusForbidden},
		{http.MethodPost, "cross-site", "navigate", http.StatusForbidden},
		{http.MethodPost, "same-origin", "cors", http.StatusOK},
	} {
		c := quiet()
		path := map[string]string{http.MethodGet: "/", http.MethodPost: "/preview"}[tt.method]
		r := httptest.NewRequest(tt.method, path, http.NoBody)
		r.RemoteAddr, r.Host = "127.0.0.1:5000", "127.0.0.1:80"
		r.Header.Set(tokenHeader, c.token)
		r.Header.Set("Sec-Fetch-Site", tt.site)
		r.Header.Set("Sec-Fetch-Mode", tt.mode)
		w := httptest.NewRecorder()
		c.Handler().ServeHTTP(w, r)
		if w.Code != tt.want {
			t.Errorf("%s %s, %s, %s: %d, want %d", tt.method, path, tt.site, tt.mode, w.Code, tt.want)
		}
	}
}

// TestOldestDraftGoes bounds what is kept for browsers that come and go.
func TestOldestDraftGoes(t *testing.T) {
	d := drafts{lines: map[string]draft{}}
	at := time.Date(2025, 10, 14, 23, 41, 20, 0, time.UTC)
	for i := range mostDrafts + 2 {
		d.keep(fmt.Sprint("browser ", i), "benzene", at.Add(time.Duration(i)*time.Second))
	}
	for i, want := range map[int]string{0: "", 1: "", 2: "benzene", mostDrafts + 1: "benzene"} {
		if got := d.of(fmt.Sprint("browser ", i)).Line; got != want {
			t.Errorf("of %d browsers the line of number %d is %q, want %q", mostDrafts+2, i, got, want)
		}
	}
	if len(d.lines) != mostDrafts {
		t.Errorf("%d lines are kept, want %d", len(d.lines), mostDrafts)
	}
}

// TestTypedWithinReason holds the hour of a line to what a page can have kept: nothing
// from later than now, and nothing from before any operation.
func TestTypedWithinReason(t *testing.T) {
	c := quiet()
	now := c.cfg.Now()
	for ago, want := range map[int64]time.Time{
		-60_000: now, 0: now, 60_000: now.Add(-time.Minute), math.MaxInt64: now.Add(-longAgo), math.MinInt64: now,
	} {
		if got := c.typed(ago); !got.Equal(want) {
			t.Errorf("typed %d ms ago is at %v, want %v", ago, got, want)
		}
	}
}
