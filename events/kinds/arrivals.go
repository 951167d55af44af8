package kinds

import (
	"tankside/events"
	. "tankside/events/quantity"
)

// Mishap is the crash that began the incident.
type Mishap struct {
	Units        Amount[Count] // how many, with the sort of vehicle in words
	Lies         string        // passenger side, roof
	Spec         string
	Capacity     Amount[Gallons]
	Compartments Amount[Count]
	Smoke        string
	Fire         string
	Leak         string
	Hurt         string
	Pitch        Amount[Degrees] // of the tank axis, positive with the front end low
	LowEnd       string          // front or rear
}

// Kind returns mishap.
func (Mishap) Kind() events.Kind { return "mishap" }

// CallReceived is the call for help reaching the answering point.
type CallReceived struct {
	Call   string
	Caller string
	Says   string
}

// Kind returns call_received.
func (CallReceived) Kind() events.Kind { return "call_received" }

// SentOut is units on their way to the incident.
type SentOut struct {
	Unit  []string // one for each unit
	Step  string   // alerted when not said
	Alarm string
	Crew  Amount[Count]
	Team  string
}

// Kind returns sent_out.
func (SentOut) Kind() events.Kind { return "sent_out" }

// OnScene is the arrival of a unit, a recovery truck or a contractor.
type OnScene struct {
	Unit     []string
	Truck    string
	Crew     Amount[Count]
	Late     Amount[Minutes] // against the first time promised; negative when early
	Wreckers Amount[Count]
	Level    string // operations, technician, specialist
	Odometer Amount[Miles]
}

// Kind returns on_scene.
func (OnScene) Kind() events.Kind { return "on_scene" }

// LeftScene is a unit, a truck or the wreck leaving, or a resource released.
type LeftScene struct {
	Unit       []string
	Truck      string
	To         string
	Carrying   string
	Condition  string // of the patient, or of the gear on return
	Residue    string
	Placard    string
	Cleaned    string
	Operating  Amount[Minutes]
	Standby    Amount[Minutes]
	Odometer   Amount[Miles]
	InQuarters events.Clock
}

// Kind returns left_scene.
func (LeftScene) Kind() events.Kind { return "left_scene" }

// SizedUp is the first look all round.
type SizedUp struct {
	Vehicle  string
	Lies     string
	Roll     Amount[Degrees] // 0 upright, 90 on its side, 180 on its roof
	Pitch    Amount[Degrees] // of the tank axis, positive with the front end low
	LowEnd   string          // front or rear
	Leak     string
	Fire     string
	Life     string
	Exposure []string // what is in reach of the product or a fire
	Drain    Amount[Feet]
	Water    Amount[Feet]
}

// Kind returns sized_up.
func (SizedUp) Kind() events.Kind { return "sized_up" }

// AgencyOnScene is the arrival of somebody from another agency or company.
type AgencyOnScene struct {
	Who       string
	Agency    string
	Authority string
	Task      string
}

// Kind returns agency_on_scene.
func (AgencyOnScene) Kind() events.Kind { return "agency_on_scene" }

var arrivalKinds = []*events.Type{
	events.Declare(events.Spec[Mishap]{
		Version: 1, Title: "Mishap", Family: "arrivals",
		Doc:  "What happened to the truck, as the first report had it. Log it at the time of the crash, or at the time it is believed to have happened.",
		Says: []string{"mishap", "rollover", "crash", "overturned"},
		Fields: []events.Field[Mishap]{
			events.Measure("units", "Vehicles", 0, 1000, func(e *Mishap) *Amount[Count] { return &e.Units }),
			events.Text("lies", "Lies", func(e *Mishap) *string { return &e.Lies }),
			events.Text("spec", "Tank specification", func(e *Mishap) *string { return &e.Spec }),
			events.Measure("capacity", "Capacity", 0, 100_000, func(e *Mishap) *Amount[Gallons] { return &e.Capacity }),
			events.Measure("compartments", "Compartments", 0, 50, func(e *Mishap) *Amount[Count] { return &e.Compartments }),
			events.Text("smoke", "Smoke", func(e *Mishap) *string { return &e.Smoke }),
			events.Text("fire", "Fire", func(e *Mishap) *string { return &e.Fire }),
			events.Text("leak", "Leak", func(e *Mishap) *string { return &e.Leak }),
			events.Text("hurt", "People hurt", func(e *Mishap) *string { return &e.Hurt }),
			events.Measure("pitch", "Pitch", -90, 90, func(e *Mishap) *Amount[Degrees] { return &e.Pitch }).Note("Of the tank axis, positive with the front end low."),
			events.Text("low_end", "Low end", func(e *Mishap) *string { return &e.LowEnd }).Note("Front or rear."),
		},
		Line: func(e Mishap) string {
			return sentence("Mishap", with("", e.Units), say("lies:", e.Lies), say("specification", e.Spec), with("capacity", e.Capacity),
				with("", e.Compartments, "compartments"), say("smoke:", e.Smoke), say("fire:", e.Fire), say("leak:", e.Leak), say("hurt:", e.Hurt),
				with("pitch", e.Pitch), say("low end:", e.LowEnd))
		},
		Example: Mishap{Units: Amount[Count]{Qual: Exactly, Best: 1, Words: "tractor-trailer"}, Lies: "passenger side", Spec: "DOT-406", Capacity: Of[Gallons](9200), Compartments: Of[Count](5)},
		Feeds:   []string{"phases", "volume"},
	}),
	events.Declare(events.Spec[CallReceived]{
		Version: 1, Title: "Call received", Family: "arrivals",
		Doc:  "The 911 call, before any unit is sent. Log it at the time on the dispatch print; it is another time than the alarm.",
		Says: []string{"call received", "911 call", "caller says"},
		Fields: []events.Field[CallReceived]{
			events.Text("call", "Call number", func(e *CallReceived) *string { return &e.Call }),
			events.Text("caller", "Caller", func(e *CallReceived) *string { return &e.Caller }),
			events.Text("says", "Caller says", func(e *CallReceived) *string { return &e.Says }),
		},
		Line: func(e CallReceived) string {
			return sentence("Call received", say("call", e.Call), say("from", e.Caller), say("caller says", e.Says))
		},
		Example: CallReceived{Call: "25-1014-0087", Caller: "passing driver", Says: "tanker on its side, smell of fuel"},
		Feeds:   []string{"phases"},
	}),
	events.Declare(events.Spec[SentOut]{
		Version: 1, Title: "Sent out", Family: "arrivals",
		Doc:  "Units alerted, rolling, staged or turned back. Log each step at its own time; with no step given it is the alarm.",
		Says: []string{"sent out", "toned out", "dispatched", "en route", "staged", "cancelled"},
		Fields: []events.Field[SentOut]{
			events.Texts("unit", "Unit", func(e *SentOut) *[]string { return &e.Unit }),
			events.Choice("step", "Step", []string{"alerted", "rolling", "staged", "cancelled"}, func(e *SentOut) *string { return &e.Step }).Note("Alerted when not said."),
			events.Text("alarm", "Alarm level", func(e *SentOut) *string { return &e.Alarm }),
			events.Measure("crew", "Crew", 0, 10_000, func(e *SentOut) *Amount[Count] { return &e.Crew }),
			events.Text("team", "Team or tier asked for", func(e *SentOut) *string { return &e.Team }),
		},
		Line: func(e SentOut) string {
			return sentence("Sent out", listed("", e.Unit), say("", e.Step), say("alarm level", e.Alarm), with("crew of", e.Crew), say("team:", e.Team))
		},
		Example: SentOut{Unit: []string{"Engine 7", "Battalion 3", "Medic 5"}},
		Feeds:   []string{"phases", "resources"},
	}),
	events.Declare(events.Spec[OnScene]{
		Version: 1, Title: "On scene", Family: "arrivals",
		Doc:  "A unit, a recovery truck or a contractor at the scene. Log it when it stops at staging, not when it is put to work.",
		Says: []string{"on scene", "here", "arrived", "at staging"},
		Fields: []events.Field[OnScene]{
			events.Texts("unit", "Unit", func(e *OnScene) *[]string { return &e.Unit }),
			events.Text("truck", "Recovery truck", func(e *OnScene) *string { return &e.Truck }),
			events.Measure("crew", "Crew", 0, 10_000, func(e *OnScene) *Amount[Count] { return &e.Crew }),
			events.Measure("late", "Late", -10_080, 10_080, func(e *OnScene) *Amount[Minutes] { return &e.Late }).Note("Against the first time promised; negative when early."),
			events.Measure("wreckers", "Wreckers", 0, 1000, func(e *OnScene) *Amount[Count] { return &e.Wreckers }),
			events.Text("level", "Level held", func(e *OnScene) *string { return &e.Level }),
			events.Measure("odometer", "Odometer", 0, 1e7, func(e *OnScene) *Amount[Miles] { return &e.Odometer }),
		},
		Line: func(e OnScene) string {
			return sentence("On scene", listed("", e.Unit), say("", e.Truck), with("crew of", e.Crew), with("", e.Late, "late"), with("", e.Wreckers, "wreckers"),
				say("level", e.Level), with("odometer", e.Odometer))
		},
		Example: OnScene{Unit: []string{"Hazmat 2"}, Crew: Of[Count](8)},
		Feeds:   []string{"phases", "trucks", "resources", "volume"},
	}),
	events.Declare(events.Spec[LeftScene]{
		Version: 1, Title: "Left scene", Family: "arrivals",
		Doc:  "Who or what left, with what aboard and in what state. Log it when it rolls; for a hired or claimed resource give the hours it worked and the hours it stood by.",
		Says: []string{"left scene", "gone", "rolling", "released", "cleared the scene"},
		Fields: []events.Field[LeftScene]{
			events.Texts("unit", "Unit", func(e *LeftScene) *[]string { return &e.Unit }),
			events.Text("truck", "Recovery truck", func(e *LeftScene) *string { return &e.Truck }),
			events.Text("to", "Bound for", func(e *LeftScene) *string { return &e.To }),
			events.Text("carrying", "Carrying", func(e *LeftScene) *string { return &e.Carrying }),
			events.Text("condition", "Condition", func(e *LeftScene) *string { return &e.Condition }),
			events.Text("residue", "Residue aboard", func(e *LeftScene) *string { return &e.Residue }),
			events.Text("placard", "Placards", func(e *LeftScene) *string { return &e.Placard }),
			events.Text("cleaned", "Gear decontaminated", func(e *LeftScene) *string { return &e.Cleaned }),
			events.Measure("operating", "Hours worked", 0, 1e6, func(e *LeftScene) *Amount[Minutes] { return &e.Operating }),
			events.Measure("standby", "Hours stood by", 0, 1e6, func(e *LeftScene) *Amount[Minutes] { return &e.Standby }),
			events.Measure("odometer", "Odometer", 0, 1e7, func(e *LeftScene) *Amount[Miles] { return &e.Odometer }),
			events.ClockTime("in_quarters", "In quarters at", func(e *LeftScene) *events.Clock { return &e.InQuarters }),
		},
		Line: func(e LeftScene) string {
			return sentence("Left the scene", listed("", e.Unit), say("", e.Truck), say("for", e.To), say("carrying", e.Carrying), say("condition", e.Condition),
				say("residue:", e.Residue), say("placards", e.Placard), say("gear decontaminated:", e.Cleaned), with("worked", e.Operating),
				with("stood by", e.Standby), with("odometer", e.Odometer), say("in quarters", string(e.InQuarters)))
		},
		Example: LeftScene{Truck: "R1", To: "Corrowby scale"},
		Feeds:   []string{"phases", "trucks", "resources", "volume"},
	}),
	events.Declare(events.Spec[SizedUp]{
		Version: 1, Title: "Sized up", Family: "arrivals",
		Doc:  "What the first officer saw on the walk round the truck. Log it when the walk is done.",
		Says: []string{"size-up", "sized up", "360 done", "walk round"},
		Fields: []events.Field[SizedUp]{
			events.Text("vehicle", "Vehicle", func(e *SizedUp) *string { return &e.Vehicle }),
			events.Text("lies", "Lies", func(e *SizedUp) *string { return &e.Lies }),
			events.Measure("roll", "Roll", -360, 360, func(e *SizedUp) *Amount[Degrees] { return &e.Roll }).Note("0 upright, 90 on its side, 180 on its roof."),
			events.Measure("pitch", "Pitch", -90, 90, func(e *SizedUp) *Amount[Degrees] { return &e.Pitch }).Note("Of the tank axis, positive with the front end low."),
			events.Text("low_end", "Low end", func(e *SizedUp) *string { return &e.LowEnd }).Note("Front or rear."),
			events.Text("leak", "Leak", func(e *SizedUp) *string { return &e.Leak }),
			events.Text("fire", "Fire", func(e *SizedUp) *string { return &e.Fire }),
			events.Text("life", "People in danger", func(e *SizedUp) *string { return &e.Life }),
			events.Texts("exposure", "Exposures", func(e *SizedUp) *[]string { return &e.Exposure }),
			events.Measure("drain", "Nearest drain", 0, 1e6, func(e *SizedUp) *Amount[Feet] { return &e.Drain }),
			events.Measure("water", "Nearest water", 0, 1e6, func(e *SizedUp) *Amount[Feet] { return &e.Water }),
		},
		Line: func(e SizedUp) string {
			return sentence("Sized up", say("", e.Vehicle), say("lies:", e.Lies), with("roll", e.Roll), with("pitch", e.Pitch), say("low end:", e.LowEnd),
				say("leak:", e.Leak), say("fire:", e.Fire), say("people in danger:", e.Life), listed("exposures:", e.Exposure),
				with("drain", e.Drain, "away"), with("water", e.Water, "away"))
		},
		Example: SizedUp{Vehicle: "tractor-trailer", Lies: "passenger side", Leak: "yes, C4 lid", Fire: "no", Drain: Of[Feet](60)},
		Feeds:   []string{"phases", "volume"},
	}),
	events.Declare(events.Spec[AgencyOnScene]{
		Version: 1, Title: "Agency on scene", Family: "arrivals",
		Doc:  "An official or a company representative at the scene. Log it on arrival, with what they may decide.",
		Says: []string{"agency here", "state is here", "representative here"},
		Fields: []events.Field[AgencyOnScene]{
			events.Text("who", "Who", func(e *AgencyOnScene) *string { return &e.Who }),
			events.Text("agency", "Agency or company", func(e *AgencyOnScene) *string { return &e.Agency }),
			events.Text("authority", "May decide", func(e *AgencyOnScene) *string { return &e.Authority }),
			events.Text("task", "Came to do", func(e *AgencyOnScene) *string { return &e.Task }),
		},
		Line: func(e AgencyOnScene) string {
			return sentence("Agency on scene", say("", e.Who), say("of", e.Agency), say("may decide", e.Authority), say("to", e.Task))
		},
		Example: AgencyOnScene{Who: "state environmental officer"},
		Feeds:   []string{"notifications", "resources"},
	}),
}
