package cli

import (
	"context"
	"errors"
	"fmt"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

// stepFrom is by how much a clock has to be set for it to be told: clocks that are kept by
// the network are moved in smaller steps (common practice, no source).
const stepFrom = 2 * time.Second

// steadyClock is the hour by a counter that nobody sets, from what the clock of this
// machine showed when it was begun. While a console is served the log goes by it, so that
// no time in the zone jumps when somebody sets the clock.
type steadyClock struct {
	wall  func() time.Time
	count func() (time.Duration, bool)
	began time.Time
	at    time.Duration // of the counter, then
	told  time.Duration // how far the machine's clock was ahead when that was logged last
}

// newSteadyClock begins a steady clock; ok is false where the machine has no counter.
func newSteadyClock(wall func() time.Time, count func() (time.Duration, bool)) (c *steadyClock, ok bool) {
	if count == nil {
		return nil, false
	}
	at, ok := count()
	return &steadyClock{wall: wall, count: count, began: wall(), at: at}, ok
}

// Now is the hour.
func (c *steadyClock) Now() time.Time {
	at, _ := c.count() // it was there when the clock was begun
	return c.began.Add(at - c.at).Round(0)
}

// step reports by how much the machine's clock was set since the last time it was asked,
// and how far that is ahead of this clock now.
func (c *steadyClock) step() (by, ahead time.Duration, set bool) {
	ahead = c.wall().Round(0).Sub(c.Now()).Round(time.Second)
	by = ahead - c.told
	if by.Abs() < stepFrom {
		return 0, ahead, false
	}
	c.told = ahead
	return by, ahead, true
}

// watch logs in every incident that is served when somebody sets the machine's clock.
func (c *steadyClock) watch(ctx context.Context, h *hall) error {
	tick := time.NewTicker(time.Second)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return nil
		case <-tick.C:
		}
		if by, ahead, set := c.step(); set {
			words := stepWords(by, ahead)
			fmt.Fprintln(h.ss.app.Err, "tankside: "+words)
			for _, r := range h.all() {
				if err := c.log(ctx, r.inc, ahead, words); err != nil && !errors.Is(err, context.Canceled) {
					fmt.Fprintf(h.ss.app.Err, "tankside: %s: that is not logged: %s\n", r.inc.name, oneLine(err))
				}
			}
		}
	}
}

// log logs that the machine's clock was set.
func (c *steadyClock) log(ctx context.Context, inc *incident, ahead time.Duration, words string) error {
	now := c.Now().Truncate(time.Second)
	now = now.In(inc.zone(now))
	d := events.Draft{
		ID: events.NewID(now), Incident: inc.name, Occurred: events.At(now), Reported: now, ObservedBy: "tankside", RecordedBy: "tankside",
		Channel: events.Device, Device: "tankside", Where: "clock of the laptop", Words: words,
		Payload: kinds.ClockCheck{DeviceClock: quantity.Of[quantity.Seconds](quantity.Seconds(ahead.Seconds())), Reference: "the clock by which the log goes on"},
	}
	if len(inc.entries) > 0 {
		d.Mode = inc.entries[0].Mode
	}
	_, err := inc.log.Append(ctx, d)
	return err
}

// stepWords tells of a clock that was set.
func stepWords(by, ahead time.Duration) string {
	dir := "on"
	if by < 0 {
		dir = "back"
	}
	text := fmt.Sprintf("The clock of the laptop was set %s by %v. ", dir, by.Abs())
	if ahead.Abs() < stepFrom {
		return text + "It shows the hour of the log again."
	}
	return text + "The log goes on by the hour it had, so that no time jumps; begun again, tankside goes by the new one."
}
