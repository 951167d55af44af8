// Package findings holds rules against the folded log: what was late, out of order,
// past a limit or not recorded, what is due next, and the few things that cannot
// wait. It states facts with the entries they stand on and leaves the ruling to the
// chief.
//
// A rule is a row in rules/FAMILY.yaml (name, number, limits with unit, source,
// edition and status) and a function in FAMILY.go, listed beside its name in the
// checks of the family. To add one:
//
//  1. Write the row. Levels are the limits the function asks for by name; a level
//     may have its own severity and source. "ordered" is the words that an order at
//     the site must hold for its number to replace the level from then on.
//  2. Write the function: func lateFoam(c *scene). It looks at c.inc (the folded
//     incident) and c.tl, walks entries with entries[kinds.FoamApplied](c), asks
//     c.limit("due", t) for the limit in force at t, finds stretches with
//     c.gaps(need, marks), and calls c.find(projections.Finding{...}) once for each
//     condition, not for each sample. Rule, number, severity, minutes, what clears
//     it, confidence and the id are filled in.
//  3. List it in the checks of the family, and give it a test.
//
// "N minutes without X" runs from the last X or from the start of what wants it, to
// the next X, the end of what wants it or the end of the log. Equal to the limit is
// not late.
package findings
