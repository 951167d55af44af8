package lines

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"tankside/events"
)

// findTime takes the time off the line. What four digits mean depends on where they
// stand and on how many numbers the kind still wants.
func (l *line) findTime() {
	for _, find := range []func(*line) bool{(*line).beforeEntry, (*line).timeAgo, (*line).timeBetween, (*line).timeSpan, (*line).clockTime} {
		if find(l) {
			l.time.given = true
			return
		}
	}
	l.time.when = events.At(l.ctx.Now)
}

// beforeEntry reads "before last" and "before 118".
func (l *line) beforeEntry() bool {
	for i := range l.toks[:max(0, len(l.toks)-1)] {
		if l.toks[i].used || l.toks[i].word != "before" {
			continue
		}
		if e := l.ctx.entryCalled(l.toks[i+1].word); e != nil {
			l.time.when, l.time.order = events.When{Form: events.Before, Entry: e.ID}, e.Seq
			l.spend(i, 2)
			return true
		}
	}
	return false
}

// entryCalled returns the entry that word names: its number, or "last".
func (ctx *Context) entryCalled(word string) *Entry {
	word = strings.TrimPrefix(word, "#")
	if word == "last" && len(ctx.Entries) > 0 {
		return &ctx.Entries[len(ctx.Entries)-1]
	}
	n, err := strconv.ParseUint(word, 10, 32)
	if err != nil {
		return nil
	}
	for i := range ctx.Entries {
		if ctx.Entries[i].Seq == events.Seq(n) {
			return &ctx.Entries[i]
		}
	}
	return nil
}

// timeAgo reads "-3m", "3 min ago", "3 ago", "just now".
func (l *line) timeAgo() bool {
	for i, t := range l.toks {
		d, ok := ago(t.word)
		from, n := i, 1
		switch {
		case t.used:
			continue
		case ok:
		case t.word == "now" && i > 0 && l.toks[i-1].word == "just":
			from, n = i-1, 2
		case t.word == "ago" && i > 0:
			if d, from, n = l.before(i); n == 0 {
				continue
			}
		default:
			continue
		}
		l.spend(from, n)
		l.time.when = events.At(l.ctx.Now.Add(-d))
		return true
	}
	return false
}

// before reads the number before an "ago" at token i.
func (l *line) before(i int) (d time.Duration, from, n int) {
	if l.toks[i-1].num != nil && !l.toks[i-1].used {
		d, _ = span(l.toks[i-1].num.text, "")
		return d, i - 1, 2
	}
	if i < 2 {
		return 0, 0, 0
	}
	number := ""
	switch p := l.toks[i-2]; {
	case p.num != nil:
		number = p.num.text
	case p.word == "a" || p.word == "an":
		number = "1"
	}
	if d, ok := span(number, l.toks[i-1].word); ok {
		return d, i - 2, 3
	}
	return 0, 0, 0
}

// timeBetween reads "between 2250 and 2255".
func (l *line) timeBetween() bool {
	for i := 0; i+3 < len(l.toks); i++ {
		if l.toks[i].word != "between" || l.toks[i+2].word != "and" {
			continue
		}
		a, okA := clockOf(l.toks[i+1].word)
		b, okB := clockOf(l.toks[i+3].word)
		if !okA || !okB {
			continue
		}
		from, _ := l.ctx.resolve(a)
		to, _ := l.ctx.resolve(b)
		if to.Before(from) {
			from = from.AddDate(0, 0, -1)
		}
		l.time.when = events.Between(from, to)
		l.spend(i, 4)
		return true
	}
	return false
}

// timeSpan reads "2251-2306" and "from 2251 to 2306".
func (l *line) timeSpan() bool {
	for i, t := range l.toks {
		if t.used {
			continue
		}
		if a, b, ok := strings.Cut(t.word, "-"); ok && l.spanOf(a, b) {
			l.spend(i, 1)
			return true
		}
		if i+3 < len(l.toks) && t.word == "from" && l.toks[i+2].word == "to" && l.spanOf(l.toks[i+1].word, l.toks[i+3].word) {
			l.spend(i, 4)
			return true
		}
	}
	return false
}

func (l *line) spanOf(a, b string) bool {
	from, okA := clockOf(a)
	to, okB := clockOf(b)
	if !okA || !okB || from.minuteOnly || to.minuteOnly {
		return false
	}
	start, ask := l.ctx.resolve(from)
	end, _ := l.ctx.resolve(to)
	if end.Before(start) {
		start = start.AddDate(0, 0, -1)
	}
	if end.Sub(start) > 12*time.Hour {
		return false // a range of readings, or nonsense
	}
	l.time.when, l.time.end, l.time.ask = events.When{Form: events.Span, At: start, To: end}, end, ask
	return true
}

// clockTime reads one clock time, where it is one.
func (l *line) clockTime() bool {
	for i, t := range l.toks {
		w := t.word
		if t.used || w == "" {
			continue
		}
		c, ok := clockOf(w)
		led := i > 0 && !l.toks[i-1].used && !l.toks[i-1].ends && leadsTime[l.toks[i-1].word]
		if !ok {
			l.noClock(w, led, i)
			continue
		}
		if !l.isTime(i, c, led) {
			continue
		}
		about := strings.HasPrefix(w, "~")
		l.spend(i, 1)
		for j := i - 1; j >= 0 && !l.toks[j].used && (leadsTime[l.toks[j].word] || qualifiers[l.toks[j].word] == "about "); j-- {
			about = about || qualifiers[l.toks[j].word] == "about "
			l.spend(j, 1)
		}
		l.setClock(c, about)
		return true
	}
	return false
}

func (l *line) setClock(c clock, about bool) {
	at, ask := l.ctx.resolve(c)
	if !l.opt.at.IsZero() {
		at, ask = l.opt.at, nil
	}
	l.time.when, l.time.ask = events.At(at), ask
	if about {
		l.time.when = events.Between(at.Add(-give), at.Add(give))
	}
}

// leadsTime are the words that a time follows.
var leadsTime = wordSet("at since from @ time")

// takesNumber are the words that a reading follows, also behind "at".
var takesNumber = wordSet("meter reads reading stick sticks compressor eta due says now start set tested held pump psi lel benzene bz voc pid ohms foam dips for isolate hot")

// meters are the words behind which "at" leads to a reading.
var meters = wordSet("meter reads reading stick sticks")

// isTime tells a clock time from a reading by where it stands: with a colon it is a
// time; four digits are one first or last on the line or behind "at", and only when the
// kind's own numbers are there without it.
func (l *line) isTime(i int, c clock, led bool) bool {
	prev := i - 1
	if led {
		prev--
	}
	behind := prev >= 0 && !l.toks[prev].ends && takesNumber[l.toks[prev].word]
	if l.clockField(prev) {
		return false
	}
	if c.colon {
		return true
	}
	if behind && (l.bare(i) == 0 || meters[l.toks[prev].word]) || l.next(i) {
		return false
	}
	if led {
		return true
	}
	if l.bare(i) >= 2 && l.endsStay(c) {
		return true
	}
	if l.measures(i-1) || l.listed(i) {
		return false
	}
	begins := l.allAside(0, i)
	if begins && l.frame != nil && l.frame.says == nil {
		return true
	}
	edge := begins || l.allAside(i+1, len(l.toks)) || l.between(i)
	return edge && (l.bare(i) >= l.wants() || l.crossingAt(i, c))
}

// measures reports whether token i is what the number behind it is of: a compartment of a
// bill or a dip, the hole of a truck, a field of amounts.
func (l *line) measures(i int) bool {
	if l.typ == nil || i < 0 || l.toks[i].ends || l.toks[i].aside {
		return false
	}
	for _, th := range l.things {
		if _, ok := l.takes(th.name); ok && (th.at == i || th.at == i-1 && l.toks[i].num.small()) {
			return true
		}
	}
	if w := l.toks[i].word; len(w) == 1 && w >= "a" && w <= "e" {
		_, ok := l.takes(strings.ToUpper(w))
		return ok
	}
	if i > 0 && l.toks[i-1].num != nil && !l.toks[i-1].ends && !(i > 1 && l.ofField(i-2)) {
		return false // 23700 net: the number is before it
	}
	return !l.toks[i].used && !l.toks[i].chosen && l.ofField(i)
}

// listed reports whether token i is one of several numbers that each stand behind a
// compartment, of a line that is no more than a note: the last of a bill is no time.
func (l *line) listed(i int) bool {
	if l.frame != nil && l.frame.says != nil {
		return false
	}
	n, last := 0, false
	for _, th := range l.things {
		if j := th.at + 1; th.sort == compartmentSort && j < len(l.toks) && l.toks[j].num != nil && !l.toks[th.at].ends {
			n++
			last = last || j == i
		}
	}
	return last && n > 1
}

// between reports whether token i stands right behind what was said for a kind that takes
// no numbers of its own: "hazmat 2 on scene 2114 crew 8".
func (l *line) between(i int) bool {
	return l.frame != nil && l.frame.says != nil && l.frame.wants == 0 && i > 0 && l.toks[i-1].action
}

// allAside reports whether tokens from to before end say nothing of the thing itself.
func (l *line) allAside(from, end int) bool {
	for _, t := range l.toks[from:end] {
		if !t.aside && !leadsTime[t.word] {
			return false
		}
	}
	return true
}

// crossingAt reports whether the only number of a pair that moves is the time rather
// than one pressure: it lies in the last two hours, or can end a stay whose beginning
// had its time.
func (l *line) crossingAt(i int, c clock) bool {
	if l.frame == nil || l.frame.wants < 2 || l.bare(i) > 0 || !l.has(pairSort) {
		return false
	}
	if l.endsStay(c) {
		return true
	}
	at, _ := l.ctx.resolve(c)
	if since := l.ctx.Now.Sub(at); since > longestStay || since < -ahead {
		return false
	}
	if l.allAside(0, i) {
		return true
	}
	l.guess = true
	l.hint(fmt.Sprintf("%s is taken for the time; pressures are said of both.", at.Format("15:04")))
	return true
}

// longestStay is how long somebody may be in, at most (common practice, no source).
const longestStay = 2 * time.Hour

// endsStay reports whether c can be the end of the stay whose beginning was said.
func (l *line) endsStay(c clock) bool {
	if l.opt.since.IsZero() {
		return false
	}
	at, _ := l.ctx.resolve(c)
	stay := at.Sub(l.opt.since)
	return stay > 0 && stay <= longestStay
}

// clockField reports whether the words up to token i are those of a field of clock
// times: "eta", "last heard".
func (l *line) clockField(i int) bool {
	if l.typ == nil || i < 0 {
		return false
	}
	if w := l.toks[i].word; w == "says" || w == "due" {
		_, ok := l.takes("eta")
		return ok
	}
	for _, f := range l.typ.Fields {
		for _, w := range fieldWords(f) {
			n := len(strings.Fields(w))
			if f.Type == events.ClockField && i-n+1 >= 0 && matches(l.toks[i-n+1:], w) == n {
				return true
			}
		}
	}
	return false
}

// next reports whether the token behind i makes a number of it that is no time.
func (l *line) next(i int) bool {
	return i+1 < len(l.toks) && !l.toks[i].ends && (isUnit(l.toks[i+1].word) && l.toks[i+1].word != "in" || l.toks[i+1].word == "a")
}

// bare counts the numbers that name nothing, token i left out.
func (l *line) bare(i int) (n int) {
	for j, t := range l.toks {
		if j != i && t.num != nil && !t.used && !(t.num.small() && l.frame != nil && l.frame.holds && l.standsForCompartment(j)) {
			n++
		}
	}
	return n
}

// noClock says of four digits behind "at" that they are no time.
func (l *line) noClock(w string, led bool, i int) {
	if !led || l.toks[i].num == nil || len(w) != 4 || !l.toks[i].num.clock || i > 1 && takesNumber[l.toks[i-2].word] {
		return
	}
	l.hint(fmt.Sprintf("%s:%s is not a clock time. If it is a reading, say of what.", w[:2], w[2:]))
}
