package journal

import (
	"os"

	"golang.org/x/sys/windows"
)

// errHeld says that another process holds the lock.
var errHeld = windows.ERROR_LOCK_VIOLATION

// lockFile takes the exclusive lock on f or fails at once. The locked byte lies
// far behind the process number, so that others can still read that.
func lockFile(f *os.File) error {
	const flags = windows.LOCKFILE_EXCLUSIVE_LOCK | windows.LOCKFILE_FAIL_IMMEDIATELY
	return windows.LockFileEx(windows.Handle(f.Fd()), flags, 0, 1, 0, &windows.Overlapped{Offset: 1 << 20})
}

// freeSpace is the number of bytes this user can still write below dir.
func freeSpace(dir string) (uint64, error) {
	name, err := windows.UTF16PtrFromString(dir)
	if err != nil {
		return 0, err
	}
	var free uint64
	err = windows.GetDiskFreeSpaceEx(name, &free, nil, nil)
	return free, err
}
