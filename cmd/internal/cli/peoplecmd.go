package cli

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"tankside/projections"
)

// peopleCommand prints who went in, for how long, on what air, and who rested.
func (a *App) peopleCommand(s *settings) *cobra.Command {
	return &cobra.Command{
		Use:   "people",
		Short: "Who went in, for how long, on what air, what they breathed, and rehab",
		Long: `Everybody the log names: in or out, trips and minutes in the hot zone, air used and
left by estimate, what was read where they stood, work and rest. What nobody logged is
not recorded; it is not "not done". An estimate of air does not go before the gauge and
the bell, nor an average of readings before a monitor: they inform, they allow nothing.`,
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
				return a.printJSON(map[string]any{
					"people": st.People, "accountability": st.Accountability, "supply": st.Supply, "rest": st.Rest, "exposure": st.Exposure,
				})
			}
			b := newBoard(a.Out, st)
			b.people()
			b.onAir()
			b.placesRead()
			b.breathed()
			b.rested()
			b.runs()
			b.trips()
			return b.err
		},
	}
}

// onAir lists the air of those in now: by estimate, from their own use.
func (b *board) onAir() {
	g := grid{title: "AIR OF THOSE IN, by estimate", heads: []string{"person", "bottle", "psi told", "psi now", "min to turn", "min to alarm", ""}, right: []int{2, 3, 4, 5}}
	for _, s := range b.s.Supply {
		if s.End.IsZero() {
			g.add(s.Person, orElse(s.Bottle, "not said"), value(s.Told), value(s.Now), value(s.ToTurn), value(s.ToAlarm), s.Verdict)
		}
	}
	if len(g.rows) > 0 {
		b.table(g)
	}
}

// breathed lists what was read where people stood, outside any mask, against limits.
func (b *board) breathed() {
	g := grid{title: "READ WHERE THEY STOOD, outside any mask", heads: []string{"who", "what", "from", "to", "15 min", "8 h", "unread min", "mask", "against"}, right: []int{4, 5, 6}}
	unread := map[string][]string{}
	for _, e := range b.s.Exposure {
		switch {
		case e.Person == "":
			continue
		case e.Readings == 0:
			unread[e.Substance] = append(unread[e.Substance], e.Person)
			continue
		}
		var over []string
		unknowns := 0
		for _, l := range e.Limits {
			switch l.Outcome {
			case "not over":
			case "not known":
				unknowns++
			default:
				over = append(over, fmt.Sprintf("%s %s, %s", l.Outcome, unitText(digits(l.Limit.Value), l.Limit.Unit), l.Basis))
			}
		}
		if len(over) == 0 && unknowns > 0 {
			over = []string{"not known"}
		}
		g.add(e.Person, e.Substance, b.clock(e.Start), b.clock(e.End), value(e.Rolling15.Hold), value(e.TWA8.Hold), value(e.Unread), orElse(e.Worn, unknown), strings.Join(over, ", "))
	}
	b.table(g)
	for _, substance := range slices.Sorted(maps.Keys(unread)) {
		b.para("no %s read where they stood: %s", substance, strings.Join(unread[substance], ", "))
	}
}

// runs lists the work of each person from one recorded rest to the next, where a rest
// was owed.
func (b *board) runs() {
	g := grid{title: "REST OWED", heads: []string{"person", "trips", "bottles", "min of work", "owed since", "why", "in again", "rested min"}, right: []int{1, 2, 3, 7}}
	for _, r := range b.s.Rest {
		if r.Owed == "" {
			continue
		}
		var again []string
		for _, i := range r.Again {
			again = append(again, b.clock(i.Start))
		}
		rested := notRecorded
		switch {
		case r.Rested.Known:
			rested = value(r.Rested)
		case len(r.Rested.From) > 0:
			rested = "end not recorded"
		}
		g.add(r.Person, fmt.Sprint(r.Trips), fmt.Sprint(r.Bottles), value(r.Work), b.clock(r.OwedAt), r.Owed, strings.Join(again, ", "), rested)
	}
	if len(g.rows) > 0 {
		b.table(g)
	}
}

// rested lists the stays in rehab.
func (b *board) rested() {
	g := grid{title: "REHAB", heads: []string{"person", "from", "to", "min", "symptoms"}, right: []int{3}}
	for _, p := range b.s.People {
		for _, r := range p.Rehab {
			lasted := unknown
			if !r.End.IsZero() || !b.closed() {
				lasted = value(projections.Elapsed(r.Start, r.End, *b.s.AsOf))
			}
			g.add(p.Person, b.clock(r.Start), b.clock(r.End), lasted, r.Symptoms)
		}
	}
	b.table(g)
}

// closed reports whether the log was closed: then nothing lasts "so far" any more.
func (b *board) closed() bool {
	return slices.ContainsFunc(b.s.Benchmarks, func(m projections.Benchmark) bool { return m.Name == "log closed" && !m.At.IsZero() })
}

// trips lists every trip into the hot zone, in the order of people; one that the post
// was told of late has a mark.
func (b *board) trips() {
	late := map[int]projections.Late{}
	for _, l := range b.s.Quality.Late {
		late[int(l.Seq)] = l
	}
	g := grid{title: "TRIPS", heads: []string{"person", "in", "out", "min", "psi in", "psi out", "psi/min", "task", "told late"}, right: []int{3, 4, 5, 6}}
	for _, p := range b.s.People {
		for _, t := range p.Trips {
			told := ""
			for _, n := range t.Start.From {
				if l, ok := late[int(n)]; ok {
					told = fmt.Sprintf("%s, #%d", delay(l.Delay), n)
				}
			}
			g.add(p.Person, b.clock(t.Start), b.clock(t.End), value(t.Minutes), value(t.PressureIn), value(t.PressureOut), value(t.AirRate), t.Task, told)
		}
	}
	b.table(g)
}
