package lines

import (
	"strings"

	"tankside/events"
	"tankside/events/kinds"
)

// Parse reads a line. It never fails: a line that is not understood is a note.
func Parse(ctx Context, line string) Reading {
	r := Reading{Raw: line, Grammar: Grammar, Certainty: Note}
	if strings.TrimSpace(line) == "" {
		return r
	}
	r.Drafts = []events.Draft{ctx.draft(line, kinds.Note{})}
	r.Says = "will be kept as a note"
	return r
}

// draft is the envelope of what is typed now.
func (ctx Context) draft(line string, p events.Payload) events.Draft {
	return events.Draft{
		Incident: ctx.Incident, Mode: ctx.Mode, Occurred: events.At(ctx.Now), RecordedBy: ctx.Scribe,
		Channel: events.Typed, Words: line, Grammar: Grammar, Payload: p,
	}
}

// Complete offers ways to go on at caret, a byte place in line, the likeliest first, at
// most MostCompletions.
func Complete(ctx Context, line string, caret int) []Completion {
	return nil
}
