package cli

import (
	"fmt"
	"math"

	"github.com/spf13/cobra"

	"tankside/projections"
)

// dueCommand prints what is late and what is due next.
func (a *App) dueCommand(s *settings) *cobra.Command {
	return &cobra.Command{
		Use:   "due",
		Short: "What cannot wait, what is late and what is due next",
		Long: `What cannot wait, then what is late, then what is due next. A timer is here only
because an entry started it, and goes when an entry says it is done. By default it is
of the last moment the log knows of; --as-of or --known-at gives another.`,
		Example: `  tankside due
  tankside due --known-at 23:20`,
		Args:        noArgs,
		Annotations: map[string]string{looksBack: "yes", usesRules: "yes"},
		RunE: func(cmd *cobra.Command, _ []string) error {
			_, inc, err := a.look(cmd, s)
			if err != nil {
				return err
			}
			st := inc.State()
			if asJSON(cmd) {
				return a.printJSON(map[string]any{"as_of": st.AsOf, "alarms": st.Alarms, "due": st.Due})
			}
			b := newBoard(a.Out, st)
			b.due()
			return b.err
		},
	}
}

// due prints alarms, then timers: late ones first, then the soonest.
func (b *board) due() {
	for _, al := range b.s.Alarms {
		b.para("ACT NOW  %s; since %s; %s", al.Statement, b.clock(al.Since), entriesText(al.From))
	}
	if len(b.s.Due) == 0 {
		b.printf("nothing is due by the log")
		if b.s.AsOf != nil {
			b.printf(" at %s", b.time(*b.s.AsOf))
		}
		b.printf("\n")
		return
	}
	g := grid{heads: []string{"due", "", "what", "for", "last", "limit", "who"}}
	for _, d := range b.s.Due {
		limit := ""
		if d.Limit != nil {
			limit = unbroken(unitText(digits(d.Limit.Value), d.Limit.Unit))
		}
		g.add(b.time(d.At), lateText(d), d.What, d.Subject, b.clock(d.Last), limit, d.Owner)
	}
	b.table(g)
}

// lateText says how far a timer is past, or how long it still has.
func lateText(d projections.Due) string {
	switch {
	case !d.Late.Known:
		return unknown
	case d.Late.Value > 0:
		return unbroken(fmt.Sprintf("LATE %.0f", math.Ceil(d.Late.Value)))
	}
	return unbroken(fmt.Sprintf("in %.0f", math.Floor(-d.Late.Value)))
}
