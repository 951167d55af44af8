package cli

import (
	"context"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"tankside/cmd/internal/remote"
	"tankside/events"
	"tankside/events/kinds"
)

// opening is what an incident is opened with.
type opening struct {
	envelope
	serving
	laptop, clock string
	zone          string // of the incident; "" is this machine's
	exercise      bool
	silent        bool // no console
}

// openCommand begins an incident with its first entry and serves its console.
func (a *App) openCommand(s *settings) *cobra.Command {
	var o opening
	cmd := &cobra.Command{
		Use:   "open NAME",
		Short: "Open an incident: begin its log if it is new, and serve its console",
		Long: `Open an incident: begin its log if it is new, and serve the console, the pages on
which a scribe types what is said and everybody else sees where it stands. A browser
on this machine finds it at the address that is printed; it is open to no other.
Ctrl-C ends it; the log stays.

A second incident is opened in the same way, from another terminal: the process that
has the folder serves it too, at an address of its own, and each page leads to the
others. What was being served is served again at the next start; tankside close NAME
ends one of them. tankside incidents lists what is served and where.

The name is said once here; where it is the only one in the folder no command has to
name it again.`,
		Example: `  tankside open "Quarry Bend"
  tankside open "Quarry Bend" --no-console`,
		Args: exactly("the name of the incident"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if !o.silent {
				if c, ok := newSteadyClock(a.Now, a.Steady); ok {
					o.steady, a.Now = c, c.Now
				}
			}
			return a.with(cmd.Context(), s, true, func(ss *session) error { return ss.openIncident(cmd, s, args[0], &o) })
		},
	}
	o.envelope.flags(cmd)
	o.serving.flags(cmd)
	cmd.Flags().StringVar(&o.laptop, "laptop", "", "`name` of the laptop the log is on")
	cmd.Flags().StringVar(&o.clock, "clock", "", "`source` its clock was set by")
	cmd.Flags().StringVar(&o.zone, "zone", "", "`name` of the incident's zone, as America/Chicago, when the log is new; this machine's when left out")
	cmd.Flags().BoolVar(&o.exercise, "exercise", false, "the incident, if it is new, is an exercise")
	cmd.Flags().BoolVar(&o.silent, "no-console", false, "only begin the log")
	return cmd
}

// openIncident begins the log if it is new and serves the console.
func (ss *session) openIncident(cmd *cobra.Command, s *settings, name string, o *opening) error {
	inc, err := ss.load(cmd.Context(), name)
	if err != nil {
		return err
	}
	c, served := ss.Folder.(*remote.Client)
	if served && !o.silent {
		if err := c.Refuses(cmd.Context(), name); err != nil {
			return err
		}
	}
	switch n := len(inc.entries); {
	case n > 0 && o.silent:
		return usage("the log of %q is open already, with %d entries; write into it with tankside log KIND --incident %q", inc.name, n, name)
	case n > 0 && o.exercise && inc.entries[0].Mode != events.Exercise:
		return usage("--exercise: the log of %q has %d entries and is not of an exercise; open another name", inc.name, n)
	case n == 0:
		if err := ss.begin(cmd, inc, o); err != nil {
			return err
		}
	}
	if o.silent {
		return nil
	}
	o.serving.scribe = o.envelope.scribe
	if served {
		return ss.elsewhere(cmd.Context(), c, inc, o.serving)
	}
	if inc, err = ss.load(cmd.Context(), name); err != nil {
		return err
	}
	return ss.serve(cmd.Context(), s, inc, o.serving, nil)
}

// begin writes the first entry of a log.
func (ss *session) begin(cmd *cobra.Command, inc *incident, o *opening) error {
	d, err := o.draft(ss.app, cmd, inc)
	if err != nil {
		return err
	}
	if o.exercise {
		d.Mode = events.Exercise
	}
	zone, err := o.zoneOf(d.Occurred.At)
	if err != nil {
		return err
	}
	if z := zoneNamed(zone); z != nil {
		d = zoned(events.Recorded{Draft: d}, z).Draft
	}
	d.Payload = kinds.LogOpened{Laptop: o.laptop, Zone: zone, Clock: o.clock}
	return ss.save(cmd, inc, d)
}

// elsewhere has the process that holds the folder serve the console too, and says where
// it is.
func (ss *session) elsewhere(ctx context.Context, c *remote.Client, inc *incident, o serving) error {
	served, err := c.Open(ctx, remote.Ask{Incident: inc.id, Listen: o.listen, LAN: o.lan, Scribe: o.scribe})
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(ss.app.Out, "%sThe process that serves this folder serves it; tankside close %q ends it alone.\n", at(served), served.Incident)
	return err
}

// zoneOf is the zone of an incident that is opened at t, as its log says it: by name, for
// the rules of its clocks, where that is known and t was not given in another.
func (o *opening) zoneOf(t time.Time) (string, error) {
	if o.zone != "" {
		if zoneNamed(o.zone) == nil {
			return "", usage("--zone: %q is no zone; name it by its continent and city, as America/Chicago", o.zone)
		}
		return o.zone, nil
	}
	name := machineZone()
	if z := zoneNamed(name); z != nil {
		_, here := t.Zone()
		if _, there := t.In(z).Zone(); here == there {
			return name, nil
		}
	}
	return offset(t), nil
}

// offset writes the zone of t as a log says it: UTC-5, UTC+5:30.
func offset(t time.Time) string {
	_, s := t.Zone()
	sign := '+'
	if s < 0 {
		sign, s = '-', -s
	}
	text := fmt.Sprintf("UTC%c%d", sign, s/3600)
	if m := s % 3600 / 60; m > 0 {
		text += fmt.Sprintf(":%02d", m)
	}
	return text
}
