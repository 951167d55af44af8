package journal

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
)

// lock is the hold of one process on a data folder. The operating system lets go
// of it when the process ends, however it ends.
type lock struct{ f *os.File }

// takeLock holds dir for this process or says who has it.
func takeLock(dir string) (*lock, error) {
	name := filepath.Join(dir, "lock")
	f, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, fmt.Errorf("journal: lock file: %w", err)
	}
	if err := lockFile(f); err != nil {
		holder := lockHolder(f)
		f.Close()
		if errors.Is(err, errHeld) {
			return nil, fmt.Errorf("%w: %s: held by %s; stop that process, or use another folder", ErrLocked, dir, holder)
		}
		return nil, fmt.Errorf("journal: lock %s: %w", name, err)
	}
	if err := writePID(f); err != nil {
		f.Close()
		return nil, fmt.Errorf("journal: lock file %s: %w", name, err)
	}
	return &lock{f}, nil
}

// writePID leaves our process number for whoever finds the folder locked. A full
// disk must not keep the log shut, so only the truncation has to work.
func writePID(f *os.File) error {
	if err := f.Truncate(0); err != nil {
		return err
	}
	_, _ = f.WriteAt([]byte(strconv.Itoa(os.Getpid())+"\n"), 0)
	return nil
}

// lockHolder names the process in the lock file.
func lockHolder(f *os.File) string {
	if pid := readPID(f); pid != 0 {
		return "process " + strconv.Itoa(pid)
	}
	return "another process"
}

// readPID is the process number in the lock file; 0 when none is there.
func readPID(f *os.File) int {
	buf := make([]byte, 32)
	n, _ := f.ReadAt(buf, 0)
	pid, _ := strconv.Atoi(strings.TrimSpace(string(buf[:n])))
	return pid
}

// Holder is the number of the process that opened the folder last; while the folder
// is locked, that process holds it. It is 0 when that is not known.
func Holder(dir string) int {
	f, err := os.Open(filepath.Join(dir, "lock"))
	if err != nil {
		return 0
	}
	defer f.Close()
	return readPID(f)
}

// release lets go of the folder.
func (l *lock) release() error { return l.f.Close() }
