package kinds

import (
	"tankside/events"
	. "tankside/events/quantity"
)

// CommandTaken is somebody taking command, first or from another.
type CommandTaken struct {
	Role    string
	Unit    []string
	Person  string
	Name    string // as used on the radio
	From    string
	Briefed string
	Unified []string // the agencies of a unified command
}

// Kind returns command_taken.
func (CommandTaken) Kind() events.Kind { return "command_taken" }

// CommandEnded is the end of command at the scene.
type CommandEnded struct {
	Name string
	To   string
	Why  string
}

// Kind returns command_ended.
func (CommandEnded) Kind() events.Kind { return "command_ended" }

// RoleGiven is a role in the organisation given or given up.
type RoleGiven struct {
	Role     string
	Person   string
	Unit     []string
	Level    string // operations, technician, specialist
	Relieves string
	State    string // given when not said
}

// Kind returns role_given.
func (RoleGiven) Kind() events.Kind { return "role_given" }

// ObjectiveSet is what command means to reach, and how.
type ObjectiveSet struct {
	Objective string
	Mode      string
	Criterion string
	From      events.Clock
	To        events.Clock
	Why       string
	Approver  string
}

// Kind returns objective_set.
func (ObjectiveSet) Kind() events.Kind { return "objective_set" }

// OrderGiven is an order, or rules that hold from now on.
type OrderGiven struct {
	Rule  []string // holds until another replaces it
	Act   string
	Pair  string // with what the pair is to do
	Level string // of clothing or breathing air
	To    string
	By    string
}

// Kind returns order_given.
func (OrderGiven) Kind() events.Kind { return "order_given" }

// Decision is a choice made between ways to go on.
type Decision struct {
	Question  string
	Choice    string
	InsteadOf string
	Order     string // e.g. of the compartments
	Grounds   string
	By        string
	Isolate   Amount[Feet] // distance kept clear all round
}

// Kind returns decision.
func (Decision) Kind() events.Kind { return "decision" }

// Handover is one person, crew or scribe taking over from another.
type Handover struct {
	From    string
	To      string
	Role    string
	Crew    string
	Briefed string
	Light   string   // day or night
	Open    []string // one for each open point
}

// Kind returns handover.
func (Handover) Kind() events.Kind { return "handover" }

var commandKinds = []*events.Type{
	events.Declare(events.Spec[CommandTaken]{
		Version: 1, Title: "Command taken", Family: "command",
		Doc:  "Who holds command from now on. Log it when it is said on the radio, with whom it was taken from and whether there was a briefing.",
		Says: []string{"has command", "command taken", "takes command", "command passed"},
		Fields: []events.Field[CommandTaken]{
			events.Text("role", "Role", func(e *CommandTaken) *string { return &e.Role }),
			events.Texts("unit", "Unit", func(e *CommandTaken) *[]string { return &e.Unit }),
			events.Text("person", "Person", func(e *CommandTaken) *string { return &e.Person }),
			events.Text("name", "Command name", func(e *CommandTaken) *string { return &e.Name }),
			events.Text("from", "Taken from", func(e *CommandTaken) *string { return &e.From }),
			events.Text("briefed", "Briefed", func(e *CommandTaken) *string { return &e.Briefed }),
			events.Texts("unified", "Shared with", func(e *CommandTaken) *[]string { return &e.Unified }),
		},
		Line: func(e CommandTaken) string {
			return sentence("Command taken", say("", e.Role), listed("", e.Unit), say("", e.Person), say("as", e.Name), say("from", e.From), say("briefed:", e.Briefed),
				listed("shared with", e.Unified))
		},
		Example: CommandTaken{Role: "IC", Unit: []string{"Battalion 3"}, Name: "Quarry Command"},
		Feeds:   []string{"command", "phases"},
	}),
	events.Declare(events.Spec[CommandEnded]{
		Version: 1, Title: "Command ended", Family: "command",
		Doc:  "Command is closed, or the scene passed to somebody outside the fire department. Log it when it is said on the radio.",
		Says: []string{"command closed", "command ended", "command terminated"},
		Fields: []events.Field[CommandEnded]{
			events.Text("name", "Command name", func(e *CommandEnded) *string { return &e.Name }),
			events.Text("to", "Scene passed to", func(e *CommandEnded) *string { return &e.To }),
			events.Text("why", "Reason", func(e *CommandEnded) *string { return &e.Why }),
		},
		Line: func(e CommandEnded) string {
			return sentence("Command ended", say("", e.Name), say("scene passed to", e.To), say("because", e.Why))
		},
		Example: CommandEnded{Name: "Quarry Command"},
		Feeds:   []string{"command", "phases"},
	}),
	events.Declare(events.Spec[RoleGiven]{
		Version: 1, Title: "Role given", Family: "command",
		Doc:  "Who fills a role from now on, or who left it. Log it when it is given out.",
		Says: []string{"role", "is safety", "assigned", "relieved"},
		Fields: []events.Field[RoleGiven]{
			events.Text("role", "Role", func(e *RoleGiven) *string { return &e.Role }),
			events.Text("person", "Person", func(e *RoleGiven) *string { return &e.Person }),
			events.Texts("unit", "Unit", func(e *RoleGiven) *[]string { return &e.Unit }),
			events.Text("level", "Level held", func(e *RoleGiven) *string { return &e.Level }),
			events.Text("relieves", "Relieves", func(e *RoleGiven) *string { return &e.Relieves }),
			events.Choice("state", "State", []string{"given", "ended"}, func(e *RoleGiven) *string { return &e.State }).Note("Given when not said."),
		},
		Line: func(e RoleGiven) string {
			return sentence("Role given", say("", e.Role), say("to", e.Person), listed("", e.Unit), say("level", e.Level), say("relieves", e.Relieves), say("", e.State))
		},
		Example: RoleGiven{Role: "Safety Officer", Person: "Captain of Engine 7", Level: "technician"},
		Feeds:   []string{"command"},
	}),
	events.Declare(events.Spec[ObjectiveSet]{
		Version: 1, Title: "Objective set", Family: "command",
		Doc:  "An objective, or a change of strategy. Log it when it is given, with how to tell that it is reached.",
		Says: []string{"objective", "strategy", "mode", "operational period"},
		Fields: []events.Field[ObjectiveSet]{
			events.Text("objective", "Objective", func(e *ObjectiveSet) *string { return &e.Objective }),
			events.Choice("mode", "Mode", []string{"offensive", "defensive", "non-intervention"}, func(e *ObjectiveSet) *string { return &e.Mode }),
			events.Text("criterion", "Reached when", func(e *ObjectiveSet) *string { return &e.Criterion }),
			events.ClockTime("from", "Period from", func(e *ObjectiveSet) *events.Clock { return &e.From }),
			events.ClockTime("to", "Period to", func(e *ObjectiveSet) *events.Clock { return &e.To }),
			events.Text("why", "Reason", func(e *ObjectiveSet) *string { return &e.Why }),
			events.Text("approver", "Approved by", func(e *ObjectiveSet) *string { return &e.Approver }),
		},
		Line: func(e ObjectiveSet) string {
			return sentence("Objective set", say("", e.Objective), say("mode", e.Mode), say("reached when", e.Criterion), say("from", string(e.From)), say("to", string(e.To)),
				say("because", e.Why), say("approved by", e.Approver))
		},
		Example: ObjectiveSet{Objective: "empty the tank where it lies", Mode: "offensive", Criterion: "every compartment dipped dry"},
		Feeds:   []string{"command"},
	}),
	events.Declare(events.Spec[OrderGiven]{
		Version: 1, Title: "Order given", Family: "command",
		Doc:  "An order to somebody, or standing rules such as the limit to stop at. Log it when it is given; give each rule on its own.",
		Says: []string{"order", "rule", "my numbers", "orders"},
		Fields: []events.Field[OrderGiven]{
			events.Texts("rule", "Rule", func(e *OrderGiven) *[]string { return &e.Rule }),
			events.Text("act", "Do", func(e *OrderGiven) *string { return &e.Act }),
			events.Text("pair", "Pair", func(e *OrderGiven) *string { return &e.Pair }),
			events.Text("level", "Protection level", func(e *OrderGiven) *string { return &e.Level }),
			events.Text("to", "To", func(e *OrderGiven) *string { return &e.To }),
			events.Text("by", "By", func(e *OrderGiven) *string { return &e.By }),
		},
		Line: func(e OrderGiven) string {
			return sentence("Order given", listed("rules:", e.Rule), say("", e.Act), say("pair", e.Pair), say("protection", e.Level), say("to", e.To), say("by", e.By))
		},
		Example: OrderGiven{Rule: []string{"stop at 10 % LEL in work area", "PAR every 20 min while anyone is in"}},
		Feeds:   []string{"decisions", "people", "air", "foam", "grounding", "phases"},
	}),
	events.Declare(events.Spec[Decision]{
		Version: 1, Title: "Decision", Family: "command",
		Doc:  "What was decided, what was turned down and why. Log it when it is made; the review a year on asks for the reasons.",
		Says: []string{"decide", "decided", "decision", "we go with"},
		Fields: []events.Field[Decision]{
			events.Text("question", "Question", func(e *Decision) *string { return &e.Question }),
			events.Text("choice", "Decided", func(e *Decision) *string { return &e.Choice }),
			events.Text("instead_of", "Instead of", func(e *Decision) *string { return &e.InsteadOf }),
			events.Text("order", "In the order", func(e *Decision) *string { return &e.Order }),
			events.Text("grounds", "Grounds", func(e *Decision) *string { return &e.Grounds }).Said("because"),
			events.Text("by", "By", func(e *Decision) *string { return &e.By }),
			events.Measure("isolate", "Isolate", 0, 1e6, func(e *Decision) *Amount[Feet] { return &e.Isolate }).Note("Distance kept clear all round."),
		},
		Line: func(e Decision) string {
			return sentence("Decision", say("", e.Question), say("", e.Choice), say("instead of", e.InsteadOf), say("in the order", e.Order), with("isolate", e.Isolate),
				say("grounds:", e.Grounds), say("by", e.By))
		},
		Example: Decision{Choice: "drill the shell", InsteadOf: "pump through lids", Order: "C4 C5 C1 C2 C3", By: "Hazmat Group Supervisor"},
		Feeds:   []string{"decisions", "zones"},
	}),
	events.Declare(events.Spec[Handover]{
		Version: 1, Title: "Handover", Family: "command",
		Doc:  "Who took over what from whom, and what was still open. Log it when the briefing is over.",
		Says: []string{"handover", "hand over", "relief", "shift change", "new scribe"},
		Fields: []events.Field[Handover]{
			events.Text("from", "From", func(e *Handover) *string { return &e.From }),
			events.Text("to", "To", func(e *Handover) *string { return &e.To }),
			events.Text("role", "Role", func(e *Handover) *string { return &e.Role }),
			events.Text("crew", "Crew", func(e *Handover) *string { return &e.Crew }),
			events.Text("briefed", "Briefed", func(e *Handover) *string { return &e.Briefed }),
			events.Text("light", "Light", func(e *Handover) *string { return &e.Light }),
			events.Texts("open", "Still open", func(e *Handover) *[]string { return &e.Open }),
		},
		Line: func(e Handover) string {
			return sentence("Handover", say("from", e.From), say("to", e.To), say("", e.Role), say("crew:", e.Crew), say("briefed:", e.Briefed), say("light:", e.Light),
				listed("still open:", e.Open))
		},
		Example: Handover{From: "Scribe A", To: "Scribe B", Open: []string{"meter L3 doubt", "R1 ticket due"}},
		Feeds:   []string{"command"},
	}),
}
