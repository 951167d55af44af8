package lines

import (
	"cmp"
	"slices"
	"strings"

	"tankside/events/kinds"
)

// keys are the rows of the keyboard, for fingers in gloves: what stands side by side,
// or nearly so in the row below, is hit by mistake.
var keyRows = []string{"qwertyuiop", "asdfghjkl", "zxcvbnm"}

var besides = beside()

func beside() map[[2]byte]bool {
	out := map[[2]byte]bool{}
	pair := func(a, b byte) { out[[2]byte{a, b}], out[[2]byte{b, a}] = true, true }
	for r, row := range keyRows {
		for i := range row {
			if i+1 < len(row) {
				pair(row[i], row[i+1])
			}
			if r+1 < len(keyRows) {
				for _, j := range []int{i - 1, i} {
					if j >= 0 && j < len(keyRows[r+1]) {
						pair(row[i], keyRows[r+1][j])
					}
				}
			}
		}
	}
	return out
}

// trade are the words a line can be read by, and which slips are looked for among.
var trade = map[string]bool{}

// said are the words that are said for a kind with lines of its own.
var said = map[string]bool{}

// adjacent are words that stand side by side in what is said.
var adjacent = map[[2]string]bool{}

// vocabulary is every word that the program knows, trade or not.
var vocabulary = map[string]bool{}

// plain are words of everyday speech that mean nothing to the grammar.
var plain = wordSet(`a an the and or but not no of to for with on in at by is are was were be been it its they them their we our us he she his her
	this that these those there here now then still again yet just only all both each every any some more less most much many few
	as so if than too very also up down off out over under into onto from about before after while until when where what who how why
	good bad ok okay yes right left high low big small little slow fast same other another next last first second third new old own
	look looks see seen say says said tell told go goes going gone went come comes came get gets got take takes took taken put puts
	has have had do does did done can will would should must may let make made keep kept hold holds held stay stays stands
	man men people crew everybody everyone somebody someone nobody none nothing something anyone
	hot cold wet dry open closed front back side top bottom end middle east west north south
	road truck tank trailer tractor ground water fuel gas diesel product oil foam air hose line pump paint mud rain dark light
	well fine clear ready sure quick near away along across round behind beside outside inside
	way ways work works working worked job part thing things time times day night hour hours week name names line lines hand hands head eye eyes
	move moves moving turn turns turned run runs ran stop start started starts end ends use used try tried help need needs want wants wait waits waiting
	leave leaves walk walks stand step steps call calls called ask asked talk hear heard know knows think thinks find found show shows watch
	wife house home school church bridge field fence tree wall door box bag can cans rope belt boot boots glove gloves mask suit tape paint
	pan bucket barrel drum chain hook jack cable winch crane lights lamp radio phone relay relays camera map board book news media cars car bus train
	bed face feet foot arm leg back knee ankle bad worse worst better best sick tired cold wet hungry thirsty dizzy
	half whole full empty part rest extra spare enough maybe almost nearly about really soon later early late today tonight tomorrow yesterday
	with without against between among through during since because although also even ever never always often
	tripped trips shore burst kinked pulled lost found prime air low gone past fast slow
	steady easy quiet normal please copy roger over
	till until hard soft rubber smell smells est tire tires flat tow pond creek stream mill yard mat mats masked`)

func learn(words string, isTrade bool) {
	for _, w := range strings.FieldsFunc(strings.ToLower(words), func(r rune) bool { return !(r >= 'a' && r <= 'z' || r >= '0' && r <= '9') }) {
		vocabulary[w] = true
		if isTrade && len(w) > 2 {
			trade[w] = true
		}
	}
	if ws := strings.Fields(strings.ToLower(words)); isTrade {
		for i := 1; i < len(ws); i++ {
			adjacent[[2]string{ws[i-1], ws[i]}] = true
		}
	}
}

// tradePhrases are what is said for the kinds that have lines of their own, shortest
// first, for completion.
var tradePhrases []string

func init() {
	for _, f := range frameOf {
		for _, p := range f.says {
			if len(p.words) > 3 && !slices.Contains(tradePhrases, p.words) {
				tradePhrases = append(tradePhrases, p.words)
			}
		}
	}
	for _, words := range []map[string]bool{placeWords, standing, unitNames} {
		for w := range words {
			if len(w) > 4 && !slices.Contains(tradePhrases, w) {
				tradePhrases = append(tradePhrases, w)
			}
		}
	}
	tradePhrases = append(tradePhrases, "device", "runner")
	for _, r := range roles {
		if len(r.words) > 4 && !slices.Contains(tradePhrases, r.words) {
			tradePhrases = append(tradePhrases, r.words)
		}
	}
	slices.SortFunc(tradePhrases, func(a, b string) int { return cmp.Or(len(a)-len(b), strings.Compare(a, b)) })
	for w := range plain {
		vocabulary[w] = true
	}
	for _, set := range []map[string]bool{unitWords, placeWords, standing, saysWords, leadsTime, takesNumber, small} {
		for w := range set {
			learn(w, len(w) > 3)
		}
	}
	for w := range qualifiers {
		learn(w, false)
	}
	for _, words := range []map[string]string{digitWords, teenWords, tensWords, phonetic} {
		for w := range words {
			learn(w, true)
		}
	}
	for w := range nouns {
		learn(w, true)
	}
	for w := range ordinals {
		learn(w, true)
	}
	for _, r := range roles {
		learn(r.words+" "+r.role, true)
	}
	for _, f := range frameOf {
		for _, p := range f.says {
			learn(p.words, true)
			for _, w := range strings.Fields(p.words) {
				said[w] = true
			}
		}
	}
	for _, words := range []string{"hose end", "dome lid", "low side", "high side", "work point", "ditch side", "hose line", "lift line", "hazmat sup", "in pan", "wood and putty"} {
		learn(words, true)
	}
	for _, t := range kinds.Catalogue().Types() {
		for _, s := range t.Says {
			learn(s, true)
		}
		for _, f := range t.Fields {
			for _, s := range f.Says {
				learn(s, true)
			}
			learn(f.Key+" "+f.Label+" "+strings.Join(f.Choices, " "), false)
		}
	}
	for _, words := range []string{"hundred", "thousand", "fix", "strike", "put right", "same as", "take back", "note", "runner", "device", "about", "between", "litres", "percent"} {
		learn(words, true)
	}
}

// known reports whether a token is a word that the program or the incident knows.
func (l *line) known(t token) bool { return t.num != nil || l.ctx.knows(t.word) }

// knows reports whether the program or the incident knows a word.
func (ctx *Context) knows(w string) bool {
	if len(w) < 2 || vocabulary[w] || plural(w) || strings.ContainsAny(w, "0123456789-/'") {
		return true
	}
	for _, list := range [][]string{ctx.Places, ctx.Units, ctx.Roles, ctx.Others, {ctx.Incident}} {
		for _, known := range list {
			if strings.Contains(" "+strings.ToLower(known)+" ", " "+w+" ") {
				return true
			}
		}
	}
	return false
}

// plural reports whether w is a known word with an s behind it.
func plural(w string) bool {
	one, ok := strings.CutSuffix(w, "s")
	return ok && len(one) > 3 && one[len(one)-1] != 's' && vocabulary[one]
}

// correctSlips takes a word that nobody knows for the trade word it is a slip of, and
// marks it as guessed.
func (l *line) correctSlips() {
	for i := range l.toks {
		t := &l.toks[i]
		if t.used || t.num != nil || len(t.word) < 3 || l.known(*t) {
			continue
		}
		if c := l.raw[t.from]; i > 0 && c >= 'A' && c <= 'Z' && l.raw[t.from:t.to] != strings.ToUpper(t.word) {
			continue // a name
		}
		w := meant(t.word, func(w string) int { return l.support(i, w) })
		if w == "" {
			continue
		}
		l.marks = append(l.marks, Mark{t.from, t.to, w})
		l.hint(t.word + " -> " + w + "? Tab takes it.")
		t.word, l.guess = w, true
	}
	l.toks = speak(l.toks)
}

// support is what speaks for word w at token i: that it stands beside its neighbours in
// what is said, or in a place that was taught, and that it is said for some kind.
func (l *line) support(i int, w string) (s int) {
	prev, next := "", ""
	if i > 0 {
		prev = l.toks[i-1].word
	}
	if i+1 < len(l.toks) {
		next = l.toks[i+1].word
	}
	if adjacent[[2]string{prev, w}] || adjacent[[2]string{w, next}] {
		s += 2
	}
	if isNumberWord(w) && (isNumberWord(prev) || isNumberWord(next) || i > 0 && l.toks[i-1].num != nil && l.toks[i-1].num.spoken) {
		s += 2
	}
	if _, noun := nouns[w]; noun && i+1 < len(l.toks) && (l.toks[i+1].num.small() || digitWords[next] != "") {
		s += 2
	}
	for _, p := range l.ctx.Places {
		if ws := placeTokens(p); slices.Contains(ws, w) && (slices.Contains(ws, prev) || slices.Contains(ws, next)) {
			s += 2
			break
		}
	}
	if said[w] {
		s++
	}
	return s
}

// meant is the trade word that w is a slip of, "" when there is none or several.
func meant(w string, support func(string) int) string {
	const none = -100
	best, at, tied := none, "", false
	for t := range trade {
		cost := slips(w, t)
		if cost > 3 {
			continue
		}
		s := support(t)
		if len(w) < 4 && s < 2 && isNumberWord(t) {
			continue // a short name is no number: nothing beside it counts
		}
		if len(w) < 4 && cost > 1+s/2 || len(w) < 5 && cost == 3 && s < 2 {
			continue
		}
		switch score := 2*s - cost; {
		case score > best:
			best, at, tied = score, t, false
		case score == best && t != at:
			tied = true
		}
	}
	if tied {
		return ""
	}
	return at
}

// slips is what it costs to make b of a: 1 for a key hit beside the right one or two
// letters changed about, 2 for one letter more or fewer, 3 for any other letter or for
// two that were left out inside; 9 for more.
func slips(a, b string) int {
	switch len(a) - len(b) {
	case -2:
		if len(a) > 4 && a[:3] == b[:3] && a[len(a)-1] == b[len(b)-1] && within(a, b) {
			return 3
		}
	case 0:
		return replaced(a, b)
	case 1:
		switch {
		case doubled(a, b):
			return 1
		case a[:len(b)] == b:
			return 4 // an ending, not a slip
		case dropped(a, b):
			return 2
		}
	case -1:
		if b[:len(a)] == a && b[len(a)] == 's' {
			return 4
		}
		if dropped(b, a) {
			return 2
		}
	}
	return 9
}

// within reports whether the letters of short stand in long in the same order.
func within(short, long string) bool {
	i := 0
	for j := 0; j < len(long) && i < len(short); j++ {
		if long[j] == short[i] {
			i++
		}
	}
	return i == len(short)
}

func replaced(a, b string) int {
	i := 0
	for i < len(a) && a[i] == b[i] {
		i++
	}
	switch {
	case i == len(a):
		return 0
	case a[i+1:] == b[i+1:] && besides[[2]byte{a[i], b[i]}]:
		return 1
	case a[i+1:] == b[i+1:] && i > 0: // the first letter is seldom any other: hooked is not looked, nor Jones zones
		return 3
	case i+1 < len(a) && a[i] == b[i+1] && a[i+1] == b[i] && a[i+2:] == b[i+2:]:
		return 1
	}
	return 9
}

// doubled reports whether long is short with one of its letters hit twice.
func doubled(long, short string) bool {
	for i := 1; i < len(long); i++ {
		if long[i] == long[i-1] && long[:i] == short[:i] {
			return long[i+1:] == short[i:]
		}
	}
	return false
}

// dropped reports whether short is long with one letter left out.
func dropped(long, short string) bool {
	i := 0
	for i < len(short) && long[i] == short[i] {
		i++
	}
	return long[i+1:] == short[i:]
}
