package kinds

import (
	"tankside/events"
	. "tankside/events/quantity"
)

// RodDriven is a ground rod, or a plate in its stead, put in the earth.
type RodDriven struct {
	Rod      string // G1, G2
	Depth    Amount[Feet]
	Soil     string
	Wetted   string
	Distance Amount[Feet]
}

// Kind returns rod_driven.
func (RodDriven) Kind() events.Kind { return "rod_driven" }

// ResistanceRead is one meter reading of a ground or of a bond.
type ResistanceRead struct {
	Path       string // ground: rod to earth; bond: metal to metal
	Resistance Amount[Ohms]
	Limit      Amount[Ohms]
	Result     string
	Fix        string
	From       string
	To         string
	Rod        string // the rods it was read on, as G1+G2
	Method     string
	Meter      string // the name of the instrument
	Calibrated string // the date on its label
}

// Kind returns resistance_read.
func (ResistanceRead) Kind() events.Kind { return "resistance_read" }

// BondMade is a bonding or grounding cable put on or taken off.
type BondMade struct {
	State      string
	From       string
	To         string
	Clamp      string
	Order      string // its place in the order of connecting
	Continuity Amount[Ohms]
}

// Kind returns bond_made.
func (BondMade) Kind() events.Kind { return "bond_made" }

var groundKinds = []*events.Type{
	events.Declare(events.Spec[RodDriven]{
		Version: 1, Title: "Ground rod driven", Family: "grounding",
		Doc:  "A ground rod driven, or a plate laid where no rod will go; the resistance is an entry of its own.",
		Says: []string{"rod in", "rod driven", "drove rod", "ground rod", "plate in"},
		Fields: []events.Field[RodDriven]{
			events.Text("rod", "Rod", func(e *RodDriven) *string { return &e.Rod }).Said("rod"),
			events.Measure("depth", "Depth", 0, 100, func(e *RodDriven) *Amount[Feet] { return &e.Depth }).Said("deep", "in"),
			events.Text("soil", "Soil", func(e *RodDriven) *string { return &e.Soil }).Said("gravel", "clay", "sand", "loam", "frozen"),
			events.Text("wetted", "Wetted", func(e *RodDriven) *string { return &e.Wetted }).Said("watered", "wetted", "salted"),
			events.Measure("distance", "Distance", 0, 10_000, func(e *RodDriven) *Amount[Feet] { return &e.Distance }).Said("from", "away").
				Note("From the tank or from the last rod."),
		},
		Line: func(e RodDriven) string {
			return sentence("Ground rod driven", e.Rod, with("depth", e.Depth), say("soil", e.Soil), say("wetted:", e.Wetted), with("", e.Distance, "away"))
		},
		Example: RodDriven{Rod: "G1", Depth: Of[Feet](5), Soil: "gravel"},
		Feeds:   []string{"grounding", "phases"},
	}),
	events.Declare(events.Spec[ResistanceRead]{
		Version: 1, Title: "Resistance read", Family: "grounding",
		Doc:  "One reading of a ground or of a bond, good or bad, with the limit in force at that moment; log a fresh one after every fix.",
		Says: []string{"ohms", "ohm", "resistance", "bond reads", "rod reads"},
		Fields: []events.Field[ResistanceRead]{
			events.Choice("path", "Path", []string{"ground", "bond"}, func(e *ResistanceRead) *string { return &e.Path }).Said("rod", "rods", "bond"),
			events.Measure("resistance", "Resistance", 0, mostOhms, func(e *ResistanceRead) *Amount[Ohms] { return &e.Resistance }),
			events.Measure("limit", "Limit", 0, mostOhms, func(e *ResistanceRead) *Amount[Ohms] { return &e.Limit }).
				Note("The pass limit in force when the reading was taken."),
			events.Text("result", "Result", func(e *ResistanceRead) *string { return &e.Result }).Said("good", "bad", "over"),
			events.Text("fix", "Fix", func(e *ResistanceRead) *string { return &e.Fix }).Said("scraped", "moved clamp"),
			events.Text("from", "From", func(e *ResistanceRead) *string { return &e.From }),
			events.Text("to", "To", func(e *ResistanceRead) *string { return &e.To }),
			events.Text("rod", "Rods", func(e *ResistanceRead) *string { return &e.Rod }),
			events.Text("method", "Method", func(e *ResistanceRead) *string { return &e.Method }).Said("fall of potential", "clamp-on"),
			events.Text("meter", "Meter", func(e *ResistanceRead) *string { return &e.Meter }),
			events.Text("calibrated", "Meter calibrated", func(e *ResistanceRead) *string { return &e.Calibrated }),
		},
		Line: func(e ResistanceRead) string {
			return sentence("Resistance read", e.Path, e.Rod, say("from", e.From), say("to", e.To), with("", e.Resistance), with("limit", e.Limit), e.Result,
				say("fix:", e.Fix), say("by", e.Method), say("on meter", e.Meter), say("calibrated", e.Calibrated))
		},
		Example: ResistanceRead{Path: "bond", Resistance: Of[Ohms](0.7), Limit: Of[Ohms](10), Result: "good", Fix: "paint scraped clamp moved", From: "tank shell", To: "R2"},
		Feeds:   []string{"grounding", "phases", "trucks"},
	}),
	events.Declare(events.Spec[BondMade]{
		Version: 1, Title: "Bond", Family: "grounding",
		Doc:  "A bonding or grounding cable put on or taken off, without a reading; a reading is resistance_read.",
		Says: []string{"bonded", "bond on", "bond off", "clamp on", "cable on", "unbonded"},
		Fields: []events.Field[BondMade]{
			events.Choice("state", "State", []string{"connected", "removed"}, func(e *BondMade) *string { return &e.State }).
				Note("Not said means connected."),
			events.Text("from", "From", func(e *BondMade) *string { return &e.From }),
			events.Text("to", "To", func(e *BondMade) *string { return &e.To }),
			events.Text("clamp", "Clamp", func(e *BondMade) *string { return &e.Clamp }).Said("clamp"),
			events.Text("order", "Order", func(e *BondMade) *string { return &e.Order }).Said("first", "last"),
			events.Measure("continuity", "Continuity", 0, mostOhms, func(e *BondMade) *Amount[Ohms] { return &e.Continuity }),
		},
		Line: func(e BondMade) string {
			return sentence("Bond", e.State, say("from", e.From), say("to", e.To), say("clamp", e.Clamp), say("order", e.Order), with("continuity", e.Continuity))
		},
		Example: BondMade{State: "connected", From: "tank shell", To: "R1", Clamp: "screw clamp on bare steel", Order: "1"},
		Feeds:   []string{"grounding"},
	}),
}
