package journal

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/logtest"
)

// The damage suite: what nats-server 2.15.2 was seen to do to its files in our own
// measurements (a cut tail, a flipped bit, a lost block, a lost description, each
// after a clean and after an unclean stop), and the same for the second copy. Every
// row has to be told by Verify, which changes nothing, and by Open; to leave every
// entry readable; to take a new entry; and to be clean and whole after Repair.

const (
	damagedEntries = 100
	otherIncident  = "Mill Lane"
	oneBlock       = 30     // words an entry: the store has one block file
	twoBlocks      = 12_400 // words an entry: the store has two
)

// worded is the nth draft of the damage suite.
func worded(n, words int) events.Draft {
	d := logtest.Draft(n)
	d.Words = strings.Repeat(fmt.Sprintf("%06d ", n), words)
	return d
}

// small is a draft of the incident that no damage is done to.
func small(n int) events.Draft {
	d := logtest.Draft(n)
	d.Incident = otherIncident
	return d
}

// base is a folder with two logs, and what is in the first.
type base struct {
	dir   string
	words int // in each entry
	want  [][]byte
}

// makeBases writes a log and leaves it as a clean and as an unclean stop do.
func makeBases(t *testing.T, words int) (clean, unclean base) {
	t.Helper()
	j := mustOpen(t, testConfig(filepath.Join(t.TempDir(), "log")))
	l := mustLog(t, j)
	other, err := j.Log(otherIncident)
	if err != nil {
		t.Fatal(err)
	}
	var want [][]byte
	for n := 0; n < damagedEntries; n += 10 {
		if _, err := other.Append(t.Context(), small(n)); err != nil {
			t.Fatal(err)
		}
		var ds []events.Draft
		for i := range 10 {
			ds = append(ds, worded(n+i, words))
		}
		rs, err := l.AppendAll(t.Context(), ds)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range rs {
			want = append(want, r.Raw)
		}
	}
	// Entries are flushed when they are acknowledged, so the files as they are now
	// are what a killed process leaves.
	crashed := filepath.Join(t.TempDir(), "crashed")
	if err := copyTree(j.Dir(), crashed); err != nil {
		t.Fatal(err)
	}
	if err := j.Close(); err != nil {
		t.Fatal(err)
	}
	return base{j.Dir(), words, want}, base{crashed, words, want}
}

func TestDamage(t *testing.T) {
	small, large := map[bool]base{}, map[bool]base{}
	small[false], small[true] = makeBases(t, oneBlock)
	large[false], large[true] = makeBases(t, twoBlocks)
	for unclean, stop := range map[bool]string{false: "after a clean stop", true: "after an unclean stop"} {
		for _, row := range table(unclean) {
			t.Run(stop+"/"+row.name, func(t *testing.T) {
				from := small[unclean]
				if row.large {
					from = large[unclean]
				}
				dir := filepath.Join(t.TempDir(), "log")
				if err := copyTree(from.dir, dir); err != nil {
					t.Fatal(err)
				}
				row.do(t, dir)
				checkVerifyTells(t, dir, row)
				checkOpenTells(t, dir, row, from)
				checkWhole(t, dir, from)
			})
		}
	}
}

// checkVerifyTells has Verify find the damage and leave the folder as it is.
func checkVerifyTells(t *testing.T, dir string, row damage) {
	t.Helper()
	before := treeSum(t, dir)
	r, err := Verify(t.Context(), testConfig(dir))
	if err != nil {
		t.Fatalf("Verify = %v", err)
	}
	if hurt := !row.whole && !row.note; r.OK() == hurt {
		t.Errorf("Verify says OK = %v, findings %v; want %v", r.OK(), r.Findings, !hurt)
	}
	if after := treeSum(t, dir); after != before {
		t.Error("Verify changed the folder")
	}
}

// checkOpenTells opens a damaged folder, reads and writes in it, and repairs it.
func checkOpenTells(t *testing.T, dir string, row damage, from base) {
	t.Helper()
	j, err := Open(t.Context(), testConfig(dir))
	if err != nil {
		t.Fatalf("Open = %v", err)
	}
	defer j.Close()
	if hurt := !row.whole && !row.note; damaged(j.Findings()) != hurt {
		t.Errorf("Open found %v; want damage told: %v", j.Findings(), hurt)
	}
	if !told(j.Findings(), row.tells) {
		t.Errorf("Open found %v; want %q among it", j.Findings(), row.tells)
	}
	l := mustLog(t, j)
	checkReads(t, l, from.want)
	if _, err := l.Append(t.Context(), worded(damagedEntries, from.words)); err != nil {
		t.Fatalf("Append to the log as it is = %v", err)
	}
	checkReads(t, l, append(slices.Clone(from.want), nil))
	for _, incident := range Damaged(j.Findings()) {
		if did, err := j.Repair(t.Context(), incident); err != nil || damaged(did) {
			t.Fatalf("Repair(%s) = %v, %v; want all of it brought back", incident, did, err)
		}
	}
	checkReads(t, l, append(slices.Clone(from.want), nil))
	if err := j.Close(); err != nil {
		t.Fatalf("Close = %v", err)
	}
}

// checkWhole has both copies whole, equal, with the entries there were and the one
// that was appended while the log was damaged.
func checkWhole(t *testing.T, dir string, from base) {
	t.Helper()
	r, err := Verify(t.Context(), testConfig(dir))
	if err != nil || len(r.Findings) > 0 {
		t.Fatalf("Verify afterwards = %v, %v; want nothing found", r.Findings, err)
	}
	j := mustOpen(t, testConfig(dir))
	if len(j.Findings()) > 0 {
		t.Errorf("Open afterwards found %v", j.Findings())
	}
	checkReads(t, mustLog(t, j), append(slices.Clone(from.want), nil))
	other, err := j.Log(otherIncident)
	if err != nil {
		t.Fatal(err)
	}
	if rs, err := logtest.Collect(other.Read(t.Context(), 1)); err != nil || len(rs) != damagedEntries/10 {
		t.Errorf("the other incident has %d entries, %v; want %d", len(rs), err, damagedEntries/10)
	}
	if r, err := mustLog(t, j).Append(t.Context(), worded(7, from.words)); err != nil || r.Seq != 8 {
		t.Errorf("an old id again gave entry %d, %v; want 8", r.Seq, err)
	}
}

// checkReads has the log hold exactly want, byte for byte; nil stands for any bytes.
func checkReads(t *testing.T, l events.Log, want [][]byte) {
	t.Helper()
	rs, err := logtest.Collect(l.Read(t.Context(), 1))
	if err != nil || len(rs) != len(want) {
		t.Fatalf("Read gave %d entries, %v; want %d", len(rs), err, len(want))
	}
	logtest.CheckChain(t, rs)
	for i, r := range rs {
		if want[i] != nil && !bytes.Equal(r.Raw, want[i]) {
			t.Fatalf("entry %d has other bytes than it was acknowledged with", r.Seq)
		}
	}
}

// told reports whether words are in one of the findings.
func told(fs []Finding, words string) bool {
	return words == "" || slices.ContainsFunc(fs, func(f Finding) bool { return strings.Contains(f.String(), words) })
}

// treeSum is a sum over the names and contents of a folder.
func treeSum(t *testing.T, dir string) [32]byte {
	t.Helper()
	h := sha256.New()
	err := filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		fmt.Fprintf(h, "%s %d\n%s", path, len(data), data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return [32]byte(h.Sum(nil))
}

// An entry that neither copy has whole cannot come back. It is told, the others are
// there, and the log goes on.
func TestLostInBothCopies(t *testing.T) {
	clean, _ := makeBases(t, oneBlock)
	dir := clean.dir
	edit(t, copyPath(dir), inLines(func(l [][]byte) [][]byte { return slices.Delete(l, 41, 42) }))
	edit(t, block(t, dir, 0), flip(func(b []byte) int { return bytes.Index(b, []byte("000041 ")) }))
	j := mustOpen(t, testConfig(dir))
	if !told(j.Findings(), "entry 42: both copies: missing") {
		t.Errorf("Open found %v; want entry 42 told as missing from both", j.Findings())
	}
	l := mustLog(t, j)
	if _, err := l.Append(t.Context(), worded(damagedEntries, oneBlock)); err != nil {
		t.Errorf("Append = %v", err)
	}
	did, err := j.Repair(t.Context(), logtest.Incident)
	if err != nil || !told(did, "entry 42: both copies: missing") {
		t.Errorf("Repair = %v, %v; want entry 42 still told", did, err)
	}
	rs, err := logtest.Collect(l.Read(t.Context(), 1))
	if err != nil || len(rs) != damagedEntries {
		t.Fatalf("Read gave %d entries, %v; want %d", len(rs), err, damagedEntries)
	}
	if rs[41].Seq != 43 || len(rs[41].Faults) != 1 {
		t.Errorf("the entry behind the lost one is %d with faults %v; want 43 with one", rs[41].Seq, rs[41].Faults)
	}
	if err := j.Close(); err != nil {
		t.Fatal(err)
	}
	r, err := Verify(t.Context(), testConfig(dir))
	if err != nil || r.OK() || len(r.Findings) != 1 || r.Findings[0].From != 42 {
		t.Errorf("Verify after the repair = %v, %v; want entry 42 and nothing else", r.Findings, err)
	}
}

// When the end is lost in both copies only the head record knows. Nothing is put
// behind an end in doubt before the repair says that it is settled.
func TestEndLostInBothCopies(t *testing.T) {
	clean, _ := makeBases(t, oneBlock)
	dir := clean.dir
	edit(t, copyPath(dir), inLines(func(l [][]byte) [][]byte { return l[:98] }))
	edit(t, block(t, dir, -1), cut(1_000)) // two entries
	if r, err := Verify(t.Context(), testConfig(dir)); err != nil || r.OK() || !told(r.Findings, "entries 99 to 100: both copies: missing") {
		t.Errorf("Verify = %v, %v; want entries 99 to 100 told", r.Findings, err)
	}
	j := mustOpen(t, testConfig(dir))
	l := mustLog(t, j)
	_, err := l.Append(t.Context(), worded(200, oneBlock))
	if !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), "tankside verify --repair --incident ditch-road") {
		t.Errorf("Append = %v; want ErrDamaged and the command", err)
	}
	other, err := j.Log(otherIncident)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := other.Append(t.Context(), small(500)); err != nil {
		t.Errorf("Append to the other incident = %v", err)
	}
	var did []Finding
	for _, incident := range Damaged(j.Findings()) {
		told, err := j.Repair(t.Context(), incident)
		if err != nil {
			t.Errorf("Repair(%s) = %v", incident, err)
		}
		did = append(did, told...)
	}
	if !told(did, "lost: entries 99 to 100") {
		t.Errorf("Repair did %v; want the loss told", did)
	}
	if r, err := l.Append(t.Context(), worded(200, oneBlock)); err != nil || r.Seq != 99 {
		t.Errorf("Append after the repair = entry %d, %v; want 99", r.Seq, err)
	}
	if err := j.Close(); err != nil {
		t.Fatal(err)
	}
	if r, err := Verify(t.Context(), testConfig(dir)); err != nil || !r.OK() || !told(r.Findings, "entries 99 to 100: both copies: lost; told at the repair") {
		t.Errorf("Verify later = %v, %v; want the loss still told, as a note", r.Findings, err)
	}
}

// A second copy that is ahead means that the store has lost what it acknowledged.
func TestCopyAheadOfStore(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "log")
	j := mustOpen(t, testConfig(dir))
	l := mustLog(t, j)
	if _, err := l.AppendAll(t.Context(), logtest.Drafts(1, 10)); err != nil {
		t.Fatal(err)
	}
	early := filepath.Join(t.TempDir(), "store")
	if err := copyTree(j.storeDir(), early); err != nil {
		t.Fatal(err)
	}
	if _, err := l.Append(t.Context(), logtest.Draft(11)); err != nil {
		t.Fatal(err)
	}
	late := filepath.Join(t.TempDir(), "late")
	if err := copyTree(dir, late); err != nil {
		t.Fatal(err)
	}
	remove(t, filepath.Join(late, "store"))
	if err := os.Rename(early, filepath.Join(late, "store")); err != nil {
		t.Fatal(err)
	}
	k := mustOpen(t, testConfig(late))
	if !told(k.Findings(), "entry 11: store: missing; the second copy has it") {
		t.Errorf("Open found %v; want entry 11 told", k.Findings())
	}
	if did, err := k.Repair(t.Context(), logtest.Incident); err != nil || damaged(did) {
		t.Errorf("Repair = %v, %v", did, err)
	}
	if rs, err := logtest.Collect(mustLog(t, k).Read(t.Context(), 1)); err != nil || len(rs) != 11 {
		t.Errorf("Read gave %d entries, %v; want 11", len(rs), err)
	}
}
