package kinds

import (
	"tankside/events"
	. "tankside/events/quantity"
)

// TruckOrdered is a receiving truck asked for.
type TruckOrdered struct {
	Truck    string // R1, V1
	Usable   Amount[Gallons]
	Holes    events.KeyedAmounts[Gallons] // usable by hole of the truck, as A, B
	Capacity Amount[Gallons]
	ETA      events.Clock
	Product  string
	Type     string
	Spec     string
	Order    string
	Limit    Amount[Gallons] // the most it is to hold, by the department's own rule
}

// Kind returns truck_ordered.
func (TruckOrdered) Kind() events.Kind { return "truck_ordered" }

// ETAChanged is a new promise of when a truck comes.
type ETAChanged struct {
	Truck string // R1, V1
	ETA   events.Clock
	Why   string
}

// Kind returns eta_changed.
func (ETAChanged) Kind() events.Kind { return "eta_changed" }

// TruckChecked is a receiving truck looked over before it takes product.
type TruckChecked struct {
	Truck       string // R1, V1
	LastLoad    string
	Dry         string
	Drained     string
	Heel        Amount[Gallons]
	Vents       string
	TareKnown   string
	Spec        string
	Capacity    Amount[Gallons]
	Certificate string
	Bonded      string
	Driver      string // qualified or not; no name needed
	Permit      string
	Accepted    string
	Empty       Amount[Pounds]
	LimitWeight Amount[Pounds] // that it may weigh loaded
	Axles       Amount[Count]
	Wheelbase   Amount[Feet]    // from its first axle to its last
	Limit       Amount[Gallons] // the most it is to hold, by the department's own rule
}

// Kind returns truck_checked.
func (TruckChecked) Kind() events.Kind { return "truck_checked" }

var truckKinds = []*events.Type{
	events.Declare(events.Spec[TruckOrdered]{
		Version: 1, Title: "Truck ordered", Family: "trucks",
		Doc:  "A receiving truck asked for, with what it can take and when it was promised; where names the haulier. The first promise is the one lateness is counted from.",
		Says: []string{"truck ordered", "sending", "truck coming", "vac truck", "two-hole truck"},
		Fields: []events.Field[TruckOrdered]{
			events.Text("truck", "Truck", func(e *TruckOrdered) *string { return &e.Truck }).Said("truck"),
			events.Measure("usable", "Usable", 0, mostGallons, func(e *TruckOrdered) *Amount[Gallons] { return &e.Usable }).Said("usable"),
			events.Measures("@", "Usable by hole", 0, mostGallons, func(e *TruckOrdered) *events.KeyedAmounts[Gallons] { return &e.Holes }),
			events.Measure("capacity", "Capacity", 0, mostGallons, func(e *TruckOrdered) *Amount[Gallons] { return &e.Capacity }).Said("holds"),
			events.ClockTime("eta", "Promised for", func(e *TruckOrdered) *events.Clock { return &e.ETA }).Said("eta", "says", "due"),
			events.Text("product", "For product", func(e *TruckOrdered) *string { return &e.Product }).Said("for"),
			events.Text("type", "Type", func(e *TruckOrdered) *string { return &e.Type }).Said("vac", "tanker"),
			events.Text("spec", "Specification", func(e *TruckOrdered) *string { return &e.Spec }).Said("spec", "DOT 406", "MC 306"),
			events.Text("order", "Order number", func(e *TruckOrdered) *string { return &e.Order }).Said("order"),
			events.Measure("limit", "Load no more than", 0, mostGallons, func(e *TruckOrdered) *Amount[Gallons] { return &e.Limit }).Said("no more than").
				Note("All told, by the department's own rule."),
		},
		Line: func(e TruckOrdered) string {
			return sentence("Truck ordered", e.Truck, with("usable", e.Usable), amounts("usable", e.Holes), with("capacity", e.Capacity), say("promised for", string(e.ETA)),
				say("for", e.Product), e.Type, say("specification", e.Spec), say("order", e.Order), with("load no more than", e.Limit))
		},
		Example: TruckOrdered{Truck: "R3", Holes: events.KeyedAmounts[Gallons]{{Key: "A", Value: Of[Gallons](1000)}, {Key: "B", Value: Of[Gallons](900)}}, ETA: "02:00"},
		Feeds:   []string{"trucks", "resources", "volume"},
	}),
	events.Declare(events.Spec[ETAChanged]{
		Version: 1, Title: "ETA changed", Family: "trucks",
		Doc:  "A new promise of when a truck comes; the earlier promises stay on record.",
		Says: []string{"eta", "now says", "running late", "delayed"},
		Fields: []events.Field[ETAChanged]{
			events.Text("truck", "Truck", func(e *ETAChanged) *string { return &e.Truck }).Said("truck"),
			events.ClockTime("eta", "Promised for", func(e *ETAChanged) *events.Clock { return &e.ETA }).Said("eta", "now"),
			events.Text("why", "Reason", func(e *ETAChanged) *string { return &e.Why }).Said("because", "took"),
		},
		Line: func(e ETAChanged) string {
			return sentence("ETA changed", e.Truck, say("now", string(e.ETA)), say("because", e.Why))
		},
		Example: ETAChanged{Truck: "R2", ETA: "23:15", Why: "wrong exit"},
		Feeds:   []string{"trucks"},
	}),
	events.Declare(events.Spec[TruckChecked]{
		Version: 2, Upcasts: []events.Upcast{onlyMore}, Title: "Truck checked", Family: "trucks",
		Doc:  "A receiving truck looked over before it takes product: last load, empty and dry, vents, weight empty.",
		Says: []string{"truck checked", "clean and dry", "last carried", "drained and looked at"},
		Fields: []events.Field[TruckChecked]{
			events.Text("truck", "Truck", func(e *TruckChecked) *string { return &e.Truck }).Said("truck"),
			events.Text("last_load", "Last load", func(e *TruckChecked) *string { return &e.LastLoad }).Said("last carried", "last load"),
			events.Text("dry", "Dry", func(e *TruckChecked) *string { return &e.Dry }).Said("dry", "clean"),
			events.Text("drained", "Drained", func(e *TruckChecked) *string { return &e.Drained }).Said("drained"),
			events.Measure("heel", "Left in it", 0, mostGallons, func(e *TruckChecked) *Amount[Gallons] { return &e.Heel }).Said("heel"),
			events.Text("vents", "Vents", func(e *TruckChecked) *string { return &e.Vents }).Said("vents"),
			events.Text("tare_known", "Empty weight known", func(e *TruckChecked) *string { return &e.TareKnown }).Said("tare"),
			events.Text("spec", "Specification", func(e *TruckChecked) *string { return &e.Spec }).Said("spec", "DOT 406", "MC 306"),
			events.Measure("capacity", "Capacity", 0, mostGallons, func(e *TruckChecked) *Amount[Gallons] { return &e.Capacity }).Said("holds"),
			events.Text("certificate", "Cleaning certificate", func(e *TruckChecked) *string { return &e.Certificate }).Said("certificate", "wash ticket"),
			events.Text("bonded", "Bonded", func(e *TruckChecked) *string { return &e.Bonded }).Said("bonded"),
			events.Text("driver", "Driver", func(e *TruckChecked) *string { return &e.Driver }).Said("driver"),
			events.Text("permit", "Permit", func(e *TruckChecked) *string { return &e.Permit }).Said("permit"),
			events.Text("accepted", "Accepted", func(e *TruckChecked) *string { return &e.Accepted }).Said("accepted", "refused"),
			events.Measure("empty", "Weighs empty", 0, 500_000, func(e *TruckChecked) *Amount[Pounds] { return &e.Empty }).Said("weighs empty"),
			events.Measure("limit_weight", "May weigh", 0, 500_000, func(e *TruckChecked) *Amount[Pounds] { return &e.LimitWeight }).Said("may weigh", "may gross").
				Note("Loaded, by its axles, permit or plate; 80,000 lb where nobody says (23 USC 127)."),
			events.Measure("axles", "Axles", 0, 20, func(e *TruckChecked) *Amount[Count] { return &e.Axles }).Said("axles"),
			events.Measure("wheelbase", "First axle to last", 0, 10_000, func(e *TruckChecked) *Amount[Feet] { return &e.Wheelbase }).
				Note("With the number of axles it gives the bridge formula's weight (23 CFR 658.17)."),
			events.Measure("limit", "Load no more than", 0, mostGallons, func(e *TruckChecked) *Amount[Gallons] { return &e.Limit }).Said("no more than").
				Note("All told, by the department's own rule."),
		},
		Line: func(e TruckChecked) string {
			return sentence("Truck checked", e.Truck, say("last load", e.LastLoad), say("dry:", e.Dry), say("drained:", e.Drained), with("", e.Heel, "left in it"), say("vents", e.Vents),
				say("empty weight known:", e.TareKnown), say("specification", e.Spec), with("capacity", e.Capacity), say("cleaning certificate", e.Certificate),
				say("bonded:", e.Bonded), say("driver:", e.Driver), say("permit", e.Permit), say("accepted:", e.Accepted),
				with("weighs empty", e.Empty), with("may weigh", e.LimitWeight), with("", e.Axles, "axles"), with("first to last", e.Wheelbase), with("load no more than", e.Limit))
		},
		Example: TruckChecked{Truck: "R2", LastLoad: "diesel", Drained: "yes", Vents: "good"},
		Feeds:   []string{"trucks", "volume"},
	}),
}
