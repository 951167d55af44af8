package lines

import (
	"slices"
	"strings"
)

// placeWords are what a place at a thing is called: the lid of C4, the hose end at R1.
var placeWords = wordSet(`lid dome gasket plug crease side ditch valve outlet hose end work point line pan high low corner gate
	road culvert drain skid pump tractor tank shell front rear post approach lift scale cab manifold manhole vent pool puddle`)

// standing are places that need no thing.
var standing = wordSet("staging rehab decon ditch culvert")

// leadsPlace are the words that a place follows.
var leadsPlace = wordSet("at on by near along under behind beside in")

// place finds where it happened: a place that was taught, what follows "at", or a part
// of a thing.
func (l *line) place() string {
	if p := l.taught(); p != "" {
		return p
	}
	if p := l.placeOf(compartmentSort, truckSort); p != "" {
		return l.exact(p)
	}
	return l.placeAfter()
}

// placeOf is a thing of one of the sorts with the place words beside it: "C4 lid" for
// "c4 lid", "R1 hose end" for "hose end r1".
func (l *line) placeOf(sorts ...sort) string {
	for _, s := range sorts {
		th, ok := l.find(s)
		if !ok {
			continue
		}
		after := l.placeRun(th.at+1, 1)
		if len(after) == 0 {
			after = l.placeRun(th.at-1, -1)
		}
		words := make([]string, len(after))
		for i, at := range after {
			words[i] = l.toks[at].word
			l.toks[at].used = true
		}
		return strings.TrimSpace(th.name + " " + strings.Join(words, " "))
	}
	return l.alone()
}

// placeRun are the place words next to token i, in the order of the line.
func (l *line) placeRun(i, step int) (out []int) {
	if step > 0 {
		for i < len(l.toks) && (l.toks[i].used && !l.toks[i].aside && !placeWords[l.toks[i].word] && l.sameThing(i)) {
			i++ // the rest of the thing's own name
		}
		if i > 0 && l.toks[i-1].ends {
			return nil
		}
	} else {
		for i >= 0 && small[l.toks[i].word] {
			i--
		}
	}
	for i >= 0 && i < len(l.toks) && placeWords[l.toks[i].word] && !l.toks[i].aside && !l.toks[i].action {
		out = append(out, i)
		if step > 0 && l.toks[i].ends {
			break
		}
		i += step
		if step < 0 && i >= 0 && l.toks[i].ends {
			break
		}
	}
	if step < 0 {
		slices.Reverse(out)
	}
	return out
}

// sameThing reports whether token i belongs to the name of the thing before it.
func (l *line) sameThing(i int) bool {
	return l.toks[i].num.small() && i > 0 && nouns[l.toks[i-1].word].prefix != ""
}

// alone is a place that needs no thing, with the place words around it.
func (l *line) alone() string {
	for i, t := range l.toks {
		if t.aside || t.action || !placeWords[t.word] && !standing[t.word] {
			continue
		}
		at := l.placeRun(i, 1)
		if !standing[t.word] && len(at) < 2 {
			continue
		}
		if len(at) == 0 {
			at = []int{i}
		}
		text := l.text(at[0], at[len(at)-1]+1)
		for _, j := range at {
			l.toks[j].used = true
		}
		return l.canonical(text)
	}
	return ""
}

// placeAfter is what follows "at", "on", "by", "near" to the end of the phrase.
func (l *line) placeAfter() string {
	for i, t := range l.toks {
		if t.used || t.action || !leadsPlace[t.word] || i+1 >= len(l.toks) || t.word == "in" || l.toks[i+1].word == "air" {
			continue // on air, low on air: no place
		}
		text, end := l.phraseAt(i+1, 1)
		for j := i + 2; j < end; j++ {
			if n := l.toks[j].num; n != nil && !l.toks[j].used && !n.small() {
				text, end = l.text(i+1, j), j
			}
		}
		if text == "" || l.toks[i+1].num != nil && !l.names(i+1) {
			continue
		}
		text = strings.TrimPrefix(strings.TrimPrefix(text, "the "), "a ")
		l.use(i, end-i)
		return l.canonical(text)
	}
	return ""
}

// taught is a place of the incident whose words all stand in the line, the longest.
func (l *line) taught() string {
	best, words := "", 0
	for _, p := range l.ctx.Places {
		if ws := placeTokens(p); len(ws) > words && len(ws) > 1 && l.hasAll(ws) {
			best, words = p, len(ws)
		}
	}
	if best == "" {
		return ""
	}
	ws := placeTokens(best)
	for i, t := range l.toks {
		if slices.Contains(ws, l.spelled(i)) && !t.aside {
			l.toks[i].used = true
		}
	}
	return best
}

// spelled is the word of token i as a place has it: the name where it names a thing.
func (l *line) spelled(i int) string {
	for _, th := range l.things {
		if th.at == i {
			return strings.ToLower(th.name)
		}
	}
	return l.toks[i].word
}

func placeTokens(p string) []string { return strings.Fields(strings.ToLower(p)) }

func (l *line) hasAll(ws []string) bool {
	for _, w := range ws {
		found := false
		for i, t := range l.toks {
			found = found || !t.aside && !t.action && l.spelled(i) == w
		}
		if !found {
			return false
		}
	}
	return true
}

// exact is the place of the incident that is spelled like p.
func (l *line) exact(p string) string {
	for _, known := range l.ctx.Places {
		if strings.EqualFold(known, p) {
			return known
		}
	}
	return p
}

// canonical is the place of the incident that a place typed in short means: the only
// one that has all its words.
func (l *line) canonical(p string) string {
	words := placeTokens(p)
	var fit []string
	for _, known := range l.ctx.Places {
		ks := placeTokens(known)
		if strings.EqualFold(known, p) {
			return known
		}
		all := len(words) > 1
		for _, w := range words {
			all = all && slices.Contains(ks, w)
		}
		if all && !slices.Contains(fit, known) {
			fit = append(fit, known)
		}
	}
	if len(fit) == 1 {
		l.marks = append(l.marks, Mark{len(l.raw), len(l.raw), fit[0]})
		return fit[0]
	}
	return p
}
