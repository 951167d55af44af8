package lines

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

// What is pointed out here does not contradict the log outright; the incident's own
// numbers do not bear it out. The line is marked and kept by one Enter: nothing is asked.

// plainNumber is the number of a value and its unit, of a value that is one number.
func plainNumber(s string) (v float64, unit string, ok bool) {
	head, unit, _ := strings.Cut(s, " ")
	v, err := strconv.ParseFloat(head, 64)
	return v, unit, err == nil
}

// lookBack is how many entries of a kind, the latest first, a line is compared with.
const lookBack = 12

// latest returns the latest entries of a kind that stand, the latest first.
func (ctx *Context) latest(kind events.Kind, most int) (out []*Entry) {
	for i := len(ctx.Entries) - 1; i >= 0 && len(out) < most; i-- {
		if e := &ctx.Entries[i]; !e.Off && e.Payload != nil && e.Payload.Kind() == kind {
			out = append(out, e)
		}
	}
	return out
}

// unround points out a number that is finer than all of its sort were so far: a fifth
// dip in gallons where four were to five. Fewer than four say nothing.
func (l *line) unround() {
	said := map[string][]float64{}
	for _, e := range l.ctx.latest(l.typ.Kind, lookBack) {
		for _, p := range l.typ.Values(e.Payload) {
			if v, unit, ok := plainNumber(p.Value); ok {
				said[sortOf(p.Key)+unit] = append(said[sortOf(p.Key)+unit], v)
			}
		}
	}
	own := l.typ.Values(l.payload)
	for i, p := range own {
		v, unit, ok := plainNumber(p.Value)
		f, takes := l.takes(p.Key)
		if !ok || !takes || len(f.Units) == 0 || v == 0 {
			continue
		}
		if unit == "" {
			unit = f.Units[0]
		}
		others := slices.Concat(said[sortOf(p.Key)+unit], said[sortOf(p.Key)])
		for j, q := range own {
			if w, _, ok := plainNumber(q.Value); ok && j != i && sortOf(q.Key) == sortOf(p.Key) {
				others = append(others, w)
			}
		}
		if g := grain(others); g > 0 && math.Mod(v, g) != 0 && !slices.Contains(others, v) {
			l.odd("%s %s: so far all were to %s.", f.Label, p.Value, quantity.Digits(g))
			return
		}
	}
}

// sortOf is the key without what numbers it: P1A and P2B are one sort.
func sortOf(key string) string {
	if len(key) > 1 && isDigit(key[1]) {
		return key[:1] + strings.TrimLeft(key[1:], "0123456789ABCDE")
	}
	return key
}

// grain is the coarsest round step that at least four numbers are all multiples of; 0
// for none.
func grain(vs []float64) float64 {
	if len(vs) < 4 {
		return 0
	}
	for _, g := range []float64{1000, 500, 100, 50, 10, 5} {
		if !slices.ContainsFunc(vs, func(v float64) bool { return math.Mod(v, g) != 0 }) {
			return g
		}
	}
	return 0
}

// unevenPair points out two pressures of a pair that lie further apart than any pair's so
// far: bottles are filled alike, and people who work together breathe much alike. Three
// pairs teach how far that is here.
func unevenPair(l *line) {
	own := pressuresOf(l.typ, l.payload)
	if len(own) != 2 {
		return
	}
	most, n := 0.0, 0
	for _, e := range l.ctx.latest(l.typ.Kind, 3*lookBack) {
		if vs := pressuresOf(l.typ, e.Payload); len(vs) == 2 {
			most, n = max(most, math.Abs(vs[0]-vs[1])), n+1
		}
	}
	if gap := math.Abs(own[0] - own[1]); n >= 3 && gap > max(leastGap, 1.25*most) {
		l.odd("%.0f and %.0f psi: so far a pair was at most %.0f apart.", own[0], own[1], most)
	}
}

// leastGap is how far apart two pressures of a pair always may be, psi (judgement).
const leastGap = 60

func pressuresOf(t *events.Type, p events.Payload) (out []float64) {
	for _, v := range t.Values(p) {
		if len(v.Key) == 3 && v.Key[0] == 'P' && isDigit(v.Key[1]) {
			if a, err := quantity.Parse[quantity.PSI](v.Value); err == nil {
				out = append(out, float64(a.Value()))
			}
		}
	}
	return out
}

// hardBreathing points out a pair that breathed its air much faster or slower than
// others did here. Only bottles that went in about as full are compared.
func hardBreathing(l *line) {
	p := l.ctx.pair(l.value("pair"))
	if p == nil || len(p.In) == 0 {
		return
	}
	mins := l.time.when.At.Sub(p.Since).Minutes()
	low, high, n := l.ctx.breathing(p)
	if n < 4 || mins < 5 {
		return
	}
	for _, v := range l.typ.Values(l.payload) {
		before, ok := p.Air[v.Key]
		a, err := quantity.Parse[quantity.PSI](v.Value)
		if !ok || err != nil {
			continue
		}
		if rate := (before - float64(a.Value())) / mins; rate < 0.8*low || rate > 1.2*high {
			l.odd("%s used %.0f psi a minute; others here %.0f to %.0f.", v.Key, rate, low, high)
			return
		}
	}
}

// breathing is how fast bottles as full as those of p were breathed on trips before, psi a
// minute, and of how many that is known.
func (ctx *Context) breathing(p *Pair) (low, high float64, n int) {
	full := 0.0
	for _, v := range p.Air {
		full = max(full, v)
	}
	in := map[string]*Entry{}
	for i := range ctx.Entries {
		e := &ctx.Entries[i]
		switch k := e.Payload.(type) {
		case kinds.InHot:
			for _, v := range k.Pressures {
				in[v.Key] = e
			}
		case kinds.OutHot:
			for _, v := range k.Pressures {
				went := in[v.Key]
				if went == nil || !v.Value.Said() {
					continue
				}
				was := went.Payload.(kinds.InHot).Pressures.Get(v.Key)
				mins := e.At.Sub(went.At).Minutes()
				if !was.Said() || mins < 5 || math.Abs(float64(was.Value())-full) > 0.1*full {
					continue
				}
				rate := float64(was.Value()-v.Value.Value()) / mins
				if n == 0 || rate < low {
					low = rate
				}
				high, n = max(high, rate), n+1
			}
		}
	}
	return low, high, n
}

// strangePair points out a pair whose number leaves one out, and one that goes in or
// stands by and is still in rehab.
func strangePair(l *line) {
	name := l.value("pair")
	n, err := strconv.Atoi(name)
	most := 0
	for _, p := range l.ctx.Pairs {
		m, _ := strconv.Atoi(p.Name)
		most = max(most, m)
	}
	switch p := l.ctx.pair(name); {
	case err == nil && p == nil && most > 0 && n > most+1:
		l.odd("No pair %d to %d was named so far; pair %s?", most+1, n-1, name)
	case p != nil && p.InRehab && len(p.In) == 0 && !l.has(personSort):
		l.odd("Pair %s is in rehab and not cleared.", name)
	}
}

// neverOut points out a pair that goes to rehab and was never in.
func neverOut(l *line) {
	if p := l.ctx.pair(l.value("pair")); l.value("pair") != "" && len(l.ctx.Pairs) > 0 && (p == nil || !p.EverIn) {
		l.odd("Pair %s was never in.", l.value("pair"))
	}
}

// outBeforeIn points out a pair that came out before it went in, or that is out already.
func outBeforeIn(l *line) {
	p := l.ctx.pair(l.value("pair"))
	switch {
	case p == nil || !l.time.given || len(l.named(personSort)) > 0:
	case len(p.In) > 0 && l.time.when.Form == events.Instant && l.time.when.At.Before(p.Since):
		l.odd("Pair %s went in at %s.", p.Name, p.Since.In(l.ctx.here().Location()).Format("15:04"))
	case len(p.In) == 0 && p.EverIn && l.opt.since.IsZero() && l.time.end.IsZero():
		l.odd("Pair %s is out already, by the log.", p.Name)
	}
}

// otherTask points out a hole in another compartment than those that the pairs who are in
// went to work at.
func otherTask(l *line) {
	c := l.holeCompartment()
	var tasks []string
	for _, p := range l.ctx.Pairs {
		if len(p.In) > 0 && (strings.Contains(p.LastTask, "drill") || strings.Contains(p.LastTask, "plug")) {
			tasks = append(tasks, p.LastTask)
		}
	}
	at := func(task string) bool { return slices.Contains(strings.Fields(strings.ToUpper(task)), c) }
	if c != "" && len(tasks) > 0 && !slices.ContainsFunc(tasks, at) && strings.ContainsAny(strings.Join(tasks, ""), "0123456789") {
		l.odd("Who is in went to %s.", strings.Join(tasks, "; "))
	}
}

// leastRest is how soon after coming out a pair that goes in again is pointed out (NFPA
// 1584 asks for ten minutes of rest after a bottle).
const leastRest = 10 * time.Minute

// backSoon points out a pair that goes in again within minutes of coming out.
func backSoon(l *line) {
	name := l.value("pair")
	for _, e := range l.ctx.latest("out_hot", lookBack) {
		if e.Payload.(kinds.OutHot).Pair != name || len(l.named(personSort)) > 0 {
			continue
		}
		if since := l.time.when.At.Sub(e.At); since >= 0 && since < leastRest {
			l.odd("Pair %s came out %d min ago.", name, int(since.Minutes()))
		}
		return
	}
}

// doneTask points out a pair that goes in to drill what is drilled, or to plug what has no
// open hole.
func doneTask(l *line) {
	words := strings.Fields(strings.ToLower(l.value("task")))
	for i := range words[:max(0, len(words)-1)] {
		c := strings.ToUpper(strings.TrimRight(words[i+1], ",;"))
		if len(c) != 2 || c[0] != 'C' || len(l.ctx.Holes) == 0 {
			continue
		}
		drilled := slices.ContainsFunc(l.ctx.Holes, func(h Hole) bool { return h.Compartment == c && h.Use == "liquid" && h.Through })
		switch {
		case words[i] == "drill" && drilled:
			l.odd("%s is drilled.", c)
		case words[i] == "plug" && len(l.ctx.openHoles(c)) == 0:
			l.odd("No open hole in %s is logged.", c)
		}
	}
}

// blends are the shares of ethanol that are sold, %.
var blends = wordSet("e5 e10 e15 e20 e25 e30 e85 e98 e100")

// strangeBlend points out a blend that is not sold.
func (l *line) strangeBlend() {
	for _, t := range l.toks {
		if len(t.word) > 2 && t.word[0] == 'e' && strings.Trim(t.word[1:], "0123456789") == "" && !blends[t.word] {
			l.odd("%s is no blend that is sold.", strings.ToUpper(t.word))
		}
	}
}

// sameTwice points out a compartment that stands twice in an order of work.
func sameTwice(l *line) {
	seen := map[string]bool{}
	for w := range strings.FieldsSeq(strings.ToUpper(l.value("order"))) {
		if len(w) == 2 && w[0] == 'C' && seen[w] {
			l.odd("%s stands twice in the order.", w)
		}
		seen[w] = true
	}
}

// backInTime points out an hour before that of the line before it, where both are told
// late: what happened before is told in order, mostly.
func (l *line) backInTime() {
	n := len(l.ctx.Entries)
	if n == 0 || !l.time.given || l.time.when.Form != events.Instant || l.ctx.Now.Sub(l.time.when.At) < toldLate {
		return
	}
	e := &l.ctx.Entries[n-1]
	if told := e.Told; !told.IsZero() && l.ctx.Now.Sub(told) < toldLate && told.Sub(e.At) > toldLate && e.At.Sub(l.time.when.At) > aside {
		l.odd("The line before was of %s.", e.At.In(l.ctx.here().Location()).Format("15:04"))
	}
}

// aside is how far back a line told late may go before the one before it: what two people
// did side by side is told one after the other (judgement).
const aside = 10 * time.Minute

// toldLate is how long after it happened something is told late (judgement).
const toldLate = 4 * time.Minute
