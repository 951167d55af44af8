package cli

import (
	"context"
	"fmt"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"tankside/events"
)

// demoServing is how a demonstration is served.
type demoServing struct {
	serving
	on   bool
	pace float64
}

func (o *demoServing) flags(cmd *cobra.Command) {
	o.serving.flags(cmd)
	cmd.Flags().BoolVar(&o.on, "serve", false, "play it onto a console")
	cmd.Flags().Float64Var(&o.pace, "pace", usualPace, "`hours` of that night to an hour here, with --serve")
}

// serveDemo plays an incident onto a console. The clock of the program is that of the
// play from here on, so that the entries are recorded, and what is typed beside them is
// said, at that hour.
func (a *App) serveDemo(ctx context.Context, s *settings, name string, o *demoServing) error {
	if !(o.pace >= slowestPace && o.pace <= fastestPace) {
		return usage("--pace: %g is outside %g to %g; 1 is as fast as it was, 60 a minute of it each second", o.pace, slowestPace, float64(fastestPace))
	}
	drafts, err := a.script(name)
	if err != nil {
		return err
	}
	p := newPlay(a.Now, drafts, o.pace)
	a.Now, o.mode = p.Now, drafts[0].Mode
	return a.with(ctx, s, true, func(ss *session) error {
		inc, err := ss.load(ctx, title(name))
		if err != nil {
			return err
		}
		if n := len(inc.entries); n > 0 {
			p.set(inc.entries[n-1].RecordedAt, 0, time.Time{}) // an earlier run: time does not go back in its log
		}
		fmt.Fprintf(a.Out, "%s, invented: %d entries, told at %g times the pace of that night, into the log in %s\n", inc.name, len(drafts), o.pace, ss.Dir())
		return ss.serve(ctx, s, inc, o.serving, func(ctx context.Context) error { return ss.tell(ctx, p, inc) })
	})
}

// tell plays what the log does not have yet and says how things stood at each full hour.
func (ss *session) tell(ctx context.Context, p *play, inc *incident) error {
	a := ss.app
	there := make(map[events.ID]bool, len(inc.entries))
	for _, r := range inc.entries {
		there[r.ID] = true
	}
	soFar := *inc // what is served reads inc at the same time
	soFar.entries = slices.Clone(inc.entries)
	hour := p.Now().Truncate(time.Hour)
	err := p.run(ctx, inc.log, there, func(r events.Recorded) {
		if next := r.Reported.Truncate(time.Hour); next.After(hour) {
			fmt.Fprintln(a.Out, a.stood(&soFar, next))
			hour = next
		}
		soFar.entries = append(soFar.entries, r)
	})
	if err == nil {
		fmt.Fprintln(a.Out, "That was the last word. The console goes on; end it with Ctrl-C.")
	}
	return err
}
