package cli

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"tankside/events/journal"
)

// restoreCommand brings a sealed archive back into a log.
func (a *App) restoreCommand(s *settings) *cobra.Command {
	var key string
	cmd := &cobra.Command{
		Use:   "restore ARCHIVE",
		Short: "Bring a sealed archive back as a log",
		Long: `Check a sealed archive and bring it back as a log, with the bytes, the numbers and
the hashes it was sealed with. What is there already and the same is left as it is;
another log of the same incident is never overlaid.`,
		Args: exactly("an archive"),
		RunE: func(cmd *cobra.Command, args []string) error {
			ar, err := a.openArchive(args[0], key)
			if err != nil {
				return err
			}
			return a.with(cmd.Context(), s, true, func(ss *session) error {
				j, err := ss.own("a restore")
				if err != nil {
					return err
				}
				added, err := j.Restore(cmd.Context(), ar)
				if errors.Is(err, journal.ErrConflict) {
					return userError{err}
				}
				if err != nil {
					return err
				}
				there := len(ar.Entries) - added
				if asJSON(cmd) {
					return a.printJSON(map[string]any{"incident": ar.Manifest.Incident, "entries": len(ar.Entries), "new": added, "already_there": there})
				}
				_, err = fmt.Fprintf(a.Out, "%s: %d entries: %d new, %d already there\n", ar.Manifest.Incident, len(ar.Entries), added, there)
				return err
			})
		},
	}
	addKeyFlag(cmd, &key)
	return cmd
}
