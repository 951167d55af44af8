//go:build !unix

package projections

import "time"

var began = time.Now()

// cpuTime is the time since the start, where the system does not say how much of it
// was this process's own.
func cpuTime() time.Duration { return time.Since(began) }
