package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"tankside/projections"
)

// peopleCommand prints who went in, for how long, on what air, and who rested.
func (a *App) peopleCommand(s *settings) *cobra.Command {
	return &cobra.Command{
		Use:   "people",
		Short: "Who went in, for how long, on what air, and rehab",
		Long: `Everybody the log names: in or out, trips and minutes in the hot zone, air used,
posts outside it, rehab. What nobody logged is not recorded; it is not "not done".`,
		Example: `  tankside people
  tankside people --known-at 23:20`,
		Args:        noArgs,
		Annotations: map[string]string{looksBack: "yes"},
		RunE: func(cmd *cobra.Command, _ []string) error {
			_, inc, err := a.look(cmd, s)
			if err != nil {
				return err
			}
			st := inc.State()
			if asJSON(cmd) {
				return a.printJSON(map[string]any{"people": st.People, "accountability": st.Accountability})
			}
			b := newBoard(a.Out, st)
			b.people()
			b.rested()
			b.trips()
			return b.err
		},
	}
}

// rested lists the stays in rehab.
func (b *board) rested() {
	g := grid{title: "REHAB", heads: []string{"person", "from", "to", "min", "symptoms"}, right: []int{3}}
	for _, p := range b.s.People {
		for _, r := range p.Rehab {
			g.add(p.Person, b.clock(r.Start), b.clock(r.End), value(projections.Elapsed(r.Start, r.End, *b.s.AsOf)), r.Symptoms)
		}
	}
	b.table(g)
}

// trips lists every trip into the hot zone, in the order of people; one that the post
// was told of late has a mark.
func (b *board) trips() {
	late := map[int]projections.Late{}
	for _, l := range b.s.Quality.Late {
		late[int(l.Seq)] = l
	}
	g := grid{title: "TRIPS", heads: []string{"person", "in", "out", "min", "psi in", "psi out", "task", "told late"}, right: []int{3, 4, 5}}
	for _, p := range b.s.People {
		for _, t := range p.Trips {
			told := ""
			for _, n := range t.Start.From {
				if l, ok := late[int(n)]; ok {
					told = fmt.Sprintf("%s, #%d", delay(l.Delay), n)
				}
			}
			g.add(p.Person, b.clock(t.Start), b.clock(t.End), value(t.Minutes), value(t.PressureIn), value(t.PressureOut), t.Task, told)
		}
	}
	b.table(g)
}
