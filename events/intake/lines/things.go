package lines

import (
	"slices"
	"strings"
)

// sort is what a thing is.
type sort int

const (
	compartmentSort sort = iota
	truckSort
	pairSort
	personSort
	rodSort
	holeSort
	legSort
)

// thing is something that a line names: C4, R1, pair 3, person P3A, rod G1, hole C5-L,
// leg L2.
type thing struct {
	sort sort
	name string
	at   int // its first token
}

// findThings names the things of the line and takes their tokens.
func (l *line) findThings() {
	for i := 0; i < len(l.toks); i++ {
		if l.toks[i].used {
			continue
		}
		for _, find := range finders {
			name, sort, n := find(l, i)
			if n == 0 {
				continue
			}
			l.add(sort, name, i, n)
			break
		}
	}
}

func (l *line) add(s sort, name string, at, n int) {
	l.things = append(l.things, thing{s, name, at})
	l.use(at, n)
}

func (l *line) use(at, n int) {
	for i := at; i < at+n; i++ {
		l.toks[i].used = true
	}
}

// spend takes tokens for the time or the teller.
func (l *line) spend(at, n int) {
	for i := at; i < at+n; i++ {
		l.toks[i].used, l.toks[i].aside = true, true
	}
}

// find returns the first thing of a sort.
func (l *line) find(s sort) (thing, bool) {
	for _, t := range l.things {
		if t.sort == s {
			return t, true
		}
	}
	return thing{}, false
}

// named returns the names of all things of a sort, in order.
func (l *line) named(s sort) (out []string) {
	for _, t := range l.things {
		if t.sort == s && !slices.Contains(out, t.name) {
			out = append(out, t.name)
		}
	}
	return out
}

// has reports whether the line names a thing of a sort.
func (l *line) has(s sort) bool { _, ok := l.find(s); return ok }

// finders read a thing at token i and say how many tokens it is, 0 for none.
var finders = []func(l *line, i int) (name string, s sort, n int){
	codeAt, afterName, personSpoken, ordinalAt, bothRods, thatTruck,
}

// codeAt reads what is written as letters and digits: c4, c4-l, r1, r3a, p3, p3a, 3a, g1, l2.
func codeAt(l *line, i int) (string, sort, int) {
	w := strings.ToUpper(l.toks[i].word)
	for _, t := range l.ctx.Trucks {
		if strings.EqualFold(t.Name, w) {
			return t.Name, truckSort, 1
		}
	}
	letter, digits, tail := shape(w)
	switch {
	case digits == "" || l.toks[i].num != nil:
	case letter == "" && len(digits) == 1 && tail >= "A" && tail <= "D" && len(tail) == 1:
		return "P" + w, personSort, 1
	case letter == "C" && tail == "":
		return w, compartmentSort, 1
	case letter == "C" && (tail == "-L" || tail == "-V" || tail == "L" || tail == "V"):
		return "C" + digits + "-" + tail[len(tail)-1:], holeSort, 1
	case (letter == "R" || letter == "V") && len(digits) <= 2 && (tail == "" || len(tail) == 1 && tail >= "A" && tail <= "E"):
		return w, truckSort, 1
	case letter == "P" && tail == "" && len(digits) <= 2:
		return digits, pairSort, 1
	case letter == "P" && len(tail) == 1 && tail >= "A" && tail <= "D":
		return w, personSort, 1
	case letter == "G" && tail == "" && len(digits) == 1:
		return w, rodSort, 1
	case letter == "L" && tail == "" && len(digits) <= 2:
		return w, legSort, 1
	}
	return "", 0, 0
}

// shape parts a code into at most one letter, digits and what follows.
func shape(w string) (letter, digits, tail string) {
	if w != "" && w[0] >= 'A' && w[0] <= 'Z' {
		letter, w = w[:1], w[1:]
	}
	n := 0
	for n < len(w) && isDigit(w[n]) {
		n++
	}
	return letter, w[:n], w[n:]
}

// nouns are the words that name what a number behind them is.
var nouns = map[string]struct {
	sort   sort
	prefix string
}{
	"pair": {pairSort, ""}, "team": {pairSort, ""}, "rod": {rodSort, "G"}, "leg": {legSort, "L"},
	"compartment": {compartmentSort, "C"}, "comp": {compartmentSort, "C"}, "number": {compartmentSort, "C"}, "#": {compartmentSort, "C"},
	"truck": {truckSort, "R"},
}

// afterName reads "pair 3", "pair 3a", "rod 1", "leg three", "number four".
func afterName(l *line, i int) (string, sort, int) {
	noun, ok := nouns[l.toks[i].word]
	if !ok || i+1 >= len(l.toks) || l.toks[i].ends {
		return "", 0, 0
	}
	next := l.toks[i+1]
	if next.num.small() {
		return noun.prefix + next.num.text, noun.sort, 2
	}
	name, s, n := codeAt(l, i+1)
	if n > 0 && (s == noun.sort || noun.sort == pairSort && s == personSort) {
		return name, s, 2
	}
	return "", 0, 0
}

var phonetic = map[string]string{"alpha": "A", "bravo": "B", "charlie": "C", "delta": "D"}

// personSpoken reads "four bravo" and "pair 4 bravo".
func personSpoken(l *line, i int) (string, sort, int) {
	at := i
	if l.toks[i].word == "pair" {
		at++
	}
	if at+1 >= len(l.toks) || !l.toks[at].num.small() || phonetic[l.toks[at+1].word] == "" {
		return "", 0, 0
	}
	return "P" + l.toks[at].num.text + phonetic[l.toks[at+1].word], personSort, at + 2 - i
}

var ordinals = map[string]int{"first": 1, "second": 2, "third": 3, "fourth": 4, "1st": 1, "2nd": 2, "3rd": 3}

// ordinalAt reads "second truck", which is the second that was named, and "second rod".
func ordinalAt(l *line, i int) (string, sort, int) {
	n := ordinals[l.toks[i].word]
	if n == 0 || i+1 >= len(l.toks) {
		return "", 0, 0
	}
	switch l.toks[i+1].word {
	case "rod":
		return "G" + string(rune('0'+n)), rodSort, 2
	case "truck":
		if n <= len(l.ctx.Trucks) {
			l.assume(i, i+1, l.ctx.Trucks[n-1].Name)
			return l.ctx.Trucks[n-1].Name, truckSort, 2
		}
	}
	return "", 0, 0
}

// bothRods reads "both rods" and "rods 1 and 2".
func bothRods(l *line, i int) (string, sort, int) {
	n := matches(l.toks[i:], "both rods")
	if n == 0 && matches(l.toks[i:], "pair of rods") > 0 {
		n = 3
	}
	if n > 0 {
		if len(l.ctx.Rods) == 0 {
			return "G1+G2", rodSort, n
		}
		return strings.Join(l.ctx.Rods, "+"), rodSort, n
	}
	if l.toks[i].word != "rods" || i+1 >= len(l.toks) || !l.toks[i+1].num.small() {
		return "", 0, 0
	}
	name, end := "G"+l.toks[i+1].num.text, i+2
	for end+1 < len(l.toks) && (l.toks[end].word == "and" || l.toks[end].word == "+") && l.toks[end+1].num.small() {
		name, end = name+"+G"+l.toks[end+1].num.text, end+2
	}
	return name, rodSort, end - i
}

// thatTruck reads "the truck" where only one can be meant: the only one that is
// expected, or the only one that is here.
func thatTruck(l *line, i int) (string, sort, int) {
	if matches(l.toks[i:], "the truck") == 0 {
		return "", 0, 0
	}
	for _, state := range []string{Expected, Here} {
		var found []string
		for _, t := range l.ctx.Trucks {
			if t.State == state {
				found = append(found, t.Name)
			}
		}
		if len(found) == 1 {
			l.assume(i, i+1, found[0])
			return found[0], truckSort, 2
		}
	}
	return "", 0, 0
}

// truck returns the truck of that name, a hole's letter left off, nil when the
// incident has none.
func (ctx *Context) truck(name string) *Truck {
	for i := range ctx.Trucks {
		t := &ctx.Trucks[i]
		if rest, ok := strings.CutPrefix(name, t.Name); ok && (rest == "" || rest >= "A" && rest <= "Z") {
			return t
		}
	}
	return nil
}

// pair returns the pair of that name, nil when it was never named.
func (ctx *Context) pair(name string) *Pair {
	for i := range ctx.Pairs {
		if ctx.Pairs[i].Name == name {
			return &ctx.Pairs[i]
		}
	}
	return nil
}

// compartment returns the compartment of that name, nil when nothing is known of it.
func (ctx *Context) compartment(name string) *Compartment {
	for i := range ctx.Compartments {
		if ctx.Compartments[i].Name == name {
			return &ctx.Compartments[i]
		}
	}
	return nil
}

// running returns the legs that run, those into the truck if one is named.
func (ctx *Context) running(into string) (out []*Leg) {
	for i := range ctx.Legs {
		if leg := &ctx.Legs[i]; leg.Running && (into == "" || strings.HasPrefix(leg.To, into)) {
			out = append(out, leg)
		}
	}
	return out
}
