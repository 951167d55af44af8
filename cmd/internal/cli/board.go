package cli

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"tankside/projections"
)

// board prints a state on the terminal, section by section. It keeps the first
// error of writing.
type board struct {
	w   io.Writer
	s   projections.State
	day time.Time // midnight before the incident began
	err error
}

func newBoard(w io.Writer, s projections.State) *board {
	b := &board{w: w, s: s}
	if len(s.Benchmarks) > 0 {
		b.day = midnight(s.Benchmarks[0].At.Best)
	} else if s.AsOf != nil {
		b.day = midnight(*s.AsOf)
	}
	return b
}

func midnight(t time.Time) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, t.Location())
}

func (b *board) printf(format string, args ...any) {
	if b.err != nil {
		return
	}
	for i, arg := range args {
		if s, ok := arg.(string); ok {
			args[i] = legible(s)
		}
	}
	_, b.err = fmt.Fprintf(b.w, format, args...)
}

// table prints a table, or under its title that nothing was recorded.
func (b *board) table(g grid) {
	if len(g.rows) == 0 {
		b.printf("\n%s: %s\n", g.title, notRecorded)
		return
	}
	if b.err == nil {
		b.err = g.print(b.w)
	}
}

// list prints things after a name, and goes on below them where 80 columns are full.
func (b *board) list(name string, things []string) {
	line := "  " + name + " "
	indent := strings.Repeat(" ", len(line))
	for i, thing := range things {
		if i < len(things)-1 {
			thing += ","
		}
		if len(line)+len(thing) >= 80 && len(line) > len(indent) {
			b.printf("%s\n", line)
			line = indent
		}
		line += " " + thing
	}
	b.printf("%s\n", line)
}

// para writes a sentence, going on below its own beginning where 80 columns are full.
func (b *board) para(format string, args ...any) {
	text := strings.TrimLeft(fmt.Sprintf(format, args...), " ")
	for i, line := range lines(legible(text), wide-5) {
		b.printf("%s%s\n", strings.Repeat(" ", min(i, 1)*2+2), line)
	}
}

// clock writes the time of day of a moment, with +1 for the day after the one on
// which the incident began, and the doubt it may have.
func (b *board) clock(m projections.Moment) string {
	if m.IsZero() {
		return unknown
	}
	switch {
	case m.DayOnly():
		return m.Best.In(b.day.Location()).Format("2 Jan")
	case m.Soft():
		return "about " + b.time(m.Best)
	}
	return b.time(m.Best)
}

func (b *board) time(t time.Time) string {
	t = t.In(b.day.Location())
	text := t.Format("15:04")
	if days := int(midnight(t).Sub(b.day).Hours()+12) / 24; days != 0 && !b.day.IsZero() {
		text += fmt.Sprintf(" %+d", days)
	}
	return text
}

// orElse is text, or other when there is none.
func orElse(text, other string) string {
	if text == "" {
		return other
	}
	return text
}

// head says of what and of when the state is.
func (b *board) head() {
	b.printf("%s", strings.ToUpper(orElse(b.s.Incident, "no incident")))
	if b.s.Mode != "actual" {
		b.printf(" (%s)", strings.ToUpper(b.s.Mode))
	}
	b.printf("  %d entries", b.s.Entries)
	if b.s.AsOf != nil {
		b.printf("  as of %s (%s)", b.s.AsOf.Format(dayTime), offset(*b.s.AsOf))
	}
	if b.s.KnownAt != nil {
		b.printf("\n  as known at %s", b.s.KnownAt.Format(dayTime))
	}
	b.printf("\n")
}

// people says who is in now, who backs them up and when they were last counted,
// and lists everybody.
func (b *board) people() {
	acc := b.s.Accountability
	in := "no entry into the hot zone recorded"
	switch {
	case len(acc.In) > 0:
		in = strings.Join(acc.In, ", ")
	case slices.ContainsFunc(b.s.People, func(p projections.Person) bool { return p.Number > 0 }):
		in = "nobody, by the log"
	}
	b.printf("\nIN NOW  %s\n", in)
	if acc.Backup != nil {
		b.printf("BACKUP  pair %s (%s) since %s\n", acc.Backup.Pair, strings.Join(acc.Backup.Persons, ", "), b.clock(acc.Backup.Start))
	} else {
		b.printf("BACKUP  none named in the log\n")
	}
	if n := len(acc.RollCalls); n > 0 {
		last := acc.RollCalls[n-1]
		b.printf("PAR     %s: %s in, %s seen\n", b.clock(last.At), value(last.In), value(last.Seen))
	} else {
		b.printf("PAR     %s\n", notRecorded)
	}
	g := grid{title: "PEOPLE", heads: []string{"person", "", "trips", "min", "longest", "air used, psi", "psi/min"}, right: []int{2, 3, 4, 5, 6}}
	for _, p := range b.s.People {
		where := "out"
		if p.In {
			where = "IN"
		}
		if p.Number == 0 {
			where = "not in"
		}
		g.add(p.Person, where, fmt.Sprint(p.Number), value(p.Minutes), value(p.Longest), value(p.AirUsed), value(p.AirRate))
	}
	b.table(g)
}

// air lists the newest reading of each quantity at each place, and the worst where
// it was worse. For oxygen the least is the worst.
func (b *board) air() {
	g := grid{title: "AIR", heads: []string{"place", "at", "last read", "worst"}}
	places := map[string]int{}
	for _, a := range b.s.Air {
		if len(a.Readings) == 0 {
			continue
		}
		last, worst := a.Readings[len(a.Readings)-1], a.Max
		if a.Quantity == "O2" {
			worst = a.Min
		}
		row, known := places[a.Place]
		if !known {
			row = len(g.rows)
			places[a.Place] = row
			g.add(a.Place, b.clock(last.At), "", "")
		}
		cells := g.rows[row]
		read := a.Quantity + " " + amount(last.Value)
		if at := b.clock(last.At); at != cells[1] {
			read += " (" + at + ")"
		}
		cells[2] = joined(cells[2], read)
		if worst.Value != last.Value.Value {
			cells[3] = joined(cells[3], a.Quantity+" "+amount(worst))
		}
	}
	b.table(g)
	for _, a := range b.s.Air {
		if a.Every != nil && a.LongestGap.Known && a.LongestGap.Value > a.Every.Minutes.Value {
			b.para("%s, %s: no reading recorded for %s (%s); ordered %s: %s",
				a.Place, a.Quantity, amount(a.LongestGap), a.LongestGap.Method, b.clock(a.Every.At), a.Every.Rule)
		}
	}
}

func joined(list, more string) string { return strings.TrimPrefix(list+", "+unbroken(more), ", ") }

// amount writes the best value of a figure with its unit.
func amount(f projections.Figure) string { return unitText(value(f), f.Unit) }

// earth lists the paths to earth and the bonds with their newest reading.
func (b *board) earth() {
	g := grid{title: "GROUND AND BOND", heads: []string{"path", "place", "ohm", "limit", "", "at"}, right: []int{2, 3}}
	for _, p := range b.s.Grounding {
		ohm, limit, at := unknown, unknown, b.clock(p.Made)
		if n := len(p.Readings); n > 0 {
			last := p.Readings[n-1]
			ohm, limit, at = value(last.Resistance), value(last.Limit), b.clock(last.At)
		}
		g.add(p.Path, p.Place, ohm, limit, string(p.Verdict), at)
	}
	b.table(g)
	for _, p := range b.s.Grounding {
		if n := len(p.Readings); n > 0 && p.Verdict == projections.Past && p.Readings[n-1].Estimate != nil {
			b.moreRods(p, p.Readings[n-1].Estimate)
		}
	}
}

// moreRods says how many rods the limit would take, while a reading of rods is over it
// and no reading with more of them is within.
func (b *board) moreRods(p projections.EarthPath, e *projections.RodEstimate) {
	switch {
	case p.FixedIn != nil && p.FixedIn.Known:
	case e.Needed.Known:
		b.para("%s: about %s rods like it, a rod length apart, would come within %s ohm (even soil taken)", p.Place, value(e.Needed), value(p.Readings[len(p.Readings)-1].Limit))
	case e.Comes.Known:
		b.para("%s: %s", p.Place, strings.Join(e.Needed.Missing, "; "))
	}
}

// stops lists every time work was stopped.
func (b *board) stops() {
	g := grid{title: "STOPS", heads: []string{"from", "to", "min", "place", "why"}, right: []int{2}}
	for _, s := range b.s.Stops {
		to := b.clock(s.End)
		if s.End.IsZero() {
			to = "STOPPED"
		}
		g.add(b.clock(s.Start), to, value(s.Minutes), s.Place, s.Why)
	}
	b.table(g)
}

// gates says of each step what the log has in place before it. No record does not
// mean that it was not done.
func (b *board) gates() {
	byStep := map[string]map[projections.Standing][]string{}
	for i, g := range b.s.Gates {
		if i == 0 {
			b.printf("\nIN PLACE BEFORE EACH STEP\n")
		}
		if byStep[g.Step] == nil {
			byStep[g.Step] = map[projections.Standing][]string{}
		}
		byStep[g.Step][g.Record] = append(byStep[g.Step][g.Record], g.Need)
		if last := i == len(b.s.Gates)-1; !last && b.s.Gates[i+1].Step == g.Step {
			continue
		}
		b.printf("  %s, %s\n", g.Step, b.clock(g.At))
		for _, record := range []projections.Standing{projections.InPlace, projections.OnlyAfter, projections.NoRecord} {
			if needs := byStep[g.Step][record]; len(needs) > 0 {
				b.list(fmt.Sprintf("  %-11s", record), needs)
			}
		}
	}
}

// told lists who was told, and under which number.
func (b *board) told() {
	g := grid{title: "TOLD", heads: []string{"at", "min after", "who", "asked for", "number"}, right: []int{1}}
	for _, n := range b.s.Notifications {
		who := n.Who
		if n.Place != who {
			who = strings.Trim(n.Place+", "+who, ", ")
		}
		g.add(b.clock(n.At), value(n.After), who, n.Asked, n.Ref)
	}
	b.table(g)
}

// phases lists the phases that have begun; those nobody recorded are named below.
func (b *board) phases() {
	g := grid{title: "PHASES", heads: []string{"phase", "from", "to", "took"}}
	var missing []string
	for _, p := range b.s.Phases {
		if p.Start.IsZero() && p.End.IsZero() {
			missing = append(missing, p.Name)
			continue
		}
		g.add(p.Name, b.clock(p.Start), b.clock(p.End), took(p))
	}
	b.table(g)
	if len(missing) > 0 {
		b.para("%s: %s", notRecorded, strings.Join(missing, ", "))
	}
}

// took says how long a phase lasted, or which end of it nobody recorded.
func took(p projections.Phase) string {
	switch {
	case p.Start.IsZero():
		return "start " + notRecorded
	case p.End.IsZero() && !p.Elapsed.Known:
		return "end " + notRecorded
	case p.End.IsZero():
		return figure(p.Elapsed) + " so far"
	}
	return figure(p.Elapsed)
}

// delay writes seconds as a person says them.
func delay(f projections.Figure) string {
	if !f.Known || math.Abs(f.Value) < 120 {
		return figure(f)
	}
	return digits(math.Round(f.Value/60)) + " min"
}

// quality says how good the log itself is, and what the folds found odd.
func (b *board) quality() {
	q := b.s.Quality
	b.printf("\nTHE LOG\n")
	b.para("told after %s (median); %d told late; %d put right; %d struck; %d second witnesses; %d doubts open",
		delay(q.MedianDelay), len(q.Late), len(q.Revised), len(q.Struck), len(q.Joined), q.OpenDoubts)
	for _, n := range q.Unplaced {
		b.para("entry %d could not act: %s", n.Seq, n.Text)
	}
	for _, n := range b.s.Notes {
		b.para("entry %d: %s", n.Seq, n.Text)
	}
}
