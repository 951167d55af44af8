package cli

import (
	"context"
	"io"
	"runtime"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"tankside/cmd/internal/remote"
	"tankside/events/kinds"
)

// TestSteadyClock sets the clock of the machine on and back under a clock that goes by the
// counter: the hour goes on as it was, and each step is told once.
func TestSteadyClock(t *testing.T) {
	zone := time.FixedZone("", -5*3600)
	wall, run := time.Date(2025, 10, 14, 23, 41, 20, 0, zone), 40*time.Hour
	c, ok := newSteadyClock(func() time.Time { return wall }, func() (time.Duration, bool) { return run, true })
	if !ok {
		t.Fatal("there is a counter")
	}
	began := wall
	pass := func(d, set time.Duration) { run, wall = run+d, wall.Add(d+set) }
	for _, tt := range []struct {
		set   time.Duration
		words string // "" where nothing is told
	}{
		{0, ""}, {time.Second, ""}, {7 * time.Minute, "set on by 7m1s"}, {0, ""}, {-20 * time.Minute, "set back by 20m0s"},
		{12*time.Minute + 59*time.Second, "the hour of the log again"}, {0, ""},
	} {
		pass(time.Minute, tt.set)
		by, ahead, set := c.step()
		if set != (tt.words != "") || set && !strings.Contains(stepWords(by, ahead), tt.words) {
			t.Errorf("set by %v: %v, told %v: %s; want %q", tt.set, by, set, stepWords(by, ahead), tt.words)
		}
	}
	if got, want := c.Now(), began.Add(7*time.Minute); !got.Equal(want) || got.Location() != zone {
		t.Errorf("after seven minutes it is %v, want %v", got, want)
	}
	if _, ok := newSteadyClock(time.Now, func() (time.Duration, bool) { return 0, false }); ok {
		t.Error("a machine without a counter has a steady clock")
	}
}

// TestClockSetWhileServing sets the clock of the machine on by an hour while two incidents
// are served: both logs say so, and what is logged after that is logged at the hour of the
// log.
func TestClockSetWhileServing(t *testing.T) {
	began := time.Now()
	var set atomic.Int64 // ns
	a := New()
	a.Out, a.Err = io.Discard, io.Discard
	a.Now = func() time.Time { return time.Now().Round(0).Add(time.Duration(set.Load())) }
	a.Steady = func() (time.Duration, bool) { return time.Since(began), true }
	ctx, stop := context.WithCancel(t.Context())
	c := &servedConsole{t: t, dir: t.TempDir(), name: "Mill Hill"}
	ended := make(chan int, 1)
	go func() { ended <- a.Run(ctx, []string{"open", c.name, "--dir", c.dir}) }()
	for len(c.pages()) == 0 {
		runtime.Gosched()
	}
	c.ask("open", "Quarry Bend")
	set.Store(int64(time.Hour))
	for _, name := range []string{"Mill Hill", "Quarry Bend"} {
		c.until(name, 2)
		if got := c.ask("report", "--incident", name, "--format", "md"); !strings.Contains(got, "was set on by 1h0m0s") {
			t.Errorf("the report of %s does not say that the clock was set", name)
		}
	}
	c.ask("log", "plugged c5", "--incident", "Mill Hill")
	log, err := c.client().Log("Mill Hill")
	if err != nil {
		t.Fatal(err)
	}
	for r, err := range log.Read(t.Context(), 1) {
		if err != nil || r.RecordedAt.Sub(began) > 30*time.Minute || r.KnownAt().Sub(began) > 30*time.Minute {
			t.Errorf("entry %d was told %v and recorded %v, with the log begun %v: %v", r.Seq, r.KnownAt(), r.RecordedAt, began, err)
		}
	}
	stop()
	if code := <-ended; code != 0 {
		t.Errorf("open ends with %d", code)
	}
}

// pages are the consoles that are served from the folder, none while nothing serves it.
func (c *servedConsole) pages() []remote.Console {
	cl, err := remote.Dial(c.t.Context(), c.dir, kinds.Catalogue(), nil)
	if err != nil {
		return nil
	}
	defer cl.Close()
	return cl.Consoles()
}
