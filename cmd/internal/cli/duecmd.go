package cli

import (
	"fmt"
	"math"
	"time"

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

// due prints alarms, then timers: the late ones first, by what can hurt, then the soonest.
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
	g := grid{heads: []string{"due", "min", "what", "for", "last", "every", "who"}}
	for _, d := range b.s.Due {
		limit := ""
		if d.Limit != nil {
			limit = unbroken(unitText(digits(d.Limit.Value), d.Limit.Unit))
		}
		g.add(b.dueAt(d.At), lateText(d), d.What, d.Subject, b.clock(d.Last), limit, d.Owner)
	}
	b.table(g)
}

// dueAt writes when a timer is due: a time of day, or the day when it is far off.
func (b *board) dueAt(t time.Time) string {
	if b.s.AsOf != nil && t.Sub(*b.s.AsOf).Abs() > 36*time.Hour {
		return unbroken(t.In(b.day.Location()).Format("2 Jan"))
	}
	return unbroken(b.time(t))
}

// lateText says how far a timer is past, or how long it still has: minutes for two
// hours, then hours, then days.
func lateText(d projections.Due) string {
	if !d.Late.Known {
		return unknown
	}
	word, minutes := "in", math.Floor(-d.Late.Value)+0 // no -0
	if d.Late.Value > 0 {
		word, minutes = "LATE", math.Ceil(d.Late.Value)
	}
	text := fmt.Sprintf("%s %.0f", word, minutes)
	switch {
	case minutes >= 48*60:
		text = fmt.Sprintf("%s %.0f days", word, math.Floor(minutes/60/24))
	case minutes >= 120:
		text = fmt.Sprintf("%s %.0f h", word, math.Floor(minutes/60))
	}
	return unbroken(text)
}
