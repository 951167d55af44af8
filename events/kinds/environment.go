package kinds

import (
	"tankside/events"
	. "tankside/events/quantity"
)

// BoomSet is one boom, dike, dam or drain cover put in place.
type BoomSet struct {
	Length Amount[Feet]
	Sort   string // absorbent, hard skirt, earth dike, drain cover …
	Count  Amount[Count]
	By     string
	Until  string // how long it is to stay
}

// Kind returns boom_set.
func (BoomSet) Kind() events.Kind { return "boom_set" }

// PadsWeighed is one weighing of pads, sock and other sorbents.
type PadsWeighed struct {
	Count   Amount[Count]
	Bags    Amount[Count]
	Drums   Amount[Count]
	Wet     Amount[Pounds] // as collected
	Dry     Amount[Pounds] // the same sorbents before use
	Water   Amount[Pounds] // water in them
	Product Amount[Gallons]
	Sort    string
	By      string
}

// Kind returns pads_weighed.
func (PadsWeighed) Kind() events.Kind { return "pads_weighed" }

// The words for the form in which product was got back.
const (
	Liquid  = "liquid"
	Soil    = "soil"
	Sorbent = "sorbent"
)

// ProductRecovered is product got back from ground or water.
type ProductRecovered struct {
	Product Amount[Gallons]
	Water   Amount[Gallons]
	Form    string // Liquid, Soil or Sorbent
	Weight  Amount[Pounds]
	Yards   Amount[CubicYards]
	From    string
	To      string
	Sample  string
	Method  string // how the product in it was worked out
	By      string
}

// Kind returns product_recovered.
func (ProductRecovered) Kind() events.Kind { return "product_recovered" }

// The words for how product was lost.
const (
	Burned     = "burned"
	Evaporated = "evaporated"
	Drained    = "drained from hoses"
	Gone       = "gone"
)

// ProductLost is product that went where nobody can take it up again, or into a drum
// with what the hoses held.
type ProductLost struct {
	Amount  Amount[Gallons]
	Product string
	How     string // Burned, Evaporated, Drained or Gone
	From    string // C4, hoses, pool
	Method  string // how the amount was worked out
	By      string
}

// Kind returns product_lost.
func (ProductLost) Kind() events.Kind { return "product_lost" }

var environmentKinds = []*events.Type{
	events.Declare(events.Spec[BoomSet]{
		Version: 1, Title: "Boom set", Family: "environment",
		Doc:  "A boom, dike, dam or drain cover put in place; log each one when it holds.",
		Says: []string{"boom", "sock", "dike", "dam", "drain covered", "drain cover"},
		Fields: []events.Field[BoomSet]{
			events.Measure("length", "Length", 0, 50_000, func(e *BoomSet) *Amount[Feet] { return &e.Length }),
			events.Text("kind", "Sort", func(e *BoomSet) *string { return &e.Sort }),
			events.Measure("count", "How many", 0, 10_000, func(e *BoomSet) *Amount[Count] { return &e.Count }),
			events.Text("by", "Set by", func(e *BoomSet) *string { return &e.By }),
			events.Text("until", "To stay until", func(e *BoomSet) *string { return &e.Until }),
		},
		Line: func(e BoomSet) string {
			return sentence("Boom set", with("", e.Length), e.Sort, with("", e.Count, "pieces"), say("by", e.By), say("to stay until", e.Until))
		},
		Example: BoomSet{Length: Of[Feet](60), Sort: "absorbent"},
		Feeds:   []string{"environment"},
	}),
	events.Declare(events.Spec[PadsWeighed]{
		Version: 1, Title: "Pads weighed", Family: "environment",
		Doc:  "Sorbents collected and weighed; wet less dry less water is the product in them.",
		Says: []string{"pads", "sorbents", "bags weighed"},
		Fields: []events.Field[PadsWeighed]{
			events.Measure("count", "Pads", 0, 1e6, func(e *PadsWeighed) *Amount[Count] { return &e.Count }),
			events.Measure("bags", "Bags", 0, 1e5, func(e *PadsWeighed) *Amount[Count] { return &e.Bags }),
			events.Measure("drums", "Drums", 0, 1e5, func(e *PadsWeighed) *Amount[Count] { return &e.Drums }),
			events.Measure("wet", "Weight wet", 0, 1e6, func(e *PadsWeighed) *Amount[Pounds] { return &e.Wet }),
			events.Measure("dry", "Weight dry", 0, 1e6, func(e *PadsWeighed) *Amount[Pounds] { return &e.Dry }),
			events.Measure("water", "Water in them", 0, 1e6, func(e *PadsWeighed) *Amount[Pounds] { return &e.Water }),
			events.Measure("product", "Product in them", 0, mostGallons, func(e *PadsWeighed) *Amount[Gallons] { return &e.Product }),
			events.Text("kind", "Sort", func(e *PadsWeighed) *string { return &e.Sort }),
			events.Text("by", "Weighed by", func(e *PadsWeighed) *string { return &e.By }),
		},
		Line: func(e PadsWeighed) string {
			return sentence("Pads weighed", with("", e.Count, "pads"), e.Sort, with("in", e.Bags, "bags"), with("in", e.Drums, "drums"), with("wet", e.Wet),
				with("dry", e.Dry), with("water in them", e.Water), with("product in them", e.Product), say("by", e.By))
		},
		Example: PadsWeighed{Count: Of[Count](400), Bags: Of[Count](14), Wet: Of[Pounds](372), Dry: Of[Pounds](140), Water: Of[Pounds](70)},
		Feeds:   []string{"volume", "environment"},
	}),
	events.Declare(events.Spec[ProductRecovered]{
		Version: 1, Title: "Product recovered", Family: "environment",
		Doc:  "Product got back from a pool, soil, pavement or water by somebody, with the water in it when that is known.",
		Says: []string{"recovered", "skimmed", "dug out", "soil hauled", "sucked up"},
		Fields: []events.Field[ProductRecovered]{
			events.Measure("product", "Product", 0, mostGallons, func(e *ProductRecovered) *Amount[Gallons] { return &e.Product }),
			events.Measure("water", "Water with it", 0, 1e6, func(e *ProductRecovered) *Amount[Gallons] { return &e.Water }),
			events.Choice("form", "Form", []string{Liquid, Soil, Sorbent}, func(e *ProductRecovered) *string { return &e.Form }),
			events.Measure("weight", "Weight hauled", 0, 1e8, func(e *ProductRecovered) *Amount[Pounds] { return &e.Weight }).Note("Say the unit: 12 ton."),
			events.Measure("yards", "Soil hauled", 0, 1e6, func(e *ProductRecovered) *Amount[CubicYards] { return &e.Yards }),
			events.Text("from", "From", func(e *ProductRecovered) *string { return &e.From }),
			events.Text("to", "Into", func(e *ProductRecovered) *string { return &e.To }),
			events.Text("sample", "Sample number", func(e *ProductRecovered) *string { return &e.Sample }),
			events.Text("method", "How worked out", func(e *ProductRecovered) *string { return &e.Method }),
			events.Text("by", "By", func(e *ProductRecovered) *string { return &e.By }),
		},
		Line: func(e ProductRecovered) string {
			return sentence("Product recovered", with("", e.Product), with("with", e.Water, "water"), say("as", e.Form), with("weight", e.Weight),
				with("", e.Yards, "hauled"), say("from", e.From), say("into", e.To), say("sample", e.Sample), say("worked out by", e.Method), say("by", e.By))
		},
		Example: ProductRecovered{Product: Of[Gallons](127), Water: Of[Gallons](676), Form: Liquid, From: "ditch and pan", To: "R3B"},
		Feeds:   []string{"volume", "environment"},
	}),
	events.Declare(events.Spec[ProductLost]{
		Version: 1, Title: "Product lost", Family: "environment",
		Doc:  "Product that burned, evaporated or is gone, or that the hoses held and was drained off, with how the amount was worked out. From says whether it left the tank or what already lay on the ground; it is never worked out by itself.",
		Says: []string{"burned off", "evaporated", "hoses drained", "product lost"},
		Fields: []events.Field[ProductLost]{
			events.Measure("amount", "Amount", 0, mostGallons, func(e *ProductLost) *Amount[Gallons] { return &e.Amount }),
			events.Text("product", "Product", func(e *ProductLost) *string { return &e.Product }),
			events.Choice("how", "How", []string{Burned, Evaporated, Drained, Gone}, func(e *ProductLost) *string { return &e.How }),
			events.Text("from", "From", func(e *ProductLost) *string { return &e.From }),
			events.Text("method", "How worked out", func(e *ProductLost) *string { return &e.Method }),
			events.Text("by", "By", func(e *ProductLost) *string { return &e.By }),
		},
		Line: func(e ProductLost) string {
			return sentence("Product lost", with("", e.Amount), e.Product, say("", e.How), say("from", e.From), say("worked out by", e.Method), say("by", e.By))
		},
		Example: ProductLost{Amount: Of[Gallons](11), How: Drained, From: "hoses", Method: "drum gauged"},
		Feeds:   []string{"volume"},
	}),
}
