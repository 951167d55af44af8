package kinds

import (
	"tankside/events"
	. "tankside/events/quantity"
)

// The words for the temperature basis of a volume.
const (
	Gross = "gross" // as it was, at the temperature it had
	Net   = "net"   // reduced to 60 °F
)

// LoadStated is what somebody or some paper says was in the tank.
type LoadStated struct {
	C         events.KeyedAmounts[Gallons] // C1, C2 …, each with the product as words
	Total     Amount[Gallons]
	Basis     string // Gross or Net
	Temp      Amount[Fahrenheit]
	Net60     Amount[NetGallons]
	API       Amount[APIGravity]
	Delivered Amount[Gallons] // put off before the mishap
	From      string          // the compartment a delivery came from
	Ticket    string
	Trust     string // what it rests on, e.g. "driver memory"
	Method    string
	Carrier   string
	Shipper   string
	Loaded    string // where and when it was loaded
	Phone     string // emergency number on the paper
}

// Kind returns load_stated.
func (LoadStated) Kind() events.Kind { return "load_stated" }

// ProductNamed is what the product in one compartment is found to be.
type ProductNamed struct {
	Product string
	Dye     string
	Trust   string // how it is known: jar, paper, placard
	UN      string
	Class   string
	Placard string
	Packing string
	SDS     string // the safety data sheet at hand
	Was     string // what it was taken for before
	Seen    Amount[Feet]
}

// Kind returns product_named.
func (ProductNamed) Kind() events.Kind { return "product_named" }

// ReferenceRead is one look into a book, a sheet or a phone call to somebody who knows.
type ReferenceRead struct {
	Source  string
	Guide   string
	Isolate Amount[Feet]
	Protect Amount[Feet]
	Advice  string
	By      string
}

// Kind returns reference_read.
func (ReferenceRead) Kind() events.Kind { return "reference_read" }

// SampleTaken is one sample of product, water, soil or air.
type SampleTaken struct {
	Sample    string // its number
	Of        string
	Container string
	Seal      string
	To        string // the laboratory or whoever has it now
	Held      string // chain of custody so far
	Witness   string
}

// Kind returns sample_taken.
func (SampleTaken) Kind() events.Kind { return "sample_taken" }

// LabResult is what a laboratory found; shares are by volume.
type LabResult struct {
	Sample string
	Lab    string
	Water  Amount[Percent]
	Oil    Amount[Percent]
	Solids Amount[Percent]
	Flash  Amount[Fahrenheit]
	API    Amount[APIGravity]
	Found  string
}

// Kind returns lab_result.
func (LabResult) Kind() events.Kind { return "lab_result" }

var productKinds = []*events.Type{
	events.Declare(events.Spec[LoadStated]{
		Version: 1, Title: "Load stated", Family: "product",
		Doc:  "What somebody or some paper says the tank carried, per compartment and in all, or what was delivered before the mishap; log every statement, also when it contradicts the last.",
		Says: []string{"load", "bill", "bill of lading", "bill says", "driver says", "delivery ticket", "paper says"},
		Fields: []events.Field[LoadStated]{
			events.Measures("C#", "Compartment", 0, mostGallons, func(e *LoadStated) *events.KeyedAmounts[Gallons] { return &e.C }).Note("The product follows the unit: C1=2500 gal E10."),
			events.Measure("total", "Total", 0, mostGallons, func(e *LoadStated) *Amount[Gallons] { return &e.Total }),
			events.Choice("basis", "Basis", []string{Gross, Net}, func(e *LoadStated) *string { return &e.Basis }).Note("Without it the volumes count as gross."),
			events.Measure("temp", "Product temperature", coldest, hottest, func(e *LoadStated) *Amount[Fahrenheit] { return &e.Temp }),
			events.Measure("net60", "Net at 60 F", 0, mostGallons, func(e *LoadStated) *Amount[NetGallons] { return &e.Net60 }),
			events.Measure("API", "API gravity", -20, 120, func(e *LoadStated) *Amount[APIGravity] { return &e.API }),
			events.Measure("delivered", "Delivered before", 0, mostGallons, func(e *LoadStated) *Amount[Gallons] { return &e.Delivered }),
			events.Text("from", "Delivered from", func(e *LoadStated) *string { return &e.From }),
			events.Text("ticket", "Paper number", func(e *LoadStated) *string { return &e.Ticket }),
			events.Text("trust", "Rests on", func(e *LoadStated) *string { return &e.Trust }),
			events.Text("method", "How measured", func(e *LoadStated) *string { return &e.Method }),
			events.Text("carrier", "Carrier", func(e *LoadStated) *string { return &e.Carrier }),
			events.Text("shipper", "Shipper", func(e *LoadStated) *string { return &e.Shipper }),
			events.Text("loaded", "Loaded at", func(e *LoadStated) *string { return &e.Loaded }),
			events.Text("phone", "Emergency phone", func(e *LoadStated) *string { return &e.Phone }),
		},
		Line: func(e LoadStated) string {
			return sentence("Load stated", amounts("", e.C), with("total", e.Total), say("basis", e.Basis), with("at", e.Temp),
				with("net at 60 F", e.Net60), with("gravity", e.API), with("delivered before", e.Delivered), say("from", e.From), say("paper", e.Ticket),
				say("rests on", e.Trust), say("measured by", e.Method), say("carrier", e.Carrier), say("shipper", e.Shipper),
				say("loaded", e.Loaded), say("emergency phone", e.Phone))
		},
		Example: LoadStated{C: events.KeyedAmounts[Gallons]{{Key: "C1", Value: worded(Of[Gallons](2500), "E10")}, {Key: "C3", Value: worded(Of[Gallons](950), "diesel")}},
			Total: Of[Gallons](3450), Basis: Gross, Temp: Of[Fahrenheit](71), Net60: Of[NetGallons](3426)},
		Feeds: []string{"volume", "phases"},
	}),
	events.Declare(events.Spec[ProductNamed]{
		Version: 1, Title: "Product named", Family: "product",
		Doc:  "What the product is found to be, and how it is known; log each finding, also when it changes an earlier one.",
		Says: []string{"product", "it is", "placard", "UN", "jar says"},
		Fields: []events.Field[ProductNamed]{
			events.Text("product", "Product", func(e *ProductNamed) *string { return &e.Product }),
			events.Text("dye", "Dye", func(e *ProductNamed) *string { return &e.Dye }),
			events.Text("trust", "Rests on", func(e *ProductNamed) *string { return &e.Trust }),
			events.Text("UN", "UN number", func(e *ProductNamed) *string { return &e.UN }),
			events.Text("class", "Hazard class", func(e *ProductNamed) *string { return &e.Class }),
			events.Text("placard", "Placard", func(e *ProductNamed) *string { return &e.Placard }),
			events.Text("packing", "Packing group", func(e *ProductNamed) *string { return &e.Packing }),
			events.Text("SDS", "Safety data sheet", func(e *ProductNamed) *string { return &e.SDS }),
			events.Text("was", "Taken for before", func(e *ProductNamed) *string { return &e.Was }),
			events.Measure("seen", "Read from", 0, 20_000, func(e *ProductNamed) *Amount[Feet] { return &e.Seen }),
		},
		Line: func(e ProductNamed) string {
			return sentence("Product named", e.Product, say("dye", e.Dye), say("known by", e.Trust), say("UN", e.UN), say("class", e.Class),
				say("placard", e.Placard), say("packing group", e.Packing), say("safety data sheet", e.SDS), say("taken before for", e.Was), with("read from", e.Seen))
		},
		Example: ProductNamed{Product: "kerosene", Dye: "none", Trust: "jar"},
		Feeds:   []string{"volume", "phases"},
	}),
	events.Declare(events.Spec[ReferenceRead]{
		Version: 1, Title: "Reference read", Family: "product",
		Doc:  "What a guide, a data sheet or an adviser said, and the distances given; log it when it is read out.",
		Says: []string{"guide says", "reference", "book says", "looked up"},
		Fields: []events.Field[ReferenceRead]{
			events.Text("source", "Source", func(e *ReferenceRead) *string { return &e.Source }),
			events.Text("guide", "Guide or page", func(e *ReferenceRead) *string { return &e.Guide }),
			events.Measure("isolate", "Isolate", 0, 50_000, func(e *ReferenceRead) *Amount[Feet] { return &e.Isolate }),
			events.Measure("protect", "Protect downwind", 0, 100_000, func(e *ReferenceRead) *Amount[Feet] { return &e.Protect }),
			events.Text("advice", "Advice", func(e *ReferenceRead) *string { return &e.Advice }),
			events.Text("by", "Read by", func(e *ReferenceRead) *string { return &e.By }),
		},
		Line: func(e ReferenceRead) string {
			return sentence("Reference read", e.Source, say("guide", e.Guide), with("isolate", e.Isolate), with("protect downwind", e.Protect), e.Advice, say("read by", e.By))
		},
		Example: ReferenceRead{Source: "orange guidebook", Guide: "128", Isolate: Of[Feet](150)},
		Feeds:   []string{events.NarrativeOnly},
	}),
	events.Declare(events.Spec[SampleTaken]{
		Version: 1, Title: "Sample taken", Family: "product",
		Doc:  "One sample, its container and seal, and who has it; log it when the container is closed.",
		Says: []string{"sample", "sample taken", "jar taken"},
		Fields: []events.Field[SampleTaken]{
			events.Text("sample", "Sample number", func(e *SampleTaken) *string { return &e.Sample }),
			events.Text("of", "Of what", func(e *SampleTaken) *string { return &e.Of }),
			events.Text("container", "Container", func(e *SampleTaken) *string { return &e.Container }),
			events.Text("seal", "Seal", func(e *SampleTaken) *string { return &e.Seal }),
			events.Text("to", "Given to", func(e *SampleTaken) *string { return &e.To }),
			events.Text("held", "Held by so far", func(e *SampleTaken) *string { return &e.Held }),
			events.Text("witness", "Witness", func(e *SampleTaken) *string { return &e.Witness }),
		},
		Line: func(e SampleTaken) string {
			return sentence("Sample taken", e.Sample, say("of", e.Of), say("in", e.Container), say("seal", e.Seal), say("given to", e.To), say("held by", e.Held), say("witness", e.Witness))
		},
		Example: SampleTaken{Sample: "S-2", Of: "oil and water in V1", Container: "quart jar", Seal: "0412", To: "county laboratory"},
		Feeds:   []string{"custody"},
	}),
	events.Declare(events.Spec[LabResult]{
		Version: 1, Title: "Laboratory result", Family: "product",
		Doc:  "What a laboratory found in a sample, shares by volume; log it when the result is told, at the time the sample was analysed or told.",
		Says: []string{"lab", "lab says", "laboratory"},
		Fields: []events.Field[LabResult]{
			events.Text("sample", "Sample number", func(e *LabResult) *string { return &e.Sample }),
			events.Text("lab", "Laboratory", func(e *LabResult) *string { return &e.Lab }),
			events.Measure("water", "Water by volume", 0, 100, func(e *LabResult) *Amount[Percent] { return &e.Water }),
			events.Measure("oil", "Oil by volume", 0, 100, func(e *LabResult) *Amount[Percent] { return &e.Oil }),
			events.Measure("solids", "Solids by volume", 0, 100, func(e *LabResult) *Amount[Percent] { return &e.Solids }),
			events.Measure("flash", "Flash point", -150, 1000, func(e *LabResult) *Amount[Fahrenheit] { return &e.Flash }),
			events.Measure("API", "API gravity", -20, 120, func(e *LabResult) *Amount[APIGravity] { return &e.API }),
			events.Text("found", "Finding", func(e *LabResult) *string { return &e.Found }),
		},
		Line: func(e LabResult) string {
			return sentence("Laboratory result", say("sample", e.Sample), say("by", e.Lab), with("water", e.Water), with("oil", e.Oil),
				with("solids", e.Solids), with("flash point", e.Flash), with("gravity", e.API), e.Found)
		},
		Example: LabResult{Water: Of[Percent](41.9), Oil: Of[Percent](57.9), Solids: Of[Percent](0.2), Flash: Of[Fahrenheit](144)},
		Feeds:   []string{"volume"},
	}),
}

// worded returns a with the words that followed it.
func worded[Q Quantity](a Amount[Q], words string) Amount[Q] {
	a.Words = words
	return a
}
