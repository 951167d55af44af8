package projections

import (
	"strings"

	"tankside/events"
	"tankside/events/kinds"
)

// mark is a benchmark of an incident: a moment that the others are timed against.
type mark int

const (
	atCrash mark = iota
	atCallIn
	atAlarm
	atRolling
	atFirstUnit
	atSizedUp
	atCommandTaken
	atFireSeen
	atFireOut
	atTeamAsked
	atTeamHere
	atZonesSet
	atPeopleOrdered
	atPeopleBack
	atFirstBraced
	atBracesChecked
	atFirstEntry
	atLastExit
	atFirstRod
	atGroundGood
	atBondGood
	atProductKnown
	atFirstHole
	atFirstProduct
	atLastPumpOff
	atEmptied
	atDipped
	atLiftBegun
	atOnWheels
	atWreckGone
	atLastLeft
	atEmergencyEnded
	atCommandEnded
	atLogClosed
	marks
)

var markNames = [marks]string{
	atCrash: "mishap", atCallIn: "call received", atAlarm: "first unit alerted", atRolling: "first unit rolling", atFirstUnit: "first unit on scene",
	atSizedUp: "sized up", atCommandTaken: "command taken", atFireSeen: "fire seen", atFireOut: "fire out", atTeamAsked: "hazmat team asked for",
	atTeamHere: "hazmat team on scene", atZonesSet: "zones set", atPeopleOrdered: "people told to leave or shelter", atPeopleBack: "people let back",
	atFirstBraced: "vehicle braced", atBracesChecked: "bracing checked", atFirstEntry: "first entry", atLastExit: "last out of the hot zone",
	atFirstRod: "first ground rod or reading", atGroundGood: "ground within limit", atBondGood: "bond within limit", atProductKnown: "product known from papers or a test",
	atFirstHole: "first hole or outlet open", atFirstProduct: "first product moving", atLastPumpOff: "last pump off", atEmptied: "last compartment emptied",
	atDipped: "compartments dipped", atLiftBegun: "lift begun", atOnWheels: "on wheels", atWreckGone: "wreck off the scene", atLastLeft: "last unit left", atEmergencyEnded: "emergency ended", atCommandEnded: "command ended",
	atLogClosed: "log closed",
}

// Phases is when each part of the incident began and ended.
type Phases struct {
	Legs  []PumpRun
	Leaks []Leak
	Notes []Note

	ending
	at        [marks]Moment
	crash     mishapTold
	here      map[string]bool // units on scene
	running   map[string]int  // leg: its place in Legs
	pumpedTo  Moment          // the latest end of a leg; no last one while a leg runs
	openLeaks []int           // places in Leaks
	limits    ohmLimits
}

// Leak is a leak from when it was found to when it was slowed and stopped.
type Leak struct {
	Place   string `json:"place"`
	Found   Moment `json:"found"`
	Slowed  Moment `json:"slowed"`
	Stopped Moment `json:"stopped"`
}

// Apply folds one entry.
func (p *Phases) Apply(e *events.Entry) {
	switch k := e.Payload.(type) {
	case kinds.PumpOn:
		p.first(atFirstProduct, e)
		p.pumpOn(e, k)
	case kinds.PumpOff:
		p.pumpOff(e, k.Leg)
	case kinds.PumpHeld:
		p.held(e, k)
	case kinds.LeakSeen:
		p.leak(e, k.Fixed != "")
	case kinds.LeakRate:
		p.leak(e, false)
	case kinds.LeakSlowed:
		p.slowed(e)
	case kinds.LeakStopped:
		p.stopped(e)
	case kinds.ResistanceRead:
		p.earth(e, k)
	case kinds.OrderGiven:
		for _, text := range k.Rule {
			p.limits.order(e, text)
		}
	case kinds.LoadStated:
		p.load(e, k)
	case kinds.InHot:
		p.first(atFirstEntry, e)
	case kinds.OutHot:
		p.last(atLastExit, MomentOf(e))
	default:
		p.arrive(e)
		p.finish(e)
	}
}

// first keeps the earliest moment of a mark; entries come in the order of time.
func (p *Phases) first(m mark, e *events.Entry) {
	if p.at[m].IsZero() {
		p.at[m] = MomentOf(e)
	}
}

func (p *Phases) last(m mark, at Moment) { p.at[m] = at }

// arrive folds how the incident began.
func (p *Phases) arrive(e *events.Entry) {
	switch k := e.Payload.(type) {
	case kinds.Mishap:
		p.crashed(e)
	case kinds.CallReceived:
		p.first(atCallIn, e)
	case kinds.SentOut:
		p.sent(e, k)
	case kinds.OnScene:
		p.arrived(e, k)
	case kinds.SizedUp:
		p.first(atSizedUp, e)
	case kinds.CommandTaken:
		p.first(atCommandTaken, e)
	case kinds.CallMade:
		if hazmat(k.AskedFor) {
			p.first(atTeamAsked, e)
		}
	case kinds.FireSeen:
		p.fire(e, k)
	case kinds.ZonesSet:
		p.first(atZonesSet, e)
	case kinds.PeopleMoved:
		p.moved(e, k)
	case kinds.Braced:
		p.first(atFirstBraced, e)
		if k.CheckedBy != "" {
			p.first(atBracesChecked, e)
		}
	}
}

// finish folds the drilling, the lift and the end.
func (p *Phases) finish(e *events.Entry) {
	switch k := e.Payload.(type) {
	case kinds.RodDriven:
		p.first(atFirstRod, e)
	case kinds.ProductNamed:
		p.first(atProductKnown, e)
	case kinds.HoleDrilled:
		if k.State != "started" {
			p.first(atFirstHole, e)
		}
	case kinds.OutletOpened:
		p.first(atFirstHole, e)
	case kinds.GallonsTransferred:
		p.first(atFirstProduct, e)
	case kinds.CompartmentEmptied:
		p.last(atEmptied, EndOf(e))
	case kinds.DipRead:
		p.last(atDipped, EndOf(e))
	case kinds.LeftScene:
		p.left(e, k)
	case kinds.LiftBegun:
		p.first(atLiftBegun, e)
	case kinds.OnWheels:
		p.last(atOnWheels, EndOf(e))
	case kinds.EmergencyEnded:
		p.last(atEmergencyEnded, EndOf(e))
	case kinds.CommandEnded:
		p.last(atCommandEnded, EndOf(e))
	case kinds.LogOpened, kinds.LogClosed:
		p.end(e)
		p.last(atLogClosed, p.closed)
	}
}

// hazmat reports whether words mean a hazardous materials team.
func hazmat(words string) bool {
	said := strings.ToLower(words)
	return strings.Contains(said, "hazmat") || strings.Contains(said, "hazardous mat")
}

func (p *Phases) sent(e *events.Entry, k kinds.SentOut) {
	switch k.Step {
	case "", "alerted":
		p.first(atAlarm, e)
		if hazmat(k.Team) {
			p.first(atTeamAsked, e)
		}
	case "rolling":
		p.first(atRolling, e)
	}
}

// arrived tells units from recovery trucks: only a unit ends the travel. A team is
// a hazmat team by its name or by the level it holds.
func (p *Phases) arrived(e *events.Entry, k kinds.OnScene) {
	if len(k.Unit) == 0 || k.Truck != "" {
		return
	}
	p.first(atFirstUnit, e)
	for _, u := range k.Unit {
		p.here = setIn(p.here, u, true)
	}
	p.at[atLastLeft] = Moment{}
	if hazmat(strings.Join(k.Unit, " ")) || k.Level == "technician" || k.Level == "specialist" {
		p.first(atTeamHere, e)
	}
}

func (p *Phases) fire(e *events.Entry, k kinds.FireSeen) {
	if k.State == "out" {
		p.last(atFireOut, MomentOf(e))
		return
	}
	p.first(atFireSeen, e)
	p.at[atFireOut] = Moment{}
}

func (p *Phases) moved(e *events.Entry, k kinds.PeopleMoved) {
	switch k.State {
	case "", "ordered":
		p.first(atPeopleOrdered, e)
		p.at[atPeopleBack] = Moment{}
	case "lifted":
		p.last(atPeopleBack, EndOf(e))
	}
}

func (p *Phases) earth(e *events.Entry, k kinds.ResistanceRead) {
	p.first(atFirstRod, e)
	kind, good := pathOf(e, k), atGroundGood
	if kind == "bond" {
		good = atBondGood
	}
	if judge(FigureOf(k.Resistance, ""), p.limits.of(e, kind, k)) == Within {
		p.first(good, e)
	}
}

// load takes a product as known once a paper names it; what somebody remembers or
// guesses does not make it known.
func (p *Phases) load(e *events.Entry, k kinds.LoadStated) {
	trust := strings.ToLower(k.Trust)
	if strings.Contains(trust, "memory") || strings.Contains(trust, "guess") {
		return
	}
	for _, c := range k.C {
		if c.Value.Words != "" {
			p.first(atProductKnown, e)
		}
	}
}
