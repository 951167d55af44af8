//go:build !linux

package cli

import "time"

// steadyCount knows no counter here that goes on while the machine sleeps; the log then
// goes by the machine's clock.
func steadyCount() (time.Duration, bool) { return 0, false }
