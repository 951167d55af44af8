package lines

import (
	"strings"
)

// drillFrames are holes in the tank and what they are made with.
var drillFrames = []frame{
	{
		kind: "hole_drilled", placed: true, holds: true, fits: withHole, fill: drilled, where: drillPlace, checks: []func(*line){drillUngrounded, unlikeHole, drilledTwice, otherTask},
		says: []phrase{{"liquid hole", 26}, {"vapor hole", 26}, {"vapour hole", 26}, {"vent hole", 24}, {"drilled", 12}, {"hole in", 16}, {"through", 6}},
	},
	{
		kind: "hole_plugged", placed: true, holds: true, fits: withHole, fill: plugged, where: plugPlace, checks: []func(*line){whichHole, plugUndrilled, otherTask},
		says: []phrase{{"plugged", 14}, {"plug in", 14}, {"plug holds", 16}},
	},
	{kind: "gear_ready", says: []phrase{{"pump set", 18}, {"drill set", 18}, {"gear ready", 22}, {"compressor", 10}, {"air drill", 12}}, fits: setUp, fill: gear},
}

func withHole(l *line) int {
	if l.has(compartmentSort) || l.has(holeSort) || l.smallLeft() {
		return 6
	}
	return unfit
}

// smallLeft reports whether a small number is left that can name a compartment.
func (l *line) smallLeft() bool {
	for _, t := range l.toks {
		if t.num.small() && !t.used {
			return true
		}
	}
	return false
}

// setUp wants gear that is ready, or a pressure it stands at.
func setUp(l *line) int {
	if l.bare(-1) > 0 || l.says("set", "ready", "lined up", "in place") {
		return 0
	}
	return unfit
}

// holeUse is what the hole is for.
func (l *line) holeUse() string {
	switch {
	case l.says("vapor", "vapour", "vent", "high"):
		return "vapour"
	case l.says("liquid", "low", "suction"):
		return "liquid"
	}
	return ""
}

// holeCompartment is the compartment that the line's hole is in.
func (l *line) holeCompartment() string {
	if th, ok := l.find(holeSort); ok {
		return th.name[:strings.IndexByte(th.name, '-')]
	}
	return l.compartmentNamed()
}

func drillPlace(l *line) string {
	c := l.holeCompartment()
	for _, w := range []string{"low", "high", "side", "hole", "liquid", "vapor", "vapour"} {
		l.spare(w)
	}
	switch use := l.useOf(); {
	case c == "":
		return l.place()
	case use == "vapour":
		return c + " high side"
	case use == "liquid":
		return c + " low side"
	}
	return c
}

// useOf is what the hole is for, by its name where the line says no more.
func (l *line) useOf() string {
	if th, ok := l.find(holeSort); ok {
		if strings.HasSuffix(th.name, "-V") {
			return "vapour"
		}
		return "liquid"
	}
	return l.holeUse()
}

// drilled reads a hole: which, for what, how wide and what was lost.
func drilled(l *line) {
	c, use := l.holeCompartment(), l.useOf()
	if c != "" && use != "" && !l.has(holeSort) {
		name := c + "-" + map[string]string{"vapour": "V", "liquid": "L"}[use]
		l.presume("hole", "hole "+name)
		l.put("hole", name)
	}
	if use != "" {
		l.put("use", use)
	}
	l.spare("drill")
	l.inches()
	l.takeUnit("size")
	l.takeUnit("lost")
	_ = l.takeAfter("lost", "", "lost") || l.takeBefore("lost", "in the pan") || l.takeBefore("lost", "in pan")
	l.spare("pan")
	l.spareAll("in", "pan")
}

// inches gives a number the "in" behind it as its unit, unless a place follows.
func (l *line) inches() {
	for i := 0; i+1 < len(l.toks); i++ {
		t := l.toks[i]
		if t.num == nil || t.used || t.num.unit != "" || t.ends || l.toks[i+1].word != "in" {
			continue
		}
		last := i+2 == len(l.toks) || l.toks[i+1].ends || l.toks[i+2].num != nil || l.opens(i+2) || holeWords[l.toks[i+2].word]
		if last {
			n := *t.num
			n.unit = "in"
			l.toks[i].num = &n
			l.use(i+1, 1)
		}
	}
}

// spareAll passes over the words of a place that says nothing more.
func (l *line) spareAll(words ...string) {
	for _, w := range words {
		l.spare(w)
	}
}

// holeWords go on about the hole behind its width.
var holeWords = wordSet("hole liquid vapor vapour low high lost through")

// openHoles are the holes of a compartment that were drilled and not plugged.
func (ctx *Context) openHoles(compartment string) (out []Hole) {
	for _, h := range ctx.Holes {
		if h.Compartment == compartment && h.Through && !h.Plugged {
			out = append(out, h)
		}
	}
	return out
}

func plugPlace(l *line) string {
	l.spare("low")
	l.spare("high")
	return l.holeCompartment()
}

// plugged reads which hole was plugged, and with what.
func plugged(l *line) {
	if c := l.holeCompartment(); c != "" && !l.has(holeSort) {
		use := l.holeUse()
		open := l.ctx.openHoles(c)
		for _, h := range open {
			if len(open) == 1 || h.Use == use || use == "" && h.Use == "liquid" {
				l.presume("hole", "hole "+h.ID)
				l.put("hole", h.ID)
				break
			}
		}
	}
	for _, w := range []string{"tapered wood and putty", "wood and putty", "with", "by"} {
		if i := l.at(w); i >= 0 && !l.said("by") {
			if w == "with" || w == "by" {
				l.textAfter("by", i+1)
				continue
			}
			l.put("by", w)
			l.use(i, len(strings.Fields(w)))
		}
	}
}

func gear(l *line) {
	_ = l.takeAfter("compressor", "", "compressor at", "compressor")
}
