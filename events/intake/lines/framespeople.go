package lines

import (
	"fmt"
	"slices"
	"strings"

	"tankside/events"
	"tankside/events/quantity"
)

// peopleFrames are the kinds about entry teams.
var peopleFrames = []frame{
	{
		kind: "in_hot", where: noPlace, wants: 2, fits: withPeople, fill: crossed, checks: []func(*line){twoPairs, inTwice, unlikelyAir, unevenPair, strangePair, backSoon, doneTask}, board: boardCrossing,
		says: []phrase{{"in", 5}, {"going in", 12}, {"goes in", 12}, {"went in", 12}, {"back in", 12}, {"entry", 4}, {"inside", 6}, {"in hot", 20}, {"in hot zone", 26}},
	},
	{
		kind: "out_hot", where: noPlace, wants: 2, fits: withPeople, fill: crossed, checks: []func(*line){twoPairs, neverIn, unlikelyAir, unevenPair, hardBreathing, outBeforeIn}, board: boardCrossing,
		says: []phrase{{"out", 6}, {"coming out", 12}, {"came out", 12}, {"walked out", 12}, {"are out", 12}},
	},
	{
		kind: "backup_ready", where: noPlace, fits: withPeople, fill: pairAir,
		checks: []func(*line){backupIn, strangePair}, says: []phrase{{"backup", 12}, {"backup dressed", 24}, {"is backup", 20}, {"back up", 12}, {"standby", 10}},
	},
	{
		kind: "suited_up", where: noPlace, wants: 2, fits: withPeople, fill: pairAir,
		checks: []func(*line){unlikelyAir}, says: []phrase{{"dressed", 6}, {"suited", 8}, {"suiting up", 16}},
	},
	{
		kind: "pressure_read", where: noPlace, wants: 2, fits: withPeople, fill: pairAir,
		checks: []func(*line){unlikelyAir}, says: []phrase{{"air", 5}, {"psi", 4}, {"pressure", 9}, {"air check", 18}, {"bottle", 6}, {"bottles", 6}},
	},
	{
		kind: "rehab_in", where: noPlace, wants: 1, fits: withPeople, fill: vitals, checks: []func(*line){restsAlready, unlikelyPulse, neverOut},
		says: []phrase{{"rehab", 10}, {"in rehab", 22}, {"to rehab", 20}},
	},
	{
		kind: "rehab_out", where: noPlace, wants: 1, fits: withPeople, fill: vitals, checks: []func(*line){restsNot, unlikelyPulse},
		says: []phrase{{"out of rehab", 36}, {"cleared", 11}, {"fit", 6}, {"rehab out", 24}, {"released from rehab", 40}},
	},
	{
		kind: "roll_call", wants: 1, fill: rollCall,
		checks: []func(*line){unlikeCounted}, says: []phrase{{"par", 16}, {"roll call", 24}},
	},
	{kind: "decon_ready", wants: 1, says: []phrase{{"decon", 6}, {"decon ready", 24}, {"decon up", 22}}, fill: func(l *line) { l.take("lanes", "") }},
	{kind: "decon_done", fits: withPeople, says: []phrase{{"through decon", 26}, {"deconned", 14}, {"decon done", 22}}},
	{kind: "post_taken", fits: withPeople, checks: []func(*line){twoNamed}, says: []phrase{{"on the hose", 18}, {"on hose", 14}, {"tending", 10}, {"takes the hose", 22}}},
}

// noPlace is for kinds whose place says nothing that the kind does not.
func noPlace(*line) string { return "" }

// withPeople fits kinds that are of a pair or a person, named or by a number that
// begins the line.
func withPeople(l *line) int {
	if l.has(pairSort) || l.has(personSort) {
		return 8
	}
	if i := l.leading(); i >= 0 {
		return 4
	}
	return unfit
}

// leading is the small number that begins the line, -1 when none does.
func (l *line) leading() int {
	for i, t := range l.toks {
		if t.aside {
			continue
		}
		if t.num.small() && !t.used {
			return i
		}
		return -1
	}
	return -1
}

// people settles who is meant: the persons named, and the pair they are of.
func (l *line) people() (pair string, persons []string) {
	if i := l.leading(); i >= 0 && !l.has(pairSort) && !l.has(personSort) {
		l.guess = l.guess || l.toks[i].num.spoken // "two coming out" may be two people
		l.add(pairSort, l.toks[i].num.text, i, 1)
		l.assume(i, i, "pair "+l.toks[i].num.text)
	}
	if th, ok := l.find(pairSort); ok {
		pair = th.name
	}
	for _, th := range l.things {
		if th.sort == personSort && th.at < l.head() {
			persons = append(persons, th.name)
		}
	}
	if pair == "" && len(persons) > 0 {
		pair = persons[0][1 : len(persons[0])-1]
	}
	for _, th := range l.things {
		if th.sort == pairSort || th.sort == personSort {
			l.toks[th.at].pressed = true
		}
	}
	return pair, persons
}

// head is the token at which a phrase of another field begins: who is named behind it
// does not move.
func (l *line) head() int {
	for i := 1; i < len(l.toks); i++ {
		if l.toks[i-1].ends && l.opens(i) {
			return i
		}
	}
	return len(l.toks)
}

// members are the codes of a pair's people: those known, or A and B.
func (l *line) members(pair string) []string {
	if p := l.ctx.pair(pair); p != nil && len(p.Members) > 1 {
		return p.Members
	}
	return []string{"P" + pair + "A", "P" + pair + "B"}
}

// crossed reads who went in or came out, on what air and to do what.
func crossed(l *line) {
	l.pressures("")
	key := "task"
	if l.typ.Kind == "out_hot" {
		key = "note"
	}
	if l.typ.Kind == "in_hot" {
		l.takeAir()
	}
	l.takeRest(key)
}

// takeAir finds the sort of breathing air where somebody said it.
func (l *line) takeAir() {
	for _, w := range []string{"scba", "apr", "supplied air"} {
		if i := l.at(w); i >= 0 {
			l.put("air", strings.ToUpper(w))
			l.use(i, len(strings.Fields(w)))
		}
	}
}

// pressures gives each person the number behind the name, or the pair's people theirs
// in order. ending is what the keys end in.
func (l *line) pressures(ending string) {
	pair, persons := l.people()
	if pair != "" {
		l.put("pair", pair)
	}
	given := 0
	for _, th := range slices.Clone(l.things) {
		if th.sort != personSort || th.at >= l.head() {
			continue
		}
		if i := l.behind(th.at); i >= 0 {
			l.number(th.name+ending, i, "")
			given++
		}
	}
	who := persons
	if len(persons) == 0 && pair != "" {
		who = l.members(pair)
	}
	for _, p := range who {
		if given > 0 || len(l.numbers()) == 0 {
			break
		}
		l.nextFor(p + ending)
	}
	if n := len(l.typ.Values(l.payload)); given == 0 && len(persons) == 0 && pair != "" && n == 2 {
		l.guess = true // one number for two people
		l.hint("One number for two people; it is taken for the first.")
	}
	if f, ok := l.takes("person"); ok && f.Type == events.TextsField {
		for _, p := range persons {
			if !l.said(p + ending) {
				l.put("person", p)
			}
		}
	}
}

// nextFor puts the next bare number, or one in the unit's own scale, into key.
func (l *line) nextFor(key string) {
	for _, i := range l.numbers() {
		n := l.toks[i].num
		f, ok := l.takes(key)
		if !ok || n.small() {
			continue
		}
		if _, fits := unitOf(f, n.unit); n.unit == "" || fits {
			l.number(key, i, "")
			return
		}
	}
}

// behind is the number right behind token i, -1 when there is none.
func (l *line) behind(i int) int {
	for j := i + 1; j < len(l.toks) && j <= i+2; j++ {
		if l.toks[j].num != nil && !l.toks[j].used {
			return j
		}
		if l.toks[j].word != "at" && l.toks[j].word != "in" && l.toks[j].word != "out" && !phoneticWord(l.toks[j].word) {
			return -1
		}
	}
	return -1
}

func phoneticWord(w string) bool { return phonetic[w] != "" }

// pairAir reads a pair with its pressures.
func pairAir(l *line) { l.pressures("") }

// vitals reads pulses: of one person alone, or of a pair's people in order.
func vitals(l *line) {
	pair, persons := l.people()
	if pair != "" && len(persons) == 1 {
		l.put("person", persons[0])
		l.take("pulse", "")
	} else {
		l.pressures("_pulse")
	}
	if l.typ.Kind == "rehab_out" && l.says("cleared", "fit") {
		l.put("cleared", l.yesNo(max(0, l.at("cleared"))))
	}
}

// rollCall reads a count. How many are in is by the board.
func rollCall(l *line) {
	in, board := 0, false
	for _, p := range l.ctx.Pairs {
		in, board = in+len(p.In), true
	}
	_ = l.takeAfter("tags_turned", "", "tags turned", "tags") || l.takeBefore("tags_turned", "tags")
	_ = l.takeAfter("in", "", "in")
	if !l.take("seen", "") {
		l.odd("How many? The board has %d in.", in)
		return
	}
	_ = l.takeAfter("in", "", "of", "out of")
	if board && !l.said("in") {
		l.presume("in", fmt.Sprintf("%d in by the board", in))
		l.put("in", fmt.Sprint(in))
	}
}

func boardCrossing(l *line) []string {
	p := l.ctx.pair(l.value("pair"))
	if p == nil || l.typ.Kind != "out_hot" || p.Since.IsZero() || len(p.In) == 0 {
		if l.typ.Kind == "in_hot" {
			return []string{"pair " + l.value("pair") + " is in"}
		}
		return nil
	}
	stay := l.time.when.At.Sub(p.Since)
	out := []string{fmt.Sprintf("pair %s is out after %d min", p.Name, int(stay.Minutes()+0.5))}
	for _, who := range p.In {
		before, ok := p.Air[who]
		if a, err := quantity.Parse[quantity.PSI](l.value(who)); ok && err == nil {
			out = append(out, fmt.Sprintf("%s used %.0f psi", who, before-float64(a.Value())))
		}
	}
	return out
}
