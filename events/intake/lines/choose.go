package lines

import (
	"slices"
	"strings"

	"tankside/events"
	"tankside/events/kinds"
)

// frame is how the lines of one kind are said. A kind without a frame of its own is
// read by its declaration alone.
type frame struct {
	kind   events.Kind
	says   []phrase
	fits   func(l *line) int // what else speaks for the kind, or unfit
	holds  bool              // it is of a compartment, which a small number can name
	placed bool              // it says little without a place
	wants  int               // bare numbers it takes before four digits can be a time
	where  func(l *line) string
	fill   func(l *line)
	checks []func(l *line) // what is asked about
	board  func(l *line) []string
}

// phrase is what is said for a kind, and how much it speaks for it.
type phrase struct {
	words  string
	weight int
}

// unfit is the answer of a frame that cannot be meant.
const unfit = -1000

// The weights: what is enough for a kind, and what is enough to be sure.
const (
	enough = 6
	sure   = 10
	leads  = 6 // a phrase that begins the line
)

// entry is a phrase in the index.
type indexed struct {
	phrase
	frame *frame
	n     int // words
}

var (
	frameOf = map[events.Kind]*frame{}
	index   = map[string][]indexed{} // by the first word
)

func init() {
	for _, family := range [][]frame{peopleFrames, airFrames, groundFrames, leakFrames, drillFrames, transferFrames, gaugingFrames, truckFrames, commandFrames, recordFrames} {
		for i := range family {
			frameOf[family[i].kind] = &family[i]
		}
	}
	for _, t := range kinds.Catalogue().Types() {
		f := frameOf[t.Kind]
		if f == nil {
			f = &frame{kind: t.Kind}
			frameOf[t.Kind] = f
		}
		for _, p := range f.says {
			enter(f, p)
		}
		if strings.Contains(string(t.Kind), "_") {
			enter(f, phrase{string(t.Kind), 60})
		}
		for _, s := range t.Says {
			enter(f, phrase{strings.ToLower(s), declaredWeight(s, f)})
		}
	}
}

// declaredWeight is what a phrase of the declaration speaks for: one word alone, which
// may be any word of a sentence, is little.
func declaredWeight(s string, f *frame) int {
	n := len(strings.Fields(s))
	switch {
	case n > 1:
		return 9 * n
	case f.says != nil:
		return 9
	}
	return 5
}

func enter(f *frame, p phrase) {
	words := strings.Fields(strings.ToLower(p.words))
	index[words[0]] = append(index[words[0]], indexed{phrase{strings.Join(words, " "), p.weight}, f, len(words)})
}

// found is a phrase met in the line.
type found struct {
	indexed
	at int
}

// choose finds the kind that most speaks for.
func (l *line) choose() {
	met := map[*frame][]found{}
	var order []*frame
	for i := range l.toks {
		if t := l.toks[i]; t.used && !(t.aside && t.word == "driver") && (t.aside || !strings.HasPrefix(t.word, "rod")) {
			continue
		}
		for _, e := range index[l.toks[i].word] {
			if matches(l.toks[i:], e.words) == 0 {
				continue
			}
			if met[e.frame] == nil {
				order = append(order, e.frame)
			}
			met[e.frame] = append(met[e.frame], found{e, i})
		}
	}
	var best []found
	for _, f := range order {
		if s := l.weigh(f, met[f]); s > l.score {
			l.score, l.frame, best = s, f, met[f]
		}
	}
	if l.frame == nil || l.score < enough {
		l.frame = l.unsaid()
		if l.frame != nil {
			l.typ, l.guess = kinds.Catalogue().Type(l.frame.kind), true
		}
		return
	}
	l.typ = kinds.Catalogue().Type(l.frame.kind)
	l.guess = l.guess || l.score < sure || l.frame.says == nil && oneWord(best)
	l.mark(best)
	l.heed(best)
}

// heed minds what stands before the words that settled the kind: "not plugged yet" is
// no plug, and what is wanted or to come has not happened.
func (l *line) heed(met []found) {
	top := slices.MaxFunc(met, func(a, b found) int { return a.weight - b.weight })
	for i := top.at - 1; i >= 0 && i >= top.at-3 && !l.toks[i].ends; i-- {
		switch w := l.toks[i].word; {
		case negations[w] && !strings.HasPrefix(top.words, w):
			l.frame = nil
			l.hint("It says " + w + ". Kept as a note.")
			return
		case !between[w] && !auxiliary[w]:
			i = 0
		}
	}
	for _, t := range l.toks[:top.at] {
		if toCome[t.word] && !t.aside {
			l.odd("Has it happened, or is it to come?")
			return
		}
	}
}

// The words that turn what is said into its contrary, that may stand between those and
// it, and that say that it has not happened yet.
var (
	negations = wordSet("not no never nobody nothing isn't aren't wasn't hasn't haven't hadn't didn't doesn't don't won't can't cannot couldn't without nor hold")
	auxiliary = wordSet("yet been be being a an the any been still quite all really have has had are were get got go going went come came")
	toCome    = wordSet("will would wants want wanted if when should can could may might must need needs plan planning planned asks asking ask ready waiting wait until tomorrow later soon shall gonna")
)

// oneWord reports whether all that was met is single words: enough for a kind without a
// frame, and no more.
func oneWord(met []found) bool {
	return !slices.ContainsFunc(met, func(m found) bool { return m.n > 1 || strings.Contains(m.words, "_") })
}

// unsaid is the kind of a line that says no more than a number, where only one can be
// meant: a number alone, or of a truck or a leg, is the meter of the leg that runs; two
// of a pair are its pressures.
func (l *line) unsaid() *frame {
	numbers := 0
	for _, t := range l.toks {
		switch {
		case t.num != nil && !t.used && !t.num.small():
			numbers++
		case !t.used && (!small[t.word] || len(l.things) == 0):
			return nil
		}
	}
	into := ""
	if th, ok := l.find(truckSort); ok {
		into = th.name
	}
	switch {
	case numbers == 2 && l.has(pairSort):
		return frameOf["pressure_read"]
	case numbers == 1 && !l.has(pairSort) && !l.has(personSort) && !l.has(compartmentSort) && !l.has(rodSort) && len(l.ctx.running(into)) == 1:
		return frameOf["meter_read"]
	}
	return nil
}

// mark notes which tokens the phrases of the kind are, and which is the one that
// settled it.
func (l *line) mark(met []found) {
	top := slices.MaxFunc(met, func(a, b found) int { return a.weight - b.weight })
	for _, m := range met {
		for i := m.at; i < m.at+m.n; i++ {
			l.toks[i].action = true
			l.toks[i].chosen = l.toks[i].chosen || m == top
		}
	}
}

// weigh adds up what speaks for a kind.
func (l *line) weigh(f *frame, met []found) int {
	best := 0
	for _, m := range met {
		w := m.weight
		if l.begins(m.at) {
			w += leads
		}
		best = max(best, w)
	}
	best += 2 * (len(met) - 1)
	if f.fits != nil {
		best += f.fits(l)
	}
	return best
}

// begins reports whether token i is the first that is not a thing, a time or a teller.
func (l *line) begins(i int) bool {
	for j, t := range l.toks[:i] {
		if _, clock := clockOf(t.word); !t.used && !(j == 0 && clock) && !leadsTime[t.word] {
			return false
		}
	}
	return true
}

// wants is how many bare numbers the kind takes.
func (l *line) wants() int {
	switch {
	case l.frame == nil:
		return 0
	case l.frame.says == nil:
		return 1 // nobody knows better
	}
	return l.frame.wants
}

// says reports whether the line has the words, next to each other.
func (l *line) says(words ...string) bool {
	for _, w := range words {
		if l.at(w) >= 0 {
			return true
		}
	}
	return false
}

// at returns the token at which words begin, -1 when they are not there.
func (l *line) at(words string) int {
	for i := range l.toks {
		if matches(l.toks[i:], words) > 0 {
			return i
		}
	}
	return -1
}
