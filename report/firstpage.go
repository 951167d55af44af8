package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tankside/events"
	"tankside/projections"
)

// Verdict is what became of people and product, a sentence each.
func (d Document) Verdict() []string {
	product := productVerdict(d.State.Volume.Unaccounted, d.State.Volume.Load)
	if d.Public() {
		return []string{product}
	}
	return []string{d.harmVerdict(), product}
}

func (d Document) harmVerdict() string {
	harm := len(d.Harm())
	switch n := len(d.State.Accountability.Injuries); {
	case n == 1:
		return "One injury or exposure is logged."
	case n > 1:
		return fmt.Sprintf("%d injuries or exposures are logged.", n)
	case harm == 1:
		return "No injury is recorded as such; one entry speaks of somebody who may have been hurt or exposed."
	case harm > 1:
		return fmt.Sprintf("No injury is recorded as such; %d entries speak of somebody who may have been hurt or exposed.", harm)
	}
	return "No injury or exposure is recorded."
}

// productVerdict says whether the load is accounted for. Bounds on both sides of
// nothing are no loss and no surplus: the readings cannot tell.
func productVerdict(left, load projections.Figure) string {
	bounded := left.Known || len(limits(left)) > 0
	switch {
	case bounded && left.High < 0:
		return "More product is accounted for than there was."
	case bounded && left.Low > 0:
		return "Part of the product is not accounted for."
	case left.Known:
		return "The product is accounted for, within the doubt of what was measured."
	case load.Known:
		return "Whether the product is accounted for cannot be said yet."
	}
	return "What became of the product is not recorded."
}

// Point is something kept up or to fix, as the first page names it.
type Point struct {
	Text  string
	From  []events.Seq
	Again int                  // how many more like it
	Found *projections.Finding // by the rules, where the text does not say when; nil else
}

// Points are what the first page says went well or is to be put right: in the chief's
// own text, else what he took or wrote, else the strongest there is by the log.
type Points struct {
	Title     string
	Own       *projections.Written // nil where he wrote none
	List      []Point
	Candidate bool // nobody has taken them yet
}

// ofOne is how many points the first page names of a sort.
const ofOne = 3

// FirstPoints are the two lists of points of the first page.
func (d Document) FirstPoints() []Points {
	well := Points{Title: "Kept up", Own: d.Chief("well"), List: d.taken("kept up")}
	fix := Points{Title: "To fix", Own: d.Chief("fix"), List: d.taken("fix")}
	if well.Own == nil && len(well.List) == 0 {
		well.List, well.Candidate = d.strengths(), true
	}
	if fix.Own == nil && len(fix.List) == 0 && !d.Public() {
		fix.List, fix.Candidate = d.faults(), true
	}
	for _, p := range []*Points{&well, &fix} {
		p.List = p.List[:min(len(p.List), ofOne)]
	}
	return []Points{well, fix}
}

// taken are the findings that the chief took or wrote as being of a sort.
func (d Document) taken(sort string) (out []Point) {
	for _, f := range d.State.Review.Findings {
		if f.Sort == sort && f.Verdict != "dismissed" {
			out = append(out, Point{Text: f.Statement, From: f.At.From})
		}
	}
	return out
}

// faults are the strongest kinds of findings of the rules: the serious first, among them
// those held against a limit that somebody set or that was read in its source.
func (d Document) faults() (out []Point) {
	groups := d.FindingGroups()
	firm := func(g FindingGroup) int {
		if g.Limit != nil && (g.Limit.Status == "seen" || g.Limit.Status == "site setting") {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(groups, func(a, b FindingGroup) int {
		return cmp.Or(cmp.Compare(b.Severity.Rank(), a.Severity.Rank()), cmp.Compare(firm(a), firm(b)))
	})
	for _, g := range groups {
		if g.Severity != projections.Info {
			first := &g.Findings[0]
			p := Point{Text: first.Statement, From: first.From, Again: len(g.Findings) - 1}
			if !strings.Contains(first.Statement, d.times.clock(first.Start.Best)) {
				p.Found = first
			}
			out = append(out, p)
		}
	}
	return out
}

// strengths are what the log shows to have been done in time: steps with all they need
// in place before, paths to earth that were put right, and how soon things were told.
func (d Document) strengths() (out []Point) {
	for _, step := range d.wholeSteps() {
		from := make([]events.Seq, 0, len(step))
		needs := make([]string, 0, len(step))
		for _, g := range step {
			needs, from = append(needs, g.Need), append(from, g.Met.From...)
		}
		out = append(out, Point{Text: fmt.Sprintf("all on the list was in place before the %s: %s", step[0].Step, strings.Join(needs, ", ")), From: from})
	}
	for n := 1; n < len(out); n++ {
		out[0].Again++
	}
	out = out[:min(len(out), 1)]
	for _, p := range d.State.Grounding {
		if p.FixedIn != nil && p.FixedIn.Known {
			out = append(out, Point{Text: fmt.Sprintf("%s, %s: within the limit %s after it was found over it", p.Path, p.Place, number(*p.FixedIn)), From: p.FixedIn.From})
		}
	}
	if q := d.State.Quality.MedianDelay; q.Known && d.State.Entries >= 10 {
		out = append(out, Point{Text: "half of what happened was told within " + number(q), From: q.From})
	}
	return out
}

// wholeSteps are the gates of each step of which none is without its record.
func (d Document) wholeSteps() (out [][]projections.Gate) {
	for rest := d.State.Gates; len(rest) > 0; {
		n := 1
		for n < len(rest) && rest[n].Step == rest[0].Step {
			n++
		}
		if !slices.ContainsFunc(rest[:n], func(g projections.Gate) bool { return g.Record != projections.InPlace }) {
			out = append(out, rest[:n])
		}
		rest = rest[n:]
	}
	return out
}
