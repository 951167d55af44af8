package cli

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"path/filepath"
	"sync"
	"time"

	"github.com/spf13/cobra"

	"tankside/cmd/internal/console"
	"tankside/cmd/internal/remote"
	"tankside/events"
	"tankside/events/journal"
	"tankside/projections"
	"tankside/projections/findings"
	"tankside/projections/live"
)

// serving is how a console is served.
type serving struct {
	listen string
	lan    bool
	scribe string
	mode   events.Mode // of an incident that is new
}

// flags adds the flags of every command that serves.
func (o *serving) flags(cmd *cobra.Command) {
	cmd.Flags().StringVar(&o.listen, "listen", "", "`address` with port for the console, on this machine; the port it had last, or a free one, when left out")
	cmd.Flags().BoolVar(&o.lan, "lan", false, "let other machines of the scene in, with TLS and a code that stands on the scribe's screen")
}

// serve shows the console of an incident and lets other commands in, until ctx ends or
// something breaks. beside, which may be nil, runs as long.
func (ss *session) serve(ctx context.Context, s *settings, inc *incident, o serving, beside func(context.Context) error) error {
	j, err := ss.own("the console")
	if err != nil {
		return err
	}
	doors, err := o.doors(j.Dir(), time.Now())
	if err != nil {
		return err
	}
	defer doors.close()
	follower, err := ss.follow(s, inc)
	if err != nil {
		return err
	}
	page := "http://" + doors.here.Addr().String() + "/"
	pages := ss.console(s, inc, o, follower, doors)
	others, err := remote.Serve(remote.Config{Folder: j, Catalogue: ss.app.catalogue, Now: ss.app.Now, Page: page, Shows: inc.name, Log: ss.app.log(s)})
	if err != nil {
		return err
	}
	err = together(ctx, follower.Run, func(ctx context.Context) error {
		if err := follower.AwaitScene(ctx, lastOf(inc.entries)); err != nil {
			return err
		}
		fmt.Fprintf(ss.app.Out, "%s: the console is at %s\n%sIt ends with Ctrl-C; the log stays. Other commands work while it runs.\n", inc.name, page, doors.told())
		return doors.serve(ctx, func() *http.Server { return console.Server(ctx, pages.Handler(), ss.app.log(s)) })
	}, func(ctx context.Context) error {
		return pages.KeepDrafts(ctx, filepath.Join(j.Dir(), "console-"+inc.id+".json"))
	}, beside)
	return errors.Join(err, others.Close())
}

// console makes the pages of an incident.
func (ss *session) console(s *settings, inc *incident, o serving, f *live.Follower, d *doors) *console.Console {
	a := ss.app
	mode := o.mode
	if len(inc.entries) > 0 {
		mode = inc.entries[0].Mode
	}
	c := console.Config{
		Log: inc.log, Name: inc.name, Live: f, Catalogue: a.catalogue, Now: a.Now, Wall: time.Now, Trouble: a.cannot.text,
		Hosts: d.hosts(), Scribe: o.scribe, Mode: mode, Program: a.log(s),
	}
	if d.lan != nil {
		c.Pairing = console.NewPairing()
	}
	return console.New(c)
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
		Log: inc.log, Catalogue: c, Now: ss.app.Now, Wall: time.Now,
		Fold: func(tl *events.Timeline) *projections.Incident {
			return projections.Fold(c, tl, projections.WithProducts(p.table))
		},
		Judge: func(in *projections.Incident, tl *events.Timeline) { findings.Judge(in, tl, r.Book) },
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
