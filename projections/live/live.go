// Package live follows the log of an incident and keeps its newest state at hand for
// those who look on. An entry is passed on at once, as recorded; the state that holds
// it follows when it is folded, and what depends on the hour after that. None of the
// three waits for the next: a long log makes the board late, never the line. Entries
// that come while a fold runs are folded together: whoever looks gets the newest state,
// not every state in between.
package live

import (
	"cmp"
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
	Now       func() time.Time // the hour at the incident; of a play, the hour it has come to
	Wall      func() time.Time // the clock of this machine
	// Fold builds the state of a timeline.
	Fold func(*events.Timeline) *projections.Incident
	// Grow builds the state of a timeline that grew by some entries since last was built,
	// which is not to be changed; nil has Fold build each anew.
	Grow func(last *projections.Incident, grown *events.Timeline, by []*events.Entry) *projections.Incident
	// Judge holds the rules against a state at its moment; nil holds none.
	Judge func(*projections.Incident, *events.Timeline)
	// Time is Judge for what is due and what cannot wait, which a board shows before the
	// rest is worked out; nil shows nothing before.
	Time func(*projections.Incident, *events.Timeline)
}

// every is how often a scene is brought up to the hour when nothing is logged. One that
// takes long to work out is brought up less often: at most a fifth of the time goes
// into it.
const (
	every = 2 * time.Second
	share = 5
)

// Follower is the newest state of one incident. All methods may be called from many
// goroutines.
type Follower struct {
	cfg   Config
	learn func(*projections.Incident, *events.Timeline)

	mu      sync.Mutex
	entries []events.Recorded // only ever appended to
	state   *folded           // of some first part of entries
	scene   *Scene            // the state, or one before it, at some hour
	changed chan struct{}     // closed when there is more than there was
	failed  error             // why the log is no longer followed
	fault   any               // why the newest entries are not in the state, nil while they are

	toFold, toSet chan struct{} // hold a token while there is something to do
}

// New returns a follower of a log. It knows nothing until it runs.
func New(cfg Config) *Follower {
	f := &Follower{cfg: cfg, changed: make(chan struct{}), toFold: make(chan struct{}, 1), toSet: make(chan struct{}, 1)}
	f.state = f.fold(nil).moved(cfg.Now())
	f.scene = f.state.whole(cfg.Judge, cfg.Now())
	return f
}

// OnFold has do see each state that is folded, this one first and every other before
// anybody else does. It is to be called before Run.
func (f *Follower) OnFold(do func(*projections.Incident, *events.Timeline)) {
	f.learn = do
	do(f.state.incident, f.state.timeline)
}

// Run follows the log until ctx ends or the log can no longer be read.
func (f *Follower) Run(ctx context.Context) error {
	ctx, stop := context.WithCancel(ctx)
	var working sync.WaitGroup
	working.Go(func() { f.foldAll(ctx) })
	working.Go(func() { f.setScenes(ctx) })
	defer working.Wait()
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
		ask(f.toFold)
	}
	return nil
}

// ask leaves a token; one that lies there already stands for this too.
func ask(c chan struct{}) {
	select {
	case c <- struct{}{}:
	default:
	}
}

// foldAll folds whenever there is something new, until ctx ends.
func (f *Follower) foldAll(ctx context.Context) {
	for {
		select {
		case <-ctx.Done():
			return
		case <-f.toFold:
		}
		fault := guarded(func() {
			state := f.next(f.News().Entries).moved(f.cfg.Now())
			if f.learn != nil {
				f.learn(state.incident, state.timeline)
			}
			f.tell(func() { f.state = state })
		})
		f.tell(func() { f.fault = fault })
		ask(f.toSet)
	}
}

// guarded works something out and returns what went wrong with it. A fault of ours must
// not end the log that people write into: entries go on being taken.
func guarded(work func()) (fault any) {
	defer func() { fault = recover() }()
	work()
	return nil
}

// setScenes brings the scene up to the newest state and the hour, until ctx ends.
func (f *Follower) setScenes(ctx context.Context) {
	rest := time.NewTimer(every)
	defer rest.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-f.toSet:
		case <-rest.C:
		}
		began := f.cfg.Wall()
		if f.cfg.Time != nil {
			f.set(func(state *folded, before *Scene) *Scene { return state.board(f.cfg.Time, f.cfg.Now(), before) })
		}
		if len(f.toSet) == 0 { // else what is newer goes before what takes long
			f.set(func(state *folded, _ *Scene) *Scene { return state.whole(f.cfg.Judge, f.cfg.Now()) })
		}
		rest.Reset(max(every, share*f.cfg.Wall().Sub(began)))
	}
}

// set works something out of the newest state and shows it.
func (f *Follower) set(work func(state *folded, before *Scene) *Scene) {
	f.mu.Lock()
	state, before := f.state, f.scene
	f.mu.Unlock()
	var scene *Scene
	fault := guarded(func() { scene = work(state, before) })
	f.tell(func() { f.show(scene, fault) })
}

// show makes scene the one to be seen; where it is nil, or what it was to hold could not
// be folded, it says so.
func (f *Follower) show(scene *Scene, fault any) {
	if scene == nil {
		stands := *f.scene
		scene = &stands
	}
	scene.Stuck = ""
	if fault = cmp.Or(f.fault, fault); fault != nil {
		scene.Stuck = fmt.Sprintf("entries after %d are saved but not worked out: %v", lastOf(scene.Recorded), fault)
	}
	f.scene = scene
}

// tell changes what the follower knows and wakes everybody who waits for that.
func (f *Follower) tell(change func()) {
	f.mu.Lock()
	defer f.mu.Unlock()
	change()
	close(f.changed)
	f.changed = make(chan struct{})
}

// News is what a follower knows at one moment. Nothing in it is to be changed.
type News struct {
	Entries []events.Recorded // all there are, by number
	Folded  events.Seq        // the last of them that the state holds
	Order   *events.Timeline  // those that the state holds, as they happened
	Scene   *Scene            // the newest that is worked out
	Changed <-chan struct{}   // closed when there is more
	Err     error             // why the log is no longer followed, nil while it is
}

// Last is the number of the newest entry, 0 when there is none.
func (n *News) Last() events.Seq { return lastOf(n.Entries) }

func lastOf(entries []events.Recorded) events.Seq {
	if len(entries) == 0 {
		return 0
	}
	return entries[len(entries)-1].Seq
}

// News returns what the follower knows now.
func (f *Follower) News() News {
	f.mu.Lock()
	defer f.mu.Unlock()
	return News{f.entries[:len(f.entries):len(f.entries)], f.state.last(), f.state.timeline, f.scene, f.changed, f.failed}
}

// Await waits until the state holds the entry seq.
func (f *Follower) Await(ctx context.Context, seq events.Seq) error {
	return f.until(ctx, func(n *News) bool { return n.Folded >= seq })
}

// AwaitBoard waits until the scene holds the entry seq; the rules may still go by what
// was there before it.
func (f *Follower) AwaitBoard(ctx context.Context, seq events.Seq) error {
	return f.until(ctx, func(n *News) bool { return lastOf(n.Scene.Recorded) >= seq })
}

// AwaitScene waits until the scene holds the entry seq and all rules have been held
// against it.
func (f *Follower) AwaitScene(ctx context.Context, seq events.Seq) error {
	return f.until(ctx, func(n *News) bool { return lastOf(n.Scene.Recorded) >= seq && n.Scene.Judged >= seq })
}

func (f *Follower) until(ctx context.Context, so func(*News) bool) error {
	for {
		n := f.News()
		switch {
		case so(&n):
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

// Back returns the state as it was through two clocks. It folds anew.
func (f *Follower) Back(v events.View) *Scene {
	entries := f.News().Entries
	tl := f.cfg.Catalogue.NewTimeline(entries, v)
	back := &folded{recorded: entries, timeline: tl, incident: f.cfg.Fold(tl), end: tl.End()}
	return back.whole(f.cfg.Judge, back.incident.AsOf)
}

func (f *Follower) fold(entries []events.Recorded) *folded {
	tl := f.cfg.Catalogue.NewTimeline(entries, events.View{})
	return &folded{recorded: entries, timeline: tl, incident: f.cfg.Fold(tl), end: tl.End()}
}

// mostAtOnce is how many entries are added to a timeline one by one; more are folded anew,
// as an import is.
const mostAtOnce = 20

// next is the state of the entries, built on the newest there is where the entries since
// then change none of those before them.
func (f *Follower) next(entries []events.Recorded) *folded {
	last := f.state // only the one goroutine that folds sets it
	since := entries[len(last.recorded):]
	if f.cfg.Grow == nil || len(since) > mostAtOnce {
		return f.fold(entries)
	}
	tl, by := last.timeline, []*events.Entry{}
	for _, r := range since {
		grown, e := tl.With(f.cfg.Catalogue, r)
		if grown == nil {
			return f.fold(entries)
		}
		tl, by = grown, append(by, e)
	}
	return &folded{recorded: entries, timeline: tl, incident: f.cfg.Grow(last.incident, tl, by), end: tl.End()}
}
