package report

import (
	"slices"

	"tankside/projections"
)

// ObjectiveRow is an objective against what came of it.
type ObjectiveRow struct {
	Set     *projections.Objective // nil where an outcome is of one that nobody logged
	Outcome *projections.Outcome   // nil while the chief has not written it
}

// Objectives are the objectives in the order in which they were set, each with its
// outcome, and behind them the outcomes of those that no entry set.
func (d Document) Objectives() (out []ObjectiveRow) {
	outcomes := d.State.Review.Outcomes
	placed := map[int]bool{}
	for i := range d.State.Command.Objectives {
		row := ObjectiveRow{Set: &d.State.Command.Objectives[i]}
		for j := range outcomes {
			if of := outcomes[j].Of; len(of) > 0 && slices.Contains(row.Set.At.From, of[0]) {
				row.Outcome, placed[j] = &outcomes[j], true
			}
		}
		out = append(out, row)
	}
	for j := range outcomes {
		if !placed[j] {
			out = append(out, ObjectiveRow{Outcome: &outcomes[j]})
		}
	}
	return out
}
