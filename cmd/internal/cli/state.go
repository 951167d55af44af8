package cli

import (
	"io"

	"github.com/spf13/cobra"

	"tankside/events"
	"tankside/projections"
)

// stateCommand prints how things stand.
func (a *App) stateCommand(s *settings) *cobra.Command {
	return &cobra.Command{
		Use:   "state",
		Short: "How things stand: who is in, product, air, bonds, trucks, phases",
		Long: `How things stand, worked out from the log alone: who is in and for how long, what
is out of the tank by which measurement, air, grounding, foam, trucks, phases and
the quality of the log itself. What nobody logged is not recorded; it is not zero.`,
		Example: `  tankside state
  tankside state --known-at 23:20
  tankside state --json`,
		Args:        noArgs,
		Annotations: map[string]string{looksBack: "yes", usesRules: "yes"},
		RunE: func(cmd *cobra.Command, _ []string) error {
			_, inc, err := a.look(cmd, s)
			if err != nil {
				return err
			}
			if asJSON(cmd) {
				return a.printJSON(inc)
			}
			return printState(a.Out, inc.State())
		},
	}
}

// look reads the incident that is asked for and folds it at the view asked for.
func (a *App) look(cmd *cobra.Command, s *settings) (*events.Timeline, *projections.Incident, error) {
	inc, err := a.read(cmd, s)
	if err != nil {
		return nil, nil, err
	}
	v, err := inc.view(cmd)
	if err != nil {
		return nil, nil, err
	}
	p, err := s.products()
	if err != nil {
		return nil, nil, err
	}
	r, err := s.rules()
	if err != nil {
		return nil, nil, err
	}
	tl, folded := a.fold(inc, v, r.Book, projections.WithProducts(p.table))
	return tl, folded, nil
}

// printState prints the state section by section.
func printState(w io.Writer, s projections.State) error {
	b := newBoard(w, s)
	for _, section := range []func(*board){
		(*board).head, (*board).people, (*board).product, (*board).compartments, (*board).legs, (*board).receivers,
		(*board).air, (*board).earth, (*board).foam, (*board).holes, (*board).trucks,
		(*board).stops, (*board).gates, (*board).told, (*board).phases, (*board).quality,
	} {
		section(b)
	}
	return b.err
}
