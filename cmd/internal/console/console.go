// Package console serves the pages on which a scribe types what is said and everybody
// else sees where it stands: the line with the board, the board for three metres, the
// timeline, the product, the people and what is due.
//
// A page never changes its own state. What is typed goes to the log; what the log holds
// comes back over the feed, so a page and the report cannot differ. Pages ask no other
// machine for anything.
package console

import (
	"context"
	"crypto/rand"
	"errors"
	"html/template"
	"log/slog"
	"net"
	"net/http"
	"sync"
	"sync/atomic"
	"time"

	"tankside/cmd/internal/desk"
	"tankside/events"
	"tankside/events/intake/lines"
	"tankside/projections/live"
)

// Config is what a console is made of.
type Config struct {
	Log       events.Log        // of the one incident that is served
	Name      string            // of the incident
	Live      *live.Follower    // follows the same log
	Catalogue *events.Catalogue // the kinds
	Now       func() time.Time  // the hour at the incident; of a play, the hour it has come to
	Wall      func() time.Time  // the clock of this machine
	// Trouble says why entries cannot be saved at this moment, "" while they can.
	Trouble func() string
	Hosts   []string // names and addresses with port by which the pages are asked for
	Scribe  string   // role of whoever types on this machine
	Mode    events.Mode
	Pairing *Pairing     // of machines that are not this one; nil where none may come
	Beside  House        // the other incidents of the folder; nil where there are none
	Desk    desk.Room    // where the report is written and signed
	Signed  string       // folder for reports that are signed here; "" where none may be
	Program *slog.Logger // the program's own log; nil discards
}

// Console is the pages of one incident.
type Console struct {
	cfg   Config
	pages *template.Template
	token string // shown with every post, so that no other site's page can post

	saying sync.Mutex // one line at a time is read and saved: the next is read against it
	taught taught
	drafts drafts
	texts  drafts // half-written at the desk
	table  deskTable
	seen   atomic.Uint64 // the newest entry that somebody at this machine has had before them
}

// taught is what the incident has taught, as of the newest state.
type taught struct {
	sync.Mutex
	ctx lines.Context
}

// New returns a console. Whoever serves it runs the follower after that.
func New(cfg Config) *Console {
	if cfg.Trouble == nil {
		cfg.Trouble = func() string { return "" }
	}
	if cfg.Beside == nil {
		cfg.Beside = nobody{}
	}
	if cfg.Program == nil {
		cfg.Program = slog.New(slog.DiscardHandler)
	}
	c := &Console{cfg: cfg, pages: parsePages(), token: rand.Text(), drafts: drafts{lines: map[string]draft{}}, texts: drafts{lines: map[string]draft{}, most: mostTexts}}
	cfg.Live.OnFold(c.learn)
	return c
}

// Handler returns the pages behind their guard.
func (c *Console) Handler() http.Handler {
	mux := http.NewServeMux()
	for _, p := range pageList {
		mux.HandleFunc("GET "+p.pattern(), c.page(p))
	}
	mux.HandleFunc("GET /part", c.part)
	mux.HandleFunc("GET /feed", c.feed)
	mux.HandleFunc("POST /preview", c.preview)
	mux.HandleFunc("POST /say", c.say)
	c.deskRoutes(mux)
	mux.Handle("GET /static/", staticFiles())
	mux.HandleFunc("GET /worker.js", c.worker)
	if c.cfg.Pairing != nil {
		mux.HandleFunc("GET /pair", c.pairPage)
		mux.HandleFunc("POST /pair", c.pair)
	}
	return c.guard(mux)
}

// Serve answers on the listener until ctx ends. Whatever is being saved then is saved.
func Serve(ctx context.Context, s *http.Server, serve func() error) error {
	ended := make(chan error, 1)
	go func() { ended <- serve() }()
	select {
	case err := <-ended:
		return err
	case <-ctx.Done():
	}
	soon, cancel := context.WithTimeout(context.WithoutCancel(ctx), 3*time.Second)
	defer cancel()
	err := s.Shutdown(soon)
	if errors.Is(err, context.DeadlineExceeded) {
		err = s.Close()
	}
	<-ended
	return err
}

// Server returns an HTTP server for h with limits on what it waits for. Feeds end with
// ctx.
func Server(ctx context.Context, h http.Handler, log *slog.Logger) *http.Server {
	return &http.Server{
		Handler: h, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 30 * time.Second, IdleTimeout: 2 * time.Minute,
		MaxHeaderBytes: 16 << 10, ErrorLog: slog.NewLogLogger(log.Handler(), slog.LevelDebug),
		BaseContext: func(_ net.Listener) context.Context { return ctx },
	}
}
