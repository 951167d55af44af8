package cli

import (
	"time"

	"golang.org/x/sys/unix"
)

// steadyCount is how long this machine has run, asleep or not, by a counter that nobody
// sets.
func steadyCount() (time.Duration, bool) {
	var ts unix.Timespec
	if err := unix.ClockGettime(unix.CLOCK_BOOTTIME, &ts); err != nil {
		return 0, false
	}
	return time.Duration(ts.Nano()), true
}
