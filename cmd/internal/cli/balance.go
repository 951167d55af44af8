package cli

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"tankside/projections"
)

// balanceCommand prints the balances of the product and what they rest on.
func (a *App) balanceCommand(s *settings) *cobra.Command {
	return &cobra.Command{
		Use:   "balance",
		Short: "Do the numbers agree: every measurement side by side, and load against what left the tank",
		Long: `Every measurement of each leg, truck and compartment side by side, in net gallons
at 60 F where the load can be reduced: whether they agree, the best answer with its
doubt, what was set aside and what it would change, and what cannot be told.

Then the two balances, each with its terms, as low, best and high: the load against
what was transferred, released and left; and what was released against what was
taken up again. What cannot be worked out says what is missing. Over-accounting is
shown as it is.`,
		Example: `  tankside balance
  tankside balance --known-at 03:15
  tankside balance --json`,
		Args:        noArgs,
		Annotations: map[string]string{looksBack: "yes"},
		RunE: func(cmd *cobra.Command, _ []string) error {
			_, inc, err := a.look(cmd, s)
			if err != nil {
				return err
			}
			state := inc.State()
			if asJSON(cmd) {
				return a.printJSON(state.Volume)
			}
			return printBalance(a.Out, state)
		},
	}
}

// printBalance prints what was measured, whether it agrees, and the balances.
func printBalance(w io.Writer, s projections.State) error {
	b := newBoard(w, s)
	for _, section := range []func(*board){
		(*board).head, (*board).measuredLegs, (*board).measuredReceivers, (*board).measuredCompartments,
		(*board).agreement, (*board).setAside, (*board).questions, (*board).hoses, (*board).estimates, (*board).balances,
	} {
		section(b)
	}
	return b.err
}

// ways are the columns of measurements, best trusted first; what was measured in any
// other way stands under the last.
var ways = []string{"scale", "meter", "stick", "strokes", "flow x time", "by ruling", "other way"}

// side writes the measurements of one volume side by side: in brackets what is set
// aside, with ! what disagrees.
func side(ms []projections.Measurement) []string {
	out := make([]string, len(ways))
	for _, m := range ms {
		i := slices.Index(ways, m.Method)
		if i < 0 {
			i = len(ways) - 1
		}
		if m.Net.Known {
			out[i] = joined(out[i], marked(m))
		}
	}
	for i, text := range out {
		out[i] = orElse(text, "-")
	}
	return out
}

func marked(m projections.Measurement) string {
	text := value(m.Net.Figure)
	switch {
	case m.SetAside != "":
		return "(" + text + ")"
	case m.Agrees == "disagrees":
		return text + " !"
	}
	return text
}

// sides is a table of volumes with every way of measuring them.
func sides(title string, first ...string) grid {
	g := grid{title: title, heads: slices.Concat(first, ways, []string{"best", "±"})}
	for i := len(first); i < len(g.heads); i++ {
		g.right = append(g.right, i)
	}
	return g
}

// ends are the last two columns of such a table.
func ends(f projections.Figure) []string {
	if f.U <= 0 {
		return []string{value(f), "-"}
	}
	return []string{value(f), writer(f)(f.U)}
}

// measuredLegs lists the legs by each way of measuring them.
func (b *board) measuredLegs() {
	g := sides("LEGS, net gal at 60 F; ( ) set aside, ! disagrees", "leg", "from", "to")
	for _, l := range b.s.Volume.Legs {
		g.add(slices.Concat([]string{l.ID, l.From, l.To}, side(l.Measured), ends(l.Best))...)
	}
	b.table(used(g))
}

// used leaves out the columns of ways in which nothing was measured.
func used(g grid) grid {
	for i := len(g.heads) - 1; i >= 0; i-- {
		if slices.Contains(ways, g.heads[i]) && !slices.ContainsFunc(g.rows, func(row []string) bool { return row[i] != "-" }) {
			g.heads = slices.Delete(g.heads, i, i+1)
			for j := range g.rows {
				g.rows[j] = slices.Delete(g.rows[j], i, i+1)
			}
		}
	}
	return g
}

// measuredReceivers lists what trucks took in by each way of measuring it.
func (b *board) measuredReceivers() {
	g := sides("IN THE TRUCKS, net gal at 60 F; meters of the legs added up", "", "product")
	for _, r := range b.s.Volume.Receivers {
		g.add(slices.Concat([]string{r.ID, r.Product}, side(r.Measured), ends(r.Best))...)
		if r.BestWater.Known {
			g.add(slices.Concat([]string{r.ID, "water"}, slices.Repeat([]string{"-"}, len(ways)), ends(r.BestWater))...)
		}
	}
	b.table(used(g))
	for _, t := range b.s.Volume.Tickets {
		b.printf("  ticket %s of %s: %s; the other measurements would weigh %s\n", orElse(t.Ticket, "without a number"), orElse(t.Truck, "no truck named"), figure(t.Net), figure(t.Expected))
	}
}

// measuredCompartments lists what each compartment held and where it went.
func (b *board) measuredCompartments() {
	g := grid{title: "COMPARTMENTS, " + b.s.Volume.Basis, heads: []string{"", "product", "load", "dropped", "legs took", "±", "released", "dip", "left over", "±"},
		right: []int{2, 3, 4, 5, 6, 7, 8, 9}}
	for _, c := range b.s.Volume.Compartments {
		took, left := ends(c.Transferred), ends(c.LeftOver)
		g.add(c.ID, c.Product, value(c.Load), value(c.Delivered), took[0], took[1], value(c.Released), value(c.Dip), left[0], left[1])
	}
	b.table(g)
	b.printf("  left over: load less drops, legs and dip, whatever the releases are taken to be\n")
}

// agreement says of each truck whether its readings agree, and what cannot be told.
func (b *board) agreement() {
	b.printf("\nDO THE READINGS AGREE\n")
	if len(b.s.Volume.Reconciled) == 0 {
		b.printf("  no reading of anything moved: %s\n", notRecorded)
	}
	for _, r := range b.s.Volume.Reconciled {
		b.printf("  %-12s %s\n", strings.Join(r.Of, ", "), agrees(r))
		if r.Why != "" && r.Verdict != "no answer" {
			b.printf("  %-12s %s\n", "", r.Why)
		}
		for _, group := range r.Suspects {
			b.printf("  %-12s one of these is wrong: %s\n", "", strings.Join(group, "; "))
		}
		if len(r.Untold) > 0 {
			b.printf("  %-12s cannot be told from what was logged: %s\n", "", strings.Join(r.Untold, ", "))
		}
		if len(r.AtZero) > 0 {
			b.printf("  %-12s held at nothing, as the readings put it below: %s\n", "", strings.Join(r.AtZero, ", "))
		}
	}
}

// agrees writes the test of a truck's readings as a whole.
func agrees(r projections.Reconciled) string {
	switch {
	case r.Verdict == "no answer":
		return r.Verdict + ": " + r.Why
	case r.ChiSquare == nil:
		return "nothing to check: no reading that counts has a second beside it"
	}
	return fmt.Sprintf("%s (chi-square %s on %d, limit %s, p %s)", r.Verdict, digits(*r.ChiSquare), r.DF, digits(*r.Limit), rounded(*r.P, 3))
}

// setAside lists what the answers do without, and what they would be with it.
func (b *board) setAside() {
	for _, s := range b.s.Volume.SetAside {
		text := "set aside: "
		if s.Asked {
			text = "not counted until it is answered or put right: "
		}
		text += s.What
		if s.Gross.Known {
			text += ", " + figure(s.Gross.Figure)
		}
		if s.Away != nil {
			text += ", " + times(*s.Away) + " from the others"
		}
		text += ": " + s.Why
		if s.By != "" {
			text += " (ruled by " + s.By + ")"
		}
		var with []string
		for _, w := range s.With {
			with = append(with, w.Of+" "+value(w.Net)+" gal net")
		}
		if len(with) > 0 {
			text += "; with it " + strings.Join(with, ", ")
		}
		b.para("%s", text)
	}
}

// times says how far off a reading is, as a crew reads it: against its own doubt.
func times(away float64) string {
	return rounded(math.Abs(away), 0) + " times its doubt"
}

// questions lists the numbers that do not fit: the open ones, and which are settled, by
// which entry and when.
func (b *board) questions() {
	var answers []string
	settled := map[string][]string{}
	for _, q := range b.s.Volume.Questions {
		if len(q.Settled) == 0 {
			b.para("asked: entry %d, %s, %s: %s; %s. %s.", q.Seq, b.clock(q.At), q.About, q.What, q.Why, upper(q.WayOut))
			continue
		}
		var by []string
		for _, e := range q.Settled {
			by = append(by, fmt.Sprint(e))
		}
		answer := fmt.Sprintf("by entry %s at %s", strings.Join(by, ", "), b.clock(q.SettledAt))
		if settled[answer] == nil {
			answers = append(answers, answer)
		}
		settled[answer] = append(settled[answer], fmt.Sprint(q.Seq))
	}
	for _, answer := range answers {
		b.para("asked and settled %s: number of entry %s", answer, strings.Join(slices.Compact(settled[answer]), ", "))
	}
}

// upper begins a sentence.
func upper(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// balances prints each balance, term by term.
func (b *board) balances() {
	b.printf("\n")
	b.para("low and high: as far as what was said allows, - where they are the best itself; ±: its doubt, one standard uncertainty")
	for _, bal := range b.s.Volume.Balances {
		g := grid{title: strings.ToUpper("balance of "+bal.Of) + ", " + bal.Product + ", " + bal.Basis,
			heads: []string{"", "", "best", "low", "high", "", "by"}, right: []int{2, 3, 4}}
		for _, t := range bal.Terms {
			sign := "+"
			if t.Sign < 0 {
				sign = "-"
			}
			g.add(term(sign, t.Name, t.Figure)...)
		}
		g.add(term("=", "unaccounted", bal.Unaccounted)...)
		b.table(g)
		b.printf("  %s\n", bal.Verdict)
		if bal.Of == "load" {
			b.printf("  left over, whatever the releases are taken to be: %s\n", figure(bal.LeftOver))
		}
		if len(bal.NotRecorded) > 0 {
			b.printf("  %s, taken as none: %s\n", notRecorded, strings.Join(bal.NotRecorded, ", "))
		}
	}
}

// term is the row of one figure of a balance.
func term(sign, name string, f projections.Figure) []string {
	why := f.Method
	if !f.Known {
		why = "missing: " + strings.Join(f.Missing, ", ")
	}
	doubt := ""
	if f.U > 0 {
		doubt = "± " + writer(f)(f.U)
	}
	low, high := edge(f, f.Low), edge(f, f.High)
	if best := value(f); low == best && high == best {
		low, high = "-", "-"
	}
	return []string{sign, name, value(f), low, high, doubt, why}
}
