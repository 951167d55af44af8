// Package live follows the log of an incident and keeps its newest state at hand for
// those who look on. An entry is passed on at once, as recorded; the state that holds
// it follows as soon as it is folded. Entries that come while a fold runs are folded
// together: whoever looks gets the newest state, not every state in between.
package live

import (
	"context"
	"fmt"
	"sync"
	"time"

	"tankside/events"
	"tankside/projections"
)

// Config is what a follower is made of.
type Config struct {
	Log       events.Log
	Catalogue *events.Catalogue
	// Fold builds the state of a timeline.
	Fold func(*events.Timeline) *projections.Incident
	// Judge holds the rules against a state at its moment; nil holds none.
	Judge func(*projections.Incident, *events.Timeline)
}

// Follower is the newest state of one incident. All methods may be called from many
// goroutines.
type Follower struct {
	cfg Config

	mu      sync.Mutex
	entries []events.Recorded // only ever appended to
	state   *folded           // of some first part of entries
	changed chan struct{}     // closed when there is more than there was
	failed  error             // why the log is no longer followed

	dirty chan struct{} // holds a token while there are entries to fold
}

// New returns a follower of a log. It knows nothing until it runs.
func New(cfg Config) *Follower {
	f := &Follower{cfg: cfg, changed: make(chan struct{}), dirty: make(chan struct{}, 1)}
	f.state = f.fold(nil)
	return f
}

// Run follows the log until ctx ends or the log can no longer be read.
func (f *Follower) Run(ctx context.Context) error {
	ctx, stop := context.WithCancel(ctx)
	var folding sync.WaitGroup
	folding.Go(func() { f.foldAll(ctx) })
	defer folding.Wait()
	defer stop()
	for r, err := range f.cfg.Log.Follow(ctx, 1) {
		if ctx.Err() != nil {
			return nil
		}
		if err != nil {
			err = fmt.Errorf("live: follow the log: %w", err)
			f.tell(func() { f.failed = err })
			return err
		}
		f.tell(func() { f.entries = append(f.entries, r) })
		select {
		case f.dirty <- struct{}{}:
		default: // a fold is asked for already and will hold this entry too
		}
	}
	return nil
}

// foldAll folds whenever there is something new, until ctx ends.
func (f *Follower) foldAll(ctx context.Context) {
	for {
		select {
		case <-ctx.Done():
			return
		case <-f.dirty:
		}
		state := f.fold(f.News().Entries)
		f.tell(func() { f.state = state })
	}
}

// tell changes what the follower knows and wakes everybody who waits for that.
func (f *Follower) tell(change func()) {
	f.mu.Lock()
	defer f.mu.Unlock()
	change()
	close(f.changed)
	f.changed = make(chan struct{})
}

// News is what a follower knows at one moment.
type News struct {
	Entries []events.Recorded // all there are, by number; not to be changed
	Folded  events.Seq        // the last of them that the state holds
	Order   *events.Timeline  // those that the state holds, as they happened; not to be changed
	Changed <-chan struct{}   // closed when there is more
	Err     error             // why the log is no longer followed, nil while it is
}

// Last is the number of the newest entry, 0 when there is none.
func (n *News) Last() events.Seq {
	if len(n.Entries) == 0 {
		return 0
	}
	return n.Entries[len(n.Entries)-1].Seq
}

// News returns what the follower knows now.
func (f *Follower) News() News {
	f.mu.Lock()
	defer f.mu.Unlock()
	return News{f.entries[:len(f.entries):len(f.entries)], f.state.last(), f.state.timeline, f.changed, f.failed}
}

// Await waits until the state holds the entry seq.
func (f *Follower) Await(ctx context.Context, seq events.Seq) error {
	for {
		n := f.News()
		switch {
		case n.Folded >= seq:
			return nil
		case n.Err != nil:
			return n.Err
		}
		select {
		case <-n.Changed:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}

// Now returns the newest state as it stands at the hour now.
func (f *Follower) Now(now time.Time) *Scene {
	f.mu.Lock()
	state := f.state
	f.mu.Unlock()
	return state.at(f.cfg.Judge, now)
}

// Read lets do look at the newest state as it was folded, and says which entry it holds
// last. Nobody else looks at it meanwhile.
func (f *Follower) Read(do func(*projections.Incident, *events.Timeline)) events.Seq {
	f.mu.Lock()
	state := f.state
	f.mu.Unlock()
	state.mu.Lock()
	defer state.mu.Unlock()
	do(state.incident, state.timeline)
	return state.last()
}

// Back returns the state as it was through two clocks. It folds anew.
func (f *Follower) Back(v events.View) *Scene {
	entries := f.News().Entries
	tl := f.cfg.Catalogue.NewTimeline(entries, v)
	back := &folded{recorded: entries, timeline: tl, incident: f.cfg.Fold(tl)}
	return back.at(f.cfg.Judge, back.incident.AsOf)
}

func (f *Follower) fold(entries []events.Recorded) *folded {
	tl := f.cfg.Catalogue.NewTimeline(entries, events.View{})
	return &folded{recorded: entries, timeline: tl, incident: f.cfg.Fold(tl)}
}
