package cli

import (
	"fmt"
	"time"

	"github.com/spf13/cobra"
)

// incidentsCommand lists the incidents of the data folder.
func (a *App) incidentsCommand(s *settings) *cobra.Command {
	return &cobra.Command{
		Use:   "incidents",
		Short: "List the incidents of the data folder",
		Args:  noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			var all []*incident
			err := a.with(cmd.Context(), s, false, func(ss *session) error {
				for _, id := range ss.Incidents() {
					inc, err := ss.load(cmd.Context(), id)
					if err != nil {
						return err
					}
					all = append(all, inc)
				}
				return nil
			})
			if err != nil {
				return err
			}
			return a.listIncidents(cmd, all)
		},
	}
}

func (a *App) listIncidents(cmd *cobra.Command, all []*incident) error {
	type row struct {
		ID      string    `json:"id"`
		Name    string    `json:"name"`
		Mode    string    `json:"mode,omitempty"`
		Entries int       `json:"entries"`
		First   time.Time `json:"first"`
		Last    time.Time `json:"last"`
	}
	rows := []row{}
	table := grid{heads: []string{"incident", "name", "entries", "from", "to"}, right: []int{2}}
	for _, inc := range all {
		first, last := inc.span()
		rows = append(rows, row{inc.id, inc.name, string(inc.entries[0].Mode), len(inc.entries), first, last})
		table.add(inc.id, inc.name, fmt.Sprint(len(inc.entries)), first.Format(dayTime), last.Format(dayTime))
	}
	if asJSON(cmd) {
		return a.printJSON(rows)
	}
	if len(all) == 0 {
		_, err := fmt.Fprintln(a.Out, "no incident yet; begin one with tankside open NAME")
		return err
	}
	return table.print(a.Out)
}
