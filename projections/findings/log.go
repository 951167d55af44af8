package findings

import (
	"fmt"
	"math"

	"tankside/events/kinds"
	"tankside/projections"
)

var logChecks = map[string]func(*scene){
	"clock-off": clockOff,
}

// clockOff reports each clock that was found further off than the limit.
func clockOff(c *scene) {
	for e, k := range entries[kinds.ClockCheck](c) {
		limit := c.limit("off", e.Time())
		off := projections.FigureOf(k.DeviceClock, "clock check", e.Seq)
		if !off.Known || !limit.Past(math.Abs(off.Value)) {
			continue
		}
		way := "fast"
		if off.Value < 0 {
			way = "slow"
		}
		at := projections.MomentOf(e)
		c.find(projections.Finding{
			Subject: e.Where, Start: at, End: at, Observed: off, Limit: &limit,
			Statement: fmt.Sprintf("the clock of %s was found %.0f s %s; its readings are shown by the corrected time beside the one it gave", e.Where, math.Abs(off.Value), way),
		})
	}
}
