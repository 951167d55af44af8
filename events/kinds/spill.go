package kinds

import (
	"tankside/events"
	. "tankside/events/quantity"
)

// SpillSeen is product lying or running outside the tank.
type SpillSeen struct {
	Amount  Amount[Gallons]
	Product string
	Area    Amount[SquareFeet]
	Depth   Amount[Inches]
	On      string
	Into    string
	Sheen   string
	Trust   string
}

// Kind returns spill_seen.
func (SpillSeen) Kind() events.Kind { return "spill_seen" }

// SheenSeen is a film of oil on water.
type SheenSeen struct {
	Length Amount[Feet]
	Width  Amount[Feet]
	Colour string
	Moving string
	From   string // what it comes from
}

// Kind returns sheen_seen.
func (SheenSeen) Kind() events.Kind { return "sheen_seen" }

// DamageFound is what a look at the tank showed, compartment by compartment.
type DamageFound struct {
	C            events.KeyedTexts // by compartment, as C4: dome gasket torn
	CValve       events.KeyedTexts // by compartment, as C3_valve: jammed
	Outlets      string
	Voids        string // the spaces between double bulkheads
	Shell        string // dents, scores, cracks
	Lids         string
	Vents        string
	VapourLine   string
	Saddle       string
	SaddleFuel   Amount[Gallons]
	Spec         string // from the plate, as DOT 406
	Material     string
	Thickness    Amount[Inches]
	Bulkheads    string
	Capacity     Amount[Gallons]
	Compartments Amount[Count]
	Tested       string // the date on the plate
}

// Kind returns damage_found.
func (DamageFound) Kind() events.Kind { return "damage_found" }

// FireSeen is a fire started, knocked down or out.
type FireSeen struct {
	State string
	Area  Amount[SquareFeet] // of product that burns
	What  string
	By    string
	Cause string
}

// Kind returns fire_seen.
func (FireSeen) Kind() events.Kind { return "fire_seen" }

var spillKinds = []*events.Type{
	events.Declare(events.Spec[SpillSeen]{
		Version: 1, Title: "Spill seen", Family: "leak",
		Doc:  "Product outside the tank, with what it lies on or runs into; one entry per pool, and again when it has grown. The amount is all that is out at that place, not what came since.",
		Says: []string{"spill", "spilled", "pool", "puddle", "on the ground"},
		Fields: []events.Field[SpillSeen]{
			events.Measure("amount", "Amount", 0, mostGallons, func(e *SpillSeen) *Amount[Gallons] { return &e.Amount }).Said("gallons"),
			events.Text("product", "Product", func(e *SpillSeen) *string { return &e.Product }),
			events.Measure("area", "Area", 0, 1e9, func(e *SpillSeen) *Amount[SquareFeet] { return &e.Area }),
			events.Measure("depth", "Depth", 0, 1000, func(e *SpillSeen) *Amount[Inches] { return &e.Depth }).Said("deep"),
			events.Text("on", "On", func(e *SpillSeen) *string { return &e.On }).Said("road", "soil", "gravel", "pavement"),
			events.Text("into", "Into", func(e *SpillSeen) *string { return &e.Into }).Said("drain", "ditch", "stream", "sewer"),
			events.Text("sheen", "Sheen", func(e *SpillSeen) *string { return &e.Sheen }).Said("sheen"),
			events.Text("trust", "Trust", func(e *SpillSeen) *string { return &e.Trust }),
		},
		Line: func(e SpillSeen) string {
			return sentence("Spill seen", with("", e.Amount), e.Product, with("area", e.Area), with("depth", e.Depth), say("on", e.On), say("into", e.Into), say("sheen:", e.Sheen), say("trust:", e.Trust))
		},
		Example: SpillSeen{Amount: Of[Gallons](40), Area: Of[SquareFeet](600), Depth: Of[Inches](0.25), On: "gravel shoulder", Into: "ditch", Trust: "guess"},
		Feeds:   []string{"volume", "environment"},
	}),
	events.Declare(events.Spec[SheenSeen]{
		Version: 1, Title: "Sheen seen", Family: "leak",
		Doc:  "A film of oil on water, with its size and colour; the colour tells how thick it is, and a sheen on a navigable water has to be reported at once (40 CFR 110.6).",
		Says: []string{"sheen", "rainbow", "film on the water", "oil on the water"},
		Fields: []events.Field[SheenSeen]{
			events.Measure("length", "Length", 0, 1e6, func(e *SheenSeen) *Amount[Feet] { return &e.Length }).Said("long"),
			events.Measure("width", "Width", 0, 1e6, func(e *SheenSeen) *Amount[Feet] { return &e.Width }).Said("wide"),
			events.Text("colour", "Colour", func(e *SheenSeen) *string { return &e.Colour }).Said("rainbow", "silver", "grey", "dark"),
			events.Text("moving", "Moving", func(e *SheenSeen) *string { return &e.Moving }).Said("moving", "drifting"),
			events.Text("from", "From", func(e *SheenSeen) *string { return &e.From }),
		},
		Line: func(e SheenSeen) string {
			return sentence("Sheen seen", with("length", e.Length), with("width", e.Width), e.Colour, say("moving", e.Moving), say("from", e.From))
		},
		Example: SheenSeen{Length: Of[Feet](150), Width: Of[Feet](6), Colour: "rainbow"},
		Feeds:   []string{"environment", "notifications"},
	}),
	events.Declare(events.Spec[DamageFound]{
		Version: 1, Title: "Damage found", Family: "leak",
		Doc:  "What a look at the tank showed: compartments, valves, outlets, voids, shell. Log sound ones too: not looked at is not the same as sound.",
		Says: []string{"damage", "torn", "creased", "dented", "jammed", "sound", "looked over"},
		Fields: []events.Field[DamageFound]{
			events.TextsBy("C#", "Compartment", func(e *DamageFound) *events.KeyedTexts { return &e.C }),
			events.TextsBy("C#_valve", "Valve", func(e *DamageFound) *events.KeyedTexts { return &e.CValve }),
			events.Text("outlets", "Outlets", func(e *DamageFound) *string { return &e.Outlets }),
			events.Text("voids", "Voids", func(e *DamageFound) *string { return &e.Voids }).Said("void drains"),
			events.Text("shell", "Shell", func(e *DamageFound) *string { return &e.Shell }).Said("shell"),
			events.Text("lids", "Lids", func(e *DamageFound) *string { return &e.Lids }).Said("manlids", "dome lids"),
			events.Text("vents", "Vents", func(e *DamageFound) *string { return &e.Vents }).Said("vents"),
			events.Text("vapour_line", "Vapour line", func(e *DamageFound) *string { return &e.VapourLine }).Said("vapor line", "vapour line"),
			events.Text("saddle", "Fuel tanks of the tractor", func(e *DamageFound) *string { return &e.Saddle }).Said("saddle tank", "saddle tanks"),
			events.Measure("saddle_fuel", "Fuel in them", 0, mostGallons, func(e *DamageFound) *Amount[Gallons] { return &e.SaddleFuel }),
			events.Text("spec", "Specification", func(e *DamageFound) *string { return &e.Spec }).Said("spec", "DOT 406", "MC 306", "DOT 407", "MC 307"),
			events.Text("material", "Material", func(e *DamageFound) *string { return &e.Material }).Said("aluminium", "aluminum", "steel"),
			events.Measure("thickness", "Shell thickness", 0, 12, func(e *DamageFound) *Amount[Inches] { return &e.Thickness }),
			events.Text("bulkheads", "Bulkheads and baffles", func(e *DamageFound) *string { return &e.Bulkheads }).Said("baffle", "bulkhead", "double bulkhead"),
			events.Measure("capacity", "Capacity", 0, mostGallons, func(e *DamageFound) *Amount[Gallons] { return &e.Capacity }),
			events.Measure("compartments", "Compartments", 0, 20, func(e *DamageFound) *Amount[Count] { return &e.Compartments }),
			events.Text("tested", "Last tested", func(e *DamageFound) *string { return &e.Tested }),
		},
		Line: func(e DamageFound) string {
			return sentence("Damage found", texts("", e.C), texts("", e.CValve), say("outlets", e.Outlets), say("voids", e.Voids), say("shell", e.Shell),
				say("lids", e.Lids), say("vents", e.Vents), say("vapour line", e.VapourLine), say("fuel tanks of the tractor", e.Saddle),
				with("", e.SaddleFuel, "in them"), say("specification", e.Spec), e.Material, with("shell thickness", e.Thickness),
				say("bulkheads and baffles:", e.Bulkheads), with("capacity", e.Capacity), with("", e.Compartments, "compartments"), say("last tested", e.Tested))
		},
		Example: DamageFound{C: events.KeyedTexts{{Key: "C4", Value: "dome gasket torn"}, {Key: "C5", Value: "crease weeping"}}, CValve: events.KeyedTexts{{Key: "C3_valve", Value: "jammed"}}, Voids: "dry"},
		Feeds:   []string{"volume"},
	}),
	events.Declare(events.Spec[FireSeen]{
		Version: 2, Upcasts: []events.Upcast{onlyMore}, Title: "Fire", Family: "leak",
		Doc:  "Fire or ignition seen, knocked down or out. Smoke that turned out to be no fire is a note.",
		Says: []string{"fire", "burning", "ignition", "flash", "knocked down", "fire out"},
		Fields: []events.Field[FireSeen]{
			events.Choice("state", "State", []string{"started", "knocked down", "out"}, func(e *FireSeen) *string { return &e.State }),
			events.Measure("area", "Area that burns", 0, 1e9, func(e *FireSeen) *Amount[SquareFeet] { return &e.Area }),
			events.Text("what", "What burns", func(e *FireSeen) *string { return &e.What }).Said("burning"),
			events.Text("by", "Put out by", func(e *FireSeen) *string { return &e.By }),
			events.Text("cause", "Cause", func(e *FireSeen) *string { return &e.Cause }),
		},
		Line: func(e FireSeen) string {
			return sentence("Fire", e.State, with("area", e.Area), say("burning:", e.What), say("by", e.By), say("cause:", e.Cause))
		},
		Example: FireSeen{State: "out", What: "grass on the shoulder", By: "engine line"},
		Feeds:   []string{"phases", "volume"},
	}),
}
