package lines

import (
	"strings"

	"tankside/events/quantity"
)

// groundFrames are ground rods and bonds.
var groundFrames = []frame{
	{
		kind: "rod_driven", wants: 1, fits: rodGoesIn, where: rodPlace, fill: rodDriven, checks: []func(*line){rodOutOfTurn},
		says: []phrase{{"rod", 5}, {"rod in", 16}, {"driven", 10}, {"drove", 10}, {"second rod in", 24}, {"plate", 10}},
	},
	{
		kind: "resistance_read", placed: true, wants: 1, fits: readsOhms, where: resistancePlace, fill: resistance, checks: []func(*line){overLimit, strangeRod, farOhms, strangeTruck}, board: boardBond,
		says: []phrase{{"ohm", 14}, {"ohms", 14}, {"bond", 12}, {"no bond", 22}, {"bonds", 10}, {"rod", 5}, {"rods", 8}, {"ground", 6}, {"shell to", 12}, {"tank to", 6}, {"resistance", 12}},
	},
	{
		kind: "bond_made", fits: noNumber, says: []phrase{{"bonded", 13}, {"bond on", 20}, {"bond off", 20}, {"clamp on", 14}, {"cable on", 14}, {"unbonded", 14}},
		fill: func(l *line) {
			if l.says("off", "unbonded", "removed") {
				l.put("state", "removed")
			} else {
				l.presume("state", "connected")
				l.put("state", "connected")
			}
			if th, ok := l.find(truckSort); ok {
				l.put("to", th.name)
			}
		},
		where: func(l *line) string {
			if th, ok := l.find(truckSort); ok {
				return "Tank shell to " + th.name
			}
			return ""
		},
	},
}

// noNumber fits kinds that hold no reading.
func noNumber(l *line) int {
	if l.bare(-1) > 0 || l.says("no bond", "good", "bad") {
		return unfit
	}
	return 0
}

// rodGoesIn tells a rod that is driven from one that is read.
func rodGoesIn(l *line) int {
	if !l.has(rodSort) && !l.says("rod in", "rod driven", "drove rod", "ground rod", "plate in") {
		return unfit
	}
	if l.says("in", "driven", "drove", "deep", "watered", "wetted", "plate", "ft", "feet") && !l.says("ohm", "ohms") {
		return 10
	}
	return unfit
}

// readsOhms wants a number and something it can be the resistance of.
func readsOhms(l *line) int {
	if l.bare(-1) == 0 {
		if (l.has(truckSort) || l.has(rodSort)) && l.says("bond", "rod", "rods") && l.says("good", "bad", "no bond", "over") {
			return 0 // a verdict without its number
		}
		return unfit
	}
	if l.says("ohm", "ohms") || l.has(truckSort) && l.says("bond", "shell to") {
		return 10
	}
	if l.has(rodSort) || l.says("rods", "bond", "shell") {
		return 7
	}
	return unfit
}

// rod is the rod of the line: the one named, or the next.
func (l *line) rod() string {
	if th, ok := l.find(rodSort); ok {
		return th.name
	}
	name := "G" + string(rune('1'+min(len(l.ctx.Rods), 8)))
	l.presume("rod", name)
	return name
}

func rodPlace(l *line) string {
	name := "Rod " + l.rod()
	for i, t := range l.toks {
		if t.used || t.action || !leadsPlace[t.word] || t.word == "in" || i+1 >= len(l.toks) {
			continue
		}
		text, end := l.phraseAt(i+1, 1)
		l.use(i, end-i)
		return name + " " + t.word + " " + text
	}
	return name
}

// rodDriven reads how deep and in what.
func rodDriven(l *line) {
	if !l.takeAfter("depth", "", "in", "deep", "driven") {
		l.take("depth", "")
	}
	for i, t := range l.toks {
		if f := wordSet("gravel clay sand loam frozen fill asphalt topsoil"); f[t.word] && !l.said("soil") {
			l.put("soil", t.word)
			l.use(i, 1)
		}
	}
}

// path tells a reading of the ground from one of a bond.
func (l *line) path() string {
	if l.says("bond", "bonds", "shell", "tank") || l.has(truckSort) && !l.has(rodSort) {
		return "bond"
	}
	return "ground"
}

func resistancePlace(l *line) string {
	switch {
	case l.path() == "bond" && l.has(truckSort):
		th, _ := l.find(truckSort)
		return "Tank shell to " + th.name
	case l.path() == "bond":
		return "Tank shell to rods"
	case l.has(rodSort) && strings.Contains(l.rod(), "+"):
		return "Rods " + l.rod()
	case l.has(rodSort):
		return "Rod " + l.rod()
	case len(l.ctx.Rods) == 1:
		l.presume("where", "Rod "+l.ctx.Rods[0])
		return "Rod " + l.ctx.Rods[0]
	case len(l.ctx.Rods) > 1:
		all := strings.Join(l.ctx.Rods, "+")
		l.presume("where", "Rods "+all)
		return "Rods " + all
	}
	return ""
}

// resistance reads the ohms. The limit is the one that stood with the last reading.
func resistance(l *line) {
	path := l.path()
	l.put("path", path)
	_ = l.takeAfter("limit", "", "limit")
	l.verdict()
	if !l.take("resistance", "") {
		l.odd("No ohms are said.")
		return
	}
	limit := l.ctx.GroundLimit
	if path == "bond" {
		limit = l.ctx.BondLimit
	}
	if limit.Known && !l.said("limit") {
		l.presume("limit", "limit "+quantity.Digits(limit.Value)+" ohm")
		l.put("limit", quantity.Digits(limit.Value)+" ohm")
	}
	l.spare("bond")
}

// verdict is what somebody called the reading. What is denied goes before what is said:
// no good is not good.
func (l *line) verdict() {
	for _, v := range []struct{ phrase, result string }{
		{"no good", "bad"}, {"not good", "bad"}, {"no bond", "bad"}, {"not bad", "good"}, {"not over", "good"},
		{"good", "good"}, {"bad", "bad"}, {"over", "over"},
	} {
		if l.says(v.phrase) && !l.said("result") {
			l.put("result", v.result)
			for _, w := range strings.Fields(v.phrase) {
				if w != "bond" {
					l.spare(w)
				}
			}
		}
	}
}
