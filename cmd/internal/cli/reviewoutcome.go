package cli

import (
	"github.com/spf13/cobra"

	"tankside/cmd/internal/desk"
)

// reviewOutcome writes what came of an objective.
func (a *App) reviewOutcome(s *settings) *cobra.Command {
	k := desk.Ask{Do: "outcome"}
	cmd := &cobra.Command{
		Use: "outcome OBJECTIVE OUTCOME", Short: "Write what came of an objective: reached, partly reached, not reached or given up",
		Long: `Write what came of an objective: reached, partly reached, not reached or given up.
OBJECTIVE is the number of the entry that set it, or the objective in words where the
log has none. Said again for the same objective, the newer one stands.`,
		Example: `  tankside review outcome 41 reached --actual "nothing reached the creek" --sustain "booms before the first hole" --entries 52,77`,
	}
	cmd.Flags().StringVar(&k.Text, "actual", "", "what happened, in your `words`")
	cmd.Flags().StringVar(&k.Why, "why", "", "`reason` for the difference from what was planned")
	cmd.Flags().StringVar(&k.Sustain, "sustain", "", "`what` to do again")
	cmd.Flags().StringVar(&k.Improve, "improve", "", "`what` to do otherwise")
	cmd.Flags().StringVar(&k.Entries, "entries", "", "`numbers` of the entries it stands on, such as 167,171")
	return a.written(s, cmd, []string{"an objective", "its outcome"}, func(args []string) desk.Ask {
		k.Of, k.Outcome = args[0], args[1]
		return k
	})
}
