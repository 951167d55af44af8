package lines

import (
	"slices"
	"strings"

	"tankside/events"
)

// truckFrames are receiving trucks, units that come and go, and custody.
var truckFrames = []frame{
	{
		kind: "truck_ordered", wants: 2, fits: notHereYet, fill: truckOrdered, where: fromWhom,
		checks: []func(*line){hereTwice, unlikeETA}, says: []phrase{{"ordered", 10}, {"sending", 12}, {"usable", 10}, {"truck ordered", 22}, {"truck coming", 20}, {"coming", 6}},
	},
	{
		kind: "eta_changed", wants: 1, checks: []func(*line){unlikeETA, strangeTruck}, fits: withTruck, where: supplier, board: boardETA,
		says: []phrase{{"eta", 14}, {"now says", 20}, {"running late", 20}, {"delayed", 10}, {"now", 5}},
		fill: func(l *line) { l.fillETA() },
	},
	{
		kind: "truck_checked", checks: []func(*line){strangeTruck}, fits: withTruck, where: truckPlace,
		says: []phrase{{"checked", 12}, {"truck checked", 22}, {"clean and dry", 26}, {"last carried", 20}, {"drained", 10}, {"last load", 18}},
		fill: truckChecked,
	},
	{
		kind: "on_scene", fits: arrives, fill: comes, where: func(l *line) string { return l.placeNoThing() },
		checks: []func(*line){hereTwice, dueElsewhere}, says: []phrase{{"here", 9}, {"on scene", 22}, {"arrived", 12}, {"at staging", 18}, {"in staging", 18}, {"on site", 18}, {"pulled in", 18}, {"pulling in", 18}, {"pulled up", 18}, {"rolled in", 18}, {"staged here", 20}},
	},
	{
		kind: "left_scene", checks: []func(*line){unsignedTruck, strangeUnit}, fits: arrives, fill: goes, where: func(l *line) string { return l.placeNoThing() },
		says: []phrase{{"gone", 10}, {"rolling", 12}, {"left scene", 22}, {"left", 5}, {"released", 10}, {"cleared the scene", 28}, {"rolling to", 18}, {"gone to", 14}},
	},
	{
		kind: "custody_passed", fill: custody, where: truckPlace,
		checks: []func(*line){unlikeStick, stickOfAnother, strangeTruck, strangeBook}, says: []phrase{{"signed", 18}, {"papers signed", 30}, {"signed for", 20}},
	},
}

// notHereYet keeps a truck that is there from being one that is ordered.
func notHereYet(l *line) int {
	if l.says("here", "arrived", "on scene", "at staging", "pulled in") {
		return unfit
	}
	return withTruck(l)
}

func withTruck(l *line) int {
	if l.has(truckSort) {
		return 4
	}
	return -8
}

// arrives fits a truck, or a unit that is called by its name.
func arrives(l *line) int {
	if l.has(pairSort) || l.has(personSort) || l.says("pump off") || l.says("foam") && !l.says("truck", "foam truck") {
		return unfit
	}
	if l.has(truckSort) || l.unitText() != "" {
		return 4
	}
	if text, from, _ := l.comer(); text == "" || nobody[l.toks[from].word] {
		return unfit // "here is the plan", "who is on scene"
	}
	return -4
}

// nobody are words that begin a sentence and are nobody who comes or goes.
var nobody = wordSet("it there here who what where when how why if that this they're everything something anything")

// units are the words that begin the name of a unit.
var unitNames = wordSet("engine ladder medic battalion hazmat tanker tender rescue squad utility wrecker wreckers chief")

// unitText is the unit that the line names: "engine 7", or one that was taught.
func (l *line) unitText() string {
	for _, u := range l.ctx.Units {
		if l.at(strings.ToLower(u)) >= 0 {
			return u
		}
	}
	for i, t := range l.toks {
		if unitNames[t.word] && i+1 < len(l.toks) && l.toks[i+1].num.numbersUnit() {
			return strings.ToUpper(t.word[:1]) + t.word[1:] + " " + l.toks[i+1].num.text
		}
	}
	return ""
}

// fillUnits gives a kind that names units those of the line.
func (l *line) fillUnits() {
	if f, ok := l.takes("unit"); ok && f.Type == events.TextsField && !l.said("unit") && !l.said("truck") {
		l.takeUnits()
	}
}

// leadingText puts what stands before the words of the kind into key: "obrun heavy
// recovery here", "the mayor is here".
func (l *line) leadingText(key string) {
	if text, from, end := l.comer(); text != "" && l.toks[end].action {
		l.put(key, text)
		l.use(from, end-from)
	}
}

// comer is what stands before the first word that is understood, as text and as first
// and end tokens. A verb that joins it to that is no part of the text.
func (l *line) comer() (text string, from, end int) {
	for from < len(l.toks) && (l.toks[from].aside || small[l.toks[from].word]) {
		from++
	}
	end = from
	for end < len(l.toks) && !l.toks[end].action && !l.toks[end].used && !l.arrival(end) {
		end++
	}
	last := end
	for last > from && linking[l.toks[last-1].word] {
		last--
	}
	if end == len(l.toks) {
		return "", from, end
	}
	return strings.TrimRight(l.text(from, last), ",;."), from, end
}

// linking are the verbs and small words between who comes and that it came.
var linking = wordSet("is are was were has have had just now also already")

// arrival reports whether words of coming or going begin at token i.
func (l *line) arrival(i int) bool {
	return slices.ContainsFunc(index[l.toks[i].word], func(e indexed) bool {
		return (e.frame.kind == "on_scene" || e.frame.kind == "left_scene") && matches(l.toks[i:], e.words) > 0
	})
}

// takeUnits puts the units named into the field.
func (l *line) takeUnits() {
	for i := 0; i+1 < len(l.toks); i++ {
		if w := l.toks[i].word; unitNames[w] && l.toks[i+1].num.numbersUnit() && !l.toks[i].aside {
			l.put("unit", strings.ToUpper(w[:1])+w[1:]+" "+l.toks[i+1].num.text)
			l.use(i, 2)
		}
	}
	if l.said("unit") {
		return
	}
	if u := l.unitText(); u != "" {
		i := l.at(strings.ToLower(u))
		l.put("unit", u)
		l.use(i, len(strings.Fields(u)))
	}
}

func comes(l *line) {
	if th, ok := l.find(truckSort); ok {
		l.put("truck", th.name)
	} else if l.takeUnits(); !l.said("unit") {
		l.leadingText("unit")
	}
	_ = l.takeAfter("crew", "", "crew of", "crew", "with") || l.takeBefore("crew", "crew") || l.takeBefore("crew", "on board") || l.takeBefore("crew", "aboard")
	_ = l.takeBefore("wreckers", "wreckers")
}

func goes(l *line) {
	if th, ok := l.find(truckSort); ok {
		l.put("truck", th.name)
	} else if l.takeUnits(); !l.said("unit") {
		l.leadingText("unit")
	}
	if i := l.at("to"); i >= 0 && !l.toks[i].aside {
		l.textAfter("to", i+1)
	}
}

// placeNoThing is a place that is said for itself.
func (l *line) placeNoThing() string {
	if p := l.alone(); p != "" {
		return strings.ToUpper(p[:1]) + p[1:]
	}
	return ""
}

func truckPlace(l *line) string {
	if th, ok := l.find(truckSort); ok {
		return th.name
	}
	return ""
}

// supplier is who sends the truck of the line, as was said when it was ordered.
func supplier(l *line) string {
	if th, ok := l.find(truckSort); ok {
		if t := l.ctx.truck(th.name); t != nil {
			return t.From
		}
	}
	return ""
}

// fromWhom is the company behind "from".
func fromWhom(l *line) string {
	if i := l.at("from"); i >= 0 && !l.toks[i].aside && i+1 < len(l.toks) {
		text, end := l.phraseAt(i+1, 1)
		l.use(i, end-i)
		return text
	}
	return ""
}

func (l *line) fillETA() {
	for _, w := range []string{"eta", "due", "says", "now says", "now", "about"} {
		if i := l.at(w); i >= 0 && !l.said("eta") {
			l.clockAfter("eta", i+len(strings.Fields(w)))
		}
	}
	for i, t := range l.toks {
		if _, ok := clockOf(t.word); ok && !t.used && !l.said("eta") {
			l.clockAfter("eta", i)
		}
	}
}

func truckOrdered(l *line) {
	_ = l.takeBefore("usable", "usable") || l.takeAfter("usable", "", "usable")
	for i, t := range l.toks {
		if len(t.word) == 1 && t.word >= "a" && t.word <= "e" && i+1 < len(l.toks) && l.toks[i+1].num != nil && !l.toks[i+1].used {
			l.number(strings.ToUpper(t.word), i+1, "")
			l.use(i, 1)
		}
	}
	l.fillETA()
	if !l.said("A") {
		l.take("usable", "")
	}
}

func truckChecked(l *line) {
	for _, w := range []string{"last carried", "last load", "last"} {
		if i := l.at(w); i >= 0 && !l.said("last_load") {
			for j := i; j < i+len(strings.Fields(w)); j++ {
				l.toks[j].action = true
			}
			if j := i + len(strings.Fields(w)); j+1 < len(l.toks) && l.toks[j].word == "no" && l.toks[j+1].num != nil {
				l.put("last_load", l.text(j, j+2)) // a fuel oil by its number
				l.use(j, 2)
				continue
			}
			l.textAfter("last_load", i+len(strings.Fields(w)))
		}
	}
	for _, f := range [][2]string{{"dry", "clean"}, {"dry", "dry"}, {"drained", "drained"}} {
		if i := l.at(f[1]); i >= 0 && !l.said(f[0]) {
			l.put(f[0], l.yesNo(i))
			l.spare(f[1])
		}
	}
	for _, w := range []string{"vents good", "vents ok"} {
		if i := l.at(w); i >= 0 {
			l.put("vents", l.toks[i+1].word)
			l.use(i, 2)
		}
	}
	if i := l.at("no tare"); i >= 0 {
		l.put("tare_known", "no")
		l.use(i, 2)
	}
}

// custody reads a signature: the stick, the papers, and who has it now.
func custody(l *line) {
	for i, t := range l.toks {
		if !t.used && t.num == nil && strings.Contains(t.word, "-") && strings.ContainsAny(t.word, "0123456789") {
			l.put("paper", strings.ToUpper(l.raw[t.from:t.to]))
			l.use(i, 1)
			if i > 0 && l.toks[i-1].word == "paper" {
				l.use(i-1, 1)
			}
		}
	}
	_ = l.takeAfter("stick", "", "stick", "sticks")
	for i, t := range l.toks {
		if p := products[t.word]; p != "" && !t.used && !l.says("product") && !l.said("product") {
			l.put("product", p)
			l.use(i, 1)
		}
	}
	if i := l.at("disputed"); i > 0 {
		l.put("remark", l.text(i-1, i+1))
		l.use(i-1, 2)
	}
}

func boardETA(l *line) []string {
	t := l.ctx.truck(l.value("truck"))
	if t == nil || t.ETA == "" || !l.said("eta") {
		return nil
	}
	return []string{t.Name + " due " + l.value("eta") + " (was " + t.ETA + ")"}
}
