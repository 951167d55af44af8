package cli

import (
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"tankside/cmd/internal/remote"
	"tankside/events"
)

// incidentsCommand lists the incidents of the data folder.
func (a *App) incidentsCommand(s *settings) *cobra.Command {
	return &cobra.Command{
		Use:   "incidents",
		Short: "List the incidents of the data folder, and where the consoles of those that are open are",
		Args:  noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			var all []*incident
			pages := map[string]string{}
			err := a.with(cmd.Context(), s, false, func(ss *session) error {
				if c, ok := ss.Folder.(*remote.Client); ok {
					for _, p := range c.Consoles() {
						pages[events.IncidentID(p.Incident)] = p.Page
					}
				}
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
			return a.listIncidents(cmd, all, pages)
		},
	}
}

func (a *App) listIncidents(cmd *cobra.Command, all []*incident, pages map[string]string) error {
	type row struct {
		ID      string    `json:"id"`
		Name    string    `json:"name"`
		Mode    string    `json:"mode,omitempty"`
		Entries int       `json:"entries"`
		First   time.Time `json:"first"`
		Last    time.Time `json:"last"`
		Console string    `json:"console,omitempty"`
	}
	rows := []row{}
	table := grid{heads: []string{"incident", "name", "entries", "from", "to"}, right: []int{2}}
	if len(pages) > 0 {
		table.heads = append(table.heads, "console")
	}
	for _, inc := range all {
		first, last := inc.span()
		rows = append(rows, row{inc.id, inc.name, string(inc.entries[0].Mode), len(inc.entries), first, last, pages[inc.id]})
		cells := []string{inc.id, inc.name, fmt.Sprint(len(inc.entries)), first.Format(dayTime), last.Format(dayTime)}
		if len(pages) > 0 {
			cells = append(cells, pages[inc.id])
		}
		table.add(cells...)
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
