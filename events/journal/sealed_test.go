package journal

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/archive"
	"tankside/events/logtest"
)

// sealedLog is an archive of a log of n entries and the folder it came from.
func sealedLog(t *testing.T, n int) (data []byte, from *Journal) {
	t.Helper()
	from = mustOpen(t, testConfig(t.TempDir()))
	if _, err := mustLog(t, from).AppendAll(t.Context(), logtest.Drafts(1, n)); err != nil {
		t.Fatal(err)
	}
	return exported(t, from), from
}

func exported(t *testing.T, j *Journal) []byte {
	t.Helper()
	data, err := seal(t, j)
	if err != nil {
		t.Fatalf("sealed: %v", err)
	}
	return data
}

// seal makes an archive of the log and of what lies beside it.
func seal(t *testing.T, j *Journal, more ...archive.Member) ([]byte, error) {
	t.Helper()
	var rs []events.Recorded
	for r, err := range mustLog(t, j).Read(t.Context(), 1) {
		if err != nil {
			t.Fatal(err)
		}
		rs = append(rs, r)
	}
	var b bytes.Buffer
	err := archive.Write(&b, rs, more, j, "tankside test")
	return b.Bytes(), err
}

func mustOpenArchive(t *testing.T, data []byte) *archive.Archive {
	t.Helper()
	a, err := archive.Open(data, logtest.Catalogue(), nil)
	if err != nil {
		t.Fatalf("archive.Open = %v", err)
	}
	return a
}

func TestExportRestore(t *testing.T) {
	const n = 1500 // more than one batch
	data, from := sealedLog(t, n)
	if !bytes.Equal(data, exported(t, from)) {
		t.Error("the same log sealed twice gave other bytes")
	}
	key, err := from.PublicKey()
	if err != nil {
		t.Fatal(err)
	}
	a, err := archive.Open(data, logtest.Catalogue(), key)
	if err != nil || !a.Key.Equal(key) || a.Manifest.Entries != n {
		t.Fatalf("archive.Open = %+v, %v", a, err)
	}
	dir := t.TempDir()
	to := mustOpen(t, testConfig(dir))
	for _, want := range []int{n, 0} {
		if added, err := to.Restore(t.Context(), a); err != nil || added != want {
			t.Errorf("Restore added %d, %v; want %d", added, err, want)
		}
	}
	want, err := logtest.Collect(mustLog(t, from).Read(t.Context(), 1))
	if err != nil {
		t.Fatal(err)
	}
	var raws [][]byte
	for _, r := range want {
		raws = append(raws, r.Raw)
	}
	checkReads(t, mustLog(t, to), raws)
	r, err := mustLog(t, to).Append(t.Context(), logtest.Draft(n+1))
	if err != nil || r.Seq != n+1 || r.Node != from.Node() {
		t.Errorf("the restored log goes on with entry %d of node %q, %v; want %d of %q", r.Seq, r.Node, err, n+1, from.Node())
	}
	if added, err := to.Restore(t.Context(), a); err != nil || added != 0 {
		t.Errorf("Restore of an archive that is the beginning of the log added %d, %v", added, err)
	}
	if err := to.Close(); err != nil {
		t.Fatal(err)
	}
	if rep, err := Verify(t.Context(), testConfig(dir)); err != nil || len(rep.Findings) > 0 {
		t.Errorf("Verify of the restored folder = %v, %v", rep.Findings, err)
	}
}

// A restore that was cut short is completed by the next.
func TestRestoreCompletes(t *testing.T) {
	data, _ := sealedLog(t, 30)
	a := mustOpenArchive(t, data)
	part := *a
	part.Entries = a.Entries[:10]
	to := mustOpen(t, testConfig(t.TempDir()))
	if added, err := to.Restore(t.Context(), &part); err != nil || added != 10 {
		t.Fatalf("Restore of a part added %d, %v", added, err)
	}
	if added, err := to.Restore(t.Context(), a); err != nil || added != 20 {
		t.Errorf("Restore of the whole added %d, %v; want 20", added, err)
	}
}

func TestRestoreRefusesAnotherLog(t *testing.T) {
	data, _ := sealedLog(t, 30)
	a := mustOpenArchive(t, data)
	to := mustOpen(t, testConfig(t.TempDir()))
	mine, err := mustLog(t, to).Append(t.Context(), logtest.Draft(1))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := to.Restore(t.Context(), a); !errors.Is(err, ErrConflict) || !strings.Contains(err.Error(), "entry 1 differs") {
		t.Errorf("Restore over another log = %v, want ErrConflict and the entry", err)
	}
	checkReads(t, mustLog(t, to), [][]byte{mine.Raw})
}

// A log with a hole can be sealed; the archive says where the hole is.
func TestExportOfDamagedLog(t *testing.T) {
	dir := t.TempDir()
	j := mustOpen(t, testConfig(dir))
	if _, err := mustLog(t, j).AppendAll(t.Context(), logtest.Drafts(1, 9)); err != nil {
		t.Fatal(err)
	}
	if err := j.Close(); err != nil {
		t.Fatal(err)
	}
	edit(t, copyPath(dir), inLines(func(l [][]byte) [][]byte { return append(l[:4], l[5:]...) }))
	remove(t, filepath.Join(dir, "store"))
	j = mustOpen(t, testConfig(dir))
	a := mustOpenArchive(t, exported(t, j))
	if f := a.Manifest.Faults; len(f) != 1 || f[0] != "entry 5 is missing" {
		t.Errorf("the archive says %v, want entry 5 missing", f)
	}
	to := mustOpen(t, testConfig(t.TempDir()))
	if added, err := to.Restore(t.Context(), a); err != nil || added != 8 {
		t.Errorf("Restore added %d, %v; want 8", added, err)
	}
	rs, err := logtest.Collect(mustLog(t, to).Read(t.Context(), 1))
	if err != nil || len(rs) != 8 || len(rs[4].Faults) != 1 {
		t.Errorf("Read gave %d entries, %v; want 8, the fifth with its fault", len(rs), err)
	}
}

func TestSealKey(t *testing.T) {
	_, from := sealedLog(t, 1)
	info, err := os.Stat(filepath.Join(from.Dir(), "key"))
	if err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("the key file is %v, %v; want 0600", info.Mode(), err)
	}
	if err := os.WriteFile(filepath.Join(from.Dir(), "key"), []byte("nonsense\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := seal(t, from); err == nil || !strings.Contains(err.Error(), "is no key") {
		t.Errorf("sealed with a spoilt key: %v, want it said", err)
	}
}
