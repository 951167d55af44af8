package cli

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"tankside/events"
	"tankside/projections"
)

// findingsCommand prints what the rules find in the log.
func (a *App) findingsCommand(s *settings) *cobra.Command {
	var rule, severity string
	var list bool
	cmd := &cobra.Command{
		Use:   "findings",
		Short: "What was late, out of order, past a limit or not recorded, with the entries",
		Long: `What was late, out of order, past a limit or not recorded: facts with the entries
they stand on, for the chief to take or dismiss. Nobody is blamed; what was not
recorded may well have been done. A limit that an order set at the site goes before
the department's, and the department's before that of the trade.

A department changes the rules with a file, named by --rules or TANKSIDE_RULES, or
laid into the data folder as rules.yaml:

  rules:
    - rule: foam-overdue           # a name of tankside findings --rules-list
      limits: {due: 30}            # by the names listed there
      source: standing order 12
    - rule: heat-stress
      off: no suits on this team   # why; it stands in every report
    - rule: clock-off
      severity: caution            # info, caution or serious

Local procedure and the people licensed for the work go before anything printed here.`,
		Example: `  tankside findings
  tankside findings --severity serious
  tankside findings --rules-list`,
		Args:        noArgs,
		Annotations: map[string]string{looksBack: "yes", usesRules: "yes"},
		RunE: func(cmd *cobra.Command, _ []string) error {
			if list {
				return a.listRules(cmd, s)
			}
			r, err := s.rules()
			if err != nil {
				return err
			}
			pick, err := r.picker(rule, severity)
			if err != nil {
				return err
			}
			_, inc, err := a.look(cmd, s)
			if err != nil {
				return err
			}
			st := inc.State()
			st.Findings = slices.DeleteFunc(st.Findings, func(f projections.Finding) bool { return !pick(f) })
			if rule != "" {
				st.RulesOff = slices.DeleteFunc(st.RulesOff, func(o projections.RuleOff) bool { return o.Rule != rule && !strings.EqualFold(o.Ref, rule) })
			}
			if asJSON(cmd) {
				return a.printJSON(map[string]any{"findings": st.Findings, "rules_off": st.RulesOff, "rule_book": st.RuleBook})
			}
			b := newBoard(a.Out, st)
			b.findings(r)
			return b.err
		},
	}
	cmd.Flags().StringVar(&rule, "rule", "", "only the findings of that `rule`, by its name or number")
	cmd.Flags().StringVar(&severity, "severity", "", "only findings of that `severity` or worse: info, caution or serious")
	cmd.Flags().BoolVar(&list, "rules-list", false, "list every rule with its limits, source and whether it is on")
	return cmd
}

// listRules prints the rules in force.
func (a *App) listRules(cmd *cobra.Command, s *settings) error {
	r, err := s.rules()
	if err != nil {
		return err
	}
	if asJSON(cmd) {
		return a.printJSON(map[string]any{"file": r.file, "rule_book": r.Name(), "rules": r.info(), "not_answered": r.Silent})
	}
	return r.list(a)
}

// picker says which findings are asked for.
func (r *rules) picker(rule, severity string) (func(projections.Finding) bool, error) {
	worse := projections.Severity(severity).Rank()
	if severity != "" && worse == 0 {
		return nil, usage("--severity %s is none; it is info, caution or serious", severity)
	}
	named := func(name, ref string) bool { return rule == "" || name == rule || strings.EqualFold(ref, rule) }
	for _, known := range r.Rules {
		if named(known.Name, known.Ref) {
			return func(f projections.Finding) bool { return named(f.Rule, f.Ref) && f.Severity.Rank() >= worse }, nil
		}
	}
	return nil, usage("--rule %s: there is no such rule; tankside findings --rules-list names them all", rule)
}

// findings prints each finding with what was seen, the limit and the entries: the
// worst first, those of one rule together in the order of time.
func (b *board) findings(r *rules) {
	count := map[projections.Severity]int{}
	for _, f := range b.s.Findings {
		count[f.Severity]++
	}
	b.printf("FINDINGS  %d: %d serious, %d caution, %d info\n", len(b.s.Findings), count[projections.Serious], count[projections.Caution], count[projections.Info])
	b.para("Facts for the chief to take or dismiss. What was not recorded may well have been done.")
	for _, severity := range []projections.Severity{projections.Serious, projections.Caution, projections.Info} {
		if count[severity] > 0 {
			b.printf("\n%s\n", strings.ToUpper(string(severity)))
		}
		for _, group := range byRule(b.s.Findings, severity) {
			b.para("%s %s: %s", group[0].Ref, group[0].Rule, r.Rule(group[0].Rule).Title)
			for _, f := range group {
				b.item(fmt.Sprintf("%s  %s", b.span(f), f.Statement))
				b.item("  " + evidence(f))
			}
		}
	}
	if len(b.s.RulesOff) > 0 {
		b.printf("\nNOT HELD AGAINST THIS LOG\n")
	}
	for _, r := range b.s.RulesOff {
		b.para("%s %s: %s", r.Ref, r.Rule, r.Why)
	}
}

// item writes a line below a heading, going on below its own beginning where 80
// columns are full.
func (b *board) item(text string) {
	indent := len(text) - len(strings.TrimLeft(text, " ")) + 4
	text = strings.ReplaceAll(legible(strings.TrimLeft(text, " ")), " %", noBreak+"%")
	for i, line := range lines(text, wide-1-indent-2) {
		b.printf("%s%s\n", strings.Repeat(" ", indent+2*min(i, 1)), line)
	}
}

// byRule gathers the findings of a severity by their rule, in the order of the first
// of each.
func byRule(all []projections.Finding, severity projections.Severity) (out [][]projections.Finding) {
	at := map[string]int{}
	for _, f := range all {
		if f.Severity != severity {
			continue
		}
		i, known := at[f.Rule]
		if !known {
			i = len(out)
			at[f.Rule] = i
			out = append(out, nil)
		}
		out[i] = append(out[i], f)
	}
	return out
}

// span writes when a finding began and ended.
func (b *board) span(f projections.Finding) string {
	start, end := b.clock(f.Start), b.clock(f.End)
	switch {
	case f.End.IsZero():
		return start + " on"
	case start == end:
		return start
	}
	if _, day, next := strings.Cut(end, " +"); next {
		start = strings.TrimSuffix(start, " +"+day) // said once for both
	}
	return start + "-" + end
}

// evidence writes what was seen against the limit, what weakens it, and the entries.
func evidence(f projections.Finding) string {
	var parts []string
	if f.Observed.Known {
		parts = append(parts, "seen "+amount(f.Observed))
	}
	if f.Limit != nil {
		parts = append(parts, limitText(*f.Limit))
	}
	parts = append(parts, f.Confidence...)
	return strings.Join(append(parts, entriesText(f.From)), "; ")
}

// limitText writes a limit with who set it.
func limitText(t projections.Threshold) string {
	by := strings.TrimSpace(t.Source + " " + t.Edition)
	switch t.Status {
	case "site setting":
		by += ", " + entriesText(t.From)
	case "seen", "practice":
	default:
		by += ", " + t.Status
	}
	sense := map[string]string{">": "at most", ">=": "below", "<": "at least", "<=": "above"}[t.Op]
	return fmt.Sprintf("limit: %s %s (%s)", sense, unitText(digits(t.Value), t.Unit), by)
}

// entriesText names entries by their place in the log.
func entriesText(from []events.Seq) string {
	var out []string
	for i, n := range from {
		if i == 6 && len(from) > 7 {
			out = append(out, fmt.Sprintf("and %d more", len(from)-i))
			break
		}
		out = append(out, fmt.Sprintf("#%d", n))
	}
	if len(out) == 0 {
		return "no entry"
	}
	return strings.Join(out, " ")
}
