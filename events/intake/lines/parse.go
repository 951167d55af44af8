package lines

import (
	"fmt"
	"strings"
	"time"

	"tankside/events"
	"tankside/events/kinds"
)

// longest is the longest line, in bytes, that is read: what is said in one breath is a
// tenth of it, and what is longer was pasted.
const longest = 2000

// Parse reads a line. It never fails: a line that is not understood is a note.
func Parse(ctx Context, raw string) Reading {
	raw = strings.ToValidUTF8(raw, "\uFFFD") // a log holds text
	if strings.TrimSpace(raw) == "" {
		return Reading{Raw: raw, Grammar: Grammar, Certainty: Note}
	}
	if len(raw) > longest {
		r, _ := ctx.asNote(raw, fmt.Sprintf("A line of %d letters is kept as a note; type one thing a line.", len(raw)))
		return r
	}
	return ctx.otherwise(raw, parse(&ctx, raw))
}

// parse reads a line with its spoken numbers as they were said together.
func parse(ctx *Context, raw string) Reading {
	if r, ok := putRight(ctx, raw); ok {
		return r
	}
	if r, ok := position(ctx, raw); ok {
		return r
	}
	l := read(ctx, raw, options{})
	r := l.reading()
	l.second(&r)
	l.witness(&r)
	return r
}

// draft is the envelope of what is typed now.
func (ctx *Context) draft(line string, p events.Payload) events.Draft {
	return events.Draft{
		Incident: ctx.Incident, Mode: ctx.Mode, Occurred: ctx.nowWhen(), RecordedBy: ctx.Scribe,
		Channel: events.Typed, Words: line, Grammar: Grammar, Payload: p,
	}
}

func (ctx *Context) nowWhen() events.When { return events.At(ctx.here()) }

// reading is what the line was read as.
func (l *line) reading() Reading {
	r := Reading{Raw: l.raw, Grammar: Grammar, Certainty: Clear}
	switch {
	case l.frame == nil:
		r.Certainty = Note
	case l.guess:
		r.Certainty = Guessed
	}
	r.Drafts, r.Says = l.drafts(), l.sentence()
	if l.frame != nil && l.frame.board != nil {
		r.Board = l.frame.board(l)
	}
	r.Ask = l.question()
	r.Assumed, r.Hints, r.Timed = l.marks, l.hints, l.time.given
	return r
}

// drafts are the entries of the line. A stay of a pair with both its ends is two.
func (l *line) drafts() []events.Draft {
	d := l.draft()
	if l.time.end.IsZero() || l.frame == nil || l.frame.kind != "in_hot" && l.frame.kind != "out_hot" {
		return []events.Draft{d}
	}
	in, out := d, d
	in.Occurred, out.Occurred = events.At(l.time.when.At), events.At(l.time.end)
	pair := l.value("pair")
	if l.frame.kind == "out_hot" {
		in.Payload, in.Extra = kinds.InHot{Pair: pair}, nil
	} else {
		out.Payload, out.Extra = kinds.OutHot{Pair: pair}, nil
	}
	return []events.Draft{in, out}
}

// sentence is the line in a plain sentence.
func (l *line) sentence() string {
	if l.frame == nil {
		return "kept as a note"
	}
	var parts []string
	if l.time.given {
		parts = append(parts, whenText(l.time))
	}
	if l.where != "" {
		parts = append(parts, l.where+":")
	}
	parts = append(parts, l.typ.Line(l.payload))
	if l.teller.role != "" {
		parts = append(parts, "(told by "+l.teller.role+")")
	}
	return strings.Join(parts, " ")
}

// whenText writes a time as exactly as it is known.
func whenText(t saidTime) string {
	w := t.when
	switch w.Form {
	case events.Before:
		return fmt.Sprintf("before entry %d", t.order)
	case events.Span, events.Bracket:
		from := w.At
		if w.Form == events.Bracket {
			from = w.From
		}
		return from.Format("15:04") + " to " + w.To.Format("15:04")
	}
	if w.At.Second() != 0 {
		return w.At.Format("15:04:05")
	}
	return w.At.Format("15:04")
}

// second reads the other end of a stay: "p3 in at 2252, out 2306".
func (l *line) second(r *Reading) {
	if l.frame == nil || l.frame.kind != "in_hot" || !l.time.end.IsZero() {
		return
	}
	at := -1
	for i, t := range l.toks {
		if i > 0 && t.word == "out" && (l.toks[i-1].ends || l.toks[i-1].aside) {
			at = t.from
		}
	}
	if at < 0 {
		return
	}
	head := l.raw[:at] + strings.Repeat(" ", len(l.raw)-at)
	in := read(l.ctx, head, options{})
	out := read(l.ctx, l.masked(at), options{since: in.began()})
	if in.frame == nil || out.frame == nil || out.frame.kind != "out_hot" {
		return
	}
	in.raw, out.raw, in.teller, out.teller = l.raw, l.raw, l.teller, l.teller
	a, b := in.reading(), out.reading()
	*r = a
	r.Drafts = append(a.Drafts, b.Drafts...)
	r.Says += "; " + b.Says
	if b.Certainty == Guessed && l.teller.role == "" {
		r.Certainty = Guessed
	}
	r.Assumed, r.Hints = append(a.Assumed, b.Assumed...), a.Hints
	r.Ask = nil
}

// began is when a stay began, zero where its line does not say.
func (l *line) began() time.Time {
	if !l.time.given {
		return time.Time{}
	}
	return l.time.when.At
}

// masked is the line with blanks for everything before at but its pair.
func (l *line) masked(at int) string {
	b := []byte(strings.Repeat(" ", at) + l.raw[at:])
	for _, th := range l.things {
		if th.sort == pairSort && l.toks[th.at].from < at {
			end := th.at
			for end+1 < len(l.toks) && l.toks[end+1].num.small() && l.toks[end+1].used && !l.toks[end+1].aside {
				end++
			}
			copy(b[l.toks[th.at].from:], l.raw[l.toks[th.at].from:l.toks[end].to])
		}
	}
	return string(b)
}
