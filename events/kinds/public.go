package kinds

import (
	"tankside/events"
	. "tankside/events/quantity"
)

// ZonesSet is the control zones as set, moved or lifted.
type ZonesSet struct {
	Hot    Amount[Feet]
	Warm   Amount[Feet]
	Cold   Amount[Feet]
	Access string
	State  string // set, moved or lifted
	Basis  string // the reading or guide they rest on
	Wind   string
}

// Kind returns zones_set.
func (ZonesSet) Kind() events.Kind { return "zones_set" }

// PeopleMoved is people told to leave or to stay indoors.
type PeopleMoved struct {
	Area      string
	People    Amount[Count]
	Buildings Amount[Count]
	State     string // ordered, completed or lifted
	Shelter   string // "yes" when they stay where they are
	Site      string // where they are sent
	Method    string
	By        string
}

// Kind returns people_moved.
func (PeopleMoved) Kind() events.Kind { return "people_moved" }

// PublicTold is a warning or a statement to the public.
type PublicTold struct {
	Through  string
	State    string // issued, updated or cancelled
	Said     string
	Area     string
	Ref      string
	RefersTo string // the earlier one it updates or cancels
	By       string
}

// Kind returns public_told.
func (PublicTold) Kind() events.Kind { return "public_told" }

// RoadClosed is a road, or part of its lanes, shut.
type RoadClosed struct {
	Road      string
	Direction string
	Lanes     Amount[Count]
	From      string
	To        string
	Detour    string
	By        string
}

// Kind returns road_closed.
func (RoadClosed) Kind() events.Kind { return "road_closed" }

// RoadOpened is a road, or part of its lanes, given back to traffic.
type RoadOpened struct {
	Road      string
	Direction string
	Lanes     Amount[Count]
	By        string
}

// Kind returns road_opened.
func (RoadOpened) Kind() events.Kind { return "road_opened" }

// CallMade is one call to an agency, a company or an adviser.
type CallMade struct {
	Who      string
	AskedFor string
	Ref      string // the number they gave
	Told     string
	Phone    string
	By       string
	CallBack string
}

// Kind returns call_made.
func (CallMade) Kind() events.Kind { return "call_made" }

// DirectionGiven is an order of a federal or state coordinator.
type DirectionGiven struct {
	Coordinator string
	Direction   string
	Project     string // the number the work is charged to
	Authority   string
}

// Kind returns direction_given.
func (DirectionGiven) Kind() events.Kind { return "direction_given" }

// UtilityActed is a rail, power, gas or drain owner doing something about it.
type UtilityActed struct {
	Owner       string
	Asset       string
	Act         string // de-energised, blocked, trains held …
	Ref         string
	ConfirmedBy string
}

// Kind returns utility_acted.
func (UtilityActed) Kind() events.Kind { return "utility_acted" }

var publicKinds = []*events.Type{
	events.Declare(events.Spec[ZonesSet]{
		Version: 1, Title: "Zones set", Family: "zones and public",
		Doc:  "The hot, warm and cold lines as distances from the tank, and the way in; log them when set, moved or lifted.",
		Says: []string{"zones", "hot line", "hot zone", "warm", "cold line"},
		Fields: []events.Field[ZonesSet]{
			events.Measure("hot", "Hot line", 0, 50_000, func(e *ZonesSet) *Amount[Feet] { return &e.Hot }),
			events.Measure("warm", "Warm line", 0, 50_000, func(e *ZonesSet) *Amount[Feet] { return &e.Warm }),
			events.Measure("cold", "Cold line", 0, 50_000, func(e *ZonesSet) *Amount[Feet] { return &e.Cold }),
			events.Text("access", "Way in", func(e *ZonesSet) *string { return &e.Access }),
			events.Choice("state", "State", []string{"set", "moved", "lifted"}, func(e *ZonesSet) *string { return &e.State }),
			events.Text("basis", "Rests on", func(e *ZonesSet) *string { return &e.Basis }),
			events.Text("wind", "Wind", func(e *ZonesSet) *string { return &e.Wind }),
		},
		Line: func(e ZonesSet) string {
			return sentence("Zones "+orElse(e.State, "set"), with("hot", e.Hot), with("warm", e.Warm), with("cold", e.Cold), say("way in", e.Access), say("rests on", e.Basis), say("wind", e.Wind))
		},
		Example: ZonesSet{Hot: Of[Feet](100), Warm: Of[Feet](250), Cold: Of[Feet](330), Access: "NE corner"},
		Feeds:   []string{"zones", "phases"},
	}),
	events.Declare(events.Spec[PeopleMoved]{
		Version: 1, Title: "People moved", Family: "zones and public",
		Doc:  "People told to leave an area or to stay indoors; log it when ordered, when done and when lifted.",
		Says: []string{"evacuated", "evacuation", "shelter in place", "moved out"},
		Fields: []events.Field[PeopleMoved]{
			events.Text("area", "Area", func(e *PeopleMoved) *string { return &e.Area }),
			events.Measure("people", "People", 0, 1e7, func(e *PeopleMoved) *Amount[Count] { return &e.People }),
			events.Measure("buildings", "Buildings", 0, 1e6, func(e *PeopleMoved) *Amount[Count] { return &e.Buildings }),
			events.Choice("state", "State", []string{"ordered", "completed", "lifted"}, func(e *PeopleMoved) *string { return &e.State }),
			events.Text("shelter", "Stay indoors", func(e *PeopleMoved) *string { return &e.Shelter }),
			events.Text("site", "Sent to", func(e *PeopleMoved) *string { return &e.Site }),
			events.Text("method", "Told by", func(e *PeopleMoved) *string { return &e.Method }),
			events.Text("by", "Ordered by", func(e *PeopleMoved) *string { return &e.By }),
		},
		Line: func(e PeopleMoved) string {
			return sentence("Moving people "+orElse(e.State, "logged"), e.Area, with("", e.People, "people"), with("", e.Buildings, "buildings"), say("stay indoors:", e.Shelter),
				say("sent to", e.Site), say("told by", e.Method), say("ordered by", e.By))
		},
		Example: PeopleMoved{Area: "mill row", People: Of[Count](40), Buildings: Of[Count](12), State: "ordered", Site: "school gym"},
		Feeds:   []string{"zones", "phases"},
	}),
	events.Declare(events.Spec[PublicTold]{
		Version: 1, Title: "Public told", Family: "zones and public",
		Doc:  "A warning or statement to the public issued, updated or cancelled.",
		Says: []string{"public told", "press", "alert sent", "statement"},
		Fields: []events.Field[PublicTold]{
			events.Text("through", "Through", func(e *PublicTold) *string { return &e.Through }),
			events.Choice("state", "State", []string{"issued", "updated", "cancelled"}, func(e *PublicTold) *string { return &e.State }),
			events.Text("said", "Said", func(e *PublicTold) *string { return &e.Said }),
			events.Text("area", "Area", func(e *PublicTold) *string { return &e.Area }),
			events.Text("ref", "Number", func(e *PublicTold) *string { return &e.Ref }),
			events.Text("refers_to", "Refers to", func(e *PublicTold) *string { return &e.RefersTo }),
			events.Text("by", "By", func(e *PublicTold) *string { return &e.By }),
		},
		Line: func(e PublicTold) string {
			return sentence("Public statement "+orElse(e.State, "issued"), say("through", e.Through), e.Said, say("for", e.Area), say("number", e.Ref), say("refers to", e.RefersTo), say("by", e.By))
		},
		Example: PublicTold{Through: "radio station", State: "issued", Said: "keep windows shut north of the bend", Area: "two miles round"},
		Feeds:   []string{"notifications"},
	}),
	events.Declare(events.Spec[RoadClosed]{
		Version: 1, Title: "Road closed", Family: "zones and public",
		Doc:  "A road, one direction or some of its lanes shut; log each direction on its own.",
		Says: []string{"road closed", "road shut", "lane shut", "lane closed"},
		Fields: []events.Field[RoadClosed]{
			events.Text("road", "Road", func(e *RoadClosed) *string { return &e.Road }),
			events.Text("direction", "Direction", func(e *RoadClosed) *string { return &e.Direction }),
			events.Measure("lanes", "Lanes", 0, 30, func(e *RoadClosed) *Amount[Count] { return &e.Lanes }),
			events.Text("from", "From", func(e *RoadClosed) *string { return &e.From }),
			events.Text("to", "To", func(e *RoadClosed) *string { return &e.To }),
			events.Text("detour", "Detour", func(e *RoadClosed) *string { return &e.Detour }),
			events.Text("by", "By", func(e *RoadClosed) *string { return &e.By }),
		},
		Line: func(e RoadClosed) string {
			return sentence("Road closed", e.Road, e.Direction, with("", e.Lanes, "lanes"), say("from", e.From), say("to", e.To), say("detour", e.Detour), say("by", e.By))
		},
		Example: RoadClosed{Road: "Route 88", Direction: "both ways", Lanes: Of[Count](2), Detour: "quarry road"},
		Feeds:   []string{"zones"},
	}),
	events.Declare(events.Spec[RoadOpened]{
		Version: 1, Title: "Road opened", Family: "zones and public",
		Doc:  "A road, one direction or some of its lanes given back to traffic.",
		Says: []string{"road open", "road opened", "lane open", "lanes open", "lane opened", "lanes opened"},
		Fields: []events.Field[RoadOpened]{
			events.Text("road", "Road", func(e *RoadOpened) *string { return &e.Road }),
			events.Text("direction", "Direction", func(e *RoadOpened) *string { return &e.Direction }),
			events.Measure("lanes", "Lanes", 0, 30, func(e *RoadOpened) *Amount[Count] { return &e.Lanes }).Said("lane"),
			events.Text("by", "By", func(e *RoadOpened) *string { return &e.By }),
		},
		Line: func(e RoadOpened) string {
			return sentence("Road opened", e.Road, e.Direction, with("", e.Lanes, "lanes"), say("by", e.By))
		},
		Example: RoadOpened{Lanes: Of[Count](2)},
		Feeds:   []string{"zones"},
	}),
	events.Declare(events.Spec[CallMade]{
		Version: 1, Title: "Call made", Family: "zones and public",
		Doc:  "One call to an agency, a company or an adviser, with the number they gave; log it when the call ends. Where names whom was called.",
		Says: []string{"called", "told", "notified", "asked for", "on the phone"},
		Fields: []events.Field[CallMade]{
			events.Text("who", "Spoke to", func(e *CallMade) *string { return &e.Who }),
			events.Text("asked_for", "Asked for", func(e *CallMade) *string { return &e.AskedFor }),
			events.Text("ref", "Number given", func(e *CallMade) *string { return &e.Ref }),
			events.Text("told", "Told", func(e *CallMade) *string { return &e.Told }),
			events.Text("phone", "Phone", func(e *CallMade) *string { return &e.Phone }),
			events.Text("by", "Called by", func(e *CallMade) *string { return &e.By }),
			events.Text("call_back", "Call back", func(e *CallMade) *string { return &e.CallBack }),
		},
		Line: func(e CallMade) string {
			return sentence("Call made", say("spoke to", e.Who), say("asked for", e.AskedFor), say("number given", e.Ref), say("told:", e.Told), say("phone", e.Phone), say("by", e.By), say("call back", e.CallBack))
		},
		Example: CallMade{Who: "environmental duty officer", Ref: "SP-3307"},
		Feeds:   []string{"notifications", "phases"},
	}),
	events.Declare(events.Spec[DirectionGiven]{
		Version: 1, Title: "Direction given", Family: "zones and public",
		Doc:  "What a federal or state coordinator directs, on what authority and under which project number.",
		Says: []string{"coordinator says", "directs", "project number"},
		Fields: []events.Field[DirectionGiven]{
			events.Text("coordinator", "Coordinator", func(e *DirectionGiven) *string { return &e.Coordinator }),
			events.Text("direction", "Direction", func(e *DirectionGiven) *string { return &e.Direction }),
			events.Text("project", "Project number", func(e *DirectionGiven) *string { return &e.Project }),
			events.Text("authority", "Authority", func(e *DirectionGiven) *string { return &e.Authority }),
		},
		Line: func(e DirectionGiven) string {
			return sentence("Direction given", say("by", e.Coordinator), e.Direction, say("project", e.Project), say("on authority of", e.Authority))
		},
		Example: DirectionGiven{Coordinator: "state on-scene coordinator", Direction: "boom stays till the sheen is gone", Project: "F26-118"},
		Feeds:   []string{"notifications"},
	}),
	events.Declare(events.Spec[UtilityActed]{
		Version: 1, Title: "Utility acted", Family: "zones and public",
		Doc:  "A rail, power, gas, water or drain owner shuts, blocks or frees something; log it when confirmed.",
		Says: []string{"power company", "railroad", "trains held", "line dead", "gas shut", "drain blocked"},
		Fields: []events.Field[UtilityActed]{
			events.Text("owner", "Owner", func(e *UtilityActed) *string { return &e.Owner }),
			events.Text("asset", "What", func(e *UtilityActed) *string { return &e.Asset }),
			events.Text("act", "Done", func(e *UtilityActed) *string { return &e.Act }),
			events.Text("ref", "Number given", func(e *UtilityActed) *string { return &e.Ref }),
			events.Text("confirmed_by", "Confirmed by", func(e *UtilityActed) *string { return &e.ConfirmedBy }),
		},
		Line: func(e UtilityActed) string {
			return sentence("Utility acted", e.Owner, e.Asset, e.Act, say("number given", e.Ref), say("confirmed by", e.ConfirmedBy))
		},
		Example: UtilityActed{Owner: "power company", Asset: "overhead line", Act: "dead and grounded", ConfirmedBy: "line foreman"},
		Feeds:   []string{"notifications"},
	}),
}
