package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"tankside/cmd/internal/remote"
)

// closeCommand ends the console of one incident.
func (a *App) closeCommand(s *settings) *cobra.Command {
	return &cobra.Command{
		Use:   "close NAME",
		Short: "End the console of one incident; its log stays, and so do the other consoles",
		Long: `End the console of one incident. Its log stays, other incidents go on, and it is not
served again at the next start. With the last console the process that served it ends.

That the log itself is at its end is an entry: tankside log log_closed.`,
		Args: exactly("the name of the incident"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.with(cmd.Context(), s, false, func(ss *session) error {
				c, ok := ss.Folder.(*remote.Client)
				if !ok {
					return usage("no console is served from %s; nothing has to be closed", ss.Dir())
				}
				if err := c.End(cmd.Context(), args[0]); err != nil {
					return err
				}
				_, err := fmt.Fprintf(a.Out, "%s: its console has ended; the log stays\n", args[0])
				return err
			})
		},
	}
}
