package live_test

import (
	"context"
	"encoding/json"
	"errors"
	"iter"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"go.uber.org/goleak"

	"tankside/events"
	"tankside/events/intake"
	"tankside/events/kinds"
	"tankside/events/memlog"
	"tankside/projections"
	"tankside/projections/live"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

var catalogue = kinds.Catalogue()

func fold(tl *events.Timeline) *projections.Incident { return projections.Fold(catalogue, tl) }

func grow(last *projections.Incident, tl *events.Timeline, by []*events.Entry) *projections.Incident {
	return projections.Grow(catalogue, last, tl, by)
}

// script is the entries of the demonstration, in the order they were told.
func script(t testing.TB) []events.Draft {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "incidents", "quarry-bend.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	res, err := intake.CSV(f, intake.Options{Catalogue: catalogue, Incident: "Quarry Bend", Name: "quarry-bend.csv"})
	if err != nil || len(res.Faults) > 0 {
		t.Fatal(err, res.Faults)
	}
	return res.Drafts
}

// following is a follower that runs over a log until the test ends.
func following(t testing.TB, now func() time.Time) (*memlog.Log, *live.Follower) {
	t.Helper()
	log := memlog.New(catalogue, "Quarry Bend", "node", now)
	f := live.New(live.Config{Log: log, Catalogue: catalogue, Now: now, Wall: time.Now, Fold: fold, Grow: grow})
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- f.Run(ctx) }()
	t.Cleanup(func() {
		stop()
		if err := <-ended; err != nil {
			t.Errorf("Run: %v", err)
		}
	})
	return log, f
}

func clock(t time.Time) func() time.Time { return func() time.Time { return t } }

// TestSceneIsTheState holds what a page shows to what the log alone says: entry by
// entry, whatever was folded together on the way.
func TestSceneIsTheState(t *testing.T) {
	drafts := script(t)
	end := drafts[len(drafts)-1].Reported
	log, f := following(t, clock(end))
	var recorded []events.Recorded
	for i, d := range drafts {
		r, err := log.Append(t.Context(), d)
		if err != nil {
			t.Fatal(err)
		}
		if recorded = append(recorded, r); i%50 != 0 && i < len(drafts)-1 {
			continue
		}
		if err := f.AwaitScene(t.Context(), r.Seq); err != nil {
			t.Fatal(err)
		}
		news := f.News()
		if news.Last() != r.Seq || news.Folded != r.Seq || len(news.Entries) != i+1 {
			t.Fatalf("after entry %d: last %d, folded %d, %d entries", r.Seq, news.Last(), news.Folded, len(news.Entries))
		}
		inc := fold(catalogue.NewTimeline(recorded, events.View{}))
		inc.AsOf = end
		same(t, r.Seq, news.Scene.State, inc.State())
	}
}

func same(t *testing.T, at events.Seq, got, want projections.State) {
	t.Helper()
	g, err := json.Marshal(got)
	if err != nil {
		t.Fatal(err)
	}
	w, err := json.Marshal(want)
	if err != nil {
		t.Fatal(err)
	}
	if string(g) != string(w) {
		t.Errorf("entry %d: the scene is not the state of the log:\n%s\n%s", at, g, w)
	}
}

func TestBackIsTheView(t *testing.T) {
	drafts := script(t)
	log, f := following(t, clock(drafts[len(drafts)-1].Reported))
	recorded, err := log.AppendAll(t.Context(), drafts)
	if err != nil {
		t.Fatal(err)
	}
	if err := f.Await(t.Context(), recorded[len(recorded)-1].Seq); err != nil {
		t.Fatal(err)
	}
	for _, at := range []string{"2025-10-14T23:20:00-05:00", "2025-10-15T01:50:00-05:00"} {
		hour, err := time.Parse(time.RFC3339, at)
		if err != nil {
			t.Fatal(err)
		}
		v := events.View{AsOf: hour, KnownAt: hour}
		same(t, 0, f.Back(v).State, fold(catalogue.NewTimeline(recorded, v)).State())
	}
}

// TestHourGoesOn holds the scene of a silent log to the hour it is looked at.
func TestHourGoesOn(t *testing.T) {
	d := script(t)[0]
	later := d.Reported.Add(7 * time.Minute)
	log, f := following(t, clock(later))
	r, err := log.Append(t.Context(), d)
	if err != nil {
		t.Fatal(err)
	}
	if err := f.AwaitScene(t.Context(), r.Seq); err != nil {
		t.Fatal(err)
	}
	if got := f.News().Scene.At; !got.Equal(later) {
		t.Errorf("the scene is of %v, want %v", got, later)
	}
}

func TestOnFoldSeesEachStateFirst(t *testing.T) {
	d := script(t)[0]
	log := memlog.New(catalogue, "Quarry Bend", "node", clock(d.Reported))
	f := live.New(live.Config{Log: log, Catalogue: catalogue, Now: clock(d.Reported), Wall: time.Now, Fold: fold})
	var seen []int
	f.OnFold(func(inc *projections.Incident, _ *events.Timeline) { seen = append(seen, inc.Entries) })
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- f.Run(ctx) }()
	if _, err := log.Append(ctx, d); err != nil {
		t.Fatal(err)
	}
	if err := f.Await(ctx, 1); err != nil {
		t.Fatal(err)
	}
	stop()
	if err := <-ended; err != nil {
		t.Fatal(err)
	}
	if len(seen) != 2 || seen[0] != 0 || seen[1] != 1 {
		t.Errorf("states seen hold %v entries, want [0 1]", seen)
	}
}

// TestToldLaterThanNow holds the scene of a log from a machine whose clock is ahead to
// the hour it was told last: nothing of it lies in its future.
func TestToldLaterThanNow(t *testing.T) {
	d := script(t)[0]
	log, f := following(t, clock(d.Reported.Add(-10*time.Minute)))
	r, err := log.Append(t.Context(), d)
	if err != nil {
		t.Fatal(err)
	}
	if err := f.AwaitScene(t.Context(), r.Seq); err != nil {
		t.Fatal(err)
	}
	end := catalogue.NewTimeline([]events.Recorded{r}, events.View{}).End()
	if got := f.News().Scene; !got.At.Equal(end) || !got.Incident.AsOf.Equal(end) {
		t.Errorf("the scene is of %v, its incident of %v, want %v", got.At, got.Incident.AsOf, end)
	}
}

// broken is a log that can no longer be followed.
type broken struct{ events.Log }

var errAway = errors.New("the disk is away")

func (broken) Follow(context.Context, events.Seq) iter.Seq2[events.Recorded, error] {
	return func(yield func(events.Recorded, error) bool) { yield(events.Recorded{}, errAway) }
}

// TestLogAway tells whoever waits that the log is followed no longer.
func TestLogAway(t *testing.T) {
	now := clock(time.Date(2025, 10, 14, 23, 41, 20, 0, time.UTC))
	log := broken{memlog.New(catalogue, "Quarry Bend", "node", now)}
	f := live.New(live.Config{Log: log, Catalogue: catalogue, Now: now, Wall: time.Now, Fold: fold})
	if err := f.Run(t.Context()); !errors.Is(err, errAway) {
		t.Errorf("Run: %v, want %v", err, errAway)
	}
	if news := f.News(); !errors.Is(news.Err, errAway) {
		t.Fatalf("news of a log that is away: %v, want %v", news.Err, errAway)
	}
	if err := f.Await(t.Context(), 1); !errors.Is(err, errAway) {
		t.Errorf("Await: %v, want %v", err, errAway)
	}
}

// TestFaultOfOursEndsNoLog: where an entry cannot be worked out, the scene stands as it
// was and says so, entries go on being passed on, and the next that can be is shown.
func TestFaultOfOursEndsNoLog(t *testing.T) {
	drafts := script(t)
	end := drafts[len(drafts)-1].Reported
	log := memlog.New(catalogue, "Quarry Bend", "node", clock(end))
	f := live.New(live.Config{Log: log, Catalogue: catalogue, Now: clock(end), Wall: time.Now, Fold: func(tl *events.Timeline) *projections.Incident {
		if len(tl.Entries) == 3 {
			panic("a fold that is wrong")
		}
		return fold(tl)
	}})
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- f.Run(ctx) }()
	say := func(d events.Draft) events.Seq {
		r, err := log.Append(t.Context(), d)
		if err != nil {
			t.Fatal(err)
		}
		return r.Seq
	}
	say(drafts[0])
	if err := f.AwaitScene(t.Context(), say(drafts[1])); err != nil {
		t.Fatal(err)
	}
	third := say(drafts[2])
	for n := f.News(); n.Scene.Stuck == ""; n = f.News() {
		<-n.Changed
	}
	if n := f.News(); n.Last() != third || !strings.Contains(n.Scene.Stuck, "entries after 2 are saved but not worked out: a fold that is wrong") {
		t.Errorf("last %d, stuck %q; want entry %d and why", n.Last(), n.Scene.Stuck, third)
	}
	if err := f.AwaitScene(t.Context(), say(drafts[3])); err != nil || f.News().Scene.Stuck != "" {
		t.Errorf("the entry after it: %v, stuck %q", err, f.News().Scene.Stuck)
	}
	stop()
	if err := <-ended; err != nil {
		t.Errorf("Run: %v", err)
	}
}
