package kinds

import (
	"strings"

	"tankside/events"
	. "tankside/events/quantity"
)

// RehabIn is people coming to rest and be looked over.
type RehabIn struct {
	Pair     string
	Pulses   events.KeyedAmounts[PerMinute]  // key with _pulse
	Temps    events.KeyedAmounts[Fahrenheit] // key with _temp
	BPs      events.KeyedTexts               // key with _bp
	Person   string
	Pulse    Amount[PerMinute]
	Temp     Amount[Fahrenheit]
	BP       string
	Symptoms string
	Exposure string
}

// Kind returns rehab_in.
func (RehabIn) Kind() events.Kind { return "rehab_in" }

// RehabOut is people leaving rehab.
type RehabOut struct {
	Pair    string
	Pulses  events.KeyedAmounts[PerMinute]  // key with _pulse
	Temps   events.KeyedAmounts[Fahrenheit] // key with _temp
	BPs     events.KeyedTexts               // key with _bp
	Person  string
	Pulse   Amount[PerMinute]
	Temp    Amount[Fahrenheit]
	BP      string
	Cleared string
	HotZone string
	Drank   string
}

// Kind returns rehab_out.
func (RehabOut) Kind() events.Kind { return "rehab_out" }

// DeconReady is the decontamination line opened or closed.
type DeconReady struct {
	Lanes    Amount[Count]
	Water    string
	Method   string // technical, emergency, wet, dry
	Solution string
	Crew     Amount[Count]
	State    string // open when not said
}

// Kind returns decon_ready.
func (DeconReady) Kind() events.Kind { return "decon_ready" }

// DeconDone is people or gear through decontamination.
type DeconDone struct {
	Pair     string
	Person   []string
	Gear     string
	Method   string // technical, emergency, wet, dry
	Solution string
	Passed   string
}

// Kind returns decon_done.
func (DeconDone) Kind() events.Kind { return "decon_done" }

// Injury is somebody hurt, ill, exposed or contaminated.
type Injury struct {
	Person    string // by code
	Sort      string
	Part      string
	Agent     string          // what did it: a product, a fall
	Lasted    Amount[Minutes] // length of an exposure
	Treatment string
	TakenBy   string
	Hospital  string
}

// Kind returns injury.
func (Injury) Kind() events.Kind { return "injury" }

// NearMiss is something that could have hurt somebody and did not.
type NearMiss struct {
	What     string
	Could    string
	Controls string
}

// Kind returns near_miss.
func (NearMiss) Kind() events.Kind { return "near_miss" }

var careKinds = []*events.Type{
	events.Declare(events.Spec[RehabIn]{
		Version: 1, Title: "Into rehab", Family: "care",
		Doc:  "Who is in rehab, with the first vital signs and complaints. Log it on arrival. Vital signs are medical: they are printed apart from the public report.",
		Says: []string{"rehab", "in rehab"},
		Fields: []events.Field[RehabIn]{
			events.Text("pair", "Pair", func(e *RehabIn) *string { return &e.Pair }),
			events.Measures("P#@_pulse", "Pulse by person", 0, 300, func(e *RehabIn) *events.KeyedAmounts[PerMinute] { return &e.Pulses }),
			events.Measures("P#@_temp", "Body temperature by person", 30, 130, func(e *RehabIn) *events.KeyedAmounts[Fahrenheit] { return &e.Temps }),
			events.TextsBy("P#@_bp", "Blood pressure by person", func(e *RehabIn) *events.KeyedTexts { return &e.BPs }),
			events.Text("person", "Person", func(e *RehabIn) *string { return &e.Person }),
			events.Measure("pulse", "Pulse", 0, 300, func(e *RehabIn) *Amount[PerMinute] { return &e.Pulse }),
			events.Measure("temp", "Body temperature", 30, 130, func(e *RehabIn) *Amount[Fahrenheit] { return &e.Temp }),
			events.Text("bp", "Blood pressure", func(e *RehabIn) *string { return &e.BP }),
			events.Text("symptoms", "Symptoms", func(e *RehabIn) *string { return &e.Symptoms }),
			events.Text("exposure", "Exposed to", func(e *RehabIn) *string { return &e.Exposure }),
		},
		Line: func(e RehabIn) string {
			return sentence("Into rehab", say("pair", e.Pair), say("", e.Person), byPerson("pulse", "_pulse", e.Pulses), byPerson("temperature", "_temp", e.Temps),
				textsByPerson("blood pressure", "_bp", e.BPs), with("pulse", e.Pulse), with("temperature", e.Temp), say("blood pressure", e.BP),
				say("symptoms:", e.Symptoms), say("exposed to", e.Exposure))
		},
		Example: RehabIn{Pair: "1", Pulses: events.KeyedAmounts[PerMinute]{{Key: "P1A_pulse", Value: Of[PerMinute](128)}, {Key: "P1B_pulse", Value: Of[PerMinute](119)}}},
		Feeds:   []string{"people"},
	}),
	events.Declare(events.Spec[RehabOut]{
		Version: 1, Title: "Out of rehab", Family: "care",
		Doc:  "Who leaves rehab, with the last vital signs, whether cleared and whether they may go in again. Log it when they leave.",
		Says: []string{"out of rehab", "cleared", "released from rehab"},
		Fields: []events.Field[RehabOut]{
			events.Text("pair", "Pair", func(e *RehabOut) *string { return &e.Pair }),
			events.Measures("P#@_pulse", "Pulse by person", 0, 300, func(e *RehabOut) *events.KeyedAmounts[PerMinute] { return &e.Pulses }),
			events.Measures("P#@_temp", "Body temperature by person", 30, 130, func(e *RehabOut) *events.KeyedAmounts[Fahrenheit] { return &e.Temps }),
			events.TextsBy("P#@_bp", "Blood pressure by person", func(e *RehabOut) *events.KeyedTexts { return &e.BPs }),
			events.Text("person", "Person", func(e *RehabOut) *string { return &e.Person }),
			events.Measure("pulse", "Pulse", 0, 300, func(e *RehabOut) *Amount[PerMinute] { return &e.Pulse }),
			events.Measure("temp", "Body temperature", 30, 130, func(e *RehabOut) *Amount[Fahrenheit] { return &e.Temp }),
			events.Text("bp", "Blood pressure", func(e *RehabOut) *string { return &e.BP }),
			events.Text("cleared", "Cleared", func(e *RehabOut) *string { return &e.Cleared }),
			events.Text("hot_zone", "May go in again", func(e *RehabOut) *string { return &e.HotZone }),
			events.Text("drank", "Drank", func(e *RehabOut) *string { return &e.Drank }),
		},
		Line: func(e RehabOut) string {
			return sentence("Out of rehab", say("pair", e.Pair), say("", e.Person), byPerson("pulse", "_pulse", e.Pulses), byPerson("temperature", "_temp", e.Temps),
				textsByPerson("blood pressure", "_bp", e.BPs), with("pulse", e.Pulse), with("temperature", e.Temp), say("blood pressure", e.BP),
				say("cleared:", e.Cleared), say("may go in again:", e.HotZone), say("drank", e.Drank))
		},
		Example: RehabOut{Person: "P4A", Pulse: Of[PerMinute](78), Cleared: "yes", HotZone: "no"},
		Feeds:   []string{"people"},
	}),
	events.Declare(events.Spec[DeconReady]{
		Version: 1, Title: "Decon ready", Family: "care",
		Doc:  "The line set up and manned, or taken down. Log it when it can take people.",
		Says: []string{"decon ready", "decon up", "decon line"},
		Fields: []events.Field[DeconReady]{
			events.Measure("lanes", "Lanes", 0, 100, func(e *DeconReady) *Amount[Count] { return &e.Lanes }),
			events.Text("water", "Water", func(e *DeconReady) *string { return &e.Water }),
			events.Text("method", "Sort of decon", func(e *DeconReady) *string { return &e.Method }),
			events.Text("solution", "Solution", func(e *DeconReady) *string { return &e.Solution }),
			events.Measure("crew", "Crew", 0, 10_000, func(e *DeconReady) *Amount[Count] { return &e.Crew }),
			events.Choice("state", "State", []string{"open", "closed"}, func(e *DeconReady) *string { return &e.State }).Note("Open when not said."),
		},
		Line: func(e DeconReady) string {
			return sentence("Decon ready", with("lanes", e.Lanes), say("water:", e.Water), say("", e.Method), say("solution", e.Solution), with("crew of", e.Crew), say("", e.State))
		},
		Example: DeconReady{Lanes: Of[Count](1)},
		Feeds:   []string{"people"},
	}),
	events.Declare(events.Spec[DeconDone]{
		Version: 1, Title: "Decon done", Family: "care",
		Doc:  "Who or what went through, how and whether they passed the check. Log it at the end, or as a span.",
		Says: []string{"decon done", "through decon", "deconned"},
		Fields: []events.Field[DeconDone]{
			events.Text("pair", "Pair", func(e *DeconDone) *string { return &e.Pair }),
			events.Texts("person", "Person", func(e *DeconDone) *[]string { return &e.Person }),
			events.Text("gear", "Gear", func(e *DeconDone) *string { return &e.Gear }),
			events.Text("method", "Sort of decon", func(e *DeconDone) *string { return &e.Method }),
			events.Text("solution", "Solution", func(e *DeconDone) *string { return &e.Solution }),
			events.Text("passed", "Passed the check", func(e *DeconDone) *string { return &e.Passed }),
		},
		Line: func(e DeconDone) string {
			return sentence("Decon done", say("pair", e.Pair), listed("", e.Person), say("gear:", e.Gear), say("", e.Method), say("solution", e.Solution), say("passed:", e.Passed))
		},
		Example: DeconDone{Pair: "1", Method: "technical, wet", Solution: "dish soap and water", Passed: "yes"},
		Feeds:   []string{"people"},
	}),
	events.Declare(events.Spec[Injury]{
		Version: 1, Title: "Injury", Family: "care",
		Doc:  "What happened to whom, by code and not by name, and what was done. Log it as soon as it is known. It is medical: it is printed apart from the public report.",
		Says: []string{"injury", "hurt", "ill", "exposed", "contaminated"},
		Fields: []events.Field[Injury]{
			events.Text("person", "Person", func(e *Injury) *string { return &e.Person }),
			events.Choice("sort", "Sort", []string{"injury", "illness", "exposure", "contamination"}, func(e *Injury) *string { return &e.Sort }),
			events.Text("part", "Part of the body", func(e *Injury) *string { return &e.Part }),
			events.Text("agent", "Agent", func(e *Injury) *string { return &e.Agent }),
			events.Measure("lasted", "Lasted", 0, 1e6, func(e *Injury) *Amount[Minutes] { return &e.Lasted }),
			events.Text("treatment", "Treatment", func(e *Injury) *string { return &e.Treatment }),
			events.Text("taken_by", "Taken by", func(e *Injury) *string { return &e.TakenBy }),
			events.Text("hospital", "Hospital", func(e *Injury) *string { return &e.Hospital }),
		},
		Line: func(e Injury) string {
			return sentence("Injury", say("", e.Person), say("", e.Sort), say("", e.Part), say("agent:", e.Agent), with("lasted", e.Lasted), say("treatment:", e.Treatment),
				say("taken by", e.TakenBy), say("to", e.Hospital))
		},
		Example: Injury{Person: "P3B", Sort: "injury", Part: "left ankle", Agent: "slip on foam", Treatment: "wrapped, off duty"},
		Feeds:   []string{"people"},
	}),
	events.Declare(events.Spec[NearMiss]{
		Version: 1, Title: "Near miss", Family: "care",
		Doc:  "What happened or was seen, what it could have done, and what was done about it. Log it without blame.",
		Says: []string{"near miss", "close call", "hazard seen"},
		Fields: []events.Field[NearMiss]{
			events.Text("what", "What", func(e *NearMiss) *string { return &e.What }),
			events.Text("could", "Could have", func(e *NearMiss) *string { return &e.Could }),
			events.Text("controls", "Done about it", func(e *NearMiss) *string { return &e.Controls }),
		},
		Line: func(e NearMiss) string {
			return sentence("Near miss", say("", e.What), say("could have", e.Could), say("done about it:", e.Controls))
		},
		Example: NearMiss{What: "drill hose across the pump exhaust", Could: "burned through", Controls: "hose moved and tied back"},
		Feeds:   []string{"people"},
	}),
}

// byPerson writes amounts kept under a person and an ending, the ending left off:
// "pulse P1A 128 per min".
func byPerson[Q Quantity](label, ending string, ks events.KeyedAmounts[Q]) string {
	short := make(events.KeyedAmounts[Q], len(ks))
	for i, k := range ks {
		short[i] = events.Keyed[Amount[Q]]{Key: strings.TrimSuffix(k.Key, ending), Value: k.Value}
	}
	return amounts(label, short)
}

// textsByPerson does the same for words.
func textsByPerson(label, ending string, ks events.KeyedTexts) string {
	short := make(events.KeyedTexts, len(ks))
	for i, k := range ks {
		short[i] = events.Keyed[string]{Key: strings.TrimSuffix(k.Key, ending), Value: k.Value}
	}
	return texts(label, short)
}
