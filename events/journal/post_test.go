package journal

import (
	"context"
	"errors"
	"strings"
	"sync"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/logtest"
)

func TestPost(t *testing.T) {
	j := mustOpen(t, testConfig(t.TempDir()))
	for n := range 20 {
		d := logtest.Draft(n)
		r, err := j.Post(t.Context(), d)
		if err != nil || r.Seq != events.Seq(n+1) || !logtest.Catalogue().SameFact(d, r) {
			t.Fatalf("Post = entry %d, %v; want %d as it was sent", r.Seq, err, n+1)
		}
	}
	if r, err := j.Post(t.Context(), logtest.Draft(3)); err != nil || r.Seq != 4 {
		t.Errorf("the same draft posted again is entry %d, %v; want 4", r.Seq, err)
	}
	checkReads(t, mustLog(t, j), make([][]byte, 20))
}

func TestPostRefused(t *testing.T) {
	j := mustOpen(t, testConfig(t.TempDir()))
	if _, err := j.Post(t.Context(), logtest.Draft(1)); err != nil {
		t.Fatal(err)
	}
	other := logtest.Draft(2)
	other.ID = logtest.Draft(1).ID
	if _, err := j.Post(t.Context(), other); !errors.Is(err, events.ErrIDReused) {
		t.Errorf("Post under a used id = %v, want ErrIDReused", err)
	}
	for name, spoil := range map[string]func(*events.Draft){
		"no fact":     func(d *events.Draft) { d.Payload = nil },
		"no id":       func(d *events.Draft) { d.ID = "" },
		"no incident": func(d *events.Draft) { d.Incident = "" },
	} {
		d := logtest.Draft(3)
		spoil(&d)
		if _, err := j.Post(t.Context(), d); !errors.Is(err, events.ErrInvalid) {
			t.Errorf("%s: Post = %v, want ErrInvalid", name, err)
		}
	}
	checkReads(t, mustLog(t, j), make([][]byte, 1))
}

// Senders do not notice that the store is started anew under them, but for the time
// it takes.
func TestPostOverRestart(t *testing.T) {
	cfg := testConfig(t.TempDir())
	cfg.RetryEvery = 10 * time.Millisecond
	j := mustOpen(t, cfg)
	const senders, each = 3, 20
	var wg sync.WaitGroup
	for s := range senders {
		wg.Go(func() {
			for n := range each {
				if _, err := j.Post(t.Context(), logtest.Draft(1000*s+n)); err != nil {
					t.Errorf("Post = %v", err)
				}
			}
		})
	}
	for range 3 {
		if err := j.takeTurn(t.Context()); err != nil {
			t.Fatal(err)
		}
		j.unsure = true
		if err := j.settle(t.Context()); err != nil {
			t.Errorf("settle = %v", err)
		}
		j.giveTurn()
	}
	wg.Wait()
	checkReads(t, mustLog(t, j), make([][]byte, senders*each))
}

func TestPostClosed(t *testing.T) {
	j := mustOpen(t, testConfig(t.TempDir()))
	if err := j.Close(); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(t.Context(), 10*time.Second)
	defer cancel()
	if _, err := j.Post(ctx, logtest.Draft(1)); !errors.Is(err, events.ErrClosed) || strings.Contains(err.Error(), "deadline") {
		t.Errorf("Post = %v, want ErrClosed", err)
	}
}
