package journal

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/logtest"
)

// TestOneByteOneFinding changes each byte of one line of the second copy in turn:
// whatever becomes of the line, that entry is named, once, and no other.
func TestOneByteOneFinding(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "log")
	j := mustOpen(t, testConfig(dir))
	for n := range 12 {
		if _, err := mustLog(t, j).Append(t.Context(), logtest.Draft(n)); err != nil {
			t.Fatal(err)
		}
	}
	if err := j.Close(); err != nil {
		t.Fatal(err)
	}
	h, err := readHead(dir)
	if err != nil {
		t.Fatal(err)
	}
	name, incident := copyPath(dir), events.IncidentID(logtest.Incident)
	whole, err := readCopy(kinds.Catalogue(), name)
	if err != nil {
		t.Fatal(err)
	}
	good, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	for _, seq := range []int{1, 7, 12} {
		line := whole.copy[seq-1].span
		for i := line.off; i < line.off+int64(line.size); i++ {
			for _, bit := range []byte{1, 0x80} {
				bad := bytes.Clone(good)
				bad[i] ^= bit
				checkOneFinding(t, name, bad, whole.copy, h.Incidents[incident], events.Seq(seq))
			}
		}
	}
}

// checkOneFinding holds a changed copy against a whole store.
func checkOneFinding(t *testing.T, name string, bad []byte, store []found, m mark, seq events.Seq) {
	t.Helper()
	if err := os.WriteFile(name, bad, 0o600); err != nil {
		t.Fatal(err)
	}
	e, err := readCopy(kinds.Catalogue(), name)
	if err != nil {
		t.Fatal(err)
	}
	e.store = store
	got := judge(e, m, true).findings
	if len(got) != 1 || got[0].From != seq || got[0].To != seq || got[0].Place != InCopy || got[0].What == "missing; the store has it" {
		t.Fatalf("line %d: found %v; want one finding, that its bytes in the second copy are others", seq, got)
	}
}

// TestStrangersBesideTheLog: a stranger is a changed entry only where one is
// missing; beside a whole log it is told of as what it is.
func TestStrangersBesideTheLog(t *testing.T) {
	at := func(seqs ...events.Seq) (fs []found) {
		for i, seq := range seqs {
			f := found{seq: seq, at: uint64(i + 1), hash: events.Hash{byte(seq)}}
			if seq > 1 {
				f.prev = events.Hash{byte(seq - 1)}
			}
			fs = append(fs, f)
		}
		return fs
	}
	for name, tt := range map[string]struct {
		copy []found
		odd  []oddity
		want []string
	}{
		"a line lost, a foreign one at the end": {at(1, 2, 4, 5), []oddity{{place: InCopy, at: 5, why: "no JSON"}},
			[]string{"x: entry 3: second copy: missing; the store has it", "x: second copy: what stands at place 5 is no entry of this log: no JSON"}},
		"a foreign line in the place of two": {append(at(1), found{seq: 4, at: 3, hash: events.Hash{4}, prev: events.Hash{3}}, found{seq: 5, at: 4, hash: events.Hash{5}, prev: events.Hash{4}}),
			[]oddity{{place: InCopy, at: 2, why: "no JSON"}},
			[]string{"x: entry 2: second copy: cannot be read as an entry any more: no JSON", "x: entry 3: second copy: missing; the store has it"}},
		"two lines changed places": {at(1, 3, 2, 4, 5), nil, []string{"x: entry 2: second copy: held twice or out of order"}},
	} {
		e := &evidence{incident: "x", store: at(1, 2, 3, 4, 5), copy: tt.copy, odd: tt.odd}
		got := judge(e, mark{Seq: 5, Hash: events.Hash{5}.String()}, true).findings
		if len(got) != len(tt.want) {
			t.Errorf("%s: found %v, want %q", name, got, tt.want)
			continue
		}
		for i, f := range got {
			if f.Fix = ""; f.String() != tt.want[i] {
				t.Errorf("%s: found %q, want %q", name, f, tt.want[i])
			}
		}
	}
}
