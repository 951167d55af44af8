package lines

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"tankside/events"
)

// fill puts what the line says into the fields of its kind: first what its frame knows,
// then whatever the declaration finds words for.
func (l *line) fill() {
	l.payload = l.typ.Empty()
	if l.frame.where != nil {
		l.where = l.frame.where(l)
	}
	if l.frame.fill != nil {
		l.frame.fill(l)
	}
	l.fillUnits()
	l.fillThings()
	l.fillClocks()
	l.fillAmounts()
	l.fillChoices()
	if l.where == "" && l.frame.where == nil {
		l.where = l.place()
	}
	l.fillTexts()
	if l.frame.placed && l.where == "" && !l.opt.answered {
		l.guess = true
		l.hint("No place is said.")
	}
	l.leftOver()
	l.unlikely()
	for _, check := range l.frame.checks {
		check(l)
	}
}

// put gives a field a value as a flag would. What does not fit its field is kept as it
// was said.
func (l *line) put(key, text string) bool {
	if v, ok := l.opt.with[key]; ok {
		text = v
	}
	p, err := l.typ.With(l.payload, key, text)
	switch {
	case err == nil:
		l.payload = p
		return true
	case errors.Is(err, events.ErrTwice):
		l.extra = append(l.extra, events.Pair{Key: key, Value: text})
		l.odd("%s is said twice.", key)
	default:
		l.extra = append(l.extra, events.Pair{Key: key, Value: text}, events.Pair{Key: "kept as said", Value: strings.ReplaceAll(err.Error(), "\n", "; ")})
		l.unfitting(key, text, err)
	}
	return false
}

// said reports whether the field of key holds something.
func (l *line) said(key string) bool { return l.value(key) != "" }

// value is what the field of key holds, "" when nothing was said.
func (l *line) value(key string) string {
	for _, p := range l.typ.Values(l.payload) {
		if p.Key == key {
			return p.Value
		}
	}
	return ""
}

// takes returns the field of key, if the kind has it.
func (l *line) takes(key string) (events.FieldInfo, bool) { return l.typ.Field(key) }

// number puts the number of token i into key: with the unit typed, or with def when
// none was and def is not the field's own.
func (l *line) number(key string, i int, def string) bool {
	f, ok := l.takes(key)
	n := l.toks[i].num
	if !ok || n == nil {
		return false
	}
	unit := def
	if n.unit != "" {
		if unit, ok = unitOf(f, n.unit); !ok {
			return false
		}
	} else {
		l.markUnit(i, f, def)
	}
	l.toks[i].used = true
	return l.put(key, n.amount(unit))
}

// markUnit marks the unit that a bare number is taken in.
func (l *line) markUnit(i int, f events.FieldInfo, def string) {
	if def == "" && len(f.Units) > 0 {
		def = f.Units[0]
	}
	if def != "" {
		l.marks = append(l.marks, Mark{l.toks[i].from, l.toks[i].to, def})
	}
	if l.toks[i].num.spoken {
		l.marks = append(l.marks, Mark{l.toks[i].from, l.toks[i].to, l.toks[i].num.text})
	}
}

// numbers returns the tokens of the numbers that are not used yet.
func (l *line) numbers() (out []int) {
	for i, t := range l.toks {
		if t.num != nil && !t.used {
			out = append(out, i)
		}
	}
	return out
}

// gasWords are the words whose number is a reading of the air and nothing else.
var gasWords = wordSet("lel voc pid o2 oxygen benzene bz h2s co")

// take puts the next unused number into key. That of a gas goes into no field of a kind
// without one: "pump off, lel 18" is no meter of 18.
func (l *line) take(key, def string) bool {
	_, air := l.takes("LEL")
	for _, i := range l.numbers() {
		f, ok := l.takes(key)
		if !ok {
			return false
		}
		if i > 0 && gasWords[l.toks[i-1].word] && !air {
			continue
		}
		if n := l.toks[i].num; n.unit != "" {
			if _, fits := unitOf(f, n.unit); !fits {
				continue
			}
		}
		return l.number(key, i, def)
	}
	return false
}

// takeAfter puts the number behind one of the words into key.
func (l *line) takeAfter(key, def string, words ...string) bool {
	for _, w := range words {
		i := l.at(w)
		if i < 0 {
			continue
		}
		n := len(strings.Fields(w))
		for j := i + n; j < len(l.toks) && j < i+n+3 && !l.toks[j-1].ends; j++ {
			if l.toks[j].num != nil && !l.toks[j].used && l.number(key, j, def) {
				l.use(i, n)
				return true
			}
			if !between[l.toks[j].word] {
				break
			}
		}
	}
	return false
}

// between are the words that may stand between a field's word and its number.
var between = wordSet("at of is was reads says to about the now in moved")

// fillThings puts the things of the line into the fields made for them.
func (l *line) fillThings() {
	for _, g := range []struct {
		sort sort
		keys []string
	}{
		{pairSort, []string{"pair"}}, {truckSort, []string{"truck"}}, {legSort, []string{"leg"}},
		{compartmentSort, []string{"compartment"}}, {rodSort, []string{"rod"}}, {holeSort, []string{"hole"}}, {personSort, []string{"person"}},
	} {
		for _, name := range l.named(g.sort) {
			l.fillThing(g.keys[0], name)
		}
	}
}

func (l *line) fillThing(key, name string) {
	f, ok := l.takes(key)
	if _, moves := l.takes("P1A"); moves && key == "person" {
		return // see pressures
	}
	if pressed := l.said(name) || l.said(name+"_pulse"); pressed || !ok || f.Type != events.TextsField && l.said(key) || strings.Contains(l.value(key), name) {
		return
	}
	l.put(key, name)
}

// fillClocks puts the clock time behind a word into a field of clock times.
func (l *line) fillClocks() {
	for _, f := range l.typ.Fields {
		if f.Type != events.ClockField || l.said(f.Key) {
			continue
		}
		for _, w := range fieldWords(f) {
			if i := l.at(w); i >= 0 && l.clockAfter(f.Key, i+len(strings.Fields(w))) {
				break
			}
		}
	}
}

// clockAfter puts the clock time at token i, or one behind a small word, into key.
func (l *line) clockAfter(key string, i int) bool {
	for ; i < len(l.toks); i++ {
		if c, ok := clockOf(l.toks[i].word); ok && !l.toks[i].used && !c.minuteOnly {
			text := fmt.Sprintf("%02d:%02d", c.hour, c.minute)
			if c.second > 0 {
				text += fmt.Sprintf(":%02d", c.second)
			}
			l.toks[i].used = true
			return l.put(key, text)
		}
		if !between[l.toks[i].word] {
			return false
		}
	}
	return false
}

// fieldWords are the words for a field: those of its declaration, its key and its label.
func fieldWords(f events.FieldInfo) []string {
	out := make([]string, 0, len(f.Says)+2)
	if !f.Patterned() {
		out = append(out, strings.ToLower(strings.ReplaceAll(f.Key, "_", " ")))
	}
	out = append(out, strings.ToLower(f.Label))
	for _, s := range f.Says {
		out = append(out, strings.ToLower(s))
	}
	return out
}

// fillAmounts puts each number that is left into the field that the words beside it
// name.
func (l *line) fillAmounts() {
	for _, f := range l.typ.Fields {
		if f.Type != events.AmountField || l.said(f.Key) {
			continue
		}
		for _, w := range fieldWords(f) {
			if l.takeBefore(f.Key, w) {
				break
			}
		}
	}
	for _, f := range l.typ.Fields {
		if f.Type != events.AmountField || l.said(f.Key) {
			continue
		}
		for _, w := range fieldWords(f) {
			if l.takeAfter(f.Key, "", w) {
				break
			}
		}
	}
	l.fillByUnit()
}

// takeBefore puts the number before the words into key.
func (l *line) takeBefore(key, words string) bool {
	i := l.at(words)
	if i < 1 || l.toks[i-1].num == nil || l.toks[i-1].used || l.toks[i-1].ends {
		return false
	}
	if next := i + len(strings.Fields(words)); i > 1 && next < len(l.toks) && l.fitsField(key, next) && !l.toks[next-1].ends && !l.toks[i-2].used && l.ofField(i-2) {
		return false // hot 100 warm 250: the words are of the number behind them
	}
	if !l.number(key, i-1, "") {
		return false
	}
	l.use(i, len(strings.Fields(words)))
	return true
}

// fitsField reports whether token i is a number that is free, in no unit or one of key.
func (l *line) fitsField(key string, i int) bool {
	n := l.toks[i].num
	if n == nil || l.toks[i].used || n.unit == "" {
		return n != nil && !l.toks[i].used
	}
	f, ok := l.takes(key)
	if ok {
		_, ok = unitOf(f, n.unit)
	}
	return ok
}

// ofField reports whether token i ends the words of a field of amounts.
func (l *line) ofField(i int) bool {
	for _, f := range l.typ.Fields {
		for _, w := range fieldWords(f) {
			n := len(strings.Fields(w))
			if f.Type == events.AmountField && i-n+1 >= 0 && matches(l.toks[i-n+1:], w) == n {
				return true
			}
		}
	}
	return false
}

// fillByUnit puts a number with a unit into the only field that takes the unit.
func (l *line) fillByUnit() {
	for _, i := range l.numbers() {
		unit := l.toks[i].num.unit
		if unit == "" {
			continue
		}
		var keys []string
		for _, f := range l.typ.Fields {
			if _, ok := unitOf(f, unit); ok && f.Type == events.AmountField && !l.said(f.Key) {
				keys = append(keys, f.Key)
			}
		}
		if _, flow := l.takes("flow"); flow && unit == "a minute" && slices.Contains(keys, "flow") {
			keys = []string{"flow"} // gallons, where nothing else is said
		}
		if len(keys) == 1 {
			l.number(keys[0], i, "")
		}
	}
}

// fillChoices gives a field of fixed words the one that was said.
func (l *line) fillChoices() {
	for _, f := range l.typ.Fields {
		if f.Type != events.ChoiceField || l.said(f.Key) {
			continue
		}
		for _, c := range f.Choices {
			if l.says(strings.ToLower(c)) {
				l.put(f.Key, c)
				break
			}
		}
	}
}

// leftOver says which numbers found no place; they stay in the words.
func (l *line) leftOver() {
	for _, i := range l.numbers() {
		l.guess = true
		l.hint(fmt.Sprintf("%s is in the words only; say what it is of.", l.raw[l.toks[i].from:l.toks[i].to]))
	}
	if slices.ContainsFunc(l.toks, func(t token) bool { return !t.used && !t.action && !l.known(t) }) {
		l.guess = true
	}
}
