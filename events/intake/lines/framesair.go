package lines

import "strings"

// gases are the words for what a monitor reads, by field.
var gases = []struct {
	key   string
	words []string
}{
	{"benzene", []string{"benzene", "bz"}}, {"VOC", []string{"voc", "pid"}}, {"O2", []string{"o2", "oxygen"}},
	{"CO", []string{"co", "carbon monoxide"}}, {"H2S", []string{"h2s"}}, {"LEL", []string{"lel", "explosive limit"}},
}

// airFrames are what is read in the air.
var airFrames = []frame{
	{
		kind: "air_read", placed: true, wants: 1, fits: readsAir, fill: airRead, where: (*line).place,
		checks: []func(*line){unusualO2, mixedVapour}, says: []phrase{
			{"lel", 12}, {"voc", 12}, {"pid", 12}, {"benzene", 10}, {"bz", 12}, {"o2", 12}, {"oxygen", 10}, {"h2s", 12}, {"percent", 5}, {"%", 5}, {"ppm", 9},
			{"air", 4}, {"meter says", 10}, {"co", 5},
		},
	},
	{
		kind: "weather", wants: 1, fill: weather, where: func(*line) string { return "" },
		says: []phrase{{"wind", 14}, {"weather", 14}, {"gusting", 10}, {"raining", 10}, {"rain stopped", 28}, {"stopped raining", 28}, {"snow", 8}, {"snowing", 10}, {"sleet", 10}, {"lightning", 12}, {"humidity", 10}},
	},
	{kind: "instrument_checked", says: []phrase{{"bump", 8}, {"bump test", 20}, {"bumped", 12}, {"zeroed", 8}}},
}

// withNumber fits kinds that are nothing without a number, or without the words that
// stand for one.
func withNumber(l *line) int {
	if l.bare(-1) > 0 || l.says("pegged", "over range", "nd", "not detected") {
		return 4
	}
	return unfit
}

// readsAir wants a gas, or a percentage at a place.
func readsAir(l *line) int {
	for _, g := range gases {
		if l.says(g.words...) {
			return withNumber(l)
		}
	}
	if l.has(pairSort) && !l.has(compartmentSort) || l.has(personSort) || !l.placedSomewhere() {
		return unfit
	}
	return withNumber(l)
}

// placedSomewhere reports whether the line has a word of a place.
func (l *line) placedSomewhere() bool {
	for _, t := range l.toks {
		if placeWords[t.word] || standing[t.word] {
			return true
		}
	}
	return l.has(compartmentSort)
}

// airRead gives each gas its number; a number that no gas is named for is a percentage
// of the explosive limit when it is said in percent, and otherwise the only one left.
func airRead(l *line) {
	for i := range l.toks {
		if n := l.toks[i].num; n != nil && n.about == "up to " {
			n.about = "" // it went up to it
		}
	}
	for _, g := range gases {
		for _, w := range g.words {
			if l.numbersFirst() && !l.said(g.key) {
				l.takeNearBefore(g.key, w)
			}
		}
	}
	for _, g := range gases {
		for _, w := range g.words {
			if !l.said(g.key) && l.takeAfter(g.key, "", w) {
				l.spare(w)
			}
		}
	}
	for _, g := range gases {
		for _, w := range g.words {
			if !l.said(g.key) {
				l.takeNearBefore(g.key, w)
			}
		}
	}
	l.beyond("over_range", "pegged", "over range")
	l.beyond("under", "nd", "not detected")
	for _, i := range l.numbers() {
		if u := l.toks[i].num.unit; (u == "%" || u == "percent") && !l.said("LEL") {
			l.number("LEL", i, "")
			return
		}
	}
}

// numbersFirst reports whether each number stands before its gas: "8 lel 20.9 o2 0 h2s".
func (l *line) numbersFirst() bool {
	last := len(l.toks) - 1
	for last > 0 && l.toks[last].aside {
		last--
	}
	for i, t := range l.toks {
		if gasWords[t.word] {
			return i > 0 && l.toks[i-1].num != nil && gasWords[l.toks[last].word] && i < last
		}
	}
	return false
}

// beyond lists the gases of the line that have no number, where one of the words says
// why: the sensor was past its scale, or found nothing.
func (l *line) beyond(key string, words ...string) {
	if !l.says(words...) {
		return
	}
	var which []string
	for _, g := range gases {
		if !l.said(g.key) && l.says(g.words...) {
			which = append(which, g.key)
		}
	}
	if len(which) > 0 {
		l.put(key, strings.Join(which, ", "))
	}
	for _, w := range words {
		if i := l.at(w); i >= 0 {
			l.use(i, len(strings.Fields(w)))
		}
	}
	for _, g := range gases {
		for _, w := range g.words {
			l.spare(w)
		}
	}
}

// spare keeps the word of a gas from being taken for a place or a text.
func (l *line) spare(w string) {
	if i := l.at(w); i >= 0 {
		l.toks[i].used = true
	}
}

// takeNearBefore puts a number up to two small words before w into key: "four on the
// PID".
func (l *line) takeNearBefore(key, w string) bool {
	i := l.at(w)
	for j := i - 1; j >= 0 && j >= i-3; j-- {
		t := l.toks[j]
		if t.num != nil && !t.used {
			l.spare(w)
			return l.number(key, j, "")
		}
		if t.ends || t.num != nil || !small[t.word] {
			return false
		}
	}
	return false
}

// compass are the directions a wind blows from.
var compass = map[string]string{
	"n": "N", "ne": "NE", "e": "E", "se": "SE", "s": "S", "sw": "SW", "w": "W", "nw": "NW",
	"north": "N", "northeast": "NE", "east": "E", "southeast": "SE", "south": "S", "southwest": "SW", "west": "W", "northwest": "NW",
	"nne": "NNE", "ene": "ENE", "ese": "ESE", "sse": "SSE", "ssw": "SSW", "wsw": "WSW", "wnw": "WNW", "nnw": "NNW",
	"calm": "calm", "variable": "variable",
}

// weather reads where the wind comes from and how hard it blows.
func weather(l *line) {
	for i, t := range l.toks {
		if dir := compass[t.word]; dir != "" && !t.used && !l.said("wind_from") {
			l.put("wind_from", dir)
			l.use(i, 1)
			l.spare("wind")
			l.use(max(0, l.at("wind")), 1)
		}
	}
	if nums := l.numbers(); !l.said("wind_from") && len(nums) > 1 && nums[0]+2 == nums[1] && l.toks[nums[0]+1].word == "at" && l.toks[nums[0]].num.value <= 360 {
		l.put("wind_from", l.toks[nums[0]].num.text+" deg")
		l.use(nums[0], 1)
	}
	_ = l.takeAfter("gust", "", "gusting to", "gusting", "gusts")
	for _, i := range l.numbers() {
		switch l.toks[i].num.unit {
		case "%", "percent":
			l.number("humidity", i, "")
		case "f", "deg", "degrees", "°f", "°", "c", "°c":
			l.number("temp", i, "F")
		}
	}
	_ = l.takeAfter("temp", "", "temp", "temperature")
	_ = l.takeAfter("humidity", "", "humidity")
	l.take("wind", "")
	if l.says("rain stopped", "stopped raining") {
		l.put("rain", "stopped")
	}
	for _, w := range []string{"rain", "raining", "snow", "snowing", "sleet", "fog"} {
		if l.says(w) && !l.said("rain") {
			l.put("rain", w)
			l.spare(w)
		}
	}
	for _, w := range []string{"lightning", "thunder"} {
		if l.says(w) && !l.said("lightning") {
			l.put("lightning", w)
			l.spare(w)
		}
	}
}
