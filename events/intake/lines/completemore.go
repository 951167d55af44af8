package lines

import (
	"slices"
	"strings"

	"tankside/events"
	"tankside/events/kinds"
)

// words cuts a line at its blanks, for setting two lines beside each other.
func words(s string) []string { return strings.Fields(strings.ToLower(s)) }

// alike reports whether two words are the same but for their digits: p1 and p3, 2980 and
// 4400, c4 and c5. A comma belongs to neither.
func alike(a, b string) bool {
	a, b = strings.TrimRight(a, ",;"), strings.TrimRight(b, ",;")
	if a == b {
		return true
	}
	na, nb := hasDigit(a), hasDigit(b)
	if !na || !nb {
		return false
	}
	letters := func(r rune) rune {
		if r >= '0' && r <= '9' || r == '.' {
			return -1
		}
		return r
	}
	return strings.Map(letters, a) == strings.Map(letters, b)
}

// gasWord reports whether w is the name of a gas, which may hold a digit.
func gasWord(w string) bool {
	for _, g := range gases {
		if slices.Contains(g.words, w) {
			return true
		}
	}
	return false
}

func hasDigit(s string) bool { return strings.ContainsAny(s, "0123456789") }

// linesBefore is how many lines typed before are looked at, the latest first.
const linesBefore = 120

// completeAsBefore goes on as an earlier line of this incident went on behind the same
// words, up to the next number: what was said once in such a line is likely said again,
// and the numbers are what is new. A number that stood the same in two such lines, as the
// flow of a foam line, is offered with it.
func (ctx *Context) completeAsBefore(line string, caret int, add func(from int, text, why string)) {
	head := words(line[:caret])
	part, gap := "", ""
	switch n := len(head); {
	case n == 0:
		return
	case line[caret-1] == ' ':
	case hasDigit(head[n-1]) || strings.HasSuffix(head[n-1], ","):
		gap = " "
	default:
		part, head = head[n-1], head[:n-1]
	}
	if _, ok := clockOf(strings.Join(head[:min(1, len(head))], "")); ok {
		head = head[1:] // behind a time
	}
	kind := events.Kind("")
	if l := read(ctx, line[:caret-len(part)], options{answered: true}); l.typ != nil {
		kind = l.typ.Kind
	}
	type way struct {
		text string
		held int
	}
	var ways []way
	for i := len(ctx.Entries) - 1; i >= 0 && i >= len(ctx.Entries)-linesBefore; i-- {
		was := words(ctx.Entries[i].Words)
		if len(was) > 0 {
			if _, ok := clockOf(was[0]); ok {
				was = was[1:]
			}
		}
		at, held := goesOn(head, part, was, ctx.Entries[i].Payload != nil && ctx.Entries[i].Payload.Kind() == kind)
		if held == 0 || len(head) == 0 && len(part) < 2 {
			continue
		}
		if text := ctx.until(was[at:], i); text != "" {
			if j := slices.IndexFunc(ways, func(w way) bool { return w.text == text }); j < 0 {
				ways = append(ways, way{text, held})
			}
		}
	}
	slices.SortStableFunc(ways, func(a, b way) int { return b.held - a.held })
	for _, w := range ways[:min(2, len(ways))] {
		add(caret-len(part), gap+w.text, "as before")
	}
}

// goesOn finds where in was a line that began like head goes on with part: how many words
// before that place are alike. Two are enough where both begin alike, or are of one kind.
func goesOn(head []string, part string, was []string, oneKind bool) (at, held int) {
	for j := range was {
		if !strings.HasPrefix(was[j], part) || len(was[j]) == len(part) {
			continue
		}
		m := 0
		for m < len(head) && m < j && alike(head[len(head)-1-m], was[j-1-m]) {
			m++
		}
		whole := m == len(head) && m == j
		if !whole && (m < 1 || m < 2 && part == "" || !alike(head[0], was[0]) && (!oneKind || m < 2)) {
			continue
		}
		if whole {
			m += 10
		}
		if m > held {
			at, held = j, m
		}
	}
	return at, held
}

// until is what of the rest of an earlier line is offered: to the first number that is not
// the same in another line with the same words.
func (ctx *Context) until(rest []string, from int) string {
	var out []string
	for n, w := range rest {
		if hasDigit(w) && !gasWord(w) && !ctx.heldBefore(rest[:n+1], from) {
			if book, _, ok := bookOf(w); ok {
				return strings.Join(append(out, book+"-"), " ")
			}
			break
		}
		out = append(out, w)
	}
	switch {
	case len(out) == 0:
		return ""
	case len(out) < len(rest):
		return strings.Join(out, " ") + " "
	}
	return strings.Join(out, " ")
}

// heldBefore reports whether an earlier line than entry i had the words in a row.
func (ctx *Context) heldBefore(run []string, i int) bool {
	if len(run) < 2 && !strings.ContainsAny(run[0], "%") {
		return ctx.hasRun(run, i) && len(run[0]) > 2
	}
	return ctx.hasRun(run, i)
}

func (ctx *Context) hasRun(run []string, i int) bool {
	text := " " + strings.Join(run, " ") + " "
	for j := i - 1; j >= 0 && j >= i-linesBefore; j-- {
		if strings.Contains(" "+strings.ToLower(ctx.Entries[j].Words)+" ", text) {
			return true
		}
	}
	return false
}

// completeFields offers the words of what the kind of the line can still say, numbers first
// and in the order of its declaration, and where one of them is begun, that.
func (ctx *Context) completeFields(line string, caret int, add func(from int, text, why string)) {
	part, from, gap := "", caret, ""
	if caret > 0 && line[caret-1] != ' ' {
		from = strings.LastIndexByte(line[:caret], ' ') + 1
		if part = strings.ToLower(line[from:caret]); hasDigit(part) || strings.HasSuffix(part, ",") {
			part, from, gap = "", caret, " "
		}
	}
	if gap == "" && part == "" && !strings.HasSuffix(strings.TrimRight(line[:caret], " "), ",") && !hasDigit(lastOf(line[:caret])) {
		return // in the middle of words
	}
	l := read(ctx, line[:from], options{answered: true})
	if l.frame == nil || l.typ == nil || l.typ.Kind == "note" {
		return
	}
	if c := l.nextCompartment(); c != "" && part == "" {
		add(from, gap+c+" ", "")
	}
	if l.typ.Kind == "in_hot" && l.time.given && part == "" {
		add(from, gap+"out ", "") // a stay told late has two ends
	}
	fields := slices.Clone(l.typ.Fields)
	slices.SortStableFunc(fields, func(a, b events.FieldInfo) int { return wordy(a) - wordy(b) })
	for _, f := range fields {
		if f.Patterned() || ofThings[f.Key] || l.said(f.Key) && f.Type != events.TextsField || f.Type == events.ChoiceField && part == "" {
			continue
		}
		for _, w := range slices.Concat(f.Choices, fieldWords(f)) {
			if w = strings.ToLower(w); strings.HasPrefix(w, part) && len(w) > 1 && len(w) > len(part) && (part != "" || isLabel(f, w)) && !strings.ContainsAny(w, "_(") {
				add(from, gap+w+" ", "")
				break
			}
		}
	}
}

// wordy is 1 for a field of words: what is a number comes first, for it is soon said.
func wordy(f events.FieldInfo) int {
	if f.Type == events.TextField || f.Type == events.TextsField {
		return 1
	}
	return 0
}

func lastOf(s string) string {
	if f := strings.Fields(s); len(f) > 0 {
		return f[len(f)-1]
	}
	return ""
}

// nextCompartment is the compartment that is said next where one after the other is.
func (l *line) nextCompartment() string {
	if l.typ.Kind != "dip_read" && l.typ.Kind != "load_stated" {
		return ""
	}
	last := 0
	for _, p := range l.typ.Values(l.payload) {
		if len(p.Key) == 2 && p.Key[0] == 'C' && isDigit(p.Key[1]) {
			last = max(last, int(p.Key[1]-'0'))
		}
	}
	most := len(l.ctx.Compartments)
	if last == 0 || last > 8 || most > 0 && last >= most {
		return ""
	}
	return "c" + string(rune('1'+last))
}

// nextOpen offers the end of what was begun: a channel that is lost, power that is out, a
// doubt, a lift.
func (ctx *Context) nextOpen(say sayNext) {
	open := func(begun, over events.Kind) *Entry {
		for i := len(ctx.Entries) - 1; i >= 0; i-- {
			switch e := &ctx.Entries[i]; {
			case e.Off || e.Payload == nil:
			case e.Payload.Kind() == over:
				return nil
			case e.Payload.Kind() == begun:
				return e
			}
		}
		return nil
	}
	if e := open("radio_lost", "radio_back"); e != nil && e.Where != "" {
		say("lost", "%s back gap ", e.Where)
	}
	if e := open("power_lost", "power_back"); e != nil {
		say("on battery", "power back %s", e.Where)
	}
	if e := open("doubt_raised", "doubt_settled"); e != nil && e.Where != "" {
		say("in doubt", "settled %s ", e.Where)
	}
	if open("lift_begun", "on_wheels") != nil {
		say("the weight is taken", "on her wheels ")
	}
}

// vacuum reports whether a leg is drawn by vacuum.
func (ctx *Context) vacuum(leg *Leg) bool {
	for _, e := range ctx.latest("pump_on", lookBack) {
		if k := e.Payload.(kinds.PumpOn); k.Leg == leg.ID {
			return k.Vacuum == "yes"
		}
	}
	return false
}
