package journal

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/logtest"
)

// testConfig is a journal in dir with the suite's kinds and clock.
func testConfig(dir string) Config {
	return Config{Dir: dir, Now: logtest.Clock(), Catalogue: logtest.Catalogue()}
}

// mustOpen opens a journal that the test closes.
func mustOpen(t *testing.T, cfg Config) *Journal {
	t.Helper()
	j, err := Open(t.Context(), cfg)
	if err != nil {
		t.Fatalf("Open = %v", err)
	}
	t.Cleanup(func() { j.Close() })
	return j
}

// mustLog returns the log of the suite's incident.
func mustLog(t *testing.T, j *Journal) events.Log {
	t.Helper()
	l, err := j.Log(logtest.Incident)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func TestSuite(t *testing.T) {
	var last *Journal
	open := func(t *testing.T) events.Log {
		last = mustOpen(t, testConfig(t.TempDir()))
		return mustLog(t, last)
	}
	reopen := func(t *testing.T) events.Log {
		dir := last.Dir()
		if err := last.Close(); err != nil {
			t.Fatalf("Close = %v", err)
		}
		last = mustOpen(t, testConfig(dir))
		if fs := last.Findings(); len(fs) > 0 {
			t.Errorf("after a clean stop Open found %v", fs)
		}
		return mustLog(t, last)
	}
	logtest.Suite(t, open, reopen)
}

// The store has an entry whose answer never came. The sender tries again and gets
// that entry; nothing is stored twice.
func TestLostAnswer(t *testing.T) {
	j := mustOpen(t, testConfig(t.TempDir()))
	l := mustLog(t, j)
	if _, err := l.AppendAll(t.Context(), logtest.Drafts(1, 3)); err != nil {
		t.Fatal(err)
	}
	_, fresh, err := l.(*incidentLog).seal(logtest.Drafts(4, 6))
	if err != nil {
		t.Fatal(err)
	}
	if err := j.store.put(t.Context(), []message{messageOf(&fresh[0]), messageOf(&fresh[1]), messageOf(&fresh[2])}); err != nil {
		t.Fatal(err)
	}
	j.store.last -= 3 // as it would be had no answer come
	j.unsure = true
	rs, err := l.AppendAll(t.Context(), logtest.Drafts(5, 7))
	if err != nil || len(rs) != 3 || rs[0].Hash != fresh[1].Hash || rs[2].Seq != 7 {
		t.Errorf("AppendAll again = %v, %v; want entries 5 and 6 as they were stored, and 7", rs, err)
	}
	checkReads(t, l, make([][]byte, 7))
	if r, err := j.Verify(t.Context()); err != nil || len(r.Findings) > 0 {
		t.Errorf("Verify = %v, %v", r.Findings, err)
	}
}

// The same line imported into two incidents is an entry of each.
func TestOneIDInTwoIncidents(t *testing.T) {
	j := mustOpen(t, testConfig(t.TempDir()))
	for _, incident := range []string{"Quarry Bend", "quarry bend!", "Harrow Mill"} {
		l, err := j.Log(incident)
		if err != nil {
			t.Fatal(err)
		}
		d := logtest.Draft(1)
		d.Incident = incident
		if r, err := l.Append(t.Context(), d); err != nil || r.Seq != 1 {
			t.Errorf("%s: Append = entry %d, %v; want 1", incident, r.Seq, err)
		}
	}
	if got := j.Incidents(); !slices.Equal(got, []string{"harrow-mill", "quarry-bend"}) {
		t.Errorf("Incidents = %v", got)
	}
	if _, err := j.Log("!?"); err == nil {
		t.Error("Log of a name without a letter succeeded")
	}
}

func TestLocked(t *testing.T) {
	dir := t.TempDir()
	j := mustOpen(t, testConfig(dir))
	_, err := Open(t.Context(), testConfig(dir))
	if want := fmt.Sprintf("held by process %d", os.Getpid()); !errors.Is(err, ErrLocked) || !strings.Contains(err.Error(), want) {
		t.Errorf("Open of a folder in use = %v, want ErrLocked and %q", err, want)
	}
	if _, err := Verify(t.Context(), testConfig(dir)); !errors.Is(err, ErrLocked) {
		t.Errorf("Verify of a folder in use = %v, want ErrLocked", err)
	}
	if err := j.Close(); err != nil {
		t.Fatal(err)
	}
	mustOpen(t, testConfig(dir))
}

func TestNode(t *testing.T) {
	dir := t.TempDir()
	j := mustOpen(t, testConfig(dir))
	node := j.Node()
	if err := j.Close(); err != nil || !token(node) {
		t.Fatalf("node %q, Close = %v", node, err)
	}
	if j = mustOpen(t, testConfig(dir)); j.Node() != node {
		t.Errorf("opened again the node is %q, want %q", j.Node(), node)
	}
	if err := j.Close(); err != nil {
		t.Fatal(err)
	}
	cfg := testConfig(dir)
	for _, tt := range []struct{ node, want string }{{"engine-7", "belongs to node"}, {"a b", "belongs to node"}} {
		cfg.Node = tt.node
		if _, err := Open(t.Context(), cfg); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("Open as node %q = %v, want %q", tt.node, err, tt.want)
		}
	}
	cfg.Dir, cfg.Node = t.TempDir(), "Engine 7"
	if _, err := Open(t.Context(), cfg); err == nil || !strings.Contains(err.Error(), "a node name is") {
		t.Errorf("Open with the node name %q = %v", cfg.Node, err)
	}
}

func TestClosed(t *testing.T) {
	j := mustOpen(t, testConfig(t.TempDir()))
	l := mustLog(t, j)
	if _, err := l.Append(t.Context(), logtest.Draft(1)); err != nil {
		t.Fatal(err)
	}
	ended := make(chan error)
	go func() {
		_, err := logtest.Collect(l.Follow(t.Context(), 1))
		ended <- err
	}()
	for range 2 {
		if err := j.Close(); err != nil {
			t.Errorf("Close = %v", err)
		}
	}
	if err := <-ended; !errors.Is(err, events.ErrClosed) {
		t.Errorf("Follow ended with %v, want ErrClosed", err)
	}
	if _, err := l.Append(t.Context(), logtest.Draft(2)); !errors.Is(err, events.ErrClosed) {
		t.Errorf("Append = %v, want ErrClosed", err)
	}
	if _, err := logtest.Collect(l.Read(t.Context(), 1)); !errors.Is(err, events.ErrClosed) {
		t.Errorf("Read = %v, want ErrClosed", err)
	}
}

// Each unclean stop leaves a copy of the store from before the next start; the newest
// few are kept.
func TestCopiesAside(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "log")
	for n := range keepAside + 3 {
		j := mustOpen(t, testConfig(dir))
		if n > 0 && !told(j.Findings(), "the last stop was not a clean one") {
			t.Errorf("start %d told %v", n, j.Findings())
		}
		if _, err := mustLog(t, j).Append(t.Context(), logtest.Draft(n)); err != nil {
			t.Fatal(err)
		}
		crashed := filepath.Join(t.TempDir(), "crashed")
		if err := copyTree(dir, crashed); err != nil {
			t.Fatal(err)
		}
		if err := j.Close(); err != nil {
			t.Fatal(err)
		}
		dir = crashed
	}
	copies, err := filepath.Glob(filepath.Join(dir, "aside", "*-store*"))
	if err != nil || len(copies) != keepAside {
		t.Errorf("%d copies are kept, %v; want %d", len(copies), err, keepAside)
	}
}

func TestNothingToVerify(t *testing.T) {
	if _, err := Verify(t.Context(), testConfig(filepath.Join(t.TempDir(), "nowhere"))); !errors.Is(err, ErrNoLog) {
		t.Errorf("Verify of nothing = %v, want ErrNoLog", err)
	}
	j := mustOpen(t, testConfig(t.TempDir()))
	if _, err := j.Repair(t.Context(), "nowhere"); !errors.Is(err, ErrNoLog) {
		t.Errorf("Repair of nothing = %v, want ErrNoLog", err)
	}
}

// Reading goes on while a repair writes the files anew.
func TestReadDuringRepair(t *testing.T) {
	clean, _ := makeBases(t, oneBlock)
	edit(t, copyPath(clean.dir), inLines(func(l [][]byte) [][]byte { return slices.Delete(l, 41, 42) }))
	j := mustOpen(t, testConfig(clean.dir))
	l := mustLog(t, j)
	n := 0
	for r, err := range l.Read(t.Context(), 1) {
		if err != nil {
			t.Fatalf("entry %d: %v", n+1, err)
		}
		if n++; n == 10 {
			if did, err := j.Repair(t.Context(), logtest.Incident); err != nil || damaged(did) {
				t.Fatalf("Repair = %v, %v", did, err)
			}
		}
		if !bytes.Equal(r.Raw, clean.want[n-1]) {
			t.Fatalf("entry %d has other bytes", n)
		}
	}
	if n != damagedEntries {
		t.Errorf("read %d entries, want %d", n, damagedEntries)
	}
}

// An entry that somebody changes in the second copy while the journal is open is not
// passed off as what was logged.
func TestChangedWhileOpen(t *testing.T) {
	j := mustOpen(t, testConfig(t.TempDir()))
	l := mustLog(t, j)
	if _, err := l.AppendAll(t.Context(), logtest.Drafts(1, 9)); err != nil {
		t.Fatal(err)
	}
	edit(t, copyPath(j.Dir()), func(b []byte) []byte {
		return bytes.Replace(b, []byte("remark 4 as said"), []byte("remark 5 as said"), 1)
	})
	_, err := logtest.Collect(l.Read(t.Context(), 1))
	if err == nil || !strings.Contains(err.Error(), "entry 5 or the one before it was changed") {
		t.Errorf("Read = %v, want the change told", err)
	}
	if r, err := j.Verify(t.Context()); err != nil || !told(r.Findings, "entry 4: second copy: other bytes") {
		t.Errorf("Verify = %v, %v; want entry 4", r.Findings, err)
	}
}

// An entry that the store can never take is refused at once, not tried for ever.
func TestTooLong(t *testing.T) {
	l := mustLog(t, mustOpen(t, testConfig(t.TempDir())))
	d := logtest.Draft(1)
	d.Words = strings.Repeat("long ", maxEntry/5)
	if _, err := l.Append(t.Context(), d); !errors.Is(err, events.ErrInvalid) || !strings.Contains(err.Error(), "the longest is 4.0 MB") {
		t.Errorf("Append of an entry over 4 MB = %v, want ErrInvalid", err)
	}
	d.Words = d.Words[:maxEntry-2000]
	if _, err := l.Append(t.Context(), d); err != nil {
		t.Errorf("Append of an entry of nearly 4 MB = %v", err)
	}
}
