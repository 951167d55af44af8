package lines

import (
	"slices"
	"strings"
)

// commandFrames are what somebody decides, orders, stops or takes over.
var commandFrames = []frame{
	{
		kind: "stop_work", placed: true, fits: stops, fill: stop, where: func(*line) string { return "" }, board: boardStop,
		says: []phrase{{"stop", 12}, {"stop stop stop", 40}, {"stop work", 30}, {"everybody out", 30}, {"everyone out", 30}, {"stops work", 30}, {"stopping work", 30}, {"work stopped", 30}, {"stopped", 5}},
	},
	{
		kind: "signal_sounded", fill: signal, board: boardSignal,
		says: []phrase{{"mayday", 60}, {"man down", 60}, {"member down", 60}, {"evacuation signal", 60}, {"air horn", 40}, {"air horns", 40}, {"emergency traffic", 60}},
	},
	{
		kind: "resume_work", fits: noPump, fill: resume, where: stoppedPlace, board: boardResume,
		says: []phrase{{"go again", 24}, {"resume", 14}, {"clear to go", 30}, {"good to go", 24}, {"go", 5}, {"start again", 20}, {"resumed", 14}},
	},
	{
		kind: "decision", checks: []func(*line){sameTwice}, fits: atStart("decide", "decided", "decision"), fill: decide, where: func(*line) string { return "" },
		says: []phrase{{"decide", 34}, {"decided", 34}, {"decision", 30}, {"we go with", 36}},
	},
	{kind: "order_given", fits: atStart("order", "orders", "rule", "rules", "my"), fill: order, where: func(*line) string { return "" }, says: []phrase{{"order", 24}, {"orders", 24}, {"rule", 28}, {"rules", 28}, {"my numbers", 30}}},
	{
		kind: "command_taken", checks: []func(*line){strangeUnit}, fits: takesCommand, fill: command, says: []phrase{{"command", 4}, {"has command", 26}, {"takes command", 26}, {"command taken", 26}, {"command passed", 26}, {"assumes command", 26}},
	},
	{kind: "command_ended", fill: noFields, says: []phrase{{"command closed", 26}, {"command is closed", 36}, {"command ended", 26}, {"command terminated", 26}}},
	{kind: "zones_set", wants: 1, fits: zonesOnly, says: []phrase{{"hot line", 14}, {"hot zone", 10}, {"zones", 12}, {"hot", 4}}, fill: zones},
	{kind: "people_moved", fill: moved, says: []phrase{{"evac", 12}, {"evacuated", 14}, {"evacuating", 12}, {"evacuation", 12}, {"shelter in place", 30}}},
	{kind: "call_made", fill: call, says: []phrase{{"called", 9}, {"notified", 12}, {"spill line", 14}, {"asked for", 14}, {"on the phone with", 30}}, where: func(*line) string { return "" }},
	{kind: "handover", where: noPlace, fits: atStart("handover", "hand", "relief", "new", "shift"), fill: handover, says: []phrase{{"handover", 26}, {"hand over", 26}, {"shift change", 26}, {"new scribe", 26}, {"relief", 8}}},
}

// atStart fits a kind that is announced: one of its words begins the line.
func atStart(words ...string) func(l *line) int {
	return func(l *line) int {
		for _, w := range words {
			if i := l.at(w); i >= 0 && l.begins(i) {
				return 0
			}
		}
		return -20
	}
}

// noPump keeps the stopping of a pump from being a stop of work.
func noPump(l *line) int {
	if l.says("pump", "pumping", "leak", "leaking") {
		return -20
	}
	return 0
}

// stops fits a stop that is called: the word begins the line.
func stops(l *line) int {
	if i := l.at("stop"); i >= 0 && l.begins(i) && !l.says("pump", "pumping") {
		return 30
	}
	return noPump(l)
}

// stop reads where and why: "stop, hose line, benzene".
func stop(l *line) {
	l.markActions()
	var why []string
	for n, part := range l.parts(0) {
		from, end := part[0], part[1]
		for from < end && (l.toks[from].action || small[l.toks[from].word] || l.toks[from].word == "stop" || l.toks[from].word == "work") {
			from++
		}
		if from == end || n > 0 && l.opens(from) {
			continue
		}
		start := from
		for k := end; k > from && l.where == ""; k-- {
			if l.isPlace(from, k) {
				l.where = l.canonical(l.spell(from, k))
				from = k
			}
		}
		if text := strings.TrimRight(l.text(from, end), ",;."); text != "" {
			why = append(why, text)
		}
		l.use(start, end-start)
	}
	if len(why) > 0 {
		l.put("why", strings.TrimPrefix(strings.Join(why, ", "), "because "))
	}
}

// markActions takes every word that was said for the kind as such.
func (l *line) markActions() {
	for i := range l.toks {
		l.toks[i].used = l.toks[i].used || l.toks[i].action
	}
}

// isPlace reports whether tokens name a place: known words of places, or a thing.
func (l *line) isPlace(from, end int) bool {
	place := false
	for i := from; i < end; i++ {
		switch {
		case placeWords[l.toks[i].word] || standing[l.toks[i].word] || l.thingAt(i):
			place = true
		case l.toks[i].used || small[l.toks[i].word]:
		case l.toks[i].num.small():
		default:
			return false
		}
	}
	return place
}

func (l *line) thingAt(i int) bool {
	return slices.ContainsFunc(l.things, func(th thing) bool { return th.at == i })
}

// spell is the raw line from token from to before token end, with things that are
// written as a code by their names: "c4 c5" is C4 C5, "1a for 4a" P1A for P4A.
func (l *line) spell(from, end int) string {
	text, at := "", l.toks[from].from
	for i := from; i < end; i++ {
		for _, th := range l.things {
			if t := l.toks[i]; th.at == i && strings.HasSuffix(strings.ToLower(th.name), t.word) && t.num == nil {
				text += l.raw[at:t.from] + th.name
				at = t.to
			}
		}
	}
	return oneBlank(text + l.raw[at:max(at, l.toks[end-1].to)])
}

func boardStop(l *line) []string {
	return []string{strings.TrimSpace("STOPPED " + l.where)}
}

// signal reads the call for help or the signal to get out, the words behind it as its
// reason; with "clear" or "tested" in the line it is that.
func signal(l *line) {
	for _, w := range []string{"mayday", "man down", "member down", "evacuation signal", "air horns", "air horn", "emergency traffic"} {
		if l.at(w) >= 0 && !l.said("signal") {
			l.put("signal", w)
		}
	}
	switch {
	case l.says("all clear", "cleared"): // "over" ends a message, not a call for help
		l.put("state", "all clear")
	case l.says("test", "tested", "testing"):
		l.put("state", "tested")
	default:
		l.put("state", "sounded")
	}
}

func boardSignal(l *line) []string {
	return []string{strings.ToUpper(l.value("signal")) + ", " + l.value("state")}
}

// stoppedPlace is where work was stopped that goes on now.
func stoppedPlace(l *line) string {
	if p := l.place(); p != "" {
		return p
	}
	if len(l.ctx.Stops) == 1 {
		l.presume("where", l.ctx.Stops[0].Where)
		return l.ctx.Stops[0].Where
	}
	return ""
}

func resume(l *line) {
	l.markActions()
	if len(l.ctx.Stops) == 0 && len(l.ctx.Entries) > 0 {
		l.odd("Nothing is logged as stopped.")
	}
	_ = l.takeAfter("bond", "", "bond") || l.takeAfter("benzene", "", "benzene", "bz") || l.takeAfter("LEL", "", "lel")
	if len(l.numbers()) == 0 {
		l.takeRest("why")
	}
}

func boardResume(l *line) []string {
	if len(l.ctx.Stops) == 1 {
		return []string{strings.TrimSpace("the stop " + l.ctx.Stops[0].Where + " is over")}
	}
	return nil
}

// decide reads a choice, what it was preferred to, the grounds and who decided.
func decide(l *line) {
	l.markActions()
	for n, part := range l.parts(0) {
		from, end := part[0], part[1]
		for from < end && (l.toks[from].action || l.toks[from].word == "to") {
			from++
		}
		if from == end || l.opens(from) {
			continue
		}
		if role, k := l.roleAt(from); k > 0 && from+k >= end && n > 0 {
			l.put("by", role)
			l.use(from, end-from)
			continue
		}
		l.choice(from, end)
	}
}

// choice reads one part of a decision.
func (l *line) choice(from, end int) {
	cut, n := end, 0
	for i := from; i < end; i++ {
		for _, w := range []string{"instead of", "not", "rather than", "over", "because", "since"} {
			if m := matches(l.toks[i:end], w); m > 0 && i > from && n == 0 {
				cut, n = i, m
			}
		}
	}
	key, other := "choice", "instead_of"
	if n > 0 && (l.toks[cut].word == "because" || l.toks[cut].word == "since") {
		other = "grounds"
	}
	if l.said(key) {
		key = "grounds"
	}
	l.put(key, strings.TrimRight(l.text(from, cut), ",;."))
	if n > 0 {
		l.put(other, strings.TrimRight(l.text(cut+n, end), ",;."))
	}
	l.use(from, end-from)
}

// order reads each part of the line as a rule.
func order(l *line) {
	l.markActions()
	for _, part := range l.parts(0) {
		from, end := part[0], part[1]
		for from < end && l.toks[from].action {
			from++
		}
		if from < end && l.opens(from) {
			continue
		}
		if text := strings.TrimRight(l.text(from, end), ",;."); text != "" {
			l.put("rule", text)
			l.use(from, end-from)
		}
	}
}

func command(l *line) {
	l.takeUnits()
	if i := l.at("command"); i >= 0 {
		l.presume("role", "IC")
		l.put("role", "IC")
	}
}

// takesCommand fits whoever takes or has command, with its name between: "has Quarry
// Command".
func takesCommand(l *line) int {
	if l.says("takes", "has", "assumes", "taking", "took") && l.says("command") {
		return 16
	}
	return 0
}

func noFields(*line) {}

// moved counts houses and people.
func moved(l *line) {
	_ = l.takeBefore("buildings", "houses") || l.takeBefore("buildings", "homes") || l.takeBefore("buildings", "buildings")
	_ = l.takeBefore("people", "people") || l.takeBefore("people", "residents")
}

// zonesOnly keeps people in the hot zone from being its radius.
func zonesOnly(l *line) int {
	if l.has(pairSort) || l.has(personSort) {
		return unfit
	}
	return withNumber(l)
}

func zones(l *line) {
	for _, key := range []string{"hot", "warm", "cold"} {
		_ = l.takeAfter(key, "", key+" line", key+" zone", key)
	}
	for _, w := range []string{"access", "come in from", "enter from"} {
		if i := l.at(w); i >= 0 && !l.said("access") {
			l.textAfter("access", i+len(strings.Fields(w)))
		}
	}
}

// call reads who was called, or asked for what.
func call(l *line) {
	for i, t := range l.toks {
		if !t.used && t.num == nil && strings.Contains(t.word, "-") && strings.ContainsAny(t.word, "0123456789") {
			l.put("ref", strings.ToUpper(l.raw[t.from:t.to]))
			l.use(i, 1)
		}
	}
	l.markActions()
	if l.says("asked for") {
		l.takeRest("asked_for")
		return
	}
	if l.leadingText("who"); !l.said("who") {
		l.takeRest("who")
	}
}

func handover(l *line) {
	l.markActions()
	for _, part := range l.parts(0) {
		from := part[0]
		for from < part[1] && l.toks[from].action {
			from++
		}
		if from < part[1] && l.toks[from].word == "open" {
			l.put("open", strings.TrimRight(l.text(from+1, part[1]), ",;."))
			l.use(from, part[1]-from)
		}
	}
}
