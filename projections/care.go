package projections

import (
	"slices"
	"strings"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

// Suited is somebody made ready for an entry.
type Suited struct {
	At       Moment `json:"at"`
	Task     string `json:"task,omitempty"`
	Briefed  string `json:"briefed,omitempty"`
	Suit     string `json:"suit,omitempty"`
	Air      string `json:"air,omitempty"`
	Fit      string `json:"fit,omitempty"`
	Pressure Figure `json:"pressure"`
	Vitals   Vitals `json:"vitals"`
}

// Vitals is what was measured of a person.
type Vitals struct {
	Pulse  Figure `json:"pulse"`
	Temp   Figure `json:"temp"`
	Breath Figure `json:"breaths"`
	BP     string `json:"bp,omitempty"` // systolic over diastolic, as said
}

// Post is a stay at a place outside the hot zone, such as a hose end.
type Post struct {
	Interval
	Place string `json:"place,omitempty"`
	Air   string `json:"air,omitempty"` // none, or sort of respirator
	Task  string `json:"task,omitempty"`
}

// RehabStay is a rest, from coming in to leaving.
type RehabStay struct {
	Interval
	In       Vitals `json:"in"`
	Out      Vitals `json:"out"`
	Symptoms string `json:"symptoms,omitempty"`
	Exposure string `json:"exposure,omitempty"`
	Cleared  string `json:"cleared,omitempty"`
	HotZone  string `json:"hot_zone,omitempty"` // whether the person may go in again
}

// Decon is one passage through decontamination.
type Decon struct {
	At     Moment `json:"at"`
	Method string `json:"method,omitempty"`
	Passed string `json:"passed,omitempty"`
}

// DeconLine is the decontamination line opened or closed.
type DeconLine struct {
	At     Moment `json:"at"`
	State  string `json:"state"`
	Place  string `json:"place,omitempty"`
	Lanes  Figure `json:"lanes"`
	Method string `json:"method,omitempty"`
}

// Injured is somebody hurt, ill, exposed or contaminated.
type Injured struct {
	At        Moment `json:"at"`
	Person    string `json:"person,omitempty"`
	Sort      string `json:"sort,omitempty"`
	Part      string `json:"part,omitempty"`
	Agent     string `json:"agent,omitempty"`
	Lasted    Figure `json:"lasted"`
	Treatment string `json:"treatment,omitempty"`
	Hospital  string `json:"hospital,omitempty"`
}

// NearMiss is something that could have hurt somebody.
type NearMiss struct {
	At       Moment `json:"at"`
	What     string `json:"what,omitempty"`
	Could    string `json:"could,omitempty"`
	Controls string `json:"controls,omitempty"`
}

// Briefing is a safety briefing and who heard it.
type Briefing struct {
	At       Moment   `json:"at"`
	Plan     string   `json:"plan,omitempty"`
	Version  string   `json:"version,omitempty"`
	Approver string   `json:"approver,omitempty"`
	By       string   `json:"by,omitempty"`
	Heard    []string `json:"heard,omitempty"`
	Signal   string   `json:"signal,omitempty"`
}

// care folds what concerns people outside the hot zone.
func (p *People) care(e *events.Entry) {
	switch k := e.Payload.(type) {
	case kinds.SuitedUp:
		p.suited(e, k)
	case kinds.PostTaken:
		p.postTaken(e, k)
	case kinds.PostLeft:
		p.postLeft(e, k)
	case kinds.RehabIn:
		p.rehabIn(e, k)
	case kinds.RehabOut:
		p.rehabOut(e, k)
	case kinds.DeconReady:
		p.Lines = append(p.Lines, DeconLine{MomentOf(e), orElse(k.State, "open"), e.Where, FigureOf(k.Lanes, "", e.Seq), k.Method})
	case kinds.DeconDone:
		p.decon(e, k)
	case kinds.Injury:
		p.Injuries = append(p.Injuries, Injured{MomentOf(e), k.Person, k.Sort, k.Part, k.Agent, FigureOf(k.Lasted, "", e.Seq), k.Treatment, k.Hospital})
	case kinds.NearMiss:
		p.NearMiss = append(p.NearMiss, NearMiss{MomentOf(e), k.What, k.Could, k.Controls})
	case kinds.BriefingGiven:
		p.Briefings = append(p.Briefings, Briefing{MomentOf(e), k.Plan, k.Version, k.Approver, k.By, k.Attendee, k.Signal})
	case kinds.LogOpened, kinds.LogClosed:
		p.ending.end(e)
	case kinds.StopWork:
		if k.Worker != "" {
			p.person(k.Worker)
		}
	}
}

func orElse(s, other string) string {
	if s == "" {
		return other
	}
	return s
}

func (p *People) suited(e *events.Entry, k kinds.SuitedUp) {
	who := namedIn(k.Person, k.Pressures)
	if len(who) == 0 {
		who = p.pair(k.Pair)
	}
	for _, key := range who {
		person := p.person(key)
		person.Suited = append(person.Suited, Suited{
			At: MomentOf(e), Task: k.Task, Briefed: k.Briefed, Suit: k.Suit, Air: k.Air, Fit: k.Fit,
			Pressure: FigureOf(k.Pressures.Get(key), "", e.Seq),
			Vitals: Vitals{
				Pulse: FigureOf(k.Pulses.Get(key+"_pulse"), "", e.Seq), Temp: FigureOf(k.Temps.Get(key+"_temp"), "", e.Seq),
				Breath: FigureOf(k.Breaths.Get(key+"_breaths"), "", e.Seq), BP: k.BPs.Get(key + "_bp"),
			},
		})
	}
}

func (p *People) postTaken(e *events.Entry, k kinds.PostTaken) {
	person := p.person(orElse(k.Person, "not said"))
	for i := range person.Posts {
		if post := &person.Posts[i]; post.End.IsZero() {
			p.note(e, "%s took a post while at %s since %s; that one ends here", person.Person, post.Place, clock(post.Start.Best))
			post.End = MomentOf(e)
		}
	}
	if last := person.last(); last != nil && last.open() {
		p.note(e, "%s took a post outside while logged in the hot zone since %s", person.Person, clock(last.Start.Best))
	}
	person.Posts = append(person.Posts, Post{Interval: Interval{Start: MomentOf(e)}, Place: e.Where, Air: k.Air, Task: k.Task})
}

func (p *People) postLeft(e *events.Entry, k kinds.PostLeft) {
	person := p.person(orElse(k.Person, "not said"))
	if n := len(person.Posts); n > 0 && person.Posts[n-1].End.IsZero() {
		person.Posts[n-1].End = MomentOf(e)
		return
	}
	p.note(e, "%s left a post but was never logged at one", person.Person)
	person.Posts = append(person.Posts, Post{Interval: Interval{End: MomentOf(e)}, Place: e.Where})
}

// patients returns who went to or from rehab: the one named, those measured, else
// the pair.
func (p *People) patients(pair, person string, pulses events.KeyedAmounts[quantity.PerMinute], temps events.KeyedAmounts[quantity.Fahrenheit]) []string {
	var who []string
	if person != "" {
		who = append(who, person)
	}
	for _, k := range pulses {
		who = append(who, strings.TrimSuffix(k.Key, "_pulse"))
	}
	for _, k := range temps {
		who = append(who, strings.TrimSuffix(k.Key, "_temp"))
	}
	if len(who) == 0 {
		return p.pair(pair)
	}
	slices.SortFunc(who, natural)
	return slices.Compact(who)
}

// either returns the first of two amounts that was said.
func either[Q quantity.Quantity](a, b quantity.Amount[Q], e *events.Entry) Figure {
	if a.Said() {
		return FigureOf(a, "", e.Seq)
	}
	return FigureOf(b, "", e.Seq)
}

func (p *People) rehabIn(e *events.Entry, k kinds.RehabIn) {
	for _, key := range p.patients(k.Pair, k.Person, k.Pulses, k.Temps) {
		person := p.person(key)
		if last := person.last(); last != nil && last.open() {
			p.note(e, "%s came to rehab while logged in the hot zone since %s", key, clock(last.Start.Best))
		}
		person.Rehab = append(person.Rehab, RehabStay{
			Interval: Interval{Start: MomentOf(e)}, Symptoms: k.Symptoms, Exposure: k.Exposure,
			In: Vitals{
				Pulse: either(k.Pulses.Get(key+"_pulse"), k.Pulse, e), Temp: either(k.Temps.Get(key+"_temp"), k.Temp, e),
				Breath: Lacking("per min"), BP: orElse(k.BPs.Get(key+"_bp"), k.BP),
			},
			Out: noVitals(),
		})
	}
}

func noVitals() Vitals {
	return Vitals{Pulse: Lacking("per min"), Temp: Lacking("F"), Breath: Lacking("per min")}
}

func (p *People) rehabOut(e *events.Entry, k kinds.RehabOut) {
	for _, key := range p.patients(k.Pair, k.Person, k.Pulses, k.Temps) {
		person := p.person(key)
		n := len(person.Rehab)
		if n == 0 || !person.Rehab[n-1].End.IsZero() {
			p.note(e, "%s left rehab but was never logged there", key)
			person.Rehab = append(person.Rehab, RehabStay{In: noVitals()})
			n++
		}
		stay := &person.Rehab[n-1]
		stay.End, stay.Cleared, stay.HotZone = MomentOf(e), k.Cleared, k.HotZone
		stay.Out = Vitals{
			Pulse: either(k.Pulses.Get(key+"_pulse"), k.Pulse, e), Temp: either(k.Temps.Get(key+"_temp"), k.Temp, e),
			Breath: Lacking("per min"), BP: orElse(k.BPs.Get(key+"_bp"), k.BP),
		}
	}
}

func (p *People) decon(e *events.Entry, k kinds.DeconDone) {
	who := k.Person
	if len(who) == 0 {
		who = p.pair(k.Pair)
	}
	for _, key := range who {
		person := p.person(key)
		person.Decon = append(person.Decon, Decon{MomentOf(e), k.Method, k.Passed})
	}
}
