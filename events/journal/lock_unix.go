//go:build unix

package journal

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

// errHeld says that another process holds the lock.
var errHeld = unix.EWOULDBLOCK

// lockFile takes the exclusive lock on f or fails at once.
func lockFile(f *os.File) error {
	for {
		err := unix.Flock(int(f.Fd()), unix.LOCK_EX|unix.LOCK_NB)
		if !errors.Is(err, unix.EINTR) {
			return err
		}
	}
}

// freeSpace is the number of bytes an ordinary user can still write below dir.
func freeSpace(dir string) (uint64, error) {
	var st unix.Statfs_t
	if err := unix.Statfs(dir, &st); err != nil {
		return 0, err
	}
	return uint64(st.Bavail) * uint64(st.Bsize), nil
}
