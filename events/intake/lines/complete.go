package lines

import (
	"fmt"
	"slices"
	"strings"

	"tankside/events/kinds"
	"tankside/events/quantity"
)

// Complete offers ways to go on at caret, a byte place in line, the likeliest first, at
// most MostCompletions: whole lines that can come next, and then words.
func Complete(ctx Context, line string, caret int) []Completion {
	caret = min(max(caret, 0), len(line))
	if strings.TrimSpace(line[caret:]) != "" || len(line) > longest {
		return nil
	}
	var out []Completion
	add := func(from int, text, why string) {
		same := func(c Completion) bool { return c.From == from && c.Text == text }
		if len(out) < MostCompletions && !strings.EqualFold(line[from:caret], strings.TrimSpace(text)) && !slices.ContainsFunc(out, same) {
			out = append(out, Completion{From: from, To: caret, Text: text, Why: why})
		}
	}
	head := strings.ToLower(strings.TrimLeft(line[:caret], " "))
	start := caret - len(head)
	if i := strings.IndexByte(head, ' '); i > 0 {
		if _, ok := clockOf(head[:i]); ok { // behind a time
			start, head = start+i+1, head[i+1:]
		}
	}
	for _, n := range ctx.next() {
		if strings.HasPrefix(n.line, head) && len(n.line) > len(head) {
			add(start, n.line, n.why)
		}
	}
	ctx.completeSlip(line, caret, add, false)
	ctx.completeSpoken(line, caret, add)
	ctx.completeAsBefore(line, caret, add)
	ctx.completeTaught(line, caret, add)
	ctx.completeFields(line, caret, add)
	ctx.completeTrade(line, caret, add)
	ctx.completeSlip(line, caret, add, true)
	return out
}

// next is a line that can come next.
type next struct{ line, why string }

// next lists what can come next, the likeliest first.
func (ctx *Context) next() (out []next) {
	say := func(why, format string, args ...any) {
		out = append(out, next{strings.ToLower(fmt.Sprintf(format, args...)), why})
	}
	if len(ctx.Stops) > 0 {
		say("stopped: "+ctx.Stops[0].Why, "go again ")
		say("stopped: "+ctx.Stops[0].Why, "clear to go ")
	}
	for _, t := range ctx.Trucks {
		if t.BondBad {
			say("bond "+quantity.Digits(t.Bond.Value)+" ohm", "stop, %s, bond bad", t.Name)
		}
	}
	ctx.nextOpen(say)
	ctx.nextTransfer(say)
	in := ctx.nextPeople(say)
	ctx.nextHoles(say)
	ctx.nextTrucks(say)
	ctx.nextAir(say)
	ctx.nextFoam(say)
	say("", "par %d", in)
	say("", "decide ")
	say("", "stop, ")
	return out
}

type sayNext func(why, format string, args ...any)

// nextTransfer offers what can be told of the legs that run.
func (ctx *Context) nextTransfer(say sayNext) {
	for _, leg := range ctx.running("") {
		if ctx.vacuum(leg) {
			say(leg.ID+" is running", "vacuum off stick ")
			continue
		}
		say(leg.ID+" is running", "meter ")
		say(leg.ID+" is running", "pump off ")
		say(leg.ID+" is running", "%s meter ", leg.To)
		if strings.HasPrefix(leg.From, "C") {
			say(leg.ID+" is running", "%s is dry, ", leg.From)
		}
	}
	if len(ctx.running("")) > 0 {
		return
	}
	for _, h := range ctx.Holes {
		if h.Use == "liquid" && h.Through && !h.Plugged {
			for _, t := range ctx.Trucks {
				for _, hole := range t.Holes {
					if t.State == Here {
						say(h.ID+" is open", "pump on %s to %s%s", h.Compartment, t.Name, hole)
					}
				}
				if t.State == Here && len(t.Holes) == 0 {
					say(h.ID+" is open", "pump on %s to %s%s", h.Compartment, t.Name, ctx.lastMeter())
				}
			}
		}
	}
}

// lastMeter is the instrument of the last leg, as a line has it.
func (ctx *Context) lastMeter() string {
	if n := len(ctx.Legs); n > 0 && strings.HasPrefix(ctx.Legs[n-1].Meter, "skid") {
		return " " + ctx.Legs[n-1].Meter
	}
	return ""
}

// nextPeople offers who can come out and go in, and returns how many are in.
func (ctx *Context) nextPeople(say sayNext) (in int) {
	for _, p := range ctx.Pairs {
		if len(p.In) > 0 {
			in += len(p.In)
			say("pair "+p.Name+" is in", "p%s out ", p.Name)
		}
	}
	for _, p := range ctx.Pairs {
		if p.Backup && len(p.In) == 0 {
			say("pair "+p.Name+" is backup", "p%s in ", p.Name)
		}
	}
	for _, p := range ctx.Pairs {
		if len(p.In) == 0 {
			if !p.Backup {
				say("", "p%s in ", p.Name)
			}
			say("", "p%s backup", p.Name)
			if p.InRehab {
				say("pair "+p.Name+" is in rehab", "p%s cleared ", p.Name)
			} else if p.EverIn {
				say("", "p%s rehab ", p.Name)
			}
		}
	}
	return in
}

// nextHoles offers open holes to be plugged, as the last was, and the next to be drilled.
func (ctx *Context) nextHoles(say sayNext) {
	by := ""
	for i := len(ctx.Entries) - 1; i >= 0 && by == ""; i-- {
		if k, ok := ctx.Entries[i].Payload.(kinds.HolePlugged); ok {
			by = k.By
		}
	}
	for _, h := range ctx.Holes {
		if !h.Through || h.Plugged || h.Use != "liquid" {
			continue
		}
		say(h.ID+" is open", "%s plugged low", h.Compartment)
		if by != "" {
			say("as the last", "%s plugged low %s", h.Compartment, by)
		}
	}
	for _, c := range ctx.Compartments {
		open := ctx.openHoles(c.Name)
		use := func(u string) bool { return slices.ContainsFunc(open, func(h Hole) bool { return h.Use == u }) }
		if !use("vapour") {
			say("as the last", "%s vapor hole %s", c.Name, ctx.lastSize("vapour"))
		}
		if !use("liquid") {
			say("as the last", "%s liquid hole %s", c.Name, ctx.lastSize("liquid"))
		}
	}
}

// lastSize is the width of the last hole of that use, as a line has it.
func (ctx *Context) lastSize(use string) string {
	for i := len(ctx.Entries) - 1; i >= 0; i-- {
		if k, ok := ctx.Entries[i].Payload.(kinds.HoleDrilled); ok && k.Use == use && k.Size.Said() {
			return quantity.Digits(k.Size.Best) + " " + k.Size.Unit + " "
		}
	}
	return ""
}

// nextTrucks offers arrivals, checks, bonds, sticks and papers, as far as they have come.
func (ctx *Context) nextTrucks(say sayNext) {
	for _, t := range ctx.Trucks {
		switch t.State {
		case Expected:
			say("due "+t.ETA, "%s here", t.Name)
			say("due "+t.ETA, "%s eta ", t.Name)
		case Here:
			if !t.Checked {
				say("not checked yet", "%s checked last load ", t.Name)
			}
			if !t.Bond.Known || t.BondBad {
				say("no good bond yet", "bond %s ", t.Name)
			}
			ctx.nextPapers(t.Name, say)
		case Gone:
			say("", "%s scale ", t.Name)
		}
	}
}

// nextPapers offers what is left to do before a truck rolls: its stick, then its papers.
func (ctx *Context) nextPapers(truck string, say sayNext) {
	_, stuck := ctx.stuck(truck)
	signed := slices.ContainsFunc(ctx.latest("custody_passed", lookBack), func(e *Entry) bool { return e.Where == truck })
	switch {
	case signed:
		say("signed for", "%s rolling to ", truck)
		say("", "%s sticks ", truck)
	case stuck:
		say("its stick is read", "%s signed stick ", truck)
		say("", "%s rolling to ", truck)
		say("", "%s sticks ", truck)
	default:
		say("", "%s sticks ", truck)
		say("", "%s signed stick ", truck)
		say("", "%s rolling to ", truck)
	}
}

// nextAir offers the gases last read at each place, the latest place first; the place
// in short where that is enough.
func (ctx *Context) nextAir(say sayNext) {
	seen := map[string]bool{}
	for i := len(ctx.Entries) - 1; i >= 0 && len(seen) < 6; i-- {
		e := &ctx.Entries[i]
		k, ok := e.Payload.(kinds.AirRead)
		if !ok || e.Where == "" || seen[e.Where] {
			continue
		}
		seen[e.Where] = true
		gas := "lel"
		if k.Benzene.Said() {
			gas = "bz"
		}
		if thing, part, ok := strings.Cut(e.Where, " "); ok && len(thing) == 2 && strings.Contains(part, " ") && ctx.onlyPlace(part) {
			say("read before", "%s %s ", part, gas)
		}
		say("read before", "%s %s ", e.Where, gas)
	}
}

// onlyPlace reports whether one place alone ends in part.
func (ctx *Context) onlyPlace(part string) bool {
	n := 0
	for _, p := range ctx.Places {
		if strings.HasSuffix(p, " "+part) {
			n++
		}
	}
	return n == 1
}

// nextFoam offers foam where and as it was applied before, the latest place first.
func (ctx *Context) nextFoam(say sayNext) {
	seen := map[string]bool{}
	for i := len(ctx.Entries) - 1; i >= 0; i-- {
		e := &ctx.Entries[i]
		if k, ok := e.Payload.(kinds.FoamApplied); ok && e.Where != "" && k.Flow.Said() && k.Mix.Said() && !seen[e.Where] {
			seen[e.Where] = true
			say("as before", "foam %s %s gpm %s%% for ", e.Where, quantity.Digits(float64(k.Flow.Value())), quantity.Digits(float64(k.Mix.Value())))
		}
	}
}

// goesIn reports whether a line so far is of a pair that goes in.
func goesIn(line string) bool {
	words := strings.Fields(line)
	return len(words) > 2 && words[1] == "in" && isDigit(words[len(words)-1][0])
}

// lastWord is the word at the caret and where it begins; ok is false where it is too
// short to be completed, or no word.
func lastWord(line string, caret int) (part string, from int, ok bool) {
	from = strings.LastIndexByte(line[:caret], ' ') + 1
	part = strings.ToLower(line[from:caret])
	return part, from, part != "" && !isDigit(part[0]) && !strings.ContainsAny(part, "\"'(")
}

// completeTaught offers what the incident has taught: tasks, units, places, roles.
func (ctx *Context) completeTaught(line string, caret int, add func(from int, text, why string)) {
	part, from, ok := lastWord(line, caret)
	if !ok {
		return
	}
	if goesIn(line[:from]) {
		for _, task := range ctx.Tasks {
			if low := strings.ToLower(task); strings.HasPrefix(low, part) {
				add(from, low, "")
			}
		}
	}
	var hauliers []string
	for _, t := range ctx.Trucks {
		hauliers = append(hauliers, t.From)
	}
	for _, list := range [][]string{ctx.Units, hauliers, ctx.Places, ctx.Roles} {
		for _, known := range list {
			if low := strings.ToLower(known); (len(part) > 1 || lastOf(line[:from]) == "from") && strings.HasPrefix(low, part) && len(low) > len(part) {
				add(from, known, "")
			}
		}
	}
}

// completeTrade offers the words of the trade: first those that the last two words
// begin, as "on sc" does "on scene".
func (ctx *Context) completeTrade(line string, caret int, add func(from int, text, why string)) {
	part, from, ok := lastWord(line, caret)
	if !ok {
		return
	}
	if before := strings.TrimRight(line[:from], " "); before != "" {
		two := strings.LastIndexByte(before, ' ') + 1
		completePhrase(strings.ToLower(line[two:caret]), two, add)
	}
	completePhrase(part, from, add)
}

// completePhrase offers the words of the trade that begin as part does.
func completePhrase(part string, from int, add func(from int, text, why string)) {
	if len(part) < 2 {
		return
	}
	for _, w := range tradePhrases {
		if strings.HasPrefix(w, part) && len(w) > len(part) {
			add(from, w+" ", "")
		}
	}
}

// completeSlip offers to put the last slip in the line right: at the caret, where the
// word may not be finished yet, or before it.
func (ctx *Context) completeSlip(line string, caret int, add func(from int, text, why string), atCaret bool) {
	l := newLine(ctx, line[:caret], options{})
	l.correctSlips()
	if n := len(l.marks); n > 0 && (l.marks[n-1].To == caret) == atCaret {
		m := l.marks[n-1]
		add(m.From, m.What+line[m.To:caret], line[m.From:m.To]+" -> "+m.What+"?")
	}
}
