package journal

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/logtest"
)

// damage is one row of the table.
type damage struct {
	name  string
	do    func(t *testing.T, dir string)
	tells string // the words that have to be in what Open tells
	large bool   // needs two block files
	note  bool   // it is no damage: completed from the other copy at once
	whole bool   // nothing of the log is hurt
}

func (d damage) String() string { return d.name }

// block returns the nth block file of the store; -1 is the last.
func block(t *testing.T, dir string, n int) string {
	t.Helper()
	all, err := filepath.Glob(filepath.Join(dir, "store/jetstream/$G/streams/EV/msgs/*.blk"))
	if err != nil || len(all) == 0 {
		t.Fatalf("the store has the blocks %v, %v", all, err)
	}
	slices.SortFunc(all, func(a, b string) int { return len(a) - len(b) + strings.Compare(a, b) })
	if n < 0 {
		n += len(all)
	}
	return all[n]
}

func metaFile(dir string) string { return filepath.Join(dir, "store/jetstream/$G/streams/EV/meta.inf") }
func copyPath(dir string) string { return copyName(dir, events.IncidentID(logtest.Incident)) }

// edit changes the bytes of a file.
func edit(t *testing.T, name string, change func([]byte) []byte) {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, change(data), 0o600); err != nil {
		t.Fatal(err)
	}
}

func cut(n int) func([]byte) []byte { return func(b []byte) []byte { return b[:len(b)-n] } }

func flip(at func(b []byte) int) func([]byte) []byte {
	return func(b []byte) []byte { b[at(b)] ^= 1; return b }
}

func middle(b []byte) int { return len(b) / 2 }

// inLines changes the lines of a second copy.
func inLines(change func([][]byte) [][]byte) func([]byte) []byte {
	return func(b []byte) []byte {
		lines := bytes.SplitAfter(b, []byte("\n"))
		return bytes.Join(change(lines[:len(lines)-1]), nil)
	}
}

func remove(t *testing.T, name string) {
	t.Helper()
	if err := os.RemoveAll(name); err != nil {
		t.Fatal(err)
	}
}

// table is every row. Rows do not depend on how the log was stopped, except that a
// second copy that lacks its last entry is no damage after an unclean stop.
func table(unclean bool) []damage {
	inBlock := func(n int, change func([]byte) []byte) func(*testing.T, string) {
		return func(t *testing.T, dir string) { edit(t, block(t, dir, n), change) }
	}
	inCopy := func(change func([]byte) []byte) func(*testing.T, string) {
		return func(t *testing.T, dir string) { edit(t, copyPath(dir), change) }
	}
	return []damage{
		{name: "nothing", do: func(*testing.T, string) {}, whole: true},
		{name: "store: last block cut by 7 bytes", do: inBlock(-1, cut(7)), tells: "entry 100: store: missing"},
		{name: "store: last block cut by 300 kB", do: inBlock(-1, cut(300_000)), large: true, tells: "store: missing"},
		{name: "store: bit flipped in the last block", do: inBlock(-1, flip(middle)), tells: "store: missing"},
		{name: "store: bit flipped in the first block", do: inBlock(0, flip(middle)), large: true, tells: "store: missing"},
		{name: "store: first block lost", do: func(t *testing.T, dir string) { remove(t, block(t, dir, 0)) }, large: true, tells: "entries 1 to"},
		{name: "store: description lost", do: func(t *testing.T, dir string) { remove(t, metaFile(dir)) }, tells: "meta.inf"},
		{name: "store: bit flipped in the description", do: func(t *testing.T, dir string) { edit(t, metaFile(dir), flip(middle)) }, tells: "meta.inf"},
		{name: "store: index lost", do: func(t *testing.T, dir string) {
			remove(t, filepath.Join(dir, "store/jetstream/$G/streams/EV/msgs/index.db"))
		}, whole: true},
		{name: "store: lost", do: func(t *testing.T, dir string) { remove(t, filepath.Join(dir, "store")) }, tells: "entries 1 to 100: store: missing"},
		{name: "copy: byte changed", do: inCopy(flip(middle)), tells: "second copy: "},
		{name: "copy: word changed, still JSON", do: inCopy(func(b []byte) []byte {
			return bytes.Replace(b, []byte("000042 "), []byte("000043 "), 1)
		}), tells: "entry 43: second copy: other bytes"},
		{name: "copy: word changed in the last line", do: inCopy(func(b []byte) []byte {
			return bytes.Replace(b, []byte("000099 "), []byte("000098 "), 1)
		}), tells: "entry 100: second copy: other bytes"},
		{name: "copy: tail cut in a line", do: inCopy(cut(100)), tells: "entry 100: second copy", note: unclean},
		{name: "copy: last line lost (behind by one)", do: inCopy(inLines(func(l [][]byte) [][]byte { return l[:99] })), tells: "entry 100: second copy", note: unclean},
		{name: "copy: a line lost", do: inCopy(inLines(func(l [][]byte) [][]byte { return slices.Delete(l, 41, 42) })), tells: "entry 42: second copy: missing"},
		{name: "copy: a line twice", do: inCopy(inLines(func(l [][]byte) [][]byte { return slices.Insert(l, 41, l[40]) })), tells: "entry 41: second copy: held twice"},
		{name: "copy: lines out of order", do: inCopy(inLines(func(l [][]byte) [][]byte { l[40], l[41] = l[41], l[40]; return l })), tells: "out of order"},
		{name: "copy: a foreign line", do: inCopy(inLines(func(l [][]byte) [][]byte { return append(l, []byte("{}\n")) })), tells: "no entry of this log"},
		{name: "copy: lost", do: func(t *testing.T, dir string) { remove(t, copyPath(dir)) }, tells: "second copy: missing"},
		{name: "copy: empty", do: inCopy(func([]byte) []byte { return nil }), tells: "second copy: missing"},
		{name: "head: lost", do: func(t *testing.T, dir string) { remove(t, filepath.Join(dir, "head.json")) }, whole: true},
		{name: "head: unreadable", do: func(t *testing.T, dir string) { edit(t, filepath.Join(dir, "head.json"), cut(9)) }, tells: "head record: head.json", note: true},
		{name: "both: one entry lost in each, not the same", do: func(t *testing.T, dir string) {
			edit(t, block(t, dir, -1), cut(7))
			edit(t, copyPath(dir), inLines(func(l [][]byte) [][]byte { return slices.Delete(l, 41, 42) }))
		}, tells: "store: missing"},
	}
}
