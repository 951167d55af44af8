package cli

import (
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"tankside/events"
	"tankside/events/kinds"
)

// reviewOutcome writes what came of an objective.
func (a *App) reviewOutcome(s *settings) *cobra.Command {
	var k kinds.OutcomeWritten
	var entries string
	cmd := &cobra.Command{
		Use: "outcome OBJECTIVE OUTCOME", Short: "Write what came of an objective: reached, partly reached, not reached or given up",
		Long: `Write what came of an objective: reached, partly reached, not reached or given up.
OBJECTIVE is the number of the entry that set it, or the objective in words where the
log has none. Said again for the same objective, the newer one stands.`,
		Example: `  tankside review outcome 41 reached --actual "nothing reached the creek" --sustain "booms before the first hole" --entries 52,77`,
	}
	cmd.Flags().StringVar(&k.Actual, "actual", "", "what happened, in your `words`")
	cmd.Flags().StringVar(&k.Why, "why", "", "`reason` for the difference from what was planned")
	cmd.Flags().StringVar(&k.Sustain, "sustain", "", "`what` to do again")
	cmd.Flags().StringVar(&k.Improve, "improve", "", "`what` to do otherwise")
	cmd.Flags().StringVar(&entries, "entries", "", "`numbers` of the entries it stands on, such as 167,171")
	return a.written(s, cmd, []string{"an objective", "its outcome"}, func(d *desk, args []string) (_ events.Payload, err error) {
		if !slices.Contains(kinds.Outcomes, args[1]) {
			return nil, usage("%q is no outcome; it is one of: %s", args[1], strings.Join(kinds.Outcomes, ", "))
		}
		if k.Objective, err = d.objective(args[0]); err != nil {
			return nil, err
		}
		if k.Entry, err = d.numbers(entries); err != nil {
			return nil, err
		}
		k.Outcome, k.Stood = args[1], d.folded.Review.EvidenceOf(k.Entry)
		return k, nil
	})
}

// objective is the id of the entry that set an objective, by its number; what is no
// number is an objective in words.
func (d *desk) objective(text string) (string, error) {
	n := strings.TrimPrefix(strings.TrimPrefix(text, "#"), "e")
	if strings.Trim(n, "0123456789") != "" {
		return text, nil
	}
	id, err := d.number(n)
	if err != nil {
		return "", usage("%w", err)
	}
	for i := range d.entries {
		if _, sets := d.entries[i].Payload.(kinds.ObjectiveSet); sets && d.entries[i].ID == id {
			return string(id), nil
		}
	}
	return "", usage("entry %s sets no objective; name the entry that does, or give the objective in words where nobody logged it", n)
}
