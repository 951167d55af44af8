package cli

import (
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"tankside/events"
	"tankside/events/kinds"
)

// openCommand begins an incident with its first entry.
func (a *App) openCommand(s *settings) *cobra.Command {
	var e envelope
	var laptop, clock string
	var exercise bool
	cmd := &cobra.Command{
		Use:     "open NAME",
		Short:   "Begin the log of an incident",
		Long:    "Begin the log of an incident. Its name is said once here; where it is the only one in the folder no command has to name it again.",
		Example: `  tankside open "Quarry Bend"`,
		Args:    exactly("the name of the incident"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.with(cmd.Context(), s, true, func(ss *session) error {
				inc, err := ss.load(cmd.Context(), args[0])
				if err != nil {
					return err
				}
				if len(inc.entries) > 0 {
					return usage("the log of %q is open already, with %d entries; write into it with tankside log KIND --incident %q", inc.name, len(inc.entries), args[0])
				}
				d, err := e.draft(a, cmd, inc)
				if err != nil {
					return err
				}
				if exercise {
					d.Mode = events.Exercise
				}
				d.Payload = kinds.LogOpened{Laptop: laptop, Zone: offset(d.Occurred.At), Clock: clock}
				return ss.save(cmd, inc, d)
			})
		},
	}
	e.flags(cmd)
	cmd.Flags().StringVar(&laptop, "laptop", "", "`name` of the laptop the log is on")
	cmd.Flags().StringVar(&clock, "clock", "", "`source` its clock was set by")
	cmd.Flags().BoolVar(&exercise, "exercise", false, "the incident is an exercise")
	return cmd
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
