package cli

import (
	"context"
	"errors"
	"slices"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/memlog"
)

// told plays Quarry Bend on from those entries that are there, into a log of its own, as
// fast as it goes; it is stopped at entry stopAt. It returns what was told and how it
// ended.
func told(t *testing.T, there []events.Recorded, stopAt events.Seq) (*play, []events.Recorded, error) {
	t.Helper()
	a, _, _ := newApp()
	drafts, err := a.script("quarry-bend")
	if err != nil {
		t.Fatal(err)
	}
	slices.Reverse(drafts) // a play sorts them by when they were told
	p := newPlay(time.Now, drafts, 1e6)
	have := map[events.ID]bool{}
	for _, r := range there {
		have[r.ID] = true
		p.set(r.RecordedAt, 0, time.Time{})
	}
	log := memlog.New(kinds.Catalogue(), title("quarry-bend"), "test", p.Now)
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	var out []events.Recorded
	err = p.run(ctx, log, have, func(r events.Recorded) {
		out = append(out, r)
		if r.Seq == stopAt {
			cancel()
		}
	})
	return p, out, err
}

// TestPlay: every entry is told once, in order, at its own hour of that night.
func TestPlay(t *testing.T) {
	p, all, err := told(t, nil, 0)
	if err != nil || len(all) != 213 {
		t.Fatalf("told %d entries, %v; want 213", len(all), err)
	}
	for i, r := range all {
		if !r.RecordedAt.Equal(r.Reported) || i > 0 && r.Reported.Before(all[i-1].Reported) {
			t.Errorf("entry %d, told at %v, is recorded at %v and after one told at %v", r.Seq, r.Reported, r.RecordedAt, all[max(i-1, 0)].Reported)
		}
	}
	last := all[len(all)-1].Reported
	if now := p.Now(); now.Before(last) || p.rate != 1 {
		t.Errorf("the clock stands at %v and runs at %v; want it behind %v and at 1", now, p.rate, last)
	}
}

// TestPlayGoesOn: a play that was stopped goes on where it was, at that hour.
func TestPlayGoesOn(t *testing.T) {
	_, first, err := told(t, nil, 40)
	if !errors.Is(err, context.Canceled) || len(first) != 40 {
		t.Fatalf("stopped after %d entries with %v, want 40 and the context's error", len(first), err)
	}
	_, rest, err := told(t, first, 0)
	if err != nil || len(rest) != 213-40 || rest[0].RecordedAt.Before(first[39].RecordedAt) {
		t.Fatalf("went on with %d entries, %v; want %d", len(rest), err, 213-40)
	}
	p, none, err := told(t, slices.Concat(first, rest), 0)
	if err != nil || len(none) != 0 || p.rate != 1 {
		t.Errorf("a play that has ended tells %d entries more, %v, and its clock runs at %v", len(none), err, p.rate)
	}
}

// TestPlayClock: the clock stands until the play runs, then goes at its pace, and a
// long silence is passed over.
func TestPlayClock(t *testing.T) {
	wall := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
	start := time.Date(2025, 10, 14, 21, 16, 20, 0, time.UTC)
	ds := []events.Draft{{Reported: start}, {Reported: start.Add(3 * time.Hour)}}
	p := newPlay(func() time.Time { return wall }, ds, 1e12)
	wall = wall.Add(time.Hour)
	if got, want := p.Now(), start.Add(-5*time.Second); !got.Equal(want) {
		t.Errorf("before it runs the clock shows %v, want %v", got, want)
	}
	p.set(start, 60, start.Add(time.Hour))
	wall = wall.Add(2 * time.Second)
	if got, want := p.Now(), start.Add(2*time.Minute); !got.Equal(want) {
		t.Errorf("after two seconds at 60 the clock shows %v, want %v", got, want)
	}
	wall = wall.Add(time.Hour)
	if got, want := p.Now(), start.Add(time.Hour); !got.Equal(want) {
		t.Errorf("the clock shows %v and is to wait at %v", got, want)
	}
	if err := p.until(t.Context(), ds[1].Reported); err != nil {
		t.Fatal(err)
	}
	if got, want := p.Now(), ds[1].Reported.Add(-time.Minute); !got.Equal(want) {
		t.Errorf("after three hours without a word the clock shows %v, want %v", got, want)
	}
}
