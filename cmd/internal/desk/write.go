package desk

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections"
)

// The things that can be missing, for those who say where they are given.
const (
	ErrNoReason events.Error = "a finding is not dismissed without a reason"
	ErrNoRole   events.Error = "say whose comment it is"
)

// Ask is what somebody writes at the desk. What a deed does not want stays empty.
type Ask struct {
	Do        string   `json:"do"`      // take, dismiss, write, text, action, outcome, comment, remark or state
	Of        string   `json:"of"`      // what it is about: a finding, a section, an objective, a figure, a state
	Text      string   `json:"text"`    // what is said
	Name      string   `json:"name"`    // of the chief's own finding; numbered where it is left out
	Sort      string   `json:"sort"`    // of a finding
	Why       string   `json:"why"`     // of a dismissal, or of a difference from what was planned
	Entries   string   `json:"entries"` // numbers of those it stands on
	Owner     string   `json:"owner"`
	Due       string   `json:"due"`
	Status    string   `json:"status"`
	Outcome   string   `json:"outcome"`
	Sustain   string   `json:"sustain"`
	Improve   string   `json:"improve"`
	Role      string   `json:"role"` // of whoever comments
	Recipient []string `json:"to"`   // roles that the draft goes out to
}

// deeds are what can be done at the desk.
var deeds = map[string]func(*Desk, Ask) (events.Payload, error){
	"take": (*Desk).take, "dismiss": (*Desk).dismiss, "write": (*Desk).write, "text": (*Desk).text, "action": (*Desk).action,
	"outcome": (*Desk).outcome, "comment": (*Desk).comment, "remark": (*Desk).remark, "state": (*Desk).move,
}

// Make makes of what somebody writes what goes into the log. The error says in one line
// what is wrong with it.
func (d *Desk) Make(a Ask) (events.Payload, error) {
	do, known := deeds[a.Do]
	if !known {
		return nil, fmt.Errorf("%q is not done at the desk", a.Do)
	}
	return do(d, a)
}

// finding is the rules' finding with the id.
func (d *Desk) finding(id string) (projections.Finding, error) {
	for _, f := range d.State.Findings {
		if strings.EqualFold(f.ID, id) {
			return f, nil
		}
	}
	return projections.Finding{}, fmt.Errorf("there is no finding %q; tankside review list names the %d there are", id, len(d.State.Findings))
}

func sortOf(text string) error {
	if text == "" || slices.Contains(kinds.FindingSorts, text) {
		return nil
	}
	return fmt.Errorf("%q is no sort of finding; it is \"kept up\", fix or \"open question\"", text)
}

func (d *Desk) take(a Ask) (events.Payload, error) {
	f, err := d.finding(a.Of)
	return kinds.FindingTaken{Finding: f.ID, Statement: a.Text, Sort: a.Sort, Stood: d.Folded.Review.Evidence(f)}, cmp.Or(err, sortOf(a.Sort))
}

func (d *Desk) dismiss(a Ask) (events.Payload, error) {
	if strings.TrimSpace(a.Why) == "" {
		return nil, ErrNoReason
	}
	f, err := d.finding(a.Of)
	return kinds.FindingDismissed{Finding: f.ID, Why: a.Why, Stood: d.Folded.Review.Evidence(f)}, err
}

func (d *Desk) write(a Ask) (events.Payload, error) {
	k := kinds.FindingWritten{Name: cmp.Or(a.Name, d.nextName()), Statement: a.Text, Sort: a.Sort}
	if strings.TrimSpace(a.Text) == "" {
		return nil, fmt.Errorf("the finding has no words")
	}
	var err error
	if k.Entry, err = d.numbers(a.Entries); err != nil {
		return nil, err
	}
	k.Stood = d.Folded.Review.EvidenceOf(k.Entry)
	return k, sortOf(a.Sort)
}

// numbers reads the numbers of entries and gives their ids.
func (d *Desk) numbers(entries string) (ids []string, err error) {
	for _, n := range strings.FieldsFunc(entries, func(r rune) bool { return r == ',' || r == ' ' }) {
		id, err := d.number(n)
		if err != nil {
			return nil, fmt.Errorf("entries: %w", err)
		}
		ids = append(ids, string(id))
	}
	return ids, nil
}

// number finds the entry that text names: by number (181, #181 or e181) or by id.
func (d *Desk) number(text string) (events.ID, error) {
	n, err := strconv.ParseUint(strings.TrimLeft(text, "#e"), 10, 64)
	if err != nil {
		return events.ParseID(text)
	}
	for i := range d.Entries {
		if d.Entries[i].Seq == events.Seq(n) {
			return d.Entries[i].ID, nil
		}
	}
	return "", fmt.Errorf("there is no entry %d; the log of %s has %d", n, d.Incident, len(d.Entries))
}

// nextName names a finding of the chief's that he gave no name.
func (d *Desk) nextName() string {
	for n := 1; ; n++ {
		if name := "own-" + strconv.Itoa(n); !d.reviewed(name) {
			return name
		}
	}
}

// reviewed reports whether a finding of the id or name was taken, dismissed or written.
func (d *Desk) reviewed(id string) bool {
	return slices.ContainsFunc(d.State.Review.Findings, func(f projections.Reviewed) bool { return f.ID == id })
}

func (d *Desk) text(a Ask) (events.Payload, error) {
	if !slices.Contains(kinds.Sections, a.Of) {
		return nil, fmt.Errorf("%q is no section; it is one of %s", a.Of, strings.Join(kinds.Sections, ", "))
	}
	return kinds.SectionWritten{Section: a.Of, Text: a.Text}, nil
}

func (d *Desk) action(a Ask) (events.Payload, error) {
	k := kinds.RecommendationMade{Finding: a.Of, Action: a.Text, Owner: a.Owner, Due: a.Due, Status: a.Status}
	if strings.TrimSpace(a.Text) == "" {
		return nil, fmt.Errorf("say what is to be done")
	}
	if a.Of == "" || d.reviewed(a.Of) {
		return k, nil
	}
	f, err := d.finding(a.Of)
	k.Finding = f.ID
	return k, err
}

func (d *Desk) outcome(a Ask) (events.Payload, error) {
	if !slices.Contains(kinds.Outcomes, a.Outcome) {
		return nil, fmt.Errorf("%q is no outcome; it is one of: %s", a.Outcome, strings.Join(kinds.Outcomes, ", "))
	}
	k := kinds.OutcomeWritten{Outcome: a.Outcome, Actual: a.Text, Why: a.Why, Sustain: a.Sustain, Improve: a.Improve}
	var err error
	if k.Objective, err = d.objective(a.Of); err != nil {
		return nil, err
	}
	if k.Entry, err = d.numbers(a.Entries); err != nil {
		return nil, err
	}
	k.Stood = d.Folded.Review.EvidenceOf(k.Entry)
	return k, nil
}

// objective is the id of the entry that set an objective, by its number; what is no
// number is an objective in words.
func (d *Desk) objective(text string) (string, error) {
	n := strings.TrimLeft(text, "#e")
	if strings.TrimSpace(text) == "" {
		return "", fmt.Errorf("say which objective it is: the number of the entry that set it, or its words")
	}
	if strings.Trim(n, "0123456789") != "" {
		return text, nil
	}
	id, err := d.number(n)
	if err != nil {
		return "", err
	}
	for i := range d.Entries {
		if _, sets := d.Entries[i].Payload.(kinds.ObjectiveSet); sets && d.Entries[i].ID == id {
			return string(id), nil
		}
	}
	return "", fmt.Errorf("entry %s sets no objective; name the entry that does, or give the objective in words where nobody logged it", n)
}

func (d *Desk) comment(a Ask) (events.Payload, error) {
	switch {
	case strings.TrimSpace(a.Role) == "":
		return nil, ErrNoRole
	case strings.TrimSpace(a.Text) == "":
		return nil, fmt.Errorf("the comment has no words")
	}
	return kinds.CommentMade{Role: a.Role, About: a.Of, Text: a.Text}, nil
}

func (d *Desk) remark(a Ask) (events.Payload, error) {
	stood, err := d.Figure(a.Of)
	if err == nil && strings.TrimSpace(a.Text) == "" {
		err = fmt.Errorf("the remark has no words")
	}
	return kinds.RemarkMade{Figure: a.Of, Text: a.Text, Stood: stood}, err
}

func (d *Desk) move(a Ask) (events.Payload, error) {
	state := map[string]string{"draft": "draft", "out": "out for comment", "out for comment": "out for comment"}[a.Of]
	if state == "" {
		return nil, fmt.Errorf("%q is no state to be set here; it is draft or out, and tankside sign signs", a.Of)
	}
	return kinds.ReportMoved{State: state, To: a.Recipient}, nil
}

// Stands is the entry of which p would be a newer version, 0 where it is the first.
func (d *Desk) Stands(p events.Payload) events.Seq {
	r := d.State.Review
	switch k := p.(type) {
	case kinds.FindingTaken:
		return entryOf(r.Findings, func(f projections.Reviewed) bool { return f.ID == k.Finding }, func(f projections.Reviewed) projections.Moment { return f.At })
	case kinds.FindingDismissed:
		return entryOf(r.Findings, func(f projections.Reviewed) bool { return f.ID == k.Finding }, func(f projections.Reviewed) projections.Moment { return f.At })
	case kinds.FindingWritten:
		return entryOf(r.Findings, func(f projections.Reviewed) bool { return f.ID == k.Name }, func(f projections.Reviewed) projections.Moment { return f.At })
	case kinds.SectionWritten:
		return entryOf(r.Sections, func(w projections.Written) bool { return w.Section == k.Section }, func(w projections.Written) projections.Moment { return w.At })
	case kinds.RecommendationMade:
		return entryOf(r.Recommendations, func(m projections.Recommended) bool { return m.Finding == k.Finding && m.Action == k.Action }, func(m projections.Recommended) projections.Moment { return m.At })
	case kinds.OutcomeWritten:
		return entryOf(r.Outcomes, func(o projections.Outcome) bool {
			return o.Objective == k.Objective || len(o.Of) == 1 && string(d.id(o.Of[0])) == k.Objective
		}, func(o projections.Outcome) projections.Moment { return o.At })
	}
	return 0
}

// entryOf is the entry by which one of all stands there.
func entryOf[T any](all []T, same func(T) bool, at func(T) projections.Moment) events.Seq {
	if i := slices.IndexFunc(all, same); i >= 0 && len(at(all[i]).From) > 0 {
		return at(all[i]).From[0]
	}
	return 0
}

// id is that of the entry with a number, "" where there is none.
func (d *Desk) id(n events.Seq) events.ID {
	for i := range d.Entries {
		if d.Entries[i].Seq == n {
			return d.Entries[i].ID
		}
	}
	return ""
}
