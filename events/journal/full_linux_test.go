package journal

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/logtest"
)

// smallDisk mounts a memory file system of 12 MB on dir, or skips the test and says
// why.
func smallDisk(t *testing.T, dir string) {
	t.Helper()
	if os.Geteuid() != 0 {
		t.Skip("the disk-full test mounts a small file system: it needs root")
	}
	if err := makeDir(dir); err != nil {
		t.Fatal(err)
	}
	if err := syscall.Mount("tankside-full", dir, "tmpfs", 0, "size=12m"); err != nil {
		t.Skipf("the disk-full test mounts a small file system: %v", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(dir, 0); err != nil {
			t.Errorf("unmount %s: %v", dir, err)
		}
	})
}

// fill takes all the room there is in dir and returns what gives it back.
func fill(t *testing.T, dir string) (free func()) {
	t.Helper()
	name := filepath.Join(dir, "filler")
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	for size := 1 << 20; size > 0; {
		if _, err := f.Write(make([]byte, size)); err != nil {
			if !errors.Is(err, syscall.ENOSPC) {
				t.Fatal(err)
			}
			size /= 2
		}
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	return func() { remove(t, name) }
}

// The disk is full: the entry is told as not saved, tried again, and saved once when
// there is room. What is on the full disk makes no difference to that.
func TestDiskFull(t *testing.T) {
	for _, tt := range []struct{ name, mount, says string }{
		{"everything", "", "NOT SAVED: ditch-road: 1 waiting"},
		{"the store", "store", "the store "},
		{"the second copy", "copy", "second copy: "},
	} {
		t.Run(tt.name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "log")
			full := filepath.Join(dir, tt.mount)
			smallDisk(t, full)
			troubles := make(chan Trouble, 1000)
			cfg := testConfig(dir)
			cfg.RetryEvery, cfg.Timeout = 10*time.Millisecond, time.Second
			cfg.OnTrouble = func(tr Trouble) { troubles <- tr }
			j := mustOpen(t, cfg)
			l := mustLog(t, j)
			want := 0
			for ; want < 20; want++ {
				if _, err := l.Append(t.Context(), wide(want)); err != nil {
					t.Fatal(err)
				}
			}
			free := fill(t, full)
			stuck := wide(want)
			waitOut(t, l, stuck)
			first := <-troubles
			if !strings.Contains(first.String(), tt.says) || !strings.Contains(first.String(), "NOT SAVED") {
				t.Errorf("told %q, want %q in it", first, tt.says)
			}
			if rs, err := logtest.Collect(l.Read(t.Context(), 1)); err != nil || len(rs) != want {
				t.Errorf("while the disk is full Read gave %d entries, %v; want %d", len(rs), err, want)
			}
			got := make(chan error)
			go func() {
				_, err := l.Append(t.Context(), stuck) // the sender tries the same id again
				got <- err
			}()
			for tries := 0; tries < 3; tries++ {
				<-troubles
			}
			free()
			if err := <-got; err != nil {
				t.Fatalf("Append after there was room = %v", err)
			}
			want++
			if _, err := l.Append(t.Context(), wide(want)); err != nil {
				t.Fatal(err)
			}
			checkFull(t, j, l, want+1)
		})
	}
}

// waitOut appends to a full disk until the sender gives up.
func waitOut(t *testing.T, l events.Log, d events.Draft) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 300*time.Millisecond)
	defer cancel()
	if _, err := l.Append(ctx, d); !errors.Is(err, events.ErrNotSaved) || !errors.Is(err, context.DeadlineExceeded) {
		t.Fatalf("Append to a full disk = %v, want ErrNotSaved and the context's end", err)
	}
}

// checkFull has every entry once and both copies whole.
func checkFull(t *testing.T, j *Journal, l events.Log, want int) {
	t.Helper()
	rs, err := logtest.Collect(l.Read(t.Context(), 1))
	if err != nil || len(rs) != want {
		t.Fatalf("Read gave %d entries, %v; want %d", len(rs), err, want)
	}
	logtest.CheckChain(t, rs)
	ids := map[events.ID]bool{}
	for _, r := range rs {
		if ids[r.ID] {
			t.Errorf("id %s is there twice", r.ID)
		}
		ids[r.ID] = true
	}
	if err := j.Close(); err != nil {
		t.Fatalf("Close = %v", err)
	}
	if r, err := Verify(t.Context(), testConfig(j.Dir())); err != nil || len(r.Findings) > 0 {
		t.Errorf("Verify = %v, %v; want nothing found", r.Findings, err)
	}
}

// wide is a draft too big for what is left on a disk that is all but full.
func wide(n int) events.Draft { return worded(n, 3000) }

// A disk that is full at the start keeps the log from being written, not from being
// opened and read.
func TestOpenOnFullDisk(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "log")
	smallDisk(t, dir)
	j := mustOpen(t, testConfig(dir))
	for n := range 5 {
		if _, err := mustLog(t, j).Append(t.Context(), wide(n)); err != nil {
			t.Fatal(err)
		}
	}
	if err := j.Close(); err != nil {
		t.Fatal(err)
	}
	free := fill(t, dir)
	cfg := testConfig(dir)
	cfg.RetryEvery = 10 * time.Millisecond
	j = mustOpen(t, cfg)
	l := mustLog(t, j)
	if rs, err := logtest.Collect(l.Read(t.Context(), 1)); err != nil || len(rs) != 5 {
		t.Errorf("Read gave %d entries, %v; want 5", len(rs), err)
	}
	if !told(j.Findings(), "free in") {
		t.Errorf("Open told %v; want the lack of room", j.Findings())
	}
	waitOut(t, l, wide(5))
	free()
	if r, err := l.Append(t.Context(), wide(5)); err != nil || r.Seq != 6 {
		t.Errorf("Append after there was room = entry %d, %v; want 6", r.Seq, err)
	}
	checkFull(t, j, l, 6)
}
