package kinds

import (
	"tankside/events"
	. "tankside/events/quantity"
)

// LeakSeen is a leak as first seen, or seen again.
type LeakSeen struct {
	GuessRate Amount[GallonsPerMinute]
	Drops     Amount[PerMinute]
	Opening   Amount[Inches]
	Head      Amount[Inches] // of liquid above it
	Lost      Amount[Gallons]
	Fixed     string // what stopped it at once
	Trust     string // how far to trust the rate: guess, measured
}

// Kind returns leak_seen.
func (LeakSeen) Kind() events.Kind { return "leak_seen" }

// LeakRate is a measured rate of a leak.
type LeakRate struct {
	Rate  Amount[GallonsPerMinute]
	Drops Amount[PerMinute]
	By    string
	Trust string
}

// Kind returns leak_rate.
func (LeakRate) Kind() events.Kind { return "leak_rate" }

// LeakSlowed is a leak brought down but not to nothing.
type LeakSlowed struct {
	Rate   Amount[GallonsPerMinute]
	Drops  Amount[PerMinute]
	Before Amount[GallonsPerMinute]
	By     string
	Lost   Amount[Gallons]
}

// Kind returns leak_slowed.
func (LeakSlowed) Kind() events.Kind { return "leak_slowed" }

// LeakStopped is a leak that runs no more.
type LeakStopped struct {
	By     string
	Before Amount[GallonsPerMinute]
	Lost   Amount[Gallons]
}

// Kind returns leak_stopped.
func (LeakStopped) Kind() events.Kind { return "leak_stopped" }

var leakKinds = []*events.Type{
	events.Declare(events.Spec[LeakSeen]{
		Version: 2, Upcasts: []events.Upcast{onlyMore}, Title: "Leak seen", Family: "leak",
		Doc:  "A leak as found, with a guess of its rate if there is one; a measured rate is leak_rate.",
		Says: []string{"leak", "leaking", "stream off", "weeping", "dripping"},
		Fields: []events.Field[LeakSeen]{
			events.Measure("guess_rate", "Guessed rate", 0, mostFlow, func(e *LeakSeen) *Amount[GallonsPerMinute] { return &e.GuessRate }).Said("a minute", "at a guess"),
			events.Measure("drops", "Drops", 0, 10_000, func(e *LeakSeen) *Amount[PerMinute] { return &e.Drops }).Said("drops a minute"),
			events.Measure("opening", "Opening", 0, 1000, func(e *LeakSeen) *Amount[Inches] { return &e.Opening }).Said("crack", "hole"),
			events.Measure("head", "Liquid above it", 0, 1000, func(e *LeakSeen) *Amount[Inches] { return &e.Head }).Said("head", "above the hole").
				Note("From the opening up to the surface inside; with the opening it says how fast it can run."),
			events.Measure("lost", "Lost so far", 0, mostGallons, func(e *LeakSeen) *Amount[Gallons] { return &e.Lost }).Said("lost"),
			events.Text("fixed", "Fixed", func(e *LeakSeen) *string { return &e.Fixed }).Said("fixed", "reset"),
			events.Text("trust", "Trust", func(e *LeakSeen) *string { return &e.Trust }),
		},
		Line: func(e LeakSeen) string {
			return sentence("Leak seen", with("guessed at", e.GuessRate), with("drops", e.Drops), with("opening", e.Opening), with("", e.Head, "of liquid above it"), with("lost", e.Lost),
				say("fixed:", e.Fixed), say("trust:", e.Trust))
		},
		Example: LeakSeen{GuessRate: Of[GallonsPerMinute](5), Trust: "guess"},
		Feeds:   []string{"volume", "phases"},
	}),
	events.Declare(events.Spec[LeakRate]{
		Version: 1, Title: "Leak rate", Family: "leak",
		Doc:  "The rate of a leak as measured, by bucket, cup or jar; the rate holds until the next entry for the same place.",
		Says: []string{"leak rate", "bucket check", "cup count", "a minute"},
		Fields: []events.Field[LeakRate]{
			events.Measure("rate", "Rate", 0, mostFlow, func(e *LeakRate) *Amount[GallonsPerMinute] { return &e.Rate }).Said("a minute"),
			events.Measure("drops", "Drops", 0, 10_000, func(e *LeakRate) *Amount[PerMinute] { return &e.Drops }).Said("drops a minute"),
			events.Text("by", "Measured by", func(e *LeakRate) *string { return &e.By }).Said("bucket", "cup", "jar"),
			events.Text("trust", "Trust", func(e *LeakRate) *string { return &e.Trust }),
		},
		Line: func(e LeakRate) string {
			return sentence("Leak rate", with("", e.Rate), with("drops", e.Drops), say("by", e.By), say("trust:", e.Trust))
		},
		Example: LeakRate{Rate: Of[GallonsPerMinute](3), By: "bucket 5 gal in 100 s"},
		Feeds:   []string{"volume", "phases"},
	}),
	events.Declare(events.Spec[LeakSlowed]{
		Version: 1, Title: "Leak slowed", Family: "leak",
		Doc:  "A leak brought down but not to nothing, with the rate that is left.",
		Says: []string{"slowed", "wedged", "down to a drip", "dribbling"},
		Fields: []events.Field[LeakSlowed]{
			events.Measure("rate", "Rate left", 0, mostFlow, func(e *LeakSlowed) *Amount[GallonsPerMinute] { return &e.Rate }).Said("a minute"),
			events.Measure("drops", "Drops", 0, 10_000, func(e *LeakSlowed) *Amount[PerMinute] { return &e.Drops }).Said("drops a minute"),
			events.Measure("before", "Rate before", 0, mostFlow, func(e *LeakSlowed) *Amount[GallonsPerMinute] { return &e.Before }).Said("was"),
			events.Text("by", "By", func(e *LeakSlowed) *string { return &e.By }).Said("wedge", "putty", "plug", "clamp"),
			events.Measure("lost", "Lost so far", 0, mostGallons, func(e *LeakSlowed) *Amount[Gallons] { return &e.Lost }).Said("lost"),
		},
		Line: func(e LeakSlowed) string {
			return sentence("Leak slowed", with("to", e.Rate), with("drops", e.Drops), with("from", e.Before), say("by", e.By), with("lost", e.Lost))
		},
		Example: LeakSlowed{Rate: Of[GallonsPerMinute](0.1), By: "wedge and putty"},
		Feeds:   []string{"volume", "phases"},
	}),
	events.Declare(events.Spec[LeakStopped]{
		Version: 1, Title: "Leak stopped", Family: "leak",
		Doc:  "A leak that runs no more, with what stopped it.",
		Says: []string{"leak stopped", "quit", "leak is out", "dry now"},
		Fields: []events.Field[LeakStopped]{
			events.Text("by", "By", func(e *LeakStopped) *string { return &e.By }).Said("wedge", "putty", "plug", "clamp", "valve closed"),
			events.Measure("before", "Rate before", 0, mostFlow, func(e *LeakStopped) *Amount[GallonsPerMinute] { return &e.Before }).Said("was"),
			events.Measure("lost", "Lost in all", 0, mostGallons, func(e *LeakStopped) *Amount[Gallons] { return &e.Lost }).Said("lost"),
		},
		Line: func(e LeakStopped) string {
			return sentence("Leak stopped", say("by", e.By), with("from", e.Before), with("lost", e.Lost))
		},
		Example: LeakStopped{By: "valve closed"},
		Feeds:   []string{"volume", "phases"},
	}),
}
