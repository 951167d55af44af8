package lines

import (
	"fmt"
	"strings"

	"tankside/events/quantity"
)

// leakFrames are leaks, damage and what is on the ground, and foam on it.
var leakFrames = []frame{
	{
		kind: "leak_seen", placed: true, holds: true, wants: 1, fits: leakFirst, where: leakPlace, fill: leakSeen,
		says: []phrase{{"leak", 10}, {"leaking", 12}, {"leaks", 10}, {"stream off", 20}, {"weeping", 8}, {"weeps", 8}, {"dripping", 8}},
	},
	{
		kind: "leak_rate", placed: true, holds: true, wants: 1, fits: rateOfLeak, where: leakPlace, fill: leakRate,
		checks: []func(*line){unlikeLeak}, says: []phrase{{"a minute", 8}, {"bucket", 14}, {"bucket check", 24}, {"cup every", 16}, {"cups every", 16}, {"gpm", 6}, {"leak rate", 24}},
	},
	{
		kind: "leak_slowed", placed: true, holds: true, wants: 1, where: leakPlace, fill: leakSlowed,
		says: []phrase{{"wedged", 14}, {"slowed", 12}, {"down to a drip", 24}, {"drip", 6}, {"dribbling", 8}, {"dribble", 8}},
	},
	{
		kind: "leak_stopped", placed: true, holds: true, fits: leakOver, where: leakPlace,
		says: []phrase{{"leak stopped", 26}, {"stopped leaking", 26}, {"leak is out", 30}, {"leak out", 20}, {"quit leaking", 22}, {"dry now", 14}, {"leak", 4}},
	},
	{kind: "damage_found", says: []phrase{{"torn", 8}, {"creased", 8}, {"damage", 10}}, fill: damage, where: func(*line) string { return "Tank" }, fits: withCompartment},
	{
		kind: "foam_applied", fits: foamFlows, fill: foam, where: (*line).place, board: boardFoam,
		checks: []func(*line){unlikeFoam}, says: []phrase{{"foam", 12}, {"foamed", 14}, {"foam on", 16}, {"foamed again", 24}, {"foaming", 12}, {"blanket", 8}},
	},
	{kind: "foam_supply", says: []phrase{{"foam left", 26}, {"concentrate left", 26}}, fill: func(l *line) { l.take("concentrate", "") }},
}

// leakFirst fits a leak that is called as such and runs.
func leakFirst(l *line) int {
	switch {
	case l.says("stopped", "out", "quit", "dry now", "stopped leaking"):
		return unfit
	case l.says("leak", "leaking", "leaks") && !l.says("leak rate", "bucket"):
		return 12
	}
	return 0
}

// leakOver fits a leak that runs no more.
func leakOver(l *line) int {
	if l.says("leak", "leaking") && l.says("stopped", "out", "quit") {
		return 20
	}
	return 0
}

func withCompartment(l *line) int {
	if l.has(compartmentSort) {
		return 4
	}
	return unfit
}

// leakPlace is where a leak is: the leak that runs at the compartment, where there is
// only one.
func leakPlace(l *line) string {
	name := l.compartmentNamed()
	p := l.placeOf(compartmentSort)
	if p == "" {
		return l.place()
	}
	if p != name {
		return l.canonical(p)
	}
	var at []string
	for _, k := range l.ctx.Leaks {
		if strings.HasPrefix(k.Where, name+" ") {
			at = append(at, k.Where)
		}
	}
	if len(at) == 1 {
		l.presume("where", at[0])
		return at[0]
	}
	return p
}

// compartmentNamed is the compartment of the line, "" when it names none: one written
// as such, or a small number where a compartment stands in trade speech.
func (l *line) compartmentNamed() string {
	if th, ok := l.find(compartmentSort); ok {
		return th.name
	}
	for i, t := range l.toks {
		if !t.num.small() || t.used || !l.standsForCompartment(i) {
			continue
		}
		name := "C" + t.num.text
		l.add(compartmentSort, name, i, 1)
		l.assume(i, i, name)
		return name
	}
	return ""
}

var (
	beforeCompartment = wordSet("in into plugged plug wedged drill drilled dip dipped from on off number out")
	afterCompartment  = wordSet("lid dome is dry plugged into to side low high crease plug valve outlet sound weeps leaks drilled wedged going out")
)

// standsForCompartment reports whether the small number at token i stands where a
// compartment does: "plugged four", "four lid", "four into r1".
func (l *line) standsForCompartment(i int) bool {
	if i > 0 && beforeCompartment[l.toks[i-1].word] && !l.toks[i-1].ends {
		return true
	}
	if i+1 == len(l.toks) {
		return i > 0 && l.toks[i-1].action
	}
	return !l.toks[i].ends && afterCompartment[l.toks[i+1].word]
}

// foamFlows keeps foam that is ordered, counted or wanted from being foam that flows.
func foamFlows(l *line) int {
	if l.says("ordered", "order", "left", "supply", "drums", "drum", "cans", "need", "send", "more foam", "foam now", "truck", "here", "arrived") {
		return unfit
	}
	return 0
}

func leakSeen(l *line) {
	l.perMinute("guess_rate", "drops")
	if l.says("guess") {
		l.put("trust", "guess")
	}
	_ = l.takeAfter("lost", "", "lost") || l.takeBefore("lost", "lost")
	l.takeUnit("lost")
}

// rateOfLeak keeps what runs into a truck from being a leak.
func rateOfLeak(l *line) int {
	if l.has(truckSort) || l.has(legSort) || l.says("strokes", "spm") {
		return unfit
	}
	return withNumber(l)
}

// perMinute reads a rate: drops where drops are said, gallons otherwise.
func (l *line) perMinute(rate, drops string) {
	for _, i := range l.numbers() {
		t := l.toks[i]
		if t.num.unit == "drops" || i+1 < len(l.toks) && strings.HasPrefix(l.toks[i+1].word, "drop") {
			l.number(drops, i, "")
			return
		}
		if u := t.num.unit; u == "a minute" || u == "gpm" {
			l.number(rate, i, "")
			return
		}
	}
}

// takeUnit puts the first unused number that has a unit of the field into key.
func (l *line) takeUnit(key string) {
	for _, i := range l.numbers() {
		f, ok := l.takes(key)
		if _, fits := unitOf(f, l.toks[i].num.unit); ok && fits && l.toks[i].num.unit != "" && !l.said(key) {
			l.number(key, i, "")
		}
	}
}

// leakRate reads a rate as said, or works it out from a bucket and a watch.
func leakRate(l *line) {
	if l.bucket() {
		return
	}
	l.perMinute("rate", "drops")
	l.take("rate", "")
	for _, w := range []string{"cup count", "bucket", "cup", "jar"} {
		if l.says(w) && !l.said("by") {
			l.put("by", w)
		}
	}
}

// bucket works a rate out from a volume and the time it took: "bucket 5 gal in 100 s",
// "a cup every 25 s".
func (l *line) bucket() bool {
	nums := l.numbers()
	from := max(l.at("bucket"), l.at("cup every"), l.at("cups every"))
	if from < 0 || len(nums) == 0 {
		return false
	}
	volume, seconds := quantity.Gallons(0), 0.0
	cup := l.at("cup every") >= 0
	if cup {
		volume = quantity.Gallons(1.0 / 16)
	} else if a, err := quantity.Parse[quantity.Gallons](l.toks[nums[0]].num.amount(l.toks[nums[0]].num.unit)); err == nil {
		volume, nums = a.Value(), nums[1:]
	}
	if len(nums) == 0 {
		return false
	}
	n := l.toks[nums[0]].num
	seconds = n.value
	if n.unit == "min" || n.unit == "minutes" || n.unit == "minute" || n.unit == "m" {
		seconds *= 60
	}
	if seconds <= 0 || volume <= 0 {
		return false
	}
	end := nums[0] + 1
	l.put("by", l.text(from, end))
	l.use(from, end-from)
	l.presume("rate", "worked out")
	return l.put("rate", fmt.Sprintf("%.3g gpm", float64(volume)/seconds*60))
}

func leakSlowed(l *line) {
	l.perMinute("rate", "drops")
	_ = l.takeAfter("before", "", "was")
	l.take("rate", "")
	by := []string{}
	for _, w := range []string{"wedge", "wedged", "putty", "plug", "clamp"} {
		if l.says(w) {
			by = append(by, strings.TrimSuffix(w, "d"))
			l.spare(w)
		}
	}
	if len(by) > 0 {
		l.put("by", strings.Join(by, " and "))
	}
}

// damage reads what was found at each compartment: "c4 gasket torn, c5 crease weeps, c1
// c2 sound".
func damage(l *line) {
	for _, part := range l.parts(0) {
		last := -1
		var names []string
		for _, th := range l.things {
			if th.sort == compartmentSort && th.at >= part[0] && th.at < part[1] {
				names, last = append(names, th.name), th.at
			}
		}
		if len(names) == 0 {
			continue
		}
		for last+1 < part[1] && l.toks[last+1].num.small() && l.toks[last+1].used {
			last++
		}
		text := strings.TrimRight(l.text(last+1, part[1]), ",;.")
		for _, n := range names {
			if text != "" {
				l.put(n, text)
			}
		}
		l.use(part[0], part[1]-part[0])
	}
}

// foam reads flow, minutes and mix, in that order where units do not tell.
func foam(l *line) {
	_ = l.takeAfter("ran", "min", "for", "ran")
	_ = l.takeAfter("mix", "%", "mix", "mixed", "at")
	for _, i := range l.numbers() {
		switch u := l.toks[i].num.unit; u {
		case "%", "percent":
			l.number("mix", i, "")
		case "gpm", "a minute", "lpm":
			l.number("flow", i, "")
		case "min", "mins", "minutes", "minute", "m":
			l.number("ran", i, "")
		}
	}
	l.takeUnit("solution")
	if !l.said("flow") {
		l.take("flow", "")
	}
	if !l.said("ran") {
		l.take("ran", "")
	}
}

func boardFoam(l *line) []string {
	flow, err := quantity.Parse[quantity.GallonsPerMinute](l.value("flow"))
	ran, err2 := quantity.Parse[quantity.Minutes](l.value("ran"))
	if err != nil || err2 != nil {
		return nil
	}
	solution := float64(flow.Value()) * float64(ran.Value())
	out := fmt.Sprintf("foam: %.0f gal of solution", solution)
	if mix, err := quantity.Parse[quantity.Percent](l.value("mix")); err == nil {
		out += fmt.Sprintf(", %s gal of concentrate", quantity.Digits(solution*float64(mix.Value())/100))
	}
	return []string{out}
}
