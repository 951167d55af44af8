package projections

import (
	"time"

	"tankside/events"
)

// Severity says how much a finding matters to the people at the scene.
type Severity string

// The severities.
const (
	Info    Severity = "info"
	Caution Severity = "caution"
	Serious Severity = "serious"
)

// Rank orders severities, the worst highest; a word that is none ranks lowest.
func (s Severity) Rank() int {
	return map[Severity]int{Info: 1, Caution: 2, Serious: 3}[s]
}

// Threshold is the limit that something was held against, and who set it.
type Threshold struct {
	Op      string       `json:"op"` // what is past it: >, >=, < or <=
	Value   float64      `json:"value"`
	Unit    string       `json:"unit"`
	Source  string       `json:"source"`
	Edition string       `json:"edition,omitempty"`
	Status  string       `json:"status"` // seen, second hand, memory, practice, site setting or department
	From    []events.Seq `json:"from"`   // the entries that set it, where the site set it
}

// Past reports whether v is past the limit. What is equal to a limit with > or < is
// not past it.
func (t Threshold) Past(v float64) bool {
	switch t.Op {
	case ">":
		return v > t.Value
	case ">=":
		return v >= t.Value
	case "<":
		return v < t.Value
	case "<=":
		return v <= t.Value
	}
	return false
}

// Finding is something the log shows that a chief may want to look at: a fact with
// the entries it stands on. It blames nobody and orders nothing; what was not
// recorded may well have been done.
type Finding struct {
	ID         string       `json:"id"`   // stays the same while unrelated entries come in
	Rule       string       `json:"rule"` // our name of the rule
	Ref        string       `json:"ref"`  // its number
	Severity   Severity     `json:"severity"`
	Subject    string       `json:"subject"` // truck, pair, place or compartment
	Start      Moment       `json:"start"`
	End        Moment       `json:"end"` // null while it lasts, and where it is of one moment
	Minutes    Figure       `json:"minutes"`
	Observed   Figure       `json:"observed"`
	Limit      *Threshold   `json:"limit"` // null where the rule has none
	Statement  string       `json:"statement"`
	Method     string       `json:"method"`
	Clears     string       `json:"clears"` // what would clear it
	Confidence []string     `json:"confidence"`
	From       []events.Seq `json:"from"`
}

// Interval is when the finding began and ended.
func (f Finding) Interval() Interval { return Interval{f.Start, f.End} }

// Once reports whether the finding is of one moment.
func (f Finding) Once() bool { return f.Start.Best.Equal(f.End.Best) }

// Due is a timer that an entry started: what has to be done next, and when.
type Due struct {
	What    string       `json:"what"`
	Rule    string       `json:"rule"`
	Ref     string       `json:"ref"`
	Subject string       `json:"subject"`
	Last    Moment       `json:"last"` // when it was last done, null when never
	At      time.Time    `json:"at"`
	Late    Figure       `json:"late"`  // minutes past; negative while still to come
	Owner   string       `json:"owner"` // a role
	Level   string       `json:"level"` // late, soon, or empty
	From    []events.Seq `json:"from"`
	Limit   *Threshold   `json:"limit"`
}

// Duty is a duty to tell somebody that the incident brought about, open or met.
type Duty struct {
	What   string       `json:"what"`
	Rule   string       `json:"rule"`
	Ref    string       `json:"ref"`
	Why    string       `json:"why"`    // what brought it about
	Begun  Moment       `json:"begun"`  // from when it counts
	At     time.Time    `json:"at"`     // due
	Made   Moment       `json:"made"`   // null where no record says that it was
	Margin Figure       `json:"margin"` // minutes left when it was made, or by now; below zero past
	Owner  string       `json:"owner"`
	Limit  *Threshold   `json:"limit"`
	From   []events.Seq `json:"from"`
}

// Alarm is one of the few things that cannot wait: a person may be hurt.
type Alarm struct {
	Rule      string       `json:"rule"`
	Ref       string       `json:"ref"`
	Subject   string       `json:"subject"`
	Statement string       `json:"statement"`
	Since     Moment       `json:"since"`
	From      []events.Seq `json:"from"`
}

// RuleOff is a rule that was not held against the log, and why.
type RuleOff struct {
	Rule  string `json:"rule"`
	Ref   string `json:"ref"`
	Title string `json:"title"`
	Why   string `json:"why"`
}
