package console_test

import (
	"context"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"tankside/cmd/internal/browser"
	"tankside/cmd/internal/console"
	"tankside/cmd/internal/desk"
	"tankside/events"
	"tankside/events/intake"
	"tankside/events/kinds"
	"tankside/events/memlog"
	"tankside/projections"
	"tankside/projections/findings"
	"tankside/projections/live"
)

func TestMain(m *testing.M) { os.Exit(browser.Run(m)) }

// post is a command post: a console over a log, at an hour that the test sets.
type post struct {
	*httptest.Server
	log     *memlog.Log
	live    *live.Follower
	hour    atomic.Pointer[time.Time]
	cut     atomic.Bool  // it answers nobody
	trouble atomic.Value // why nothing can be saved

	signed string                           // folder of the reports signed here
	newer  atomic.Pointer[strings.Replacer] // what a later program would say otherwise
}

// newPost serves a console over an empty log.
func newPost(t testing.TB, name string, hour time.Time) *post {
	t.Helper()
	p := &post{signed: filepath.Join(t.TempDir(), "signed")}
	p.hour.Store(&hour)
	p.trouble.Store("")
	now := func() time.Time { return *p.hour.Load() }
	c, book := kinds.Catalogue(), findings.Defaults()
	p.log = memlog.New(c, name, "node", now)
	p.live = live.New(live.Config{
		Log: p.log, Catalogue: c, Now: now, Wall: time.Now,
		Fold: func(tl *events.Timeline) *projections.Incident { return projections.Fold(c, tl) },
		Grow: func(last *projections.Incident, tl *events.Timeline, by []*events.Entry) *projections.Incident {
			return projections.Grow(c, last, tl, by)
		},
		Judge: func(inc *projections.Incident, tl *events.Timeline) { findings.Judge(inc, tl, book) },
		Time:  func(inc *projections.Incident, tl *events.Timeline) { findings.Time(inc, tl, book) },
	})
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- p.live.Run(ctx) }()
	p.Server = httptest.NewUnstartedServer(nil)
	host := p.Listener.Addr().String()
	pages := console.New(console.Config{
		Log: p.log, Name: name, Live: p.live, Catalogue: c, Now: now, Wall: time.Now, Hosts: []string{host}, Scribe: "Scribe", Mode: events.Exercise,
		Trouble: func() string { return p.trouble.Load().(string) }, Signed: p.signed,
		Desk: desk.Room{Incident: name, Catalogue: c, Now: now, Program: "tankside test", Keys: newKeys(), Fold: func(tl *events.Timeline) *projections.Incident {
			inc := projections.Fold(c, tl)
			findings.Judge(inc, tl, book)
			return inc
		}},
	}).Handler()
	p.Config.Handler = http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if p.cut.Load() {
			panic(http.ErrAbortHandler)
		}
		if n := p.newer.Load(); n != nil {
			w = rewriter{w, n}
		}
		pages.ServeHTTP(w, r)
	})
	p.Config.BaseContext = func(net.Listener) context.Context { return ctx }
	p.Start()
	t.Cleanup(func() {
		stop()
		p.Close()
		if err := <-ended; err != nil {
			t.Error(err)
		}
	})
	return p
}

// quarryBend serves the demonstration as it was known at an hour of that night, such
// as "2025-10-14T23:41:20-05:00".
func quarryBend(t testing.TB, hour string) *post {
	t.Helper()
	at, err := time.Parse(time.RFC3339, hour)
	if err != nil {
		t.Fatal(err)
	}
	p := newPost(t, "Quarry Bend", at)
	for _, d := range script(t, "quarry-bend") {
		if d.Reported.After(at) {
			continue
		}
		if _, err := p.log.Append(t.Context(), d); err != nil {
			t.Fatal(err)
		}
	}
	p.settle(t)
	return p
}

// settle waits until the state holds everything that is logged.
func (p *post) settle(t testing.TB) {
	t.Helper()
	n := events.Seq(0)
	for r, err := range p.log.Read(t.Context(), 1) {
		if err != nil {
			t.Fatal(err)
		}
		n = r.Seq
	}
	if err := p.live.AwaitScene(t.Context(), n); err != nil {
		t.Fatal(err)
	}
}

// script is the entries of an incident of the demonstration, in the order they were told.
func script(t testing.TB, name string) []events.Draft {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "..", "testdata", "incidents", name+".csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	res, err := intake.CSV(f, intake.Options{Catalogue: kinds.Catalogue(), Incident: "Quarry Bend", Name: name + ".csv", Mode: events.Exercise})
	if err != nil || len(res.Faults) > 0 {
		t.Fatal(err, res.Faults)
	}
	return res.Drafts
}
