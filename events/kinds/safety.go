package kinds

import (
	"tankside/events"
	. "tankside/events/quantity"
)

// StopWork is work stopped for safety.
type StopWork struct {
	Why    string
	Worker string
	Act    string // what everybody is to do
	By     string
	Danger string // immediate to life or health, or imminent
	Told   events.Clock
}

// Kind returns stop_work.
func (StopWork) Kind() events.Kind { return "stop_work" }

// ResumeWork is work taken up again after a stop.
type ResumeWork struct {
	LEL     Amount[PercentLEL]
	Benzene Amount[PPM]
	Bond    Amount[Ohms]
	By      string
	Why     string
	Rule    []string
}

// Kind returns resume_work.
func (ResumeWork) Kind() events.Kind { return "resume_work" }

// BriefingGiven is the safety briefing, or the site safety plan it rests on.
type BriefingGiven struct {
	Plan     string
	Version  string
	Approver string
	By       string
	Attendee []string // one for each person or crew
	Hazard   []string
	Signal   string
	Abort    []string
}

// Kind returns briefing_given.
func (BriefingGiven) Kind() events.Kind { return "briefing_given" }

// SignalSounded is the evacuation signal tested, sounded or called off.
type SignalSounded struct {
	Signal string
	State  string // sounded when not said
	Why    string
	By     string
}

// Kind returns signal_sounded.
func (SignalSounded) Kind() events.Kind { return "signal_sounded" }

// EmergencyEnded is the end of the emergency phase.
type EmergencyEnded struct {
	To         string
	Conditions string
	Open       []string
	By         string
}

// Kind returns emergency_ended.
func (EmergencyEnded) Kind() events.Kind { return "emergency_ended" }

// DebriefHeld is the debriefing at the scene, or the critique after it.
type DebriefHeld struct {
	Attendee []string
	Exposure string
	Damage   string
	Issue    []string
	Owner    string
	Due      string
}

// Kind returns debrief_held.
func (DebriefHeld) Kind() events.Kind { return "debrief_held" }

// ActionItem is something to keep up or to improve, for the improvement plan.
type ActionItem struct {
	Observation string
	Sort        string
	Capability  string
	Cause       string
	Action      string
	Owner       string
	Start       string
	Due         string
	Status      string
}

// Kind returns action_item.
func (ActionItem) Kind() events.Kind { return "action_item" }

var safetyKinds = []*events.Type{
	events.Declare(events.Spec[StopWork]{
		Version: 1, Title: "Work stopped", Family: "safety",
		Doc:  "Work stopped, wherever it was and whoever called it. Log it at once, before asking why.",
		Says: []string{"stop", "stop work", "stopped", "everybody out"},
		Fields: []events.Field[StopWork]{
			events.Text("why", "Reason", func(e *StopWork) *string { return &e.Why }),
			events.Text("worker", "Worker", func(e *StopWork) *string { return &e.Worker }),
			events.Text("act", "Do", func(e *StopWork) *string { return &e.Act }),
			events.Text("by", "Called by", func(e *StopWork) *string { return &e.By }),
			events.Text("danger", "Danger", func(e *StopWork) *string { return &e.Danger }),
			events.ClockTime("told", "Incident commander told at", func(e *StopWork) *events.Clock { return &e.Told }),
		},
		Line: func(e StopWork) string {
			return sentence("Work stopped", say("", e.Why), say("worker", e.Worker), say("", e.Act), say("called by", e.By), say("danger:", e.Danger),
				say("incident commander told", string(e.Told)))
		},
		Example: StopWork{Why: "benzene over 5 ppm 15 min", Worker: "P4A", Act: "everyone off the hose line"},
		Feeds:   []string{"stops", "people"},
	}),
	events.Declare(events.Spec[ResumeWork]{
		Version: 1, Title: "Work resumed", Family: "safety",
		Doc:  "Work goes on, on which reading and on whose word. Log it when the word is given.",
		Says: []string{"go again", "resume", "resumed", "clear to go"},
		Fields: []events.Field[ResumeWork]{
			events.Measure("LEL", "LEL", 0, 100, func(e *ResumeWork) *Amount[PercentLEL] { return &e.LEL }),
			events.Measure("benzene", "Benzene", 0, 1e6, func(e *ResumeWork) *Amount[PPM] { return &e.Benzene }),
			events.Measure("bond", "Bond", 0, 1e9, func(e *ResumeWork) *Amount[Ohms] { return &e.Bond }),
			events.Text("by", "On the word of", func(e *ResumeWork) *string { return &e.By }),
			events.Text("why", "Reason", func(e *ResumeWork) *string { return &e.Why }),
			events.Texts("rule", "New rule", func(e *ResumeWork) *[]string { return &e.Rule }),
		},
		Line: func(e ResumeWork) string {
			return sentence("Work resumed", with("LEL", e.LEL), with("benzene", e.Benzene), with("bond", e.Bond), say("on the word of", e.By), say("because", e.Why),
				listed("new rules:", e.Rule))
		},
		Example: ResumeWork{Benzene: Of[PPM](0.6)},
		Feeds:   []string{"stops"},
	}),
	events.Declare(events.Spec[BriefingGiven]{
		Version: 1, Title: "Briefing given", Family: "safety",
		Doc:  "The safety plan written, approved or changed, and the briefing on it. Log it when the briefing ends, with who heard it.",
		Says: []string{"briefing", "briefed", "safety plan", "safety briefing"},
		Fields: []events.Field[BriefingGiven]{
			events.Text("plan", "Safety plan", func(e *BriefingGiven) *string { return &e.Plan }),
			events.Text("version", "Version of the plan", func(e *BriefingGiven) *string { return &e.Version }),
			events.Text("approver", "Approved by", func(e *BriefingGiven) *string { return &e.Approver }),
			events.Text("by", "Given by", func(e *BriefingGiven) *string { return &e.By }),
			events.Texts("attendee", "Heard by", func(e *BriefingGiven) *[]string { return &e.Attendee }),
			events.Texts("hazard", "Hazards", func(e *BriefingGiven) *[]string { return &e.Hazard }),
			events.Text("signal", "Evacuation signal", func(e *BriefingGiven) *string { return &e.Signal }),
			events.Texts("abort", "Get out when", func(e *BriefingGiven) *[]string { return &e.Abort }),
		},
		Line: func(e BriefingGiven) string {
			return sentence("Briefing given", say("plan", e.Plan), say("version", e.Version), say("approved by", e.Approver), say("given by", e.By), listed("heard by", e.Attendee),
				listed("hazards:", e.Hazard), say("signal:", e.Signal), listed("get out when", e.Abort))
		},
		Example: BriefingGiven{Plan: "site safety plan", Version: "1", Approver: "IC", Attendee: []string{"pair 1", "pair 2"}, Signal: "three long air horn blasts", Abort: []string{"LEL 10 % in the work area"}},
		Feeds:   []string{"command", "people"},
	}),
	events.Declare(events.Spec[SignalSounded]{
		Version: 1, Title: "Signal sounded", Family: "safety",
		Doc:  "The signal to get out, or the all clear after it. Log it when it is heard.",
		Says: []string{"signal", "air horn", "evacuate", "all clear"},
		Fields: []events.Field[SignalSounded]{
			events.Text("signal", "Signal", func(e *SignalSounded) *string { return &e.Signal }),
			events.Choice("state", "State", []string{"tested", "sounded", "all clear"}, func(e *SignalSounded) *string { return &e.State }).Note("Sounded when not said."),
			events.Text("why", "Reason", func(e *SignalSounded) *string { return &e.Why }),
			events.Text("by", "By", func(e *SignalSounded) *string { return &e.By }),
		},
		Line: func(e SignalSounded) string {
			return sentence("Signal sounded", say("", e.Signal), say("", e.State), say("because", e.Why), say("by", e.By))
		},
		Example: SignalSounded{Signal: "three long air horn blasts", State: "tested"},
		Feeds:   []string{"stops"},
	}),
	events.Declare(events.Spec[EmergencyEnded]{
		Version: 1, Title: "Emergency ended", Family: "safety",
		Doc:  "The emergency is over and what remains is clean-up. Log it when it is declared, with who has the scene and what danger is left.",
		Says: []string{"emergency over", "emergency ended", "scene handed over"},
		Fields: []events.Field[EmergencyEnded]{
			events.Text("to", "Scene passed to", func(e *EmergencyEnded) *string { return &e.To }),
			events.Text("conditions", "Conditions", func(e *EmergencyEnded) *string { return &e.Conditions }),
			events.Texts("open", "Danger left", func(e *EmergencyEnded) *[]string { return &e.Open }),
			events.Text("by", "Declared by", func(e *EmergencyEnded) *string { return &e.By }),
		},
		Line: func(e EmergencyEnded) string {
			return sentence("Emergency ended", say("scene passed to", e.To), say("conditions:", e.Conditions), listed("danger left:", e.Open), say("declared by", e.By))
		},
		Example: EmergencyEnded{To: "county contractor", Conditions: "road closed until the soil is out", Open: []string{"fuel in the ditch soil"}},
		Feeds:   []string{"phases", "command"},
	}),
	events.Declare(events.Spec[DebriefHeld]{
		Version: 1, Title: "Debrief held", Family: "safety",
		Doc:  "Who was there, what they were told of their exposure, what gear is damaged and what is to be looked into. Log it when it ends.",
		Says: []string{"debrief", "critique", "hot wash"},
		Fields: []events.Field[DebriefHeld]{
			events.Texts("attendee", "Present", func(e *DebriefHeld) *[]string { return &e.Attendee }),
			events.Text("exposure", "Told of exposure", func(e *DebriefHeld) *string { return &e.Exposure }),
			events.Text("damage", "Gear damaged", func(e *DebriefHeld) *string { return &e.Damage }),
			events.Texts("issue", "To look into", func(e *DebriefHeld) *[]string { return &e.Issue }),
			events.Text("owner", "Who sees to it", func(e *DebriefHeld) *string { return &e.Owner }),
			events.Text("due", "Due", func(e *DebriefHeld) *string { return &e.Due }),
		},
		Line: func(e DebriefHeld) string {
			return sentence("Debrief held", listed("present", e.Attendee), say("told of exposure:", e.Exposure), say("gear damaged:", e.Damage), listed("to look into:", e.Issue),
				say("by", e.Owner), say("due", e.Due))
		},
		Example: DebriefHeld{Attendee: []string{"all pairs"}, Exposure: "benzene and gasoline vapour, signs to watch for", Issue: []string{"unlogged entry of pair 3"}, Owner: "Safety Officer", Due: "2025-10-28"},
		Feeds:   []string{"command"},
	}),
	events.Declare(events.Spec[ActionItem]{
		Version: 1, Title: "Action item", Family: "safety",
		Doc:  "An observation from the review and what is to be done about it, by whom and until when. Log it again with a new status when that changes.",
		Says: []string{"action item", "improve", "strength", "keep up"},
		Fields: []events.Field[ActionItem]{
			events.Text("observation", "Observation", func(e *ActionItem) *string { return &e.Observation }),
			events.Choice("sort", "Sort", []string{"strength", "improve"}, func(e *ActionItem) *string { return &e.Sort }),
			events.Text("capability", "Capability", func(e *ActionItem) *string { return &e.Capability }),
			events.Text("cause", "Cause", func(e *ActionItem) *string { return &e.Cause }),
			events.Text("action", "Action", func(e *ActionItem) *string { return &e.Action }),
			events.Text("owner", "Owner", func(e *ActionItem) *string { return &e.Owner }),
			events.Text("start", "Start", func(e *ActionItem) *string { return &e.Start }),
			events.Text("due", "Due", func(e *ActionItem) *string { return &e.Due }),
			events.Text("status", "Status", func(e *ActionItem) *string { return &e.Status }),
		},
		Line: func(e ActionItem) string {
			return sentence("Action item", say("", e.Observation), say("", e.Sort), say("capability:", e.Capability), say("cause:", e.Cause), say("action:", e.Action),
				say("owner", e.Owner), say("start", e.Start), say("due", e.Due), say("status", e.Status))
		},
		Example: ActionItem{Observation: "a pair went back in without the entry leader", Sort: "improve", Capability: "Accountability", Cause: "two ways into the hot zone", Action: "one gate with tags", Owner: "Hazmat Group Supervisor", Due: "2025-12-01"},
		Feeds:   []string{"decisions"},
	}),
}
