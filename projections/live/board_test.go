package live_test

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/memlog"
	"tankside/projections"
	"tankside/projections/live"
)

// counted is a rule that finds how many entries there are.
func counted(inc *projections.Incident, tl *events.Timeline) {
	timed(inc, tl)
	inc.Findings = []projections.Finding{{ID: fmt.Sprint(inc.Entries)}}
}

// timed is a timer on how many entries there are.
func timed(inc *projections.Incident, _ *events.Timeline) {
	inc.Due = []projections.Due{{Subject: fmt.Sprint(inc.Entries)}}
}

// TestBoardBeforeTheRules: a board does not wait for the rules that take long; what they
// found before stands until they are held against the entry as well.
func TestBoardBeforeTheRules(t *testing.T) {
	drafts := script(t)
	now := clock(drafts[1].Reported)
	log := memlog.New(catalogue, "Quarry Bend", "node", now)
	hold := make(chan struct{})
	f := live.New(live.Config{Log: log, Catalogue: catalogue, Now: now, Wall: time.Now, Fold: fold, Grow: grow, Time: timed, Judge: func(inc *projections.Incident, tl *events.Timeline) {
		if inc.Entries == 2 {
			<-hold
		}
		counted(inc, tl)
	}})
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- f.Run(ctx) }()
	var last events.Seq
	for i, await := range []func(context.Context, events.Seq) error{f.AwaitScene, f.AwaitBoard} {
		r, err := log.Append(ctx, drafts[i])
		if err != nil {
			t.Fatal(err)
		}
		if err := await(ctx, r.Seq); err != nil {
			t.Fatal(err)
		}
		last = r.Seq
	}
	see := func(due, found string, judged events.Seq) {
		t.Helper()
		s := f.News().Scene
		if s.State.Due[0].Subject != due || s.State.Findings[0].ID != found || s.Judged != judged {
			t.Errorf("due %q, found %q, judged by entry %d; want %q, %q, %d", s.State.Due[0].Subject, s.State.Findings[0].ID, s.Judged, due, found, judged)
		}
	}
	see("2", "1", last-1)
	close(hold)
	if err := f.AwaitScene(ctx, last); err != nil {
		t.Fatal(err)
	}
	see("2", "2", last)
	stop()
	if err := <-ended; err != nil {
		t.Error(err)
	}
}

// TestReadWhileItGrows reads states that were handed out, and goes on reading them, while
// the log grows; the race detector sees whether anything of them is written to.
func TestReadWhileItGrows(t *testing.T) {
	drafts := script(t)
	end := drafts[len(drafts)-1].Reported
	now := clock(end)
	log := memlog.New(catalogue, "Quarry Bend", "node", now)
	f := live.New(live.Config{Log: log, Catalogue: catalogue, Now: now, Wall: time.Now, Fold: fold, Grow: grow, Judge: counted, Time: timed})
	ctx, stop := context.WithCancel(t.Context())
	ended, read := make(chan error, 1), make(chan error, 1)
	go func() { ended <- f.Run(ctx) }()
	go func() { read <- reading(ctx, f, len(drafts)) }()
	for part := range slices.Chunk(drafts, 3) {
		for _, d := range part {
			if _, err := log.Append(ctx, d); err != nil {
				t.Fatal(err)
			}
		}
		news := f.News()
		if err := f.AwaitBoard(ctx, news.Last()); err != nil {
			t.Fatal(err)
		}
	}
	if err := <-read; err != nil {
		t.Error(err)
	}
	stop()
	if err := <-ended; err != nil {
		t.Error(err)
	}
}

// reading writes each state that is seen, and again the one before it, until the state
// holds so many entries.
func reading(ctx context.Context, f *live.Follower, entries int) error {
	var before *live.Scene
	var was []byte
	for {
		n := f.News()
		b, err := json.Marshal(n.Scene.State)
		if err != nil {
			return err
		}
		if before != nil {
			before.Read(func(inc *projections.Incident, _ *events.Timeline) { inc.State() })
			if again, err := json.Marshal(before.State); err != nil || string(again) != string(was) {
				return fmt.Errorf("the state of %d entries changed after it was handed out: %v", before.State.Entries, err)
			}
		}
		if n.Scene.State.Entries == entries {
			return nil
		}
		before, was = n.Scene, b
		select {
		case <-n.Changed:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}
