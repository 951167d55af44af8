package kinds

import (
	"tankside/events"
	. "tankside/events/quantity"
)

// StickRead is a gauge stick, or the gauge of a receiver, read.
type StickRead struct {
	Reads        Amount[Gallons]
	Depth        Amount[Inches]
	Ullage       Amount[Inches]
	Temp         Amount[Fahrenheit]
	ProductLayer Amount[Gallons]
	WaterLayer   Amount[Gallons]
	Product      string
}

// Kind returns stick_read.
func (StickRead) Kind() events.Kind { return "stick_read" }

// DipRead is what is left in the tank, compartment by compartment.
type DipRead struct {
	C      events.KeyedAmounts[Gallons] // by compartment, as C1
	CWater events.KeyedAmounts[Gallons] // by compartment, as C3_water
	CDepth events.KeyedAmounts[Inches]  // by compartment, as C1_depth
	Total  Amount[Gallons]
	Temp   Amount[Fahrenheit]
}

// Kind returns dip_read.
func (DipRead) Kind() events.Kind { return "dip_read" }

// ScaleTicket is a truck weighed.
type ScaleTicket struct {
	Loaded  Amount[Pounds]
	Empty   Amount[Pounds]
	Net     Amount[Pounds]
	Ticket  string
	Product string
	Scale   string // whose scale
	Note    string
}

// Kind returns scale_ticket.
func (ScaleTicket) Kind() events.Kind { return "scale_ticket" }

// WaterFound is water found in a compartment or a receiver.
type WaterFound struct {
	Water Amount[Gallons]
	Depth Amount[Inches]
	Share Amount[Percent]
	By    string
}

// Kind returns water_found.
func (WaterFound) Kind() events.Kind { return "water_found" }

// The words for what gravity is read with.
const (
	GlassHydrometer = "glass hydrometer"
	DigitalMeter    = "digital meter"
)

// GravityRead is the gravity of a product, read at the temperature of the sample.
type GravityRead struct {
	Reads   Amount[APIGravity]
	Temp    Amount[Fahrenheit]
	Product string
	With    string // GlassHydrometer or DigitalMeter
	By      string
}

// Kind returns gravity_read.
func (GravityRead) Kind() events.Kind { return "gravity_read" }

// The words for the section of a tank.
const (
	CircleShape  = "circle"
	EllipseShape = "ellipse"
	ObroundShape = "obround"
	RoundedShape = "rounded"
	FourArcShape = "four-arc"
)

// TankMeasured is the shape of the tank, or of one compartment, and how it lies: what
// turns the depth of a dip into gallons.
type TankMeasured struct {
	Compartment string // C3; "" for the whole tank
	Shape       string // CircleShape and the like
	Width       Amount[Inches]
	Height      Amount[Inches]
	Radius      Amount[Inches] // of corners or sides
	Length      Amount[Inches]
	Capacity    Amount[Gallons]
	Roll        Amount[Degrees] // 0 upright, 90 on its right side
	Pitch       Amount[Degrees] // positive with the front end low
	Along       Amount[Inches]  // from the front end to where the stick stops
	By          string
}

// Kind returns tank_measured.
func (TankMeasured) Kind() events.Kind { return "tank_measured" }

// CompartmentEmptied is a compartment emptied, stripped, purged or made inert.
type CompartmentEmptied struct {
	Compartment string // C4
	State       string
	Residual    Amount[Gallons]
	LEL         Amount[PercentLEL]
	O2          Amount[Percent]
	Method      string
}

// Kind returns compartment_emptied.
func (CompartmentEmptied) Kind() events.Kind { return "compartment_emptied" }

var gaugingKinds = []*events.Type{
	events.Declare(events.Spec[StickRead]{
		Version: 1, Title: "Stick read", Family: "gauging",
		Doc:  "A receiver or a compartment read by stick or gauge; where says which hole of which truck.",
		Says: []string{"sticks", "stick", "gauge", "gauged"},
		Fields: []events.Field[StickRead]{
			events.Measure("reads", "Reads", 0, mostGallons, func(e *StickRead) *Amount[Gallons] { return &e.Reads }).Said("sticks", "stick"),
			events.Measure("depth", "Depth of liquid", 0, 200, func(e *StickRead) *Amount[Inches] { return &e.Depth }).Said("innage"),
			events.Measure("ullage", "Empty space above", 0, 200, func(e *StickRead) *Amount[Inches] { return &e.Ullage }).Said("ullage", "outage"),
			events.Measure("temp", "Product temperature", coldest, hottest, func(e *StickRead) *Amount[Fahrenheit] { return &e.Temp }).Said("degrees"),
			events.Measure("product_layer", "Product layer", 0, mostGallons, func(e *StickRead) *Amount[Gallons] { return &e.ProductLayer }).Said("fuel", "product"),
			events.Measure("water_layer", "Water layer", 0, mostGallons, func(e *StickRead) *Amount[Gallons] { return &e.WaterLayer }).Said("water"),
			events.Text("product", "Product", func(e *StickRead) *string { return &e.Product }),
		},
		Line: func(e StickRead) string {
			return sentence("Stick read", with("", e.Reads), e.Product, with("depth", e.Depth), with("ullage", e.Ullage), with("product at", e.Temp),
				with("product layer", e.ProductLayer), with("water layer", e.WaterLayer))
		},
		Example: StickRead{Reads: Of[Gallons](3450)},
		Feeds:   []string{"volume", "trucks"},
	}),
	events.Declare(events.Spec[DipRead]{
		Version: 1, Title: "Dip read", Family: "gauging",
		Doc:  "What is left in the tank, dipped compartment by compartment; log zero where a dip found none, and leave out what was not dipped.",
		Says: []string{"dip", "dipped", "left in her"},
		Fields: []events.Field[DipRead]{
			events.Measures("C#", "Product left", 0, mostGallons, func(e *DipRead) *events.KeyedAmounts[Gallons] { return &e.C }),
			events.Measures("C#_water", "Water left", 0, mostGallons, func(e *DipRead) *events.KeyedAmounts[Gallons] { return &e.CWater }),
			events.Measures("C#_depth", "Depth", 0, 200, func(e *DipRead) *events.KeyedAmounts[Inches] { return &e.CDepth }),
			events.Measure("total", "Total product", 0, mostGallons, func(e *DipRead) *Amount[Gallons] { return &e.Total }).Said("total", "all told"),
			events.Measure("temp", "Product temperature", coldest, hottest, func(e *DipRead) *Amount[Fahrenheit] { return &e.Temp }).Said("degrees"),
		},
		Line: func(e DipRead) string {
			return sentence("Dip read", amounts("", e.C), amounts("", e.CWater), amounts("", e.CDepth), with("total", e.Total), with("product at", e.Temp))
		},
		Example: DipRead{C: events.KeyedAmounts[Gallons]{{Key: "C1", Value: Of[Gallons](13)}, {Key: "C2", Value: Of[Gallons](6)}}, CWater: events.KeyedAmounts[Gallons]{{Key: "C2_water", Value: Of[Gallons](640)}}, Total: Of[Gallons](19)},
		Feeds:   []string{"volume", "phases"},
	}),
	events.Declare(events.Spec[ScaleTicket]{
		Version: 1, Title: "Scale ticket", Family: "gauging",
		Doc:  "A truck weighed loaded, empty or both, as printed on the ticket; at the time on the ticket, not the time it was told.",
		Says: []string{"scale", "ticket", "weighed", "net pounds"},
		Fields: []events.Field[ScaleTicket]{
			events.Measure("loaded", "Loaded", 0, 500_000, func(e *ScaleTicket) *Amount[Pounds] { return &e.Loaded }).Said("loaded", "gross"),
			events.Measure("empty", "Empty", 0, 500_000, func(e *ScaleTicket) *Amount[Pounds] { return &e.Empty }).Said("empty", "tare"),
			events.Measure("net", "Net", 0, 500_000, func(e *ScaleTicket) *Amount[Pounds] { return &e.Net }).Said("net"),
			events.Text("ticket", "Ticket", func(e *ScaleTicket) *string { return &e.Ticket }).Said("ticket"),
			events.Text("product", "Product", func(e *ScaleTicket) *string { return &e.Product }),
			events.Text("scale", "Scale", func(e *ScaleTicket) *string { return &e.Scale }),
			events.Text("note", "Note", func(e *ScaleTicket) *string { return &e.Note }),
		},
		Line: func(e ScaleTicket) string {
			return sentence("Scale ticket", e.Ticket, e.Product, with("loaded", e.Loaded), with("empty", e.Empty), with("net", e.Net), say("scale", e.Scale), say("note:", e.Note))
		},
		Example: ScaleTicket{Loaded: Of[Pounds](47220), Empty: Of[Pounds](25700), Net: Of[Pounds](21520), Ticket: "CB-20418"},
		Feeds:   []string{"volume", "trucks"},
	}),
	events.Declare(events.Spec[WaterFound]{
		Version: 1, Title: "Water found", Family: "gauging",
		Doc:  "Water found in a compartment or a receiver, by paste, by eye or by sample.",
		Says: []string{"water in", "paste turns", "water found"},
		Fields: []events.Field[WaterFound]{
			events.Measure("water", "Water", 0, mostGallons, func(e *WaterFound) *Amount[Gallons] { return &e.Water }).Said("water"),
			events.Measure("depth", "Depth of water", 0, 200, func(e *WaterFound) *Amount[Inches] { return &e.Depth }).Said("deep"),
			events.Measure("share", "Share of water", 0, 100, func(e *WaterFound) *Amount[Percent] { return &e.Share }),
			events.Text("by", "Found by", func(e *WaterFound) *string { return &e.By }).Said("paste", "sample", "by eye"),
		},
		Line: func(e WaterFound) string {
			return sentence("Water found", with("", e.Water), with("depth", e.Depth), with("share", e.Share), say("by", e.By))
		},
		Example: WaterFound{Water: Of[Gallons](60), By: "paste"},
		Feeds:   []string{"volume"},
	}),
	events.Declare(events.Spec[GravityRead]{
		Version: 1, Title: "Gravity read", Family: "gauging",
		Doc:  "The gravity of a product as the instrument shows it, with the temperature of the sample; it is brought to 60 F by the tables, and from then on weighs and shrinks that product. Where says which compartment or truck it was drawn from.",
		Says: []string{"gravity", "hydrometer"},
		Fields: []events.Field[GravityRead]{
			events.Measure("reads", "Reads", -20, 120, func(e *GravityRead) *Amount[APIGravity] { return &e.Reads }).Said("reads"),
			events.Measure("temp", "Sample temperature", coldest, hottest, func(e *GravityRead) *Amount[Fahrenheit] { return &e.Temp }).Said("degrees"),
			events.Text("product", "Product", func(e *GravityRead) *string { return &e.Product }),
			events.Choice("with", "Read with", []string{GlassHydrometer, DigitalMeter}, func(e *GravityRead) *string { return &e.With }).Note("Where nobody says, a glass hydrometer, which is read together with its own growth."),
			events.Text("by", "By", func(e *GravityRead) *string { return &e.By }),
		},
		Line: func(e GravityRead) string {
			return sentence("Gravity read", with("", e.Reads), with("at", e.Temp), e.Product, say("with", e.With), say("by", e.By))
		},
		Example: GravityRead{Reads: Of[APIGravity](61), Temp: Of[Fahrenheit](85), Product: "gasoline", With: GlassHydrometer},
		Feeds:   []string{"volume"},
	}),
	events.Declare(events.Spec[TankMeasured]{
		Version: 2, Upcasts: []events.Upcast{onlyMore}, Title: "Tank measured", Family: "gauging",
		Doc:  "The inside of the tank, or of one compartment, and how it lies, so that the depth of a dip can be turned into gallons. What is said of the whole tank holds for each compartment that was not measured for itself.",
		Says: []string{"tank measured", "compartment measured", "tank shape"},
		Fields: []events.Field[TankMeasured]{
			events.Text("compartment", "Compartment", func(e *TankMeasured) *string { return &e.Compartment }),
			events.Choice("shape", "Cross-section", []string{CircleShape, EllipseShape, ObroundShape, RoundedShape, FourArcShape}, func(e *TankMeasured) *string { return &e.Shape }).
				Note("Rounded is a rectangle with rounded corners; four-arc is the oval of most road tankers."),
			events.Measure("width", "Width inside", 0, 200, func(e *TankMeasured) *Amount[Inches] { return &e.Width }),
			events.Measure("height", "Height inside", 0, 200, func(e *TankMeasured) *Amount[Inches] { return &e.Height }),
			events.Measure("radius", "Radius of corners or sides", 0, 200, func(e *TankMeasured) *Amount[Inches] { return &e.Radius }),
			events.Measure("length", "Length inside", 0, 1000, func(e *TankMeasured) *Amount[Inches] { return &e.Length }),
			events.Measure("capacity", "Capacity", 0, mostGallons, func(e *TankMeasured) *Amount[Gallons] { return &e.Capacity }),
			events.Measure("roll", "Roll", -180, 180, func(e *TankMeasured) *Amount[Degrees] { return &e.Roll }).Note("0 upright, 90 on its right side, 180 on its top."),
			events.Measure("pitch", "Pitch", -85, 85, func(e *TankMeasured) *Amount[Degrees] { return &e.Pitch }).Note("Of the tank axis, positive with the front end low."),
			events.Measure("along", "Stick along", 0, 1000, func(e *TankMeasured) *Amount[Inches] { return &e.Along }).Note("From the front end of the compartment to where the stick of its dips stops."),
			events.Text("by", "Measured by", func(e *TankMeasured) *string { return &e.By }),
		},
		Line: func(e TankMeasured) string {
			return sentence("Tank measured", e.Compartment, e.Shape, with("width", e.Width), with("height", e.Height), with("radius", e.Radius), with("length", e.Length),
				with("capacity", e.Capacity), with("roll", e.Roll), with("pitch", e.Pitch), with("stick", e.Along, "from the front end"), say("by", e.By))
		},
		Example: TankMeasured{Compartment: "C3", Shape: EllipseShape, Width: Of[Inches](96), Height: Of[Inches](60), Length: Of[Inches](55), Roll: Of[Degrees](90)},
		Feeds:   []string{"volume"},
	}),
	events.Declare(events.Spec[CompartmentEmptied]{
		Version: 1, Title: "Compartment emptied", Family: "gauging",
		Doc:  "A compartment emptied, stripped, purged or made inert, with what is left in it and the air inside.",
		Says: []string{"emptied", "stripped", "purged", "inerted", "dry ice in"},
		Fields: []events.Field[CompartmentEmptied]{
			events.Text("compartment", "Compartment", func(e *CompartmentEmptied) *string { return &e.Compartment }),
			events.Choice("state", "State", []string{"emptied", "stripped", "purged", "inerted"}, func(e *CompartmentEmptied) *string { return &e.State }).Said("stripped", "purged", "inerted"),
			events.Measure("residual", "Left in it", 0, mostGallons, func(e *CompartmentEmptied) *Amount[Gallons] { return &e.Residual }).Said("left"),
			events.Measure("LEL", "LEL inside", 0, 100, func(e *CompartmentEmptied) *Amount[PercentLEL] { return &e.LEL }).Said("lel"),
			events.Measure("O2", "Oxygen inside", 0, 25, func(e *CompartmentEmptied) *Amount[Percent] { return &e.O2 }).Said("oxygen", "o2"),
			events.Text("method", "Method", func(e *CompartmentEmptied) *string { return &e.Method }).Said("by", "with"),
		},
		Line: func(e CompartmentEmptied) string {
			return sentence("Compartment", e.Compartment, e.State, with("left in it", e.Residual), with("LEL inside", e.LEL), with("oxygen inside", e.O2), say("by", e.Method))
		},
		Example: CompartmentEmptied{Compartment: "C4", State: "stripped", Residual: Of[Gallons](15), LEL: Of[PercentLEL](60), Method: "vacuum"},
		Feeds:   []string{"volume", "phases"},
	}),
}
