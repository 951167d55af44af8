package lines

import (
	"strings"
	"time"

	"tankside/events"
	"tankside/events/kinds"
)

// line is a line on its way to a reading.
type line struct {
	ctx    *Context
	raw    string
	opt    options
	toks   []token
	things []thing
	time   saidTime
	teller teller
	frame  *frame
	score  int
	typ    *events.Type

	where   string
	payload events.Payload
	extra   []events.Pair
	filled  []string // what was put into a field without a word for it
	guess   bool
	marks   []Mark
	hints   []string
	asks    []ask
}

// options are answers already given, for reading the line as each answer has it.
type options struct {
	at       time.Time         // the time, where it could be two
	with     map[string]string // values by key in place of those read
	answered bool              // nothing more is asked
	since    time.Time         // when the stay began whose end this is, where that was said
}

// read reads a line that is neither blank nor a fix, a strike or a join.
func read(ctx *Context, raw string, opt options) *line { return newLine(ctx, raw, opt).run() }

// newLine cuts a line into tokens.
func newLine(ctx *Context, raw string, opt options) *line {
	return &line{ctx: ctx, raw: raw, opt: opt, toks: speak(lex(raw))}
}

// run reads the tokens.
func (l *line) run() *line {
	l.passFillers()
	if forced(l.toks) {
		l.findTeller()
		l.findTime()
		return l.note()
	}
	l.correctSlips()
	l.findTeller()
	l.findThings()
	l.choose()
	l.findTime()
	l.toks = l.measured()
	l.twoUnits()
	if l.frame == nil || l.unknownTruck() {
		return l.note()
	}
	l.fill()
	return l
}

// The words that begin or end what is said on a radio and mean nothing.
var (
	leadFillers  = wordSet("ok okay copy roger uh um and so well alright yeah yes")
	trailFillers = wordSet("over please thanks now copy ok okay")
)

// fillers returns how many fillers toks begin with.
func fillers(toks []token) (n int) {
	for n < len(toks) && leadFillers[toks[n].word] {
		n++
	}
	return n
}

// passFillers takes the fillers off the beginning and the end.
func (l *line) passFillers() {
	if n := fillers(l.toks); n < len(l.toks) {
		l.spend(0, n)
	}
	for i := len(l.toks) - 1; i > 1 && trailFillers[l.toks[i].word] && l.toks[i-1].word != "just"; i-- {
		l.spend(i, 1)
	}
}

// forced reports whether the line says itself that it is a note.
func forced(toks []token) bool {
	n := fillers(toks)
	return n < len(toks) && toks[n].word == "note"
}

// note makes the line a plain note.
func (l *line) note() *line {
	l.frame, l.typ, l.payload = nil, noteType, kinds.Note{}
	l.extra, l.filled, l.asks = nil, nil, nil
	l.where = ""
	return l
}

var noteType = kinds.Catalogue().Type("note")

// measured joins numbers with their units; tokens that were used stay as they are.
func (l *line) measured() []token {
	hidden := map[int]*number{}
	for _, t := range l.toks {
		if t.used && t.num != nil {
			hidden[t.from] = t.num
		}
	}
	toks := make([]token, len(l.toks))
	for i, t := range l.toks {
		if t.used {
			t.num, t.word = nil, "\x00"+t.word // names something: counts nothing
		}
		toks[i] = t
	}
	toks = measure(toks)
	for i := range toks {
		toks[i].word = strings.TrimPrefix(toks[i].word, "\x00")
		if n, ok := hidden[toks[i].from]; ok && toks[i].used {
			toks[i].num = n
		}
	}
	l.rebase(toks)
	return toks
}

// rebase moves what points at tokens to the tokens that took their place.
func (l *line) rebase(toks []token) {
	for i, th := range l.things {
		from := l.toks[th.at].from
		for j, t := range toks {
			if t.from <= from && from < t.to {
				l.things[i].at = j
			}
		}
	}
}

// hint adds a line of advice.
func (l *line) hint(text string) { l.hints = append(l.hints, text) }

// assume marks tokens from to to as taken for what; the words are said, so it is no
// guess.
func (l *line) assume(from, to int, what string) {
	l.marks = append(l.marks, Mark{l.toks[from].from, l.toks[to].to, what})
}

// presume notes what was filled in without a word for it.
func (l *line) presume(key, what string) {
	l.filled = append(l.filled, key)
	l.marks = append(l.marks, Mark{len(l.raw), len(l.raw), what})
}

// draft is the entry that the line becomes.
func (l *line) draft() events.Draft {
	d := l.ctx.draft(l.raw, l.payload)
	d.Occurred, d.Where, d.Extra = l.time.when, l.where, l.extra
	d.ObservedBy, d.Channel, d.Device = l.teller.role, l.teller.channel, l.teller.device
	if len(l.filled) > 0 {
		d.Extra = append(d.Extra, events.Pair{Key: "filled in", Value: strings.Join(l.filled, ", ")})
	}
	return d
}
