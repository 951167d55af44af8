package projections

import (
	"tankside/events"
	"tankside/events/kinds"
)

// Decided is a choice with what it was made on.
type Decided struct {
	At        Moment `json:"at"`
	Place     string `json:"place,omitempty"`
	Question  string `json:"question,omitempty"`
	Choice    string `json:"choice,omitempty"`
	InsteadOf string `json:"instead_of,omitempty"`
	Order     string `json:"order,omitempty"`
	Grounds   string `json:"grounds,omitempty"`
	By        string `json:"by"`
	Isolate   Figure `json:"isolate"`
}

// Ordered is an order, or rules that hold from then on.
type Ordered struct {
	At    Moment   `json:"at"`
	Place string   `json:"place,omitempty"`
	Rules []string `json:"rules,omitempty"`
	Act   string   `json:"act,omitempty"`
	Pair  string   `json:"pair,omitempty"`
	Level string   `json:"level,omitempty"`
	By    string   `json:"by"`
}

// Action is something to keep up or to improve.
type Action struct {
	At          Moment `json:"at"`
	Observation string `json:"observation,omitempty"`
	Sort        string `json:"sort,omitempty"`
	Capability  string `json:"capability,omitempty"`
	Cause       string `json:"cause,omitempty"`
	Action      string `json:"action,omitempty"`
	Owner       string `json:"owner,omitempty"`
	Start       string `json:"start,omitempty"`
	Due         string `json:"due,omitempty"`
	Status      string `json:"status,omitempty"`
}

// Decisions is what was decided and ordered, by whom and on what grounds.
type Decisions struct {
	Made    []Decided
	Orders  []Ordered
	Actions []Action // for each observation the newest status

	actions map[string]int
}

// Apply folds one entry.
func (d *Decisions) Apply(e *events.Entry) {
	switch k := e.Payload.(type) {
	case kinds.Decision:
		d.Made = append(d.Made, Decided{
			MomentOf(e), e.Where, k.Question, k.Choice, k.InsteadOf, k.Order, k.Grounds, orElse(k.By, e.ObservedBy), FigureOf(k.Isolate, "", e.Seq),
		})
	case kinds.OrderGiven:
		d.Orders = append(d.Orders, Ordered{MomentOf(e), e.Where, k.Rule, k.Act, k.Pair, k.Level, orElse(k.By, e.ObservedBy)})
	case kinds.ActionItem:
		d.action(e, k)
	}
}

// action keeps one line for each observation: a later entry of the same one brings
// its status up to date.
func (d *Decisions) action(e *events.Entry, k kinds.ActionItem) {
	i, again := d.actions[k.Observation]
	if !again || k.Observation == "" {
		i = len(d.Actions)
		d.actions = setIn(d.actions, k.Observation, i)
		d.Actions = append(d.Actions, Action{At: MomentOf(e), Observation: k.Observation})
	}
	a := &d.Actions[i]
	a.At.From = union(a.At.From, []events.Seq{e.Seq})
	for at, s := range map[*string]string{
		&a.Sort: k.Sort, &a.Capability: k.Capability, &a.Cause: k.Cause, &a.Action: k.Action,
		&a.Owner: k.Owner, &a.Start: k.Start, &a.Due: k.Due, &a.Status: k.Status,
	} {
		*at = orElse(s, *at)
	}
}
