package projections

import (
	"slices"
	"time"

	"tankside/events"
	"tankside/events/kinds"
)

// Holding is a role held by somebody for a time.
type Holding struct {
	Interval
	Minutes Figure   `json:"minutes"`
	Role    string   `json:"role"`
	Holder  string   `json:"holder,omitempty"` // a person's role or a unit; "" when not said
	Level   string   `json:"level,omitempty"`
	Name    string   `json:"name,omitempty"` // of the command, as used on the radio
	Unified []string `json:"unified,omitempty"`
	Briefed string   `json:"briefed,omitempty"`
}

// Objective is what command meant to reach.
type Objective struct {
	At        Moment `json:"at"`
	Objective string `json:"objective,omitempty"`
	Mode      string `json:"mode,omitempty"`
	Criterion string `json:"criterion,omitempty"`
	From      string `json:"from,omitempty"` // operational period, clock times as said
	To        string `json:"to,omitempty"`
	Why       string `json:"why,omitempty"`
	Approver  string `json:"approver,omitempty"`
}

// Relief is one person, crew or scribe taking over from another.
type Relief struct {
	At      Moment   `json:"at"`
	Place   string   `json:"place,omitempty"`
	From    string   `json:"from,omitempty"`
	To      string   `json:"to,omitempty"`
	Role    string   `json:"role,omitempty"`
	Crew    string   `json:"crew,omitempty"`
	Briefed string   `json:"briefed,omitempty"`
	Light   string   `json:"light,omitempty"`
	Open    []string `json:"open,omitempty"` // points passed on
}

// EmergencyEnd is the emergency declared over.
type EmergencyEnd struct {
	At         Moment   `json:"at"`
	To         string   `json:"to,omitempty"`
	Conditions string   `json:"conditions,omitempty"`
	Danger     []string `json:"danger,omitempty"` // left behind
	By         string   `json:"by"`
}

// Debrief is a debriefing or a critique.
type Debrief struct {
	At       Moment   `json:"at"`
	Present  []string `json:"present,omitempty"`
	Exposure string   `json:"exposure,omitempty"`
	Damage   string   `json:"damage,omitempty"`
	Issues   []string `json:"issues,omitempty"`
	Owner    string   `json:"owner,omitempty"`
	Due      string   `json:"due,omitempty"`
}

// Command is who held which role, what they meant to reach and what was passed on.
type Command struct {
	Objectives []Objective
	Handovers  []Relief
	Briefings  []Briefing
	Emergency  []EmergencyEnd
	Debriefs   []Debrief
	Notes      []Note

	ending
	roles []Holding
	open  []int // in roles
}

// commander is the role that command_taken gives when it names none.
const commander = "IC"

// Apply folds one entry.
func (c *Command) Apply(e *events.Entry) {
	switch k := e.Payload.(type) {
	case kinds.CommandTaken:
		h := Holding{Role: orElse(k.Role, commander), Holder: holder(k.Person, k.Unit), Name: k.Name, Unified: k.Unified, Briefed: k.Briefed}
		c.giveUp(e, h.Role, "")
		c.hold(e, h)
	case kinds.CommandEnded:
		if !c.giveUp(e, commander, "") {
			c.Notes = append(c.Notes, Note{e.Seq, "command ended but was never logged taken"})
		}
	case kinds.RoleGiven:
		c.role(e, k)
	case kinds.ObjectiveSet:
		c.Objectives = append(c.Objectives, Objective{MomentOf(e), k.Objective, k.Mode, k.Criterion, string(k.From), string(k.To), k.Why, k.Approver})
	case kinds.Handover:
		c.handover(e, k)
	case kinds.BriefingGiven:
		c.Briefings = append(c.Briefings, Briefing{MomentOf(e), k.Plan, k.Version, k.Approver, k.By, k.Attendee, k.Signal})
	case kinds.EmergencyEnded:
		c.Emergency = append(c.Emergency, EmergencyEnd{MomentOf(e), k.To, k.Conditions, k.Open, orElse(k.By, e.ObservedBy)})
	case kinds.LogOpened, kinds.LogClosed:
		c.ending.end(e)
	case kinds.DebriefHeld:
		c.Debriefs = append(c.Debriefs, Debrief{MomentOf(e), k.Attendee, k.Exposure, k.Damage, k.Issue, k.Owner, k.Due})
	}
}

func holder(person string, units []string) string {
	if person != "" || len(units) == 0 {
		return person
	}
	return units[0]
}

func (c *Command) hold(e *events.Entry, h Holding) {
	h.Interval = Interval{Start: MomentOf(e)}
	c.open = append(c.open, len(c.roles))
	c.roles = append(c.roles, h)
}

// giveUp ends whoever holds the role, or only the holder named, and reports whether
// anybody did.
func (c *Command) giveUp(e *events.Entry, role, who string) bool {
	before := len(c.open)
	c.open = slices.DeleteFunc(c.open, func(i int) bool {
		h := &c.roles[i]
		if h.Role != role || who != "" && h.Holder != who {
			return false
		}
		h.End = MomentOf(e)
		return true
	})
	return len(c.open) < before
}

// role gives or ends a role. Several may hold one role at a time, such as entry
// teams; only whoever is relieved by name gives it up.
func (c *Command) role(e *events.Entry, k kinds.RoleGiven) {
	role, who := orElse(k.Role, "role not said"), holder(k.Person, k.Unit)
	if k.State == "ended" {
		if !c.giveUp(e, role, who) {
			c.Notes = append(c.Notes, Note{e.Seq, role + " was given up but was never logged given"})
		}
		return
	}
	if k.Relieves != "" {
		c.giveUp(e, role, k.Relieves)
	}
	c.hold(e, Holding{Role: role, Holder: who, Level: k.Level})
}

// handover lists what was passed on. Where it names a role, the role changes hands.
func (c *Command) handover(e *events.Entry, k kinds.Handover) {
	c.Handovers = append(c.Handovers, Relief{MomentOf(e), e.Where, k.From, k.To, k.Role, k.Crew, k.Briefed, k.Light, k.Open})
	if k.Role == "" {
		return
	}
	c.giveUp(e, k.Role, k.From)
	c.hold(e, Holding{Role: k.Role, Holder: k.To, Briefed: k.Briefed})
}

// Roles returns who held which role, in the order in which it was taken, as at now.
func (c *Command) Roles(now time.Time) []Holding {
	out := make([]Holding, len(c.roles))
	for i, h := range c.roles {
		h.Minutes = c.lasted(h.Start, h.End, now)
		out[i] = h
	}
	return out
}
