package kinds

import (
	"tankside/events"
	. "tankside/events/quantity"
)

// ResourceOrdered is one order for people or things. Its arrival is on_scene and
// its release left_scene; trucks that take product have truck_ordered.
type ResourceOrdered struct {
	Order    string // its number
	What     string
	Sort     string
	Quantity Amount[Count]
	Supplier string
	Crew     Amount[Count]
	NeededBy events.Clock
	ETA      events.Clock
	For      string
	Cost     Amount[Dollars]
}

// Kind returns resource_ordered.
func (ResourceOrdered) Kind() events.Kind { return "resource_ordered" }

// GearLost is equipment lost, broken or taken out of service.
type GearLost struct {
	Item     string
	State    string
	Cause    string
	Replaced string
	Value    Amount[Dollars]
}

// Kind returns gear_lost.
func (GearLost) Kind() events.Kind { return "gear_lost" }

// Braced is the wreck held against moving: cribs, struts, chocks, a winch.
type Braced struct {
	Points    Amount[Count]
	Device    string
	Load      Amount[Pounds]
	CheckedBy string
	Recheck   events.Clock
	Moved     string // whether anything moved since the last check
}

// Kind returns braced.
func (Braced) Kind() events.Kind { return "braced" }

// IgnitionControlled is one source of ignition found, and what was done about it.
type IgnitionControlled struct {
	Source   string
	Act      string
	Distance Amount[Feet]
	By       string
}

// Kind returns ignition_controlled.
func (IgnitionControlled) Kind() events.Kind { return "ignition_controlled" }

// LiftBegun is the moment the wreck's weight is taken.
type LiftBegun struct {
	Straps   Amount[Count]
	Wreckers Amount[Count]
	Cranes   Amount[Count]
	Plugs    string // whether the plugs were checked first
	Method   string
	LedBy    string
}

// Kind returns lift_begun.
func (LiftBegun) Kind() events.Kind { return "lift_begun" }

// OnWheels is the wreck standing again.
type OnWheels struct {
	Minutes Amount[Minutes] // how long the lift took
	Leak    string
}

// Kind returns on_wheels.
func (OnWheels) Kind() events.Kind { return "on_wheels" }

var resourceKinds = []*events.Type{
	events.Declare(events.Spec[ResourceOrdered]{
		Version: 1, Title: "Resource ordered", Family: "resources",
		Doc:  "People or things ordered, from whom and for when; log it when the order is given.",
		Says: []string{"ordered", "send for", "requested"},
		Fields: []events.Field[ResourceOrdered]{
			events.Text("order", "Order number", func(e *ResourceOrdered) *string { return &e.Order }),
			events.Text("what", "What", func(e *ResourceOrdered) *string { return &e.What }),
			events.Text("kind", "Sort", func(e *ResourceOrdered) *string { return &e.Sort }),
			events.Measure("quantity", "Quantity", 0, 1e6, func(e *ResourceOrdered) *Amount[Count] { return &e.Quantity }),
			events.Text("supplier", "From", func(e *ResourceOrdered) *string { return &e.Supplier }),
			events.Measure("crew", "People with it", 0, 1e4, func(e *ResourceOrdered) *Amount[Count] { return &e.Crew }),
			events.ClockTime("needed_by", "Needed by", func(e *ResourceOrdered) *events.Clock { return &e.NeededBy }),
			events.ClockTime("eta", "Promised for", func(e *ResourceOrdered) *events.Clock { return &e.ETA }).Said("ETA"),
			events.Text("for", "For", func(e *ResourceOrdered) *string { return &e.For }),
			events.Measure("cost", "Cost", 0, 1e9, func(e *ResourceOrdered) *Amount[Dollars] { return &e.Cost }),
		},
		Line: func(e ResourceOrdered) string {
			return sentence("Resource ordered", with("", e.Quantity), e.What, e.Sort, say("from", e.Supplier), with("with", e.Crew, "people"), say("needed by", string(e.NeededBy)),
				say("promised for", string(e.ETA)), say("for", e.For), with("cost", e.Cost), say("order", e.Order))
		},
		Example: ResourceOrdered{Order: "R-14", What: "foam concentrate", Quantity: worded(Of[Count](2), "totes"), Supplier: "county cache", NeededBy: "23:30"},
		Feeds:   []string{"resources"},
	}),
	events.Declare(events.Spec[GearLost]{
		Version: 1, Title: "Gear lost", Family: "resources",
		Doc:  "Equipment lost, broken or taken out of service, why, and what took its place.",
		Says: []string{"broken", "lost", "out of service", "dead battery"},
		Fields: []events.Field[GearLost]{
			events.Text("item", "Item", func(e *GearLost) *string { return &e.Item }),
			events.Choice("state", "State", []string{"lost", "broken", "out of service", "back in service"}, func(e *GearLost) *string { return &e.State }),
			events.Text("cause", "Cause", func(e *GearLost) *string { return &e.Cause }),
			events.Text("replaced", "Replaced by", func(e *GearLost) *string { return &e.Replaced }),
			events.Measure("value", "Value", 0, 1e9, func(e *GearLost) *Amount[Dollars] { return &e.Value }),
		},
		Line: func(e GearLost) string {
			return sentence("Gear "+orElse(e.State, "lost"), e.Item, say("because", e.Cause), say("replaced by", e.Replaced), with("worth", e.Value))
		},
		Example: GearLost{Item: "air drill 2", State: "broken", Cause: "chuck seized", Replaced: "air drill 3"},
		Feeds:   []string{"resources"},
	}),
	events.Declare(events.Spec[Braced]{
		Version: 1, Title: "Braced", Family: "resources",
		Doc:  "The wreck held against moving with cribs, struts, chocks or a winch, or that bracing checked again.",
		Says: []string{"braced", "cribbed", "chocked", "strut", "winch set", "stable"},
		Fields: []events.Field[Braced]{
			events.Measure("points", "Points", 0, 1000, func(e *Braced) *Amount[Count] { return &e.Points }),
			events.Text("device", "With", func(e *Braced) *string { return &e.Device }),
			events.Measure("load", "Load on it", 0, 1e6, func(e *Braced) *Amount[Pounds] { return &e.Load }),
			events.Text("checked_by", "Checked by", func(e *Braced) *string { return &e.CheckedBy }),
			events.ClockTime("recheck", "Check again at", func(e *Braced) *events.Clock { return &e.Recheck }),
			events.Text("moved", "Moved", func(e *Braced) *string { return &e.Moved }),
		},
		Line: func(e Braced) string {
			return sentence("Braced", with("", e.Points, "points"), say("with", e.Device), with("load", e.Load), say("checked by", e.CheckedBy), say("check again at", string(e.Recheck)), say("moved:", e.Moved))
		},
		Example: Braced{Points: Of[Count](4), Device: "struts and cribs", CheckedBy: "Stabilisation leader", Recheck: "22:00"},
		Feeds:   []string{"phases"},
	}),
	events.Declare(events.Spec[IgnitionControlled]{
		Version: 1, Title: "Ignition controlled", Family: "resources",
		Doc:  "A source of ignition found, and what was done about it.",
		Says: []string{"ignition source", "battery off", "power off", "engine off", "engines off"},
		Fields: []events.Field[IgnitionControlled]{
			events.Text("source", "Source", func(e *IgnitionControlled) *string { return &e.Source }),
			events.Text("act", "Done", func(e *IgnitionControlled) *string { return &e.Act }),
			events.Measure("distance", "Distance", 0, 50_000, func(e *IgnitionControlled) *Amount[Feet] { return &e.Distance }),
			events.Text("by", "By", func(e *IgnitionControlled) *string { return &e.By }),
		},
		Line: func(e IgnitionControlled) string {
			return sentence("Ignition source", e.Source, e.Act, with("at", e.Distance), say("by", e.By))
		},
		Example: IgnitionControlled{Source: "tractor battery", Act: "cables cut", By: "Engine 7"},
		Feeds:   []string{events.NarrativeOnly},
	}),
	events.Declare(events.Spec[LiftBegun]{
		Version: 1, Title: "Lift begun", Family: "resources",
		Doc:  "Wreckers or a crane take the weight; log it at that moment.",
		Says: []string{"lift", "taking the weight", "lifting"},
		Fields: []events.Field[LiftBegun]{
			events.Measure("straps", "Straps", 0, 100, func(e *LiftBegun) *Amount[Count] { return &e.Straps }),
			events.Measure("wreckers", "Wreckers", 0, 100, func(e *LiftBegun) *Amount[Count] { return &e.Wreckers }),
			events.Measure("cranes", "Cranes", 0, 100, func(e *LiftBegun) *Amount[Count] { return &e.Cranes }),
			events.Text("plugs", "Plugs", func(e *LiftBegun) *string { return &e.Plugs }),
			events.Text("method", "Method", func(e *LiftBegun) *string { return &e.Method }),
			events.Text("led_by", "Led by", func(e *LiftBegun) *string { return &e.LedBy }),
		},
		Line: func(e LiftBegun) string {
			return sentence("Lift begun", with("", e.Straps, "straps"), with("", e.Wreckers, "wreckers"), with("", e.Cranes, "cranes"), say("plugs", e.Plugs), e.Method, say("led by", e.LedBy))
		},
		Example: LiftBegun{Straps: Of[Count](4), Wreckers: Of[Count](2), Plugs: "checked"},
		Feeds:   []string{"phases", "volume"},
	}),
	events.Declare(events.Spec[OnWheels]{
		Version: 1, Title: "On wheels", Family: "resources",
		Doc:  "The wreck stands on its wheels, or is clear of where it lay; log it at that moment.",
		Says: []string{"on her wheels", "on its wheels", "upright", "righted"},
		Fields: []events.Field[OnWheels]{
			events.Measure("minutes", "Lift took", 0, 10_000, func(e *OnWheels) *Amount[Minutes] { return &e.Minutes }),
			events.Text("leak", "Leak after", func(e *OnWheels) *string { return &e.Leak }),
		},
		Line: func(e OnWheels) string {
			return sentence("On its wheels", with("lift took", e.Minutes), say("leak after:", e.Leak))
		},
		Example: OnWheels{Minutes: Of[Minutes](21), Leak: "none"},
		Feeds:   []string{"phases"},
	}),
}

// orElse returns s, or other when s says nothing.
func orElse(s, other string) string {
	if s == "" {
		return other
	}
	return s
}
