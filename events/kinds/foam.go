package kinds

import (
	"tankside/events"
	. "tankside/events/quantity"
)

// FoamApplied is one application of foam or another vapour suppressant.
type FoamApplied struct {
	Flow        Amount[GallonsPerMinute]
	Ran         Amount[Minutes]
	Solution    Amount[Gallons]
	Mix         Amount[Percent]
	Concentrate Amount[Gallons]
	Foam        string // the sort of foam, as on the drum
	Area        Amount[SquareFeet]
	Held        string // whether the blanket held
	Why         string
}

// Kind returns foam_applied.
func (FoamApplied) Kind() events.Kind { return "foam_applied" }

// FoamSupply is what is left to make foam with.
type FoamSupply struct {
	Concentrate Amount[Gallons]
	Water       Amount[Gallons]
	Ordered     Amount[Gallons]
}

// Kind returns foam_supply.
func (FoamSupply) Kind() events.Kind { return "foam_supply" }

var foamKinds = []*events.Type{
	events.Declare(events.Spec[FoamApplied]{
		Version: 1, Title: "Foam applied", Family: "foam",
		Doc:  "One application of foam or another vapour suppressant; log it when the nozzle shuts, at the time it opened.",
		Says: []string{"foam", "foamed", "foam on", "blanket"},
		Fields: []events.Field[FoamApplied]{
			events.Measure("flow", "Flow", 0, 10_000, func(e *FoamApplied) *Amount[GallonsPerMinute] { return &e.Flow }),
			events.Measure("ran", "Ran for", 0, 600, func(e *FoamApplied) *Amount[Minutes] { return &e.Ran }).Said("for"),
			events.Measure("solution", "Solution", 0, 200_000, func(e *FoamApplied) *Amount[Gallons] { return &e.Solution }),
			events.Measure("mix", "Mix", 0, 100, func(e *FoamApplied) *Amount[Percent] { return &e.Mix }),
			events.Measure("concentrate", "Concentrate", 0, 20_000, func(e *FoamApplied) *Amount[Gallons] { return &e.Concentrate }),
			events.Text("type", "Foam", func(e *FoamApplied) *string { return &e.Foam }),
			events.Measure("area", "Area", 0, 1e6, func(e *FoamApplied) *Amount[SquareFeet] { return &e.Area }),
			events.Text("held", "Blanket held", func(e *FoamApplied) *string { return &e.Held }),
			events.Text("why", "Reason", func(e *FoamApplied) *string { return &e.Why }),
		},
		Line: func(e FoamApplied) string {
			return sentence("Foam applied", with("at", e.Flow), with("for", e.Ran), with("", e.Solution, "solution"),
				with("at", e.Mix), with("using", e.Concentrate, "concentrate"), say("type", e.Foam), with("over", e.Area),
				say("blanket held:", e.Held), say("because", e.Why))
		},
		Example: FoamApplied{Flow: Of[GallonsPerMinute](125), Ran: Of[Minutes](5), Solution: Of[Gallons](625), Mix: Of[Percent](3), Concentrate: Of[Gallons](18.75)},
		Feeds:   []string{"foam", "volume"},
	}),
	events.Declare(events.Spec[FoamSupply]{
		Version: 1, Title: "Foam supply", Family: "foam",
		Doc:  "How much concentrate and water is left, and what more was ordered.",
		Says: []string{"foam left", "foam supply", "concentrate left"},
		Fields: []events.Field[FoamSupply]{
			events.Measure("concentrate", "Concentrate left", 0, 20_000, func(e *FoamSupply) *Amount[Gallons] { return &e.Concentrate }),
			events.Measure("water", "Water left", 0, 1e6, func(e *FoamSupply) *Amount[Gallons] { return &e.Water }),
			events.Measure("ordered", "Ordered", 0, 20_000, func(e *FoamSupply) *Amount[Gallons] { return &e.Ordered }),
		},
		Line: func(e FoamSupply) string {
			return sentence("Foam supply", with("", e.Concentrate, "concentrate left"), with("", e.Water, "water left"), with("", e.Ordered, "ordered"))
		},
		Example: FoamSupply{Concentrate: Of[Gallons](220)},
		Feeds:   []string{"foam"},
	}),
}
