package cli

import (
	"context"
	"errors"
	"fmt"
	"sync"

	"github.com/spf13/cobra"

	"tankside/cmd/internal/remote"
	"tankside/events"
	"tankside/events/journal"
	"tankside/events/kinds"
	"tankside/projections"
	"tankside/projections/findings"
	"tankside/projections/live"
)

// serving is how a console is served.
type serving struct {
	listen string
	lan    bool
	scribe string
	mode   events.Mode  // of an incident that is new
	steady *steadyClock // that the log goes by; nil where that is the machine's, or a play's
}

// flags adds the flags of every command that serves.
func (o *serving) flags(cmd *cobra.Command) {
	cmd.Flags().StringVar(&o.listen, "listen", "", "`address` with port for the console, on this machine; the port it had last, or a free one, when left out")
	cmd.Flags().BoolVar(&o.lan, "lan", false, "let other machines of the scene in, with TLS and a code that stands on the scribe's screen")
}

// serve shows the console of an incident, and those that were being served when the last
// process ended, and lets other commands in, until ctx ends or something breaks. play,
// which may be nil, runs beside them; what it plays is then the one that is served.
func (ss *session) serve(ctx context.Context, s *settings, inc *incident, o serving, play func(context.Context) error) error {
	j, err := ss.own("the console")
	if err != nil {
		return err
	}
	h := ss.newHall(ctx, s)
	if play != nil {
		h.alone = inc.name
	}
	others, err := remote.Serve(remote.Config{Folder: j, Catalogue: ss.app.catalogue, Now: ss.app.Now, Consoles: h, Log: ss.app.log(s)})
	if err != nil {
		return err
	}
	err = h.run(inc, o, play)
	h.stop(nil)
	h.working.Wait()
	return errors.Join(err, others.Close())
}

// run opens the consoles and waits until the last of them ends.
func (h *hall) run(inc *incident, o serving, play func(context.Context) error) error {
	first, err := h.open(h.ctx, inc.name, o)
	if err != nil {
		return err
	}
	h.ss.app.tell("%sIt ends with Ctrl-C; the log stays. Other commands work while it runs.\n", at(first.console()))
	if h.alone == "" {
		h.reopen(inc)
	}
	watch := func(ctx context.Context) error { <-ctx.Done(); return nil }
	if o.steady != nil {
		watch = func(ctx context.Context) error { return o.steady.watch(ctx, h) }
	}
	return together(h.ctx, play, watch)
}

// reopen serves again what was being served when the last process ended.
func (h *hall) reopen(but *incident) {
	for _, id := range h.notes.open() {
		was := h.notes.of(id)
		if id == but.id || h.closed(id) {
			continue
		}
		r, err := h.open(h.ctx, id, serving{lan: was.LAN != "", scribe: was.Scribe})
		if err != nil {
			fmt.Fprintf(h.ss.app.Err, "tankside: %s was open too and is not: %s; open it with tankside open %q\n", id, oneLine(err), id)
			continue
		}
		h.ss.app.tell("%sIt was open before; tankside close %q ends it alone.\n", at(r.console()), r.inc.name)
	}
}

// closed reports whether the log of an incident says itself that it is closed.
func (h *hall) closed(id string) bool {
	inc, err := h.ss.load(h.ctx, id)
	if err != nil {
		return false // opening it says what is wrong
	}
	tl := h.ss.app.catalogue.NewTimeline(inc.entries, events.View{})
	for e := range tl.Live() {
		if _, ok := e.Payload.(kinds.LogClosed); ok {
			return true
		}
	}
	return len(inc.entries) == 0
}

// at says where a console is.
func at(c remote.Console) string {
	return fmt.Sprintf("%s: the console is at %s\n%s", c.Incident, c.Page, c.Told)
}

// tell prints what happens while a console is served, one thing at a time.
func (a *App) tell(format string, args ...any) {
	a.telling.Lock()
	defer a.telling.Unlock()
	fmt.Fprintf(a.Out, format, args...)
}

// follow makes the follower of an incident's log, with the figures of products and the
// rules in force.
func (ss *session) follow(s *settings, inc *incident) (*live.Follower, error) {
	p, err := s.products()
	if err != nil {
		return nil, err
	}
	r, err := s.rules()
	if err != nil {
		return nil, err
	}
	c := ss.app.catalogue
	return live.New(live.Config{
		Log: inc.log, Catalogue: c, Now: ss.app.Now, Wall: ss.app.wall,
		Fold: func(tl *events.Timeline) *projections.Incident {
			return projections.Fold(c, tl, projections.WithProducts(p.table))
		},
		Grow: func(last *projections.Incident, tl *events.Timeline, by []*events.Entry) *projections.Incident {
			return projections.Grow(c, last, tl, by, projections.WithProducts(p.table))
		},
		Judge: func(in *projections.Incident, tl *events.Timeline) { findings.Judge(in, tl, r.Book) },
		Time:  func(in *projections.Incident, tl *events.Timeline) { findings.Time(in, tl, r.Book) },
	}), nil
}

func lastOf(entries []events.Recorded) events.Seq {
	if len(entries) == 0 {
		return 0
	}
	return entries[len(entries)-1].Seq
}

// together runs tasks side by side until ctx ends; one that breaks ends them all. A nil
// task is none; one that is done leaves the others running.
func together(ctx context.Context, tasks ...func(context.Context) error) error {
	ctx, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	var wait sync.WaitGroup
	for _, task := range tasks {
		if task == nil {
			continue
		}
		wait.Go(func() {
			if err := task(ctx); err != nil && ctx.Err() == nil {
				stop(err)
			}
		})
	}
	wait.Wait()
	if err := context.Cause(ctx); !errors.Is(err, context.Canceled) {
		return err
	}
	return nil
}

// trouble is why entries cannot be saved at this moment.
type trouble struct {
	mu   sync.Mutex
	last journal.Trouble
}

func (t *trouble) set(last journal.Trouble) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.last = last
}

// text is what to tell of it, "" while everything is saved.
func (t *trouble) text() string {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.last.Try == 0 || t.last.Saved {
		return ""
	}
	return t.last.String()
}
