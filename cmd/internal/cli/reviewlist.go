package cli

import (
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"tankside/projections"
)

// reviewList prints what the rules offer and what was written so far.
func (a *App) reviewList(s *settings) *cobra.Command {
	return &cobra.Command{
		Use:         "list",
		Short:       "What the rules offer, and what was written over the report so far",
		Args:        noArgs,
		Annotations: map[string]string{looksBack: "yes", usesRules: "yes"},
		RunE: func(cmd *cobra.Command, _ []string) error {
			_, inc, err := a.look(cmd, s)
			if err != nil {
				return err
			}
			st := inc.State()
			if asJSON(cmd) {
				return a.printJSON(map[string]any{"review": st.Review, "offered": offered(st)})
			}
			b := newBoard(a.Out, st)
			b.review()
			return b.err
		},
	}
}

// offered are the findings of the rules that nobody took or dismissed yet.
func offered(s projections.State) []projections.Finding {
	return slices.DeleteFunc(slices.Clone(s.Findings), func(f projections.Finding) bool {
		return slices.ContainsFunc(s.Review.Findings, func(r projections.Reviewed) bool { return r.ID == f.ID })
	})
}

// review prints the state of the report.
func (b *board) review() {
	r := b.s.Review
	b.printf("REPORT  %s\n", r.Stage)
	for _, g := range r.Signatures {
		b.para("signed %s by %s, code %s", b.clock(g.At), strings.Join([]string{g.Name, g.Role}, ", "), g.Code)
	}
	if len(r.Addendum) > 0 {
		b.para("after the last signature: %s; the report asks for an addendum and a new signature", entriesText(r.Addendum))
	}
	for _, w := range r.Sections {
		b.para("%s: %s", w.Section, w.Text)
	}
	for _, verdict := range []string{"taken", "written", "dismissed"} {
		b.reviewed(verdict)
	}
	if len(r.Recommendations) > 0 {
		b.printf("\nTO DO\n")
	}
	for _, m := range r.Recommendations {
		b.para("%s; owner %s; due %s", m.Action, orNot(m.Owner), orNot(m.Due))
	}
	if len(r.Comments)+len(r.Remarks) > 0 {
		b.printf("\nCOMMENTS AND REMARKS\n")
	}
	for _, c := range r.Comments {
		b.para("%s, on %s: %s", orNot(c.Role), orNot(c.About), c.Text)
	}
	for _, m := range r.Remarks {
		b.para("on %s, which was %s: %s", m.Figure, orNot(m.Stood), m.Text)
	}
	b.printf("\nOFFERED BY THE RULES  %d\n", len(offered(b.s)))
	for _, f := range offered(b.s) {
		b.para("%s  %s: %s %s", f.ID, f.Severity, f.Statement, entriesText(f.From))
	}
}

func (b *board) reviewed(verdict string) {
	first := true
	for _, f := range b.s.Review.Findings {
		if f.Verdict != verdict {
			continue
		}
		if first {
			b.printf("\n%s\n", strings.ToUpper(verdict))
			first = false
		}
		text := f.ID + "  " + f.Statement
		if f.Why != "" {
			text += " Because: " + f.Why
		}
		if f.Opinion {
			text += " (opinion)"
		} else {
			text += " " + entriesText(f.Evidence)
		}
		b.para("%s", text)
		if f.Changed {
			b.item("  EVIDENCE CHANGED since you wrote.")
			b.item("    was: " + strings.Join(f.Stood, " / "))
			b.item("    is:  " + orNot(strings.Join(f.Stands, " / ")))
		}
	}
}

// orNot is what was said, or that nothing was.
func orNot(text string) string {
	if text == "" {
		return "not recorded"
	}
	return text
}
