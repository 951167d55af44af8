package kinds

import (
	"strings"

	"tankside/events"
	. "tankside/events/quantity"
)

// Correction puts one value of an earlier entry right. Entry and Field name it; a
// scribe may instead say it in words (CorrectsText) and tell the wrong value.
type Correction struct {
	CorrectsText string    // the entry in words, e.g. "pump_off L5"
	Entry        events.ID // the entry by its id
	Field        string    // the key put right
	Was          string
	Now          string
	Equals       string // Now in the unit the board counts in
	Why          string
	By           string // who has the say
}

// Kind returns correction.
func (Correction) Kind() events.Kind { return "correction" }

// Corrects says what is put right.
func (e Correction) Corrects() events.Correction {
	return events.Correction{Entry: e.Entry, Said: e.CorrectsText, Key: e.Field, Was: e.Was, Now: e.Now, Equals: e.Equals}
}

// Struck takes an entry back: what it says never happened.
type Struck struct {
	Entry events.ID
	Why   string
	By    string
}

// Kind returns struck.
func (Struck) Kind() events.Kind { return "struck" }

// Strikes names the entry taken back.
func (e Struck) Strikes() events.ID { return e.Entry }

// Joined says that two entries are one fact told by two people.
type Joined struct {
	Entry events.ID // the one that stands
	With  events.ID // the second witness
	Why   string
}

// Kind returns joined.
func (Joined) Kind() events.Kind { return "joined" }

// Joins names the entry that stands and its second witness.
func (e Joined) Joins() (stands, witness events.ID) { return e.Entry, e.With }

// DoubtRaised is two things in the log that cannot both be right.
type DoubtRaised struct {
	About  string
	Meters Amount[Gallons]
	Stick  Amount[Gallons]
	Gap    Amount[Gallons]
	Entry  []string // ids of the entries that disagree
}

// Kind returns doubt_raised.
func (DoubtRaised) Kind() events.Kind { return "doubt_raised" }

// DoubtSettled is a person's ruling on a doubt.
type DoubtSettled struct {
	About      string
	Meter      Amount[Gallons]
	WeightSays Amount[Gallons]
	Ruling     string
	Entry      events.ID // the doubt it settles
	Why        string
	By         string
}

// Kind returns doubt_settled.
func (DoubtSettled) Kind() events.Kind { return "doubt_settled" }

var putRightKinds = []*events.Type{
	events.Declare(events.Spec[Correction]{
		Version: 1, Title: "Put right", Family: "record",
		Doc:  "A value of an earlier entry put right; both stay in the log. Its time is the time of the thing put right. To put a time right, was and now hold full times, or the field is \"time\".",
		Says: []string{"fix", "put right", "correction"},
		Fields: []events.Field[Correction]{
			events.Text("corrects", "Puts right", func(e *Correction) *string { return &e.CorrectsText }).Note("The kind, then words that stand in the entry: pump_off L5."),
			events.EntryRef("entry", "Entry", func(e *Correction) *events.ID { return &e.Entry }),
			events.Text("field", "Field", func(e *Correction) *string { return &e.Field }).Note("Its key; left out, the field that holds what was wrong."),
			events.Text("was", "Was", func(e *Correction) *string { return &e.Was }),
			events.Text("now", "Now", func(e *Correction) *string { return &e.Now }),
			events.Text("equals", "That is", func(e *Correction) *string { return &e.Equals }),
			events.Text("why", "Reason", func(e *Correction) *string { return &e.Why }),
			events.Text("by", "By", func(e *Correction) *string { return &e.By }),
		},
		Line: func(e Correction) string {
			return sentence("Put right", entry("", e.Entry), e.CorrectsText, say("field", e.Field), say("was", e.Was), say("now", e.Now), say("that is", e.Equals), say("because", e.Why), say("by", e.By))
		},
		Example: Correction{CorrectsText: "pump_off L5", Was: "3537 gal", Now: "3537 L", Equals: "934.4 gal", Why: "R3 meter is litres"},
		Feeds:   []string{"quality"},
	}),
	events.Declare(events.Spec[Struck]{
		Version: 1, Title: "Struck", Family: "record",
		Doc:  "An entry taken back because what it says never happened; it stays in the log, struck out.",
		Says: []string{"strike", "take back"},
		Fields: []events.Field[Struck]{
			events.EntryRef("entry", "Entry", func(e *Struck) *events.ID { return &e.Entry }),
			events.Text("why", "Reason", func(e *Struck) *string { return &e.Why }),
			events.Text("by", "By", func(e *Struck) *string { return &e.By }),
		},
		Line: func(e Struck) string {
			return sentence("Struck", entry("", e.Entry), say("because", e.Why), say("by", e.By))
		},
		Example: Struck{Entry: exampleID, Why: "logged twice by mistake"},
		Feeds:   []string{"quality"},
	}),
	events.Declare(events.Spec[Joined]{
		Version: 1, Title: "Second witness", Family: "record",
		Doc:  "Two entries are one fact told by two people; the second counts as a witness of the first.",
		Says: []string{"same as", "second witness"},
		Fields: []events.Field[Joined]{
			events.EntryRef("entry", "Entry that stands", func(e *Joined) *events.ID { return &e.Entry }),
			events.EntryRef("with", "Second witness", func(e *Joined) *events.ID { return &e.With }),
			events.Text("why", "Reason", func(e *Joined) *string { return &e.Why }),
		},
		Line: func(e Joined) string {
			return sentence("Second witness", entry("", e.With), entry("of", e.Entry), say("because", e.Why))
		},
		Example: Joined{Entry: exampleID, With: "01K7JJ1Q8GFA2JPA7P3KX2N5TC", Why: "same message by two relays"},
		Feeds:   []string{"quality"},
	}),
	events.Declare(events.Spec[DoubtRaised]{
		Version: 1, Title: "Doubt raised", Family: "record",
		Doc:  "Two things in the log that cannot both be right; it stays open until a person settles it.",
		Says: []string{"doubt", "does not agree", "disagrees"},
		Fields: []events.Field[DoubtRaised]{
			events.Text("about", "About", func(e *DoubtRaised) *string { return &e.About }),
			events.Measure("meters", "Meters say", 0, mostMeter, func(e *DoubtRaised) *Amount[Gallons] { return &e.Meters }),
			events.Measure("stick", "Stick says", 0, mostGallons, func(e *DoubtRaised) *Amount[Gallons] { return &e.Stick }),
			events.Measure("gap", "Between them", -mostMeter, mostMeter, func(e *DoubtRaised) *Amount[Gallons] { return &e.Gap }),
			events.Texts("entry", "Entry", func(e *DoubtRaised) *[]string { return &e.Entry }).Note("The id of each entry in doubt."),
		},
		Line: func(e DoubtRaised) string {
			return sentence("Doubt raised", e.About, with("meters say", e.Meters), with("stick says", e.Stick), with("between them", e.Gap), listed("entries", e.Entry))
		},
		Example: DoubtRaised{Meters: Of[Gallons](3229), Stick: Of[Gallons](3840), Gap: Of[Gallons](611)},
		Feeds:   []string{"quality", "volume"},
	}),
	events.Declare(events.Spec[DoubtSettled]{
		Version: 1, Title: "Doubt settled", Family: "record",
		Doc:  "A person's ruling on a doubt: what is set aside and on what ground.",
		Says: []string{"settled", "set aside", "ruling"},
		Fields: []events.Field[DoubtSettled]{
			events.Text("about", "About", func(e *DoubtSettled) *string { return &e.About }),
			events.Measure("meter", "Meter said", 0, mostMeter, func(e *DoubtSettled) *Amount[Gallons] { return &e.Meter }),
			events.Measure("weight_says", "Weight says", 0, mostGallons, func(e *DoubtSettled) *Amount[Gallons] { return &e.WeightSays }),
			events.Text("ruling", "Ruling", func(e *DoubtSettled) *string { return &e.Ruling }),
			events.EntryRef("entry", "Settles entry", func(e *DoubtSettled) *events.ID { return &e.Entry }),
			events.Text("why", "Reason", func(e *DoubtSettled) *string { return &e.Why }),
			events.Text("by", "By", func(e *DoubtSettled) *string { return &e.By }),
		},
		Line: func(e DoubtSettled) string {
			return sentence("Doubt settled", e.About, entry("on", e.Entry), e.Ruling, with("meter said", e.Meter), with("weight says", e.WeightSays), say("because", e.Why), say("by", e.By))
		},
		Example:  DoubtSettled{Meter: Of[Gallons](1859), WeightSays: Of[Gallons](2446), Ruling: "meter set aside"},
		Feeds:    []string{"quality", "volume"},
		Decision: true,
	}),
}

// exampleID stands in examples for the id of an entry.
const exampleID events.ID = "01K7JJ0PTRQ6A9ZC2S1HNJ4V3W"

// entry writes the end of an entry's id, enough to tell it by, "" when there is none.
func entry(label string, id events.ID) string {
	if id == "" {
		return ""
	}
	return strings.TrimSpace(label + " entry " + id.Short())
}
