package cli

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections"
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

// desk is an incident with its state, for whoever writes over its report.
type desk struct {
	*incident
	folded *projections.Incident
	state  projections.State
}

// fold makes the desk of an incident as it stands now.
func (a *App) desk(s *settings, inc *incident) (*desk, error) {
	p, err := s.products()
	if err != nil {
		return nil, err
	}
	r, err := s.rules()
	if err != nil {
		return nil, err
	}
	_, folded := a.fold(inc, events.View{}, r.Book, projections.WithProducts(p.table))
	return &desk{inc, folded, folded.State()}, nil
}

// written is a command of the review that saves what make makes of its arguments.
func (a *App) written(s *settings, cmd *cobra.Command, args []string, make func(d *desk, args []string) (events.Payload, error)) *cobra.Command {
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
			d, err := a.desk(s, inc)
			if err != nil {
				return err
			}
			p, err := make(d, args)
			if err != nil {
				return err
			}
			return ss.save(cmd, inc, inc.deskDraft(a.Now(), scribe, p))
		})
	}
	return cmd
}

// deskDraft is an entry that is written now, at the desk.
func (inc *incident) deskDraft(now time.Time, scribe string, p events.Payload) events.Draft {
	now = now.Truncate(time.Second)
	now = now.In(inc.zone(now))
	d := events.Draft{ID: events.NewID(now), Incident: inc.name, Occurred: events.At(now), Reported: now, RecordedBy: scribe, Channel: events.Typed, Payload: p}
	if len(inc.entries) > 0 {
		d.Mode = inc.entries[0].Mode
	}
	return d
}

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

// finding is the rules' finding with the id.
func (d *desk) finding(id string) (projections.Finding, error) {
	for _, f := range d.state.Findings {
		if strings.EqualFold(f.ID, id) {
			return f, nil
		}
	}
	return projections.Finding{}, usage("there is no finding %q; tankside review list names the %d there are", id, len(d.state.Findings))
}

const sortHelp = "`sort` of finding: kept up, fix or open question"

func sortOf(text string) error {
	if text == "" || slices.Contains([]string{"kept up", "fix", "open question"}, text) {
		return nil
	}
	return usage("--sort %q is none; it is \"kept up\", fix or \"open question\"", text)
}

func (a *App) reviewTake(s *settings) *cobra.Command {
	var text, sort string
	cmd := &cobra.Command{Use: "take ID", Short: "Take a finding into the report, in your words or the rule's"}
	cmd.Flags().StringVar(&text, "text", "", "the finding in your `words`; the rule's own when left out")
	cmd.Flags().StringVar(&sort, "sort", "", sortHelp)
	return a.written(s, cmd, []string{"the id of a finding"}, func(d *desk, args []string) (events.Payload, error) {
		f, err := d.finding(args[0])
		return kinds.FindingTaken{Finding: f.ID, Statement: text, Sort: sort, Stood: d.folded.Review.Evidence(f)}, cmp.Or(err, sortOf(sort))
	})
}

func (a *App) reviewDismiss(s *settings) *cobra.Command {
	var why string
	cmd := &cobra.Command{Use: "dismiss ID --why REASON", Short: "Leave a finding out of the report, and say why"}
	cmd.Flags().StringVar(&why, "why", "", "the `reason`; it stands in the draft")
	return a.written(s, cmd, []string{"the id of a finding"}, func(d *desk, args []string) (events.Payload, error) {
		if strings.TrimSpace(why) == "" {
			return nil, usage("a finding is not dismissed without a reason; give it with --why")
		}
		f, err := d.finding(args[0])
		return kinds.FindingDismissed{Finding: f.ID, Why: why, Stood: d.folded.Review.Evidence(f)}, err
	})
}

func (a *App) reviewWrite(s *settings) *cobra.Command {
	var name, sort, entries string
	cmd := &cobra.Command{Use: "write TEXT", Short: "Write a finding of your own; without entries it is printed as an opinion"}
	cmd.Flags().StringVar(&name, "name", "", "`name` of the finding, to write it anew under; numbered when left out")
	cmd.Flags().StringVar(&sort, "sort", "", sortHelp)
	cmd.Flags().StringVar(&entries, "entries", "", "`numbers` of the entries it stands on, such as 167,171")
	return a.written(s, cmd, []string{"the finding in your words"}, func(d *desk, args []string) (events.Payload, error) {
		k := kinds.FindingWritten{Name: cmp.Or(name, d.nextName()), Statement: args[0], Sort: sort}
		var err error
		if k.Entry, err = d.numbers(entries); err != nil {
			return nil, err
		}
		k.Stood = d.folded.Review.EvidenceOf(k.Entry)
		return k, sortOf(sort)
	})
}

// numbers reads the numbers of entries and gives their ids.
func (d *desk) numbers(entries string) (ids []string, err error) {
	for _, n := range strings.FieldsFunc(entries, func(r rune) bool { return r == ',' || r == ' ' }) {
		id, err := d.number(n)
		if err != nil {
			return nil, usage("--entries: %w", err)
		}
		ids = append(ids, string(id))
	}
	return ids, nil
}

// nextName names a finding of the chief's that he gave no name.
func (d *desk) nextName() string {
	for n := 1; ; n++ {
		name := "own-" + strconv.Itoa(n)
		if !slices.ContainsFunc(d.state.Review.Findings, func(f projections.Reviewed) bool { return f.ID == name }) {
			return name
		}
	}
}

func (a *App) reviewText(s *settings) *cobra.Command {
	cmd := &cobra.Command{
		Use: "text SECTION TEXT", Short: "Write a part of the report: title, summary, cause, well, fix or copies",
		ValidArgs: kinds.Sections,
	}
	return a.written(s, cmd, []string{"a section", "the text"}, func(_ *desk, args []string) (events.Payload, error) {
		if !slices.Contains(kinds.Sections, args[0]) {
			return nil, usage("%q is no section; it is one of %s", args[0], strings.Join(kinds.Sections, ", "))
		}
		return kinds.SectionWritten{Section: args[0], Text: args[1]}, nil
	})
}

func (a *App) reviewAction(s *settings) *cobra.Command {
	var k kinds.RecommendationMade
	cmd := &cobra.Command{Use: "action TEXT", Short: "Recommend what is to be done, by whom and until when"}
	cmd.Flags().StringVar(&k.Finding, "finding", "", "`id` or name of the finding it is about")
	cmd.Flags().StringVar(&k.Owner, "owner", "", "`role` of whoever sees to it")
	cmd.Flags().StringVar(&k.Due, "due", "", "`day` by which it is done")
	cmd.Flags().StringVar(&k.Status, "status", "", "how far it is, in `words`")
	return a.written(s, cmd, []string{"what is to be done"}, func(d *desk, args []string) (events.Payload, error) {
		k.Action = args[0]
		if own := slices.ContainsFunc(d.state.Review.Findings, func(f projections.Reviewed) bool { return f.ID == k.Finding }); k.Finding == "" || own {
			return k, nil
		}
		f, err := d.finding(k.Finding)
		k.Finding = f.ID
		return k, err
	})
}

func (a *App) reviewComment(s *settings) *cobra.Command {
	var k kinds.CommentMade
	cmd := &cobra.Command{Use: "comment TEXT --role ROLE", Short: "Comment on the draft"}
	cmd.Flags().StringVar(&k.Role, "role", "", "`role` of whoever comments")
	cmd.Flags().StringVar(&k.About, "about", "", "the finding, section or entry `meant`; the whole when left out")
	return a.written(s, cmd, []string{"the comment"}, func(_ *desk, args []string) (events.Payload, error) {
		if strings.TrimSpace(k.Role) == "" {
			return nil, usage("say whose comment it is: --role \"Safety Officer\"")
		}
		k.Text = args[0]
		return k, nil
	})
}

func (a *App) reviewRemark(s *settings) *cobra.Command {
	cmd := &cobra.Command{Use: "remark FIGURE TEXT", Short: "Put a remark beside a number; the number stays as it is",
		Example: "  tankside review remark /volume/unaccounted \"within what the dip can tell\""}
	return a.written(s, cmd, []string{"a figure", "the remark"}, func(d *desk, args []string) (events.Payload, error) {
		stood, err := d.figure(args[0])
		return kinds.RemarkMade{Figure: args[0], Text: args[1], Stood: stood}, err
	})
}

// figure reads a number of the state by its JSON Pointer and writes it for reading.
func (d *desk) figure(pointer string) (string, error) {
	raw, err := json.Marshal(d.state)
	if err != nil {
		return "", err
	}
	var at any
	if err := json.Unmarshal(raw, &at); err != nil {
		return "", err
	}
	for _, key := range strings.Split(strings.TrimPrefix(pointer, "/"), "/") {
		key = strings.NewReplacer("~1", "/", "~0", "~").Replace(key)
		switch v := at.(type) {
		case map[string]any:
			at = v[key]
		case []any:
			n, err := strconv.Atoi(key)
			if at = nil; err == nil && n >= 0 && n < len(v) {
				at = v[n]
			}
		default:
			at = nil
		}
	}
	if f, ok := at.(map[string]any); ok {
		if value, known := f["value"].(float64); known {
			return strings.TrimSpace(digits(value) + " " + fmt.Sprint(cmp.Or(f["unit"], any("")))), nil
		}
		if _, figure := f["missing"]; figure {
			return "not known", nil
		}
	}
	if v, ok := at.(float64); ok {
		return digits(v), nil
	}
	return "", usage("%s is no number of the state; tankside state --json has them, and /volume/unaccounted is how one is named", pointer)
}

func (a *App) reviewState(s *settings) *cobra.Command {
	var to []string
	cmd := &cobra.Command{Use: "state {draft | out}", Short: "Send the report out for comment, or take it back to being a draft"}
	cmd.Flags().StringArrayVar(&to, "to", nil, "`role` it goes out to; may be given many times")
	return a.written(s, cmd, []string{"the state"}, func(_ *desk, args []string) (events.Payload, error) {
		state := map[string]string{"draft": "draft", "out": "out for comment", "out for comment": "out for comment"}[args[0]]
		if state == "" {
			return nil, usage("%q is no state to be set here; it is draft or out, and tankside sign signs", args[0])
		}
		return kinds.ReportMoved{State: state, To: to}, nil
	})
}
