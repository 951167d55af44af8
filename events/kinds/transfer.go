package kinds

import (
	"tankside/events"
	. "tankside/events/quantity"
)

// PumpOn is a transfer leg begun.
type PumpOn struct {
	Leg     string // L1, L2
	From    string
	To      string
	Product string
	Meter   string // the name of the instrument, not a reading
	Start   Amount[Gallons]
	Pump    string
	Hoses   string
	Bore    Amount[Inches] // of the hose, inside
	Vacuum  string         // yes when a vacuum truck draws
	Tube    string
	Vapour  string
}

// Kind returns pump_on.
func (PumpOn) Kind() events.Kind { return "pump_on" }

// MeterRead is a reading of a meter while a leg runs.
type MeterRead struct {
	Leg         string
	Reads       Amount[Gallons]
	SinceLast   Amount[Gallons]
	Strokes     Amount[PerMinute]
	StrokeCount Amount[Count]
	PerStroke   Amount[Gallons]
	Flow        Amount[GallonsPerMinute]
	Temp        Amount[Fahrenheit]
	Water       string
	Meter       string // the name of the instrument
	Reset       string // whether the meter was put back to zero
}

// Kind returns meter_read.
func (MeterRead) Kind() events.Kind { return "meter_read" }

// PumpOff is a transfer leg ended.
type PumpOff struct {
	Leg          string
	From         string
	To           string
	Meter        Amount[Gallons] // a reading
	Temp         Amount[Fahrenheit]
	Stick        Amount[Gallons]
	ProductLayer Amount[Gallons]
	WaterLayer   Amount[Gallons]
	Why          string
}

// Kind returns pump_off.
func (PumpOff) Kind() events.Kind { return "pump_off" }

// PumpHeld is a pause within a leg, or its end.
type PumpHeld struct {
	Leg   string
	State string
	Meter Amount[Gallons]
	Why   string
}

// Kind returns pump_held.
func (PumpHeld) Kind() events.Kind { return "pump_held" }

// GallonsTransferred is an amount moved in one leg, by one way of measuring it.
type GallonsTransferred struct {
	Leg         string
	From        string
	To          string
	Amount      Amount[Gallons] // gross, unless Basis is net
	Method      string
	Basis       string
	Temp        Amount[Fahrenheit]
	Product     string
	StrokeCount Amount[Count]
	PerStroke   Amount[Gallons]
}

// Kind returns gallons_transferred.
func (GallonsTransferred) Kind() events.Kind { return "gallons_transferred" }

var transferKinds = []*events.Type{
	events.Declare(events.Spec[PumpOn]{
		Version: 2, Upcasts: []events.Upcast{onlyMore}, Title: "Pump on", Family: "transfer",
		Doc:  "A transfer leg begun: one stretch of pumping from one source to one receiver. Log the meter at the start even when it is zero.",
		Says: []string{"pump on", "pumping", "vacuum on", "started pumping", "into"},
		Fields: []events.Field[PumpOn]{
			events.Text("leg", "Leg", func(e *PumpOn) *string { return &e.Leg }).Said("leg"),
			events.Text("from", "From", func(e *PumpOn) *string { return &e.From }),
			events.Text("to", "To", func(e *PumpOn) *string { return &e.To }).Said("into", "to"),
			events.Text("product", "Product", func(e *PumpOn) *string { return &e.Product }),
			events.Text("meter", "Meter", func(e *PumpOn) *string { return &e.Meter }).Said("on meter"),
			events.Measure("start", "Meter at start", 0, mostMeter, func(e *PumpOn) *Amount[Gallons] { return &e.Start }).Said("meter at"),
			events.Text("pump", "Pump", func(e *PumpOn) *string { return &e.Pump }),
			events.Text("hoses", "Hoses", func(e *PumpOn) *string { return &e.Hoses }).Said("hoses"),
			events.Measure("bore", "Hose bore", 0, 12, func(e *PumpOn) *Amount[Inches] { return &e.Bore }).Said("inch hose").
				Note("The narrowest on the way; it sets how fast the product may run before it charges itself."),
			events.Text("vacuum", "Vacuum", func(e *PumpOn) *string { return &e.Vacuum }).Said("vacuum", "vac"),
			events.Text("tube", "Suction tube", func(e *PumpOn) *string { return &e.Tube }).Said("tube", "stinger"),
			events.Text("vapour", "Vapour return", func(e *PumpOn) *string { return &e.Vapour }).Said("vapour return", "vapor return"),
		},
		Line: func(e PumpOn) string {
			return sentence("Pump on", say("leg", e.Leg), say("from", e.From), say("to", e.To), e.Product, say("meter", e.Meter), with("starts at", e.Start),
				say("pump", e.Pump), say("hoses", e.Hoses), with("bore", e.Bore), say("vacuum:", e.Vacuum), say("suction tube", e.Tube), say("vapour return:", e.Vapour))
		},
		Example: PumpOn{Leg: "L1", From: "C4", To: "R1", Product: "gasoline", Meter: "skid M", Start: Of[Gallons](0)},
		Feeds:   []string{"volume", "trucks", "phases"},
	}),
	events.Declare(events.Spec[MeterRead]{
		Version: 1, Title: "Meter read", Family: "transfer",
		Doc:  "A reading of the meter while the pump runs; the meter counts on, so give what it shows, not what came since the last reading.",
		Says: []string{"meter", "meter reads", "meter at", "and rising"},
		Fields: []events.Field[MeterRead]{
			events.Text("leg", "Leg", func(e *MeterRead) *string { return &e.Leg }).Said("leg"),
			events.Measure("reads", "Reads", 0, mostMeter, func(e *MeterRead) *Amount[Gallons] { return &e.Reads }).Said("reads", "at"),
			events.Measure("since_last", "Since the last reading", 0, mostGallons, func(e *MeterRead) *Amount[Gallons] { return &e.SinceLast }).Said("more", "since").
				Note("Only where the instrument starts again from zero each time."),
			events.Measure("strokes", "Strokes", 0, 1000, func(e *MeterRead) *Amount[PerMinute] { return &e.Strokes }).Said("strokes"),
			events.Measure("stroke_count", "Strokes counted", 0, 1e9, func(e *MeterRead) *Amount[Count] { return &e.StrokeCount }),
			events.Measure("per_stroke", "Per stroke", 0, 100, func(e *MeterRead) *Amount[Gallons] { return &e.PerStroke }),
			events.Measure("flow", "Flow", 0, mostFlow, func(e *MeterRead) *Amount[GallonsPerMinute] { return &e.Flow }).Said("a minute"),
			events.Measure("temp", "Product temperature", coldest, hottest, func(e *MeterRead) *Amount[Fahrenheit] { return &e.Temp }).Said("degrees"),
			events.Text("water", "Water seen", func(e *MeterRead) *string { return &e.Water }).Said("water"),
			events.Text("meter", "Meter", func(e *MeterRead) *string { return &e.Meter }),
			events.Text("reset", "Reset", func(e *MeterRead) *string { return &e.Reset }).Said("reset", "zeroed"),
		},
		Line: func(e MeterRead) string {
			return sentence("Meter read", say("leg", e.Leg), with("reads", e.Reads), with("", e.SinceLast, "since the last"), with("strokes", e.Strokes),
				with("", e.StrokeCount, "strokes counted"), with("at", e.PerStroke, "a stroke"), with("flow", e.Flow), with("product at", e.Temp),
				say("water seen:", e.Water), say("on", e.Meter), say("reset:", e.Reset))
		},
		Example: MeterRead{Leg: "L3", Reads: Of[Gallons](524), Strokes: Of[PerMinute](84)},
		Feeds:   []string{"volume"},
	}),
	events.Declare(events.Spec[PumpOff]{
		Version: 1, Title: "Pump off", Family: "transfer",
		Doc:  "A transfer leg ended, with the meter, the temperature of the product and, for a vacuum truck, the stick and the two layers.",
		Says: []string{"pump off", "dry", "shut her down", "vacuum off", "stopped pumping"},
		Fields: []events.Field[PumpOff]{
			events.Text("leg", "Leg", func(e *PumpOff) *string { return &e.Leg }).Said("leg"),
			events.Text("from", "From", func(e *PumpOff) *string { return &e.From }),
			events.Text("to", "To", func(e *PumpOff) *string { return &e.To }).Said("into", "to"),
			events.Measure("meter", "Meter reads", 0, mostMeter, func(e *PumpOff) *Amount[Gallons] { return &e.Meter }).Said("meter"),
			events.Measure("temp", "Product temperature", coldest, hottest, func(e *PumpOff) *Amount[Fahrenheit] { return &e.Temp }).Said("degrees"),
			events.Measure("stick", "Stick", 0, mostGallons, func(e *PumpOff) *Amount[Gallons] { return &e.Stick }).Said("stick", "sticks"),
			events.Measure("product_layer", "Product layer", 0, mostGallons, func(e *PumpOff) *Amount[Gallons] { return &e.ProductLayer }).Said("fuel", "product"),
			events.Measure("water_layer", "Water layer", 0, mostGallons, func(e *PumpOff) *Amount[Gallons] { return &e.WaterLayer }).Said("water"),
			events.Text("why", "Reason", func(e *PumpOff) *string { return &e.Why }).Said("because"),
		},
		Line: func(e PumpOff) string {
			return sentence("Pump off", say("leg", e.Leg), say("from", e.From), say("to", e.To), with("meter", e.Meter), with("product at", e.Temp),
				with("stick", e.Stick), with("product layer", e.ProductLayer), with("water layer", e.WaterLayer), say("because", e.Why))
		},
		Example: PumpOff{Leg: "L1", Meter: Of[Gallons](1012), Temp: Of[Fahrenheit](62)},
		Feeds:   []string{"volume", "trucks", "phases"},
	}),
	events.Declare(events.Spec[PumpHeld]{
		Version: 1, Title: "Pumping held", Family: "transfer",
		Doc:  "A pause within a leg, and again when pumping goes on; the leg stays the same.",
		Says: []string{"pump held", "hold the pump", "pumping again", "pump resumed"},
		Fields: []events.Field[PumpHeld]{
			events.Text("leg", "Leg", func(e *PumpHeld) *string { return &e.Leg }).Said("leg"),
			events.Choice("state", "State", []string{"held", "resumed"}, func(e *PumpHeld) *string { return &e.State }).
				Note("Not said means held."),
			events.Measure("meter", "Meter reads", 0, mostMeter, func(e *PumpHeld) *Amount[Gallons] { return &e.Meter }).Said("meter"),
			events.Text("why", "Reason", func(e *PumpHeld) *string { return &e.Why }).Said("because"),
		},
		Line: func(e PumpHeld) string {
			return sentence("Pumping", e.State, say("leg", e.Leg), with("meter", e.Meter), say("because", e.Why))
		},
		Example: PumpHeld{Leg: "L3", State: "held", Why: "bond re-test at R2"},
		Feeds:   []string{"volume", "phases"},
	}),
	events.Declare(events.Spec[GallonsTransferred]{
		Version: 1, Title: "Gallons transferred", Family: "transfer",
		Doc:  "An amount moved in one leg by one way of measuring it; a second way for the same leg is a second entry, never added to the first.",
		Says: []string{"transferred", "moved", "took off"},
		Fields: []events.Field[GallonsTransferred]{
			events.Text("leg", "Leg", func(e *GallonsTransferred) *string { return &e.Leg }).Said("leg"),
			events.Text("from", "From", func(e *GallonsTransferred) *string { return &e.From }),
			events.Text("to", "To", func(e *GallonsTransferred) *string { return &e.To }).Said("into", "to"),
			events.Measure("amount", "Amount", 0, mostGallons, func(e *GallonsTransferred) *Amount[Gallons] { return &e.Amount }).Said("gallons").
				Note("Gallons at 60 F when the basis is net, else as they flowed."),
			events.Choice("method", "Method", []string{"meter", "stick", "scale", "strokes", "flow x time", "estimate"}, func(e *GallonsTransferred) *string { return &e.Method }).Said("by"),
			events.Choice("basis", "Basis", []string{"gross", "net"}, func(e *GallonsTransferred) *string { return &e.Basis }).Said("gross", "net"),
			events.Measure("temp", "Product temperature", coldest, hottest, func(e *GallonsTransferred) *Amount[Fahrenheit] { return &e.Temp }).Said("degrees"),
			events.Text("product", "Product", func(e *GallonsTransferred) *string { return &e.Product }),
			events.Measure("stroke_count", "Strokes counted", 0, 1e9, func(e *GallonsTransferred) *Amount[Count] { return &e.StrokeCount }).Said("strokes"),
			events.Measure("per_stroke", "Per stroke", 0, 100, func(e *GallonsTransferred) *Amount[Gallons] { return &e.PerStroke }),
		},
		Line: func(e GallonsTransferred) string {
			return sentence("Gallons transferred", with("", e.Amount), e.Product, say("leg", e.Leg), say("from", e.From), say("to", e.To), say("by", e.Method), e.Basis,
				with("product at", e.Temp), with("", e.StrokeCount, "strokes"), with("at", e.PerStroke, "a stroke"))
		},
		Example: GallonsTransferred{Leg: "L1", From: "C4", To: "R1", Amount: Amount[Gallons]{Qual: Exactly, Best: 1012, Unit: "gal", U: 5}, Method: "meter", Basis: "gross", Temp: Of[Fahrenheit](62), Product: "gasoline"},
		Feeds:   []string{"volume", "trucks", "phases"},
	}),
}
