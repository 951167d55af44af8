package lines

import (
	"fmt"
	"strconv"
	"strings"
)

// recordFrames are about the log itself, and what happens at the end.
var recordFrames = []frame{
	{kind: "mishap", fits: newMishap, fill: mishap, says: []phrase{{"rollover", 26}, {"rolled over", 26}, {"overturned", 24}, {"crash", 14}, {"on its side", 16}}},
	{kind: "clock_check", fill: clockCheck, where: devicePlace, says: []phrase{{"fast", 5}, {"slow", 5}, {"clock check", 22}, {"runs fast", 20}, {"runs slow", 20}, {"clock", 8}}, fits: withClockOff},
	{kind: "power_lost", says: []phrase{{"power lost", 26}, {"on battery", 22}, {"power out", 22}, {"lost power", 24}}, fill: battery},
	{kind: "power_back", says: []phrase{{"power back", 26}, {"power is back", 30}, {"power on", 8}}, fill: battery},
	{kind: "radio_lost", checks: []func(*line){heardWhen}, says: []phrase{{"radio lost", 26}, {"nothing on tac", 30}, {"lost tac", 20}, {"no radio", 20}, {"dead", 6}, {"down", 6}}, where: channelPlace, fill: noFields, fits: ofChannel},
	{kind: "radio_back", checks: []func(*line){unlikeSince("radio_lost", "gap")}, says: []phrase{{"radio back", 26}, {"is back", 6}, {"back", 5}, {"back on tac", 22}}, where: channelPlace, fits: withChannel},
	{kind: "lift_begun", says: []phrase{{"lift begun", 26}, {"taking the weight", 30}, {"lifting", 12}, {"lift started", 22}, {"lift", 5}}, where: onTank, fill: lift},
	{kind: "on_wheels", checks: []func(*line){unlikeSince("lift_begun", "minutes")}, says: []phrase{{"on her wheels", 32}, {"on its wheels", 30}, {"upright", 12}, {"on wheels", 22}}, where: onTank},
	{kind: "road_opened", says: []phrase{{"road open", 26}, {"road opened", 26}, {"road is open", 30}}},
	{kind: "disposal_named", fits: answersLoad, says: []phrase{{"turned", 26}, {"turned away", 30}, {"refused", 9}, {"will take", 18}}, fill: disposal},
	{kind: "doubt_raised", checks: []func(*line){wrongGap, ofNoLeg}, fits: atStart("doubt"), says: []phrase{{"doubt", 34}}, where: aboutLeg, fill: noFields},
	{kind: "doubt_settled", checks: []func(*line){ofNoLeg}, fits: atStart("settled", "ruling"), says: []phrase{{"settled", 34}, {"ruling", 30}}, where: aboutLeg, fill: noFields},
	{kind: "log_closed", says: []phrase{{"log closed", 30}, {"closing the log", 30}, {"close the log", 30}}},
	{kind: "photo", fits: atStart("photo", "picture", "video"), says: []phrase{{"photo", 12}, {"picture", 12}}, fill: func(l *line) { l.markActions(); l.takeRest("shows") }},
}

// answersLoad wants a site that turns a load away, not a valve that is turned.
func answersLoad(l *line) int {
	if l.says("turned") && !(l.says("away") && (l.has(truckSort) || l.says("truck", "load"))) {
		return unfit
	}
	return 0
}

// disposal reads who answers and which load the answer is about: "the site turned R3 away".
func disposal(l *line) {
	i := l.at("turned")
	if i < 1 || l.toks[i-1].used {
		return
	}
	end := i + 1
	for end < len(l.toks) && l.toks[end].word != "away" {
		end++
	}
	if end < i+2 || end == len(l.toks) {
		return
	}
	from := i + 1
	if l.toks[from].word == "the" {
		from++
	}
	l.put("site", l.text(0, i))
	l.put("refused", l.text(from, end))
	l.use(0, end+1)
}

// newMishap keeps what is said of the mishap later from being one.
func newMishap(l *line) int {
	if l.says("the rollover", "the crash", "the wreck") || !l.ctx.Mishap.IsZero() {
		return unfit
	}
	return 0
}

// mishap reads how she lies, and what she is.
func mishap(l *line) {
	for _, w := range []string{"right side", "passenger side", "left side", "driver side", "roof", "top"} {
		if i := l.at(w); i >= 0 && !l.said("lies") && !l.says("lies") {
			l.put("lies", w)
			for from := i - 1; from >= 0 && (l.toks[from].word == "its" || l.toks[from].word == "her" || l.toks[from].word == "on"); from-- {
				l.use(from, 1)
			}
			l.use(i, len(strings.Fields(w)))
		}
	}
	_ = l.takeBefore("units", "units") || l.takeBefore("units", "vehicles") || l.takeBefore("units", "trucks")
	l.takeUnit("capacity")
}

// aboutLeg is the leg that a doubt is about.
func aboutLeg(l *line) string {
	if th, ok := l.find(legSort); ok {
		return "Leg " + th.name
	}
	return l.place()
}

func onTank(*line) string { return "Tank" }

// withClockOff wants to know by how much.
func withClockOff(l *line) int {
	for _, t := range l.toks {
		if _, _, ok := minutesSeconds(t.word); ok {
			return 12
		}
	}
	if l.bare(-1) > 0 && l.says("fast", "slow", "clock") {
		return 6
	}
	return unfit
}

// minutesSeconds reads 4:10.
func minutesSeconds(w string) (min, sec int, ok bool) {
	a, b, cut := strings.Cut(w, ":")
	m, err := strconv.Atoi(a)
	s, err2 := strconv.Atoi(b)
	return m, s, cut && err == nil && err2 == nil && s < 60 && len(b) == 2
}

// clockCheck reads how far the clock of a device runs ahead.
func clockCheck(l *line) {
	sign := "+"
	if l.says("slow", "behind") {
		sign = "-"
	}
	for i, t := range l.toks {
		if m, s, ok := minutesSeconds(t.word); ok && !l.said("device_clock") {
			l.put("device_clock", fmt.Sprintf("%s%d s", sign, m*60+s))
			l.use(i, 1)
			l.time = saidTime{when: l.ctx.nowWhen()}
		}
	}
	for _, i := range l.numbers() {
		n := l.toks[i].num
		if strings.HasPrefix(n.text, "+") {
			sign = ""
		}
		unit := "s"
		if n.unit == "min" || n.unit == "m" || n.unit == "minutes" {
			unit = "min"
		}
		if !l.said("device_clock") {
			l.toks[i].used = true
			l.put("device_clock", sign+n.text+" "+unit)
		}
	}
}

// devicePlace is the device whose clock was looked at.
func devicePlace(l *line) string {
	for i, t := range l.toks {
		if t.used || t.num != nil || len(t.word) < 2 || len(t.word) > 3 || !isDigit(t.word[len(t.word)-1]) {
			continue
		}
		l.toks[i].used = true
		name := strings.ToUpper(t.word)
		for _, r := range append(append([]string{}, l.ctx.Roles...), l.ctx.Places...) {
			if strings.HasSuffix(r, " "+name) {
				return r
			}
		}
		return name
	}
	return ""
}

func battery(l *line) {
	_ = l.takeAfter("battery", "", "battery", "battery at") || l.take("battery", "")
}

// channelPlace is the radio channel that the line names: Tac 3.
func channelPlace(l *line) string {
	for i, t := range l.toks {
		if (t.word == "tac" || t.word == "channel") && i+1 < len(l.toks) && l.toks[i+1].num != nil {
			l.use(i, 2)
			return strings.ToUpper(t.word[:1]) + t.word[1:] + " " + l.toks[i+1].num.text
		}
	}
	return ""
}

// ofChannel adds that it is a channel that is lost.
func ofChannel(l *line) int {
	if l.says("radio", "tac", "channel") {
		return 12
	}
	return -4
}

func withChannel(l *line) int {
	if l.says("radio", "tac", "channel") {
		return 12
	}
	return unfit
}

func lift(l *line) {
	_ = l.takeBefore("straps", "straps") || l.takeAfter("straps", "", "straps")
	_ = l.takeBefore("wreckers", "wreckers") || l.takeAfter("wreckers", "", "wreckers")
}
