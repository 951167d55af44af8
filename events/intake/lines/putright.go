package lines

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"tankside/events"
	"tankside/events/kinds"
)

// putRight reads a fix, a strike, a join or a move; ok is false for any other line.
func putRight(ctx *Context, raw string) (r Reading, ok bool) {
	toks := speak(lex(raw))
	toks = toks[fillers(toks):]
	switch {
	case matches(toks, "same as") > 0:
		return ctx.join(raw, toks)
	case matches(toks, "move") > 0 && len(ctx.Others) > 0:
		return ctx.move(raw, toks[1:])
	case matches(toks, "strike") > 0:
		return ctx.strike(raw, toks[1:])
	case matches(toks, "take back") > 0:
		return ctx.strike(raw, toks[2:])
	case matches(toks, "fix") > 0:
		return ctx.fix(raw, toks[1:])
	case matches(toks, "put right") > 0:
		return ctx.fix(raw, toks[2:])
	case len(toks) == 2 && toks[0].word == "no" && toks[0].ends && toks[1].num != nil && len(ctx.Entries) > 0:
		return ctx.fixEntry(raw, &ctx.Entries[len(ctx.Entries)-1], toks[1:]) // a number alone is what it is, not whose
	case len(toks) > 1 && toks[0].word == "no" && (toks[0].ends || toks[1].word == "last"):
		return ctx.fix(raw, toks[1:])
	}
	return r, false
}

// target is the entry that the words mean: a number, "last", or the last one where no
// number is said and implied is set. n is how many tokens it took; why says what is wrong.
func (ctx *Context) target(toks []token, implied bool) (e *Entry, n int, why string) {
	if len(toks) > 0 {
		if e := ctx.entryCalled(toks[0].word); e != nil {
			return e, 1, ""
		}
		w := strings.TrimPrefix(toks[0].word, "#")
		number := w != "" && strings.Trim(w, "0123456789") == ""
		if number && (toks[0].ends || !implied || len(toks) > 1 && len(w) < 3) {
			return nil, 1, fmt.Sprintf("There is no entry %s; %s. It is kept as a note.", w, ctx.lastEntry())
		}
	}
	if implied && len(ctx.Entries) > 0 {
		return &ctx.Entries[len(ctx.Entries)-1], 0, ""
	}
	return nil, 0, "Say which entry, by its number or last. It is kept as a note."
}

func (ctx *Context) lastEntry() string {
	if len(ctx.Entries) == 0 {
		return "the log is empty"
	}
	return fmt.Sprintf("last is %d", ctx.Entries[len(ctx.Entries)-1].Seq)
}

// asNote keeps a line that puts nothing right.
func (ctx *Context) asNote(raw, why string) (Reading, bool) {
	return Reading{
		Raw: raw, Grammar: Grammar, Certainty: Note, Says: "kept as a note",
		Drafts: []events.Draft{ctx.draft(raw, kinds.Note{})}, Hints: []string{why},
	}, true
}

// strike takes an entry back.
func (ctx *Context) strike(raw string, toks []token) (Reading, bool) {
	e, n, why := ctx.target(toks, len(toks) == 0 || toks[0].word == "because")
	if e == nil {
		return ctx.asNote(raw, why)
	}
	reason := toks[n:]
	if len(reason) > 0 && (reason[0].word == "because" || reason[0].word == "since") {
		reason = reason[1:]
	}
	k := kinds.Struck{Entry: e.ID}
	if len(reason) > 0 {
		k.Why = strings.TrimSpace(raw[reason[0].from:])
	}
	return Reading{
		Raw: raw, Grammar: Grammar, Certainty: Clear, Target: e.Seq, Drafts: []events.Draft{ctx.draft(raw, k)},
		Says: fmt.Sprintf("takes back entry %d: %s", e.Seq, e.Line()), Board: []string{fmt.Sprintf("without entry %d", e.Seq)},
	}, true
}

// join makes the last entry the second witness of another, or, where something stands
// before "same as", that.
func (ctx *Context) join(raw string, toks []token) (Reading, bool) {
	e, _, why := ctx.target(toks[2:], false)
	if e == nil {
		return ctx.asNote(raw, why)
	}
	last := ctx.lastOther(e.Seq)
	if last == nil {
		return ctx.asNote(raw, fmt.Sprintf("There is no entry after %d to be its second witness. It is kept as a note.", e.Seq))
	}
	if last.Payload != nil && e.Payload != nil && last.Payload.Kind() != e.Payload.Kind() {
		return ctx.asNote(raw, fmt.Sprintf("Entry %d, the last, is %s and entry %d is %s: not one fact told twice, so nothing is joined. Log what was told first, then same as %d. It is kept as a note.",
			last.Seq, last.Payload.Kind(), e.Seq, e.Payload.Kind(), e.Seq))
	}
	return Reading{
		Raw: raw, Grammar: Grammar, Certainty: Clear, Target: e.Seq,
		Drafts: []events.Draft{ctx.draft(raw, kinds.Joined{Entry: e.ID, With: last.ID})},
		Says:   fmt.Sprintf("entry %d is the second witness of entry %d: %s", last.Seq, e.Seq, e.Line()),
	}, true
}

// lastOther is the last entry that is not n.
func (ctx *Context) lastOther(n events.Seq) *Entry {
	for i := len(ctx.Entries) - 1; i >= 0; i-- {
		if e := &ctx.Entries[i]; e.Seq > n && !e.Off {
			return e
		}
	}
	return nil
}

// fix puts an entry right: what stands behind its number is read as a line of its kind,
// and each value that is said anew becomes a correction.
func (ctx *Context) fix(raw string, toks []token) (Reading, bool) {
	e, n, why := ctx.target(toks, true)
	if e == nil {
		return ctx.asNote(raw, why)
	}
	return ctx.fixEntry(raw, e, toks[n:])
}

// fixEntry puts entry e right by what toks say. A correction is put right by another of
// the entry it is of.
func (ctx *Context) fixEntry(raw string, e *Entry, toks []token) (Reading, bool) {
	if k, ok := e.Payload.(kinds.Correction); ok {
		if i := slices.IndexFunc(ctx.Entries, func(o Entry) bool { return o.ID == k.Entry }); i >= 0 {
			e = &ctx.Entries[i]
		}
	}
	if e.Payload == nil || len(toks) == 0 {
		return ctx.asNote(raw, fmt.Sprintf("Say what is right in entry %d, as fix %d: pump off 1012. It is kept as a note.", e.Seq, e.Seq))
	}
	blank := strings.Repeat(" ", toks[0].from) + raw[toks[0].from:]
	l := readAs(ctx, blank, e)
	if key, unit := onlyNumber(e); l != nil && key != "" && len(toks) == 1 && toks[0].num != nil && len(l.corrections(e)) == 0 {
		l.hints = nil // that it is in the words only
		l.put(key, toks[0].num.text+unit)
	}
	if l == nil {
		return ctx.asNote(raw, fmt.Sprintf("Entry %d is of a kind that this program cannot put right. It is kept as a note.", e.Seq))
	}
	r := Reading{Raw: raw, Grammar: Grammar, Certainty: Clear, Target: e.Seq, Assumed: l.marks, Hints: l.hints}
	for _, k := range l.corrections(e) {
		r.Drafts = append(r.Drafts, ctx.draft(raw, k))
		r.Says += fmt.Sprintf("entry %d, %s: was %s, now %s; ", e.Seq, k.Field, orNothing(k.Was), k.Now)
		r.Board = append(r.Board, fmt.Sprintf("entry %d: %s instead of %s", e.Seq, k.Now, orNothing(k.Was)))
	}
	r.Says = strings.TrimSuffix(r.Says, "; ")
	if len(r.Drafts) == 0 {
		return ctx.asNote(raw, fmt.Sprintf("Nothing in it puts entry %d right (%s). It is kept as a note.", e.Seq, e.Line()))
	}
	return r, true
}

// onlyNumber is the field of the only number with a unit that entry e has, and the unit
// it was said in; "" where it has none or several.
func onlyNumber(e *Entry) (key, unit string) {
	t := kinds.Catalogue().Type(e.Payload.Kind())
	if t == nil {
		return "", ""
	}
	for _, p := range t.Values(e.Payload) {
		f, ok := t.Field(p.Key)
		switch {
		case !ok || len(f.Units) == 0:
		case key != "":
			return "", ""
		default:
			key = p.Key
			_, unit, _ = strings.Cut(p.Value, " ")
		}
	}
	if unit != "" {
		unit = " " + unit
	}
	return key, unit
}

func orNothing(s string) string {
	if s == "" {
		return "not said"
	}
	return s
}

// readAs reads a line as one of the kind of entry e.
func readAs(ctx *Context, raw string, e *Entry) *line {
	l := newLine(ctx, raw, options{answered: true})
	l.typ = kinds.Catalogue().Type(e.Payload.Kind())
	if l.typ == nil {
		return nil
	}
	l.frame = frameOf[e.Payload.Kind()]
	l.teller.channel = events.Typed
	l.correctSlips()
	l.findThings()
	if l.frame.says != nil {
		for i := range l.toks {
			for _, p := range l.frame.says {
				if n := matches(l.toks[i:], p.words); n > 0 {
					for j := i; j < i+n; j++ {
						l.toks[j].action = true
					}
				}
			}
		}
	}
	l.findTime()
	l.toks = l.measured()
	l.fill()
	return l
}

// corrections are what the line says otherwise than entry e.
func (l *line) corrections(e *Entry) (out []kinds.Correction) {
	was := map[string]string{}
	for _, p := range l.typ.Values(e.Payload) {
		was[p.Key] = p.Value
	}
	for _, p := range l.typ.Values(l.payload) {
		if slices.Contains(l.filled, p.Key) || was[p.Key] == p.Value {
			continue
		}
		out = append(out, kinds.Correction{Entry: e.ID, Field: p.Key, Was: was[p.Key], Now: p.Value})
	}
	if l.time.given && l.time.when.Form == events.Instant {
		out = append(out, kinds.Correction{Entry: e.ID, Field: events.TimeKey, Was: e.At.Format(time.RFC3339), Now: l.time.when.At.Format(time.RFC3339)})
	}
	return out
}

// sameWithin is how near in time two tellers tell the same thing, for it to be offered
// as a second witness (a site setting in time; common practice, no source).
const sameWithin = 2 * time.Minute

// witness offers to join the line to an entry that says the same from another teller.
func (l *line) witness(r *Reading) {
	if l.frame == nil || r.Ask != nil || len(r.Drafts) != 1 || l.teller.role == "" {
		return
	}
	for i := len(l.ctx.Entries) - 1; i >= 0 && i >= len(l.ctx.Entries)-40; i-- {
		e := &l.ctx.Entries[i]
		if e.Off || e.Who == l.teller.role || e.Payload == nil || e.Payload.Kind() != l.typ.Kind || l.time.when.At.Sub(e.At).Abs() > sameWithin {
			continue
		}
		if !l.agrees(e) {
			if l.where != "" && l.where == e.Where && l.typ.Kind != "air_read" {
				r.Certainty = Guessed
				r.Hints = append(r.Hints, fmt.Sprintf("Entry %d, told by %s, has it otherwise: %s", e.Seq, orNobody(e.Who), e.Line()))
			}
			continue
		}
		joined := l.ctx.draft(l.raw, kinds.Joined{Entry: e.ID})
		r.Target = e.Seq
		r.Ask = &Question{
			Text: fmt.Sprintf("same as %d? Enter joins as second witness, N keeps apart.", e.Seq),
			Choices: []Choice{
				{EnterKey, fmt.Sprintf("second witness of entry %d", e.Seq), r.Says, append(slices.Clone(r.Drafts), joined)},
				{"N", "keep apart", r.Says, r.Drafts},
			},
		}
		return
	}
}

// orNobody is who told it, where that is known.
func orNobody(who string) string {
	if who == "" {
		return "nobody named"
	}
	return who
}

// agrees reports whether the line says nothing otherwise than entry e, and something
// the same.
func (l *line) agrees(e *Entry) bool {
	was, same := map[string]string{}, 0
	for _, p := range l.typ.Values(e.Payload) {
		was[p.Key] = strings.Fields(p.Value + " ")[0]
	}
	for _, p := range l.typ.Values(l.payload) {
		if slices.Contains(l.filled, p.Key) {
			continue
		}
		if v, ok := was[p.Key]; ok {
			if v != strings.Fields(p.Value + " ")[0] {
				return false
			}
			same++
		}
	}
	return same > 0
}
