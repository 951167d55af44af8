package projections

import (
	"time"

	"tankside/events"
)

// Note is something odd that a fold met. It is never an error: it has happened.
type Note struct {
	Seq  events.Seq `json:"seq"`
	Text string     `json:"text"`
}

// Applier is a piece of state that entries build up, in the order things happened.
type Applier interface {
	// Apply folds one live entry. It reads no clock and never fails.
	Apply(e *events.Entry)
}

// Incident is everything a log says at one view: the folds joined.
type Incident struct {
	Name    string
	Mode    events.Mode
	AsOf    time.Time // the moment the state is of; zero for an empty log
	KnownAt time.Time // zero: everything told since
	Entries int

	Phases        Phases
	People        People
	Air           Air
	Grounding     Grounding
	Stops         Stops
	Zones         Zones
	Weather       Weather
	Places        Places
	Command       Command
	Decisions     Decisions
	Notifications Notifications
	Resources     Resources
	Quality       Quality
	Volume        Volume
	Trucks        Trucks
	Holes         Holes
	Foam          Foam
	Custody       Custody
	Environment   Environment
	Review        Review

	Crew CrewRules // what the department settles of air and rest; the usual ones where nobody set others

	// What rules say of the folds; filled in by the rules, not by Fold.
	Findings []Finding
	Due      []Due
	Duties   []Duty
	Alarms   []Alarm
	RulesOff []RuleOff
	RuleBook string // names the rules in force; empty where none were held against the log

	kept *atHand
}

// named are the folds by the name under which kinds list what they feed.
func (inc *Incident) named() []named {
	return []named{
		{"phases", &inc.Phases},
		{"people", &inc.People},
		{"air", &inc.Air},
		{"grounding", &inc.Grounding},
		{"stops", &inc.Stops},
		{"zones", &inc.Zones},
		{"weather", &inc.Weather},
		{"places", &inc.Places},
		{"command", &inc.Command},
		{"decisions", &inc.Decisions},
		{"notifications", &inc.Notifications},
		{"resources", &inc.Resources},
		{"volume", &inc.Volume},
		{"trucks", &inc.Trucks},
		{"holes", &inc.Holes},
		{"foam", &inc.Foam},
		{"custody", &inc.Custody},
		{"environment", &inc.Environment},
		{"review", &inc.Review},
	}
}

type named struct {
	name string
	fold Applier
}
