package cli

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"tankside/cmd/internal/desk"
	"tankside/events"
	"tankside/events/journal"
	"tankside/events/kinds"
	"tankside/projections"
	"tankside/projections/findings"
)

// reviewCommand is the desk at which the report is written.
func (a *App) reviewCommand(s *settings) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "review",
		Short: "Write the chief's part of the report: findings, texts, actions, comments",
		Long: `Write the chief's part of the report. Everything written here is an entry of the
same log: it survives every refresh of the report, and it is never typed over a
number. What the rules found is taken, dismissed with the reason, or left; a finding
whose evidence changes afterwards says so, with what it was and what it is.`,
		Example: `  tankside review list
  tankside review take roll-call-late/181 --text "the roll call slipped while R2 was late" --sort fix
  tankside review dismiss foam-overdue/96 --why "foam was put down and not told"
  tankside review write "order two trucks at once" --entries 77,103 --sort fix
  tankside review text cause "the driver swerved for a deer"`,
		Args: cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return usage("%q is not done at the review; it is list, take, dismiss, write, text, action, outcome, comment, remark or state", args[0])
			}
			return cmd.Help()
		},
	}
	cmd.AddCommand(a.reviewList(s), a.reviewTake(s), a.reviewDismiss(s), a.reviewWrite(s), a.reviewText(s), a.reviewAction(s),
		a.reviewOutcome(s), a.reviewComment(s), a.reviewRemark(s), a.reviewState(s))
	return cmd
}

// room sets up the desk of an incident, with the figures of products and the rules in
// force.
func (ss *session) room(s *settings, inc *incident) (desk.Room, error) {
	a := ss.app
	p, err := s.products()
	if err != nil {
		return desk.Room{}, err
	}
	r, err := s.rules()
	if err != nil {
		return desk.Room{}, err
	}
	return desk.Room{
		Incident: inc.name, Catalogue: a.catalogue, Now: a.Now, Program: "tankside " + version().Version, Keys: ss, Paper: papersIn(ss.Dir()),
		Fit: func() error { return ss.fit(inc.id) },
		Fold: func(tl *events.Timeline) *projections.Incident {
			folded := projections.Fold(a.catalogue, tl, projections.WithProducts(p.table))
			findings.Judge(folded, tl, r.Book)
			return folded
		},
	}, nil
}

// fit says that the log of an incident is damaged, where it is: what is signed has to be
// what anybody can check.
func (ss *session) fit(id string) error {
	if slices.Contains(journal.Damaged(ss.Findings()), id) {
		return fmt.Errorf("nothing is signed: the log of %s is damaged; tankside verify names where, and tankside verify --repair brings back what both copies bear out", id)
	}
	return nil
}

// desk is the desk of an incident as it stands now.
func (ss *session) desk(s *settings, inc *incident) (*desk.Desk, error) {
	r, err := ss.room(s, inc)
	if err != nil {
		return nil, err
	}
	return r.At(inc.entries), nil
}

// written is a command of the review that saves what its arguments ask for.
func (a *App) written(s *settings, cmd *cobra.Command, args []string, ask func(args []string) desk.Ask) *cobra.Command {
	var scribe string
	cmd.Flags().StringVar(&scribe, "scribe", "", "`role` of whoever writes this")
	cmd.Annotations = map[string]string{usesRules: "yes", usesProducts: "yes"}
	cmd.Args = named(args...)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		return a.with(cmd.Context(), s, false, func(ss *session) error {
			inc, err := ss.pick(cmd.Context(), s)
			if err != nil {
				return err
			}
			d, err := ss.desk(s, inc)
			if err != nil {
				return err
			}
			p, err := d.Make(ask(args))
			if err != nil {
				return usage("%w%s", err, byFlag[err])
			}
			return ss.save(cmd, inc, d.Draft(a.Now(), scribe, p))
		})
	}
	return cmd
}

// byFlag says how what was missing is given here.
var byFlag = map[error]string{desk.ErrNoReason: "; give it with --why", desk.ErrNoRole: `: --role "Safety Officer"`}

// named asks for one argument a name, none of them empty.
func named(names ...string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		for i, name := range names {
			if i >= len(args) || strings.TrimSpace(args[i]) == "" {
				return usage("%s needs %s: %s", cmd.CommandPath(), name, cmd.UseLine())
			}
		}
		return atMost(len(names))(cmd, args)
	}
}

const sortHelp = "`sort` of finding: kept up, fix or open question"

func (a *App) reviewTake(s *settings) *cobra.Command {
	k := desk.Ask{Do: "take"}
	cmd := &cobra.Command{Use: "take ID", Short: "Take a finding into the report, in your words or the rule's"}
	cmd.Flags().StringVar(&k.Text, "text", "", "the finding in your `words`; the rule's own when left out")
	cmd.Flags().StringVar(&k.Sort, "sort", "", sortHelp)
	return a.written(s, cmd, []string{"the id of a finding"}, func(args []string) desk.Ask {
		k.Of = args[0]
		return k
	})
}

func (a *App) reviewDismiss(s *settings) *cobra.Command {
	k := desk.Ask{Do: "dismiss"}
	cmd := &cobra.Command{Use: "dismiss ID --why REASON", Short: "Leave a finding out of the report, and say why"}
	cmd.Flags().StringVar(&k.Why, "why", "", "the `reason`; it stands in the draft")
	return a.written(s, cmd, []string{"the id of a finding"}, func(args []string) desk.Ask {
		k.Of = args[0]
		return k
	})
}

func (a *App) reviewWrite(s *settings) *cobra.Command {
	k := desk.Ask{Do: "write"}
	cmd := &cobra.Command{Use: "write TEXT", Short: "Write a finding of your own; without entries it is printed as an opinion"}
	cmd.Flags().StringVar(&k.Name, "name", "", "`name` of the finding, to write it anew under; numbered when left out")
	cmd.Flags().StringVar(&k.Sort, "sort", "", sortHelp)
	cmd.Flags().StringVar(&k.Entries, "entries", "", "`numbers` of the entries it stands on, such as 167,171")
	return a.written(s, cmd, []string{"the finding in your words"}, func(args []string) desk.Ask {
		k.Text = args[0]
		return k
	})
}

func (a *App) reviewText(s *settings) *cobra.Command {
	cmd := &cobra.Command{
		Use: "text SECTION TEXT", Short: "Write a part of the report: title, summary, cause, well, fix or copies",
		ValidArgs: kinds.Sections,
	}
	return a.written(s, cmd, []string{"a section", "the text"}, func(args []string) desk.Ask {
		return desk.Ask{Do: "text", Of: args[0], Text: args[1]}
	})
}

func (a *App) reviewAction(s *settings) *cobra.Command {
	k := desk.Ask{Do: "action"}
	cmd := &cobra.Command{Use: "action TEXT", Short: "Recommend what is to be done, by whom and until when"}
	cmd.Flags().StringVar(&k.Of, "finding", "", "`id` or name of the finding it is about")
	cmd.Flags().StringVar(&k.Owner, "owner", "", "`role` of whoever sees to it")
	cmd.Flags().StringVar(&k.Due, "due", "", "`day` by which it is done")
	cmd.Flags().StringVar(&k.Status, "status", "", "how far it is, in `words`")
	return a.written(s, cmd, []string{"what is to be done"}, func(args []string) desk.Ask {
		k.Text = args[0]
		return k
	})
}

func (a *App) reviewComment(s *settings) *cobra.Command {
	k := desk.Ask{Do: "comment"}
	cmd := &cobra.Command{Use: "comment TEXT --role ROLE", Short: "Comment on the draft"}
	cmd.Flags().StringVar(&k.Role, "role", "", "`role` of whoever comments")
	cmd.Flags().StringVar(&k.Of, "about", "", "the finding, section or entry `meant`; the whole when left out")
	return a.written(s, cmd, []string{"the comment"}, func(args []string) desk.Ask {
		k.Text = args[0]
		return k
	})
}

func (a *App) reviewRemark(s *settings) *cobra.Command {
	cmd := &cobra.Command{Use: "remark FIGURE TEXT", Short: "Put a remark beside a number; the number stays as it is",
		Example: "  tankside review remark /volume/unaccounted \"within what the dip can tell\""}
	return a.written(s, cmd, []string{"a figure", "the remark"}, func(args []string) desk.Ask {
		return desk.Ask{Do: "remark", Of: args[0], Text: args[1]}
	})
}

func (a *App) reviewState(s *settings) *cobra.Command {
	k := desk.Ask{Do: "state"}
	cmd := &cobra.Command{Use: "state {draft | out}", Short: "Send the report out for comment, or take it back to being a draft"}
	cmd.Flags().StringArrayVar(&k.Recipient, "to", nil, "`role` it goes out to; may be given many times")
	return a.written(s, cmd, []string{"the state"}, func(args []string) desk.Ask {
		k.Of = args[0]
		return k
	})
}
