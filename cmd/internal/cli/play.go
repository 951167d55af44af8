package cli

import (
	"context"
	"math"
	"slices"
	"sync"
	"time"

	"tankside/events"
)

// The pace of a play, in hours of the incident to an hour here.
const (
	usualPace   = 60 // a minute of that night each second
	slowestPace = 0.1
	fastestPace = 36000
)

// quiet is the longest stretch without a word that a play sits out. It goes on shortly
// before the next word.
const quiet = 30 * time.Minute

// play tells an incident over again, entry by entry, as its post was told it. It has a
// clock of its own, which is that night's and runs at its pace, so that whatever says
// how old something is or when it is due says what it said then.
type play struct {
	wall  func() time.Time // the clock of this machine
	pace  float64
	tells []events.Draft // in the order in which they were told

	mu   sync.Mutex
	hour time.Time // at the incident, when
	at   time.Time // this machine had this hour
	rate float64   // 0 until it runs
	stop time.Time // the clock waits there for the word that is due; zero when none is
}

// newPlay makes a play that stands shortly before its first word.
func newPlay(wall func() time.Time, drafts []events.Draft, pace float64) *play {
	tells := slices.Clone(drafts)
	slices.SortStableFunc(tells, func(a, b events.Draft) int { return a.Reported.Compare(b.Reported) })
	p := &play{wall: wall, pace: pace, tells: tells}
	p.set(tells[0].Reported.Add(-5*time.Second), 0, time.Time{})
	return p
}

// Now is the hour at the incident.
func (p *play) Now() time.Time {
	p.mu.Lock()
	defer p.mu.Unlock()
	now := p.hour.Add(time.Duration(float64(p.wall().Sub(p.at)) * p.rate))
	if !p.stop.IsZero() && now.After(p.stop) {
		return p.stop
	}
	return now
}

// set puts the clock of the play to an hour and has it run at a rate from there up to
// stop, or on and on when that is zero.
func (p *play) set(hour time.Time, rate float64, stop time.Time) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.hour, p.at, p.rate, p.stop = hour, p.wall(), rate, stop
}

// run tells what the log does not have yet, each at its hour, and returns at the last
// word; from there the clock goes on as clocks do. A log that saves slower than the pace
// holds the clock up. told hears of each entry.
func (p *play) run(ctx context.Context, log events.Log, there map[events.ID]bool, told func(events.Recorded)) error {
	for _, d := range p.tells {
		if there[d.ID] {
			continue
		}
		if err := p.until(ctx, d.Reported); err != nil {
			return err
		}
		r, err := log.Append(ctx, d)
		if err != nil {
			return err
		}
		told(r)
	}
	p.set(p.Now(), 1, time.Time{})
	return nil
}

// until waits for an hour of the play.
func (p *play) until(ctx context.Context, hour time.Time) error {
	from := p.Now()
	if hour.Sub(from) > quiet {
		from = hour.Add(-time.Minute)
	}
	p.set(from, p.pace, later(from, hour))
	t := time.NewTimer(time.Duration(math.Ceil(float64(hour.Sub(from)) / p.pace)))
	defer t.Stop()
	select {
	case <-t.C:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// later is the later of two hours.
func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}
