package lines

import (
	"fmt"
	"strings"
	"time"

	"tankside/events"
)

// ask is a question with its other answers; to keep the line as typed is always one.
type ask struct {
	text    string
	answers []answer
}

// answer is another way to take the line.
type answer struct {
	key, label string
	with       map[string]string // values by key
	at         time.Time
	line       string // read this in its place
	plain      bool   // keep it as a note
}

// doubt asks a question. What is kept against it is marked as doubtful.
func (l *line) doubt(text string, answers ...answer) {
	l.asks = append(l.asks, ask{text, answers})
}

// question makes the question of the line: the first that has to be asked, the others
// stand as hints.
func (l *line) question() *Question {
	if l.opt.answered {
		return nil
	}
	l.askTime()
	if len(l.asks) == 0 {
		return nil
	}
	first := l.asks[0]
	for _, other := range l.asks[1:] {
		l.hint(other.text)
	}
	q := &Question{Text: first.text, Choices: []Choice{{Key: EnterKey, Label: "keep as typed", Says: l.sentence(), Drafts: l.kept(first)}}}
	for _, a := range first.answers {
		q.Choices = append(q.Choices, l.choiceOf(a))
	}
	return q
}

// kept are the drafts as typed, marked with what was asked.
func (l *line) kept(a ask) []events.Draft {
	ds := l.drafts()
	if len(ds) > 0 {
		ds[0].Extra = append(ds[0].Extra, events.Pair{Key: "doubtful", Value: a.text})
	}
	return ds
}

// choiceOf reads the line as an answer has it.
func (l *line) choiceOf(a answer) Choice {
	opt := options{answered: true, at: a.at, with: a.with}
	raw := l.raw
	if a.line != "" {
		raw = a.line
	}
	other := read(l.ctx, raw, opt)
	if a.plain {
		other.note()
	}
	ds := other.drafts()
	for i := range ds {
		ds[i].Words = l.raw
		ds[i].Extra = append(ds[i].Extra, events.Pair{Key: "answered", Value: a.label})
	}
	return Choice{Key: a.key, Label: a.label, Says: other.sentence(), Drafts: ds}
}

// askTime asks about a time that can be two instants, one before the mishap and one to
// come.
func (l *line) askTime() {
	if l.frame == nil {
		return // a note is of any time
	}
	if t := l.time.ask; t != nil {
		var answers []answer
		for _, c := range t.choices[1:] {
			answers = append(answers, answer{key: c.key, label: c.label, at: c.at})
		}
		l.asks = append([]ask{{t.text, answers}}, l.asks...)
		return
	}
	at := l.time.when.At
	if !l.time.given || l.time.when.Form == events.Before {
		return
	}
	switch wait := at.Sub(l.ctx.Now); {
	case wait > aheadAsk:
		l.doubt(fmt.Sprintf("%s is %d min ahead of now, %s. Enter = keep as typed.", at.Format("15:04"), int(wait.Minutes()+0.5), l.ctx.here().Format("15:04")))
	case !l.ctx.Mishap.IsZero() && at.Before(l.ctx.Mishap) && l.typ.Kind != "mishap" && l.typ.Kind != "load_stated" && l.typ.Kind != "call_received":
		question := fmt.Sprintf("%s is before the mishap, %s.", at.Format("2 Jan 15:04"), l.ctx.Mishap.In(at.Location()).Format("15:04"))
		var answers []answer
		if next := at.AddDate(0, 0, 1); next.Sub(l.ctx.Now) < 12*time.Hour {
			question += fmt.Sprintf(" C = it is to come, %s;", next.Format("2 Jan 15:04"))
			answers = append(answers, answer{key: "C", label: "to come, " + next.Format("2 Jan 15:04"), at: next})
		}
		l.doubt(question+" Enter = keep as typed and mark doubtful.", answers...)
	}
}

// unfitting asks about a value that its field cannot hold.
func (l *line) unfitting(key, text string, err error) {
	f, _ := l.takes(key)
	reason := strings.TrimPrefix(err.Error(), key+": ")
	n := written(strings.Fields(text + " 0")[0])
	if f.High > 0 && n.value > f.High {
		tenth := answer{key: "T", label: fmt.Sprintf("%.1f", n.value/10), with: map[string]string{key: fmt.Sprintf("%.1f", n.value/10)}}
		question, answers := fmt.Sprintf("%s cannot read %s. T = %s;", f.Label, withUnit(text, f), tenth.label), []answer{tenth}
		if _, ok := l.takes("over_range"); ok {
			question += " O = over range;"
			answers = append(answers, answer{key: "O", label: "over range", line: strings.Replace(l.raw, n.text, "pegged", 1)})
		}
		l.doubt(question+" Enter = keep "+text+" as doubtful.", answers...)
		return
	}
	l.doubt(fmt.Sprintf("%s: %s. Enter = keep it in words, marked.", f.Label, reason))
}

func withUnit(text string, f events.FieldInfo) string {
	if len(f.Units) > 0 && !strings.Contains(text, " ") {
		return text + " " + f.Units[0]
	}
	return text
}

// twoUnits finds a number with two units behind it: "60 psi bar".
func (l *line) twoUnits() {
	for i, t := range l.toks {
		if t.num == nil || t.num.unit == "" || t.ends || i+1 >= len(l.toks) {
			continue
		}
		next := l.toks[i+1]
		if !isUnit(next.word) || next.word == "in" || next.word == "m" || next.used {
			continue
		}
		l.hint(fmt.Sprintf("%s or %s? One unit per number.", t.num.unit, next.word))
		l.guess = true
	}
}

// unknownTruck says that the truck of the line is none of the incident's; true when the
// line can be no more than a note.
func (l *line) unknownTruck() bool {
	th, ok := l.find(truckSort)
	if !ok || len(l.ctx.Trucks) == 0 || l.ctx.truck(th.name) != nil || newTruck[l.typ.Kind] {
		return false
	}
	var names []string
	for _, t := range l.ctx.Trucks {
		names = append(names, t.Name)
	}
	l.hint(fmt.Sprintf("No %s here. %s? Keeping as a note.", th.name, strings.Join(names, ", ")))
	return true
}

// newTruck are the kinds that may name a truck for the first time.
var newTruck = map[events.Kind]bool{"truck_ordered": true, "on_scene": true, "eta_changed": true, "truck_checked": true, "scale_ticket": true, "custody_passed": true}
