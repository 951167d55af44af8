package lines

import (
	"fmt"
	"slices"
	"strings"

	"tankside/events"
	"tankside/events/kinds"
)

// Move is an entry that a line takes to another incident: it was typed into the wrong one.
type Move struct {
	Entry events.ID
	To    string // the name of the other incident
}

// move takes an entry to another incident: "move 12 to Quarry Bend". ok is false where the
// line does not name one: much else is moved at a scene.
func (ctx *Context) move(raw string, toks []token) (r Reading, ok bool) {
	at := slices.IndexFunc(toks, func(t token) bool { return t.word == "to" || t.word == "into" })
	if at < 0 || at > 2 || at+1 >= len(toks) {
		return r, false
	}
	to := ctx.other(raw[toks[at+1].from:])
	what := toks[:at]
	if len(what) == 2 && what[0].word == "entry" {
		what = what[1:]
	}
	e, n, why := ctx.target(what, false)
	if to == "" && (e == nil || n != len(what) || !ctx.likeOther(toks[at+1:])) {
		return r, false // something of the scene is moved
	}
	switch {
	case to == "":
		return ctx.asNote(raw, fmt.Sprintf("No other incident of that name is open; there %s. It is kept as a note, and entry %d stays here.", named(ctx.Others), e.Seq))
	case e == nil || n != len(what):
		if why == "" {
			why = "Say which entry, by its number or last. It is kept as a note."
		}
		return ctx.asNote(raw, why)
	case e.Off:
		return ctx.asNote(raw, fmt.Sprintf("Entry %d is taken back or joined already; it stays where it is. This is kept as a note.", e.Seq))
	}
	return Reading{
		Raw: raw, Grammar: Grammar, Certainty: Clear, Target: e.Seq, Move: &Move{e.ID, to},
		Drafts: []events.Draft{ctx.draft(raw, kinds.Note{})},
		Says:   fmt.Sprintf("moves entry %d to %s: %s", e.Seq, to, e.Line()),
		Board:  []string{fmt.Sprintf("without entry %d; %s has it, with its own time and teller", e.Seq, to)},
	}, true
}

// likeOther reports whether a word is one of the name of another incident, or nearly so.
func (ctx *Context) likeOther(toks []token) bool {
	for _, o := range ctx.Others {
		for _, w := range strings.Fields(strings.ToLower(o)) {
			if len(w) > 3 && slices.ContainsFunc(toks, func(t token) bool { return slips(t.word, w) <= 3 }) {
				return true
			}
		}
	}
	return false
}

// named says which other incidents there are.
func named(names []string) string {
	if len(names) == 1 {
		return "is " + names[0]
	}
	return "are " + strings.Join(names, ", ")
}

// other is the other incident that words name: in full, or by a beginning that no other
// has. "" where they name none.
func (ctx *Context) other(words string) (name string) {
	id := events.IncidentID(strings.TrimRight(strings.TrimSpace(words), ".,;"))
	if id == "" {
		return ""
	}
	for _, o := range ctx.Others {
		switch oid := events.IncidentID(o); {
		case oid == id:
			return o
		case strings.HasPrefix(oid, id+"-") && name != "":
			return "" // which of them is not said
		case strings.HasPrefix(oid, id+"-"):
			name = o
		}
	}
	return name
}
