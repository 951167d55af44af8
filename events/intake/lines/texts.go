package lines

import (
	"slices"
	"strings"

	"tankside/events"
)

// labels are declared words of text fields behind which the text stands; other declared
// words are the text itself, or begin it.
var labels = wordSet(`ticket eta says due now because took spec certificate order leg for with by to into from holes hole
	lined path tube instrument calibrated permit driver paper seal accepted`)

var labelPhrases = map[string]bool{
	"last carried": true, "last load": true, "wash ticket": true, "on meter": true, "clear of": true, "hose set": false, "cal gas": true,
	"average over": true, "out of the": true,
}

// flags are declared words that answer their field with yes.
var flags = wordSet("dry clean drained wetted watered salted vacuum vac bonded continuous")

// ofThings are the fields that hold things by their names.
var ofThings = wordSet("hole outlet unit rod truck leg pair compartment")

// also are words that name the field of a reason, in whatever kind.
var because = []string{"because", "why", "since they", "due to"}

var reasonKeys = []string{"why", "grounds", "cause"}

// fillTexts gives the fields of words what stands behind their labels.
func (l *line) fillTexts() {
	for _, f := range l.typ.Fields {
		if f.Type != events.TextField && f.Type != events.TextsField || ofThings[f.Key] && f.Type == events.TextField || l.said(f.Key) && (f.Type == events.TextField || ofThings[f.Key]) {
			continue
		}
		for _, w := range fieldWords(f) {
			if l.fillText(f, w) {
				for f.Type == events.TextsField && l.fillText(f, w) {
				}
				break
			}
		}
	}
	for _, key := range reasonKeys {
		f, ok := l.takes(key)
		for _, w := range because {
			if i := l.at(w); ok && !l.said(key) && i >= 0 {
				l.textAfter(f.Key, i+len(strings.Fields(w)))
			}
		}
	}
}

// fillText looks for one word of a field.
func (l *line) fillText(f events.FieldInfo, w string) bool {
	i, n := l.unspent(w), len(strings.Fields(w))
	if i < 0 || l.toks[i].aside || l.toks[i].used && l.toks[i].num == nil && !l.toks[i].action {
		return false
	}
	switch {
	case flags[w]:
		if l.put(f.Key, l.yesNo(i)) {
			l.use(i, n)
		}
		return true
	case isLabel(f, w) && l.toks[i].chosen:
		return false
	case isLabel(f, w):
		l.toks[i].used, l.toks[i].labelled = true, true
		return l.textAfter(f.Key, i+n)
	case l.toks[i].action:
		return false
	}
	text, end := l.phraseAt(i, n)
	l.put(f.Key, text)
	l.use(i, end-i)
	return true
}

// unspent is the token at which words begin that nothing was made of yet, -1 for none.
func (l *line) unspent(words string) int {
	for i := range l.toks {
		if matches(l.toks[i:], words) > 0 && (!l.toks[i].used || l.toks[i].action && !l.toks[i].labelled) {
			return i
		}
	}
	return -1
}

// isLabel reports whether the text of the field stands behind w.
func isLabel(f events.FieldInfo, w string) bool {
	return w == strings.ReplaceAll(f.Key, "_", " ") || w == strings.ToLower(f.Label) || labels[w] || labelPhrases[w]
}

// yesNo answers a flag: "not drained" is no.
func (l *line) yesNo(i int) string {
	if i > 0 && (l.toks[i-1].word == "not" || l.toks[i-1].word == "no") {
		return "no"
	}
	return "yes"
}

// textAfter puts the phrase at token i into key.
func (l *line) textAfter(key string, i int) bool {
	for i < len(l.toks) && (l.toks[i].word == "is" || l.toks[i].word == "was" || l.toks[i].word == "the") {
		i++
	}
	bare := i > 0 && (small[l.toks[i-1].word] || l.toks[i-1].word == "into" || l.toks[i-1].word == "from")
	if i >= len(l.toks) || l.toks[i].num != nil && l.toks[i].used && !l.names(i) || bare && l.toks[i].used && l.names(i) || i > 0 && l.toks[i-1].ends && l.toks[i-1].word != key {
		return false
	}
	text, end := l.phraseAt(i, 1)
	if text == "" || !l.put(key, text) {
		return false
	}
	l.use(i, end-i)
	return true
}

// phraseAt is the text from token i to the end of its phrase: to a comma, to a word of
// another field, or to the time or the teller. least tokens belong to it in any case.
func (l *line) phraseAt(i, least int) (text string, end int) {
	end = i
	for end < len(l.toks) {
		t := l.toks[end]
		if t.aside || end >= i+least && (l.opens(end) || t.num != nil && t.used && !l.names(end)) {
			break
		}
		end++
		if t.ends {
			break
		}
	}
	if end == i {
		return "", i
	}
	return strings.TrimRight(l.spell(i, end), ",;."), end
}

// opens reports whether token i is a word of one of the kind's fields, behind which
// something of its own stands.
func (l *line) opens(i int) bool {
	for _, f := range l.typ.Fields {
		for _, w := range fieldWords(f) {
			if matches(l.toks[i:], w) > 0 && isLabel(f, w) && !small[w] && w != "by" && w != "from" && w != "into" {
				return true
			}
		}
	}
	return slices.Contains(because, l.toks[i].word)
}

// text is the raw line from token i to before token end.
func (l *line) text(i, end int) string {
	if i >= end {
		return ""
	}
	return oneBlank(l.raw[l.toks[i].from:l.toks[end-1].to])
}

// oneBlank writes s with one blank between words.
func oneBlank(s string) string { return strings.Join(strings.Fields(s), " ") }

// rest is what stands behind everything that was understood: the words at the end.
func (l *line) rest() (text string, from, end int) {
	end = len(l.toks)
	for i := end - 1; i > 0; i-- {
		if l.toks[i-1].ends && l.opens(i) {
			end = i
		}
	}
	for end > 0 && (l.toks[end-1].aside || l.toks[end-1].used && l.toks[end-1].num == nil && !l.thingAt(end-1)) {
		end--
	}
	from = end
	for i := end - 1; i >= 0; i-- {
		t := l.toks[i]
		if t.aside || t.action || t.num != nil && !t.num.small() && !l.names(i) || t.pressed {
			break
		}
		from = i
	}
	for from < end && small[l.toks[from].word] {
		from++
	}
	return l.text(from, end), from, end
}

// small are words that no text begins with.
var small = wordSet("to and for is was with on in the at a an of it")

// names reports whether token i belongs to the name of a thing.
func (l *line) names(i int) bool {
	return l.toks[i].used && (l.toks[i].num == nil || l.toks[i].num.small() && i > 0)
}

// takeRest puts the words at the end into key.
func (l *line) takeRest(key string) bool {
	if l.said(key) {
		return false
	}
	text, from, end := l.rest()
	if text == "" || !l.put(key, text) {
		return false
	}
	l.use(from, end-from)
	return true
}

// parts are the phrases of the line between commas, from token i on, as first and end
// tokens; the time and the teller are left out.
func (l *line) parts(i int) (out [][2]int) {
	start := i
	for ; i < len(l.toks); i++ {
		if l.toks[i].aside {
			if start < i {
				out = append(out, [2]int{start, i})
			}
			start = i + 1
			continue
		}
		if l.toks[i].ends {
			out, start = append(out, [2]int{start, i + 1}), i+1
		}
	}
	if start < len(l.toks) {
		out = append(out, [2]int{start, len(l.toks)})
	}
	return out
}
