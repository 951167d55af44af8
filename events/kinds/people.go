package kinds

import (
	"tankside/events"
	. "tankside/events/quantity"
)

// SuitedUp is a team made ready for an entry.
type SuitedUp struct {
	Pair      string
	Person    []string
	Task      string
	Briefed   string
	Suit      string
	Air       string                          // sort of respirator
	Pressures events.KeyedAmounts[PSI]        // by person, e.g. P1A
	Pulses    events.KeyedAmounts[PerMinute]  // by person, key with _pulse
	BPs       events.KeyedTexts               // by person, key with _bp
	Temps     events.KeyedAmounts[Fahrenheit] // by person, key with _temp
	Breaths   events.KeyedAmounts[PerMinute]  // by person, key with _breaths
	Weights   events.KeyedAmounts[Pounds]     // by person, key with _weight
	Fit       string
	By        string
}

// Kind returns suited_up.
func (SuitedUp) Kind() events.Kind { return "suited_up" }

// BackupReady is a pair standing by to go in after another.
type BackupReady struct {
	Pair      string
	Person    []string
	Suit      string
	Air       string
	Pressures events.KeyedAmounts[PSI] // by person, e.g. P1A
}

// Kind returns backup_ready.
func (BackupReady) Kind() events.Kind { return "backup_ready" }

// InHot is people crossing into the hot zone.
type InHot struct {
	Pair      string
	Pressures events.KeyedAmounts[PSI] // by person, who thereby crossed
	Person    []string                 // where others than the pair crossed
	Task      string
	Suit      string
	Air       string
	Rope      string
	Bottle    string // size of the air cylinder
	Why       string
	Note      string
}

// Kind returns in_hot.
func (InHot) Kind() events.Kind { return "in_hot" }

// PressureRead is cylinder pressures told during an entry.
type PressureRead struct {
	Pair      string
	Pressures events.KeyedAmounts[PSI] // by person, e.g. P1A
	Task      string
	Note      string
}

// Kind returns pressure_read.
func (PressureRead) Kind() events.Kind { return "pressure_read" }

// OutHot is people coming out of the hot zone.
type OutHot struct {
	Pair      string
	Pressures events.KeyedAmounts[PSI] // by person, who thereby crossed
	Person    []string                 // where others than the pair crossed
	Why       string
	Note      string
}

// Kind returns out_hot.
func (OutHot) Kind() events.Kind { return "out_hot" }

// RollCall is everybody in the hot zone counted.
type RollCall struct {
	In         Amount[Count] // by the board
	Seen       Amount[Count]
	TagsTurned Amount[Count]
	Missing    []string
	Why        string
	By         string
}

// Kind returns roll_call.
func (RollCall) Kind() events.Kind { return "roll_call" }

// PostTaken is somebody set to work at a place outside the hot zone.
type PostTaken struct {
	Person string
	Air    string // none, or sort of respirator
	Task   string
}

// Kind returns post_taken.
func (PostTaken) Kind() events.Kind { return "post_taken" }

// PostLeft is somebody leaving a post outside the hot zone.
type PostLeft struct {
	Person string
	Why    string
}

// Kind returns post_left.
func (PostLeft) Kind() events.Kind { return "post_left" }

var peopleKinds = []*events.Type{
	events.Declare(events.Spec[SuitedUp]{
		Version: 1, Title: "Suited up", Family: "people",
		Doc:  "Clothing, breathing air, pressures and the medical check before an entry. Log it when the team is dressed.",
		Says: []string{"suited up", "dressed", "medical check", "buddy check"},
		Fields: []events.Field[SuitedUp]{
			events.Text("pair", "Pair", func(e *SuitedUp) *string { return &e.Pair }),
			events.Texts("person", "Person", func(e *SuitedUp) *[]string { return &e.Person }),
			events.Text("task", "Task", func(e *SuitedUp) *string { return &e.Task }),
			events.Text("briefed", "Briefed", func(e *SuitedUp) *string { return &e.Briefed }),
			events.Text("suit", "Suit", func(e *SuitedUp) *string { return &e.Suit }),
			events.Text("air", "Breathing air", func(e *SuitedUp) *string { return &e.Air }),
			events.Measures("P#@", "Cylinder pressure", 0, 10_000, func(e *SuitedUp) *events.KeyedAmounts[PSI] { return &e.Pressures }),
			events.Measures("P#@_pulse", "Pulse", 0, 300, func(e *SuitedUp) *events.KeyedAmounts[PerMinute] { return &e.Pulses }),
			events.TextsBy("P#@_bp", "Blood pressure", func(e *SuitedUp) *events.KeyedTexts { return &e.BPs }),
			events.Measures("P#@_temp", "Body temperature", 30, 130, func(e *SuitedUp) *events.KeyedAmounts[Fahrenheit] { return &e.Temps }),
			events.Measures("P#@_breaths", "Breaths", 0, 200, func(e *SuitedUp) *events.KeyedAmounts[PerMinute] { return &e.Breaths }),
			events.Measures("P#@_weight", "Body weight", 0, 1500, func(e *SuitedUp) *events.KeyedAmounts[Pounds] { return &e.Weights }),
			events.Text("fit", "Fit to go in", func(e *SuitedUp) *string { return &e.Fit }),
			events.Text("by", "Checked by", func(e *SuitedUp) *string { return &e.By }),
		},
		Line: func(e SuitedUp) string {
			return sentence("Suited up", say("pair", e.Pair), listed("", e.Person), say("to", e.Task), say("briefed:", e.Briefed), say("suit", e.Suit), say("air", e.Air),
				amounts("", e.Pressures), byPerson("pulse", "_pulse", e.Pulses), textsByPerson("blood pressure", "_bp", e.BPs),
				byPerson("temperature", "_temp", e.Temps), byPerson("breaths", "_breaths", e.Breaths), byPerson("weight", "_weight", e.Weights),
				say("fit:", e.Fit), say("checked by", e.By))
		},
		Example: SuitedUp{Pair: "1", Briefed: "yes", Suit: "level B", Air: "SCBA", Pressures: events.KeyedAmounts[PSI]{{Key: "P1A", Value: Of[PSI](4400)}, {Key: "P1B", Value: Of[PSI](4380)}}, Fit: "yes"},
		Feeds:   []string{"people"},
	}),
	events.Declare(events.Spec[BackupReady]{
		Version: 1, Title: "Backup ready", Family: "people",
		Doc:  "Which pair is the backup from now on, dressed and with air. Log it when they say so; it holds until another pair is named or they go in.",
		Says: []string{"backup", "back-up", "standing by to go in"},
		Fields: []events.Field[BackupReady]{
			events.Text("pair", "Pair", func(e *BackupReady) *string { return &e.Pair }),
			events.Texts("person", "Person", func(e *BackupReady) *[]string { return &e.Person }),
			events.Text("suit", "Suit", func(e *BackupReady) *string { return &e.Suit }),
			events.Text("air", "Breathing air", func(e *BackupReady) *string { return &e.Air }),
			events.Measures("P#@", "Cylinder pressure", 0, 10_000, func(e *BackupReady) *events.KeyedAmounts[PSI] { return &e.Pressures }),
		},
		Line: func(e BackupReady) string {
			return sentence("Backup ready", say("pair", e.Pair), listed("", e.Person), say("suit", e.Suit), say("air", e.Air), amounts("", e.Pressures))
		},
		Example: BackupReady{Pair: "4"},
		Feeds:   []string{"people"},
	}),
	events.Declare(events.Spec[InHot]{
		Version: 1, Title: "Into the hot zone", Family: "people",
		Doc:  "Who went in, on what air and to do what. Log it when they cross the line; without single pressures or names the whole pair crossed.",
		Says: []string{"in", "in the hot zone", "going in", "crossed in"},
		Fields: []events.Field[InHot]{
			events.Text("pair", "Pair", func(e *InHot) *string { return &e.Pair }),
			events.Measures("P#@", "Cylinder pressure", 0, 10_000, func(e *InHot) *events.KeyedAmounts[PSI] { return &e.Pressures }),
			events.Texts("person", "Person", func(e *InHot) *[]string { return &e.Person }),
			events.Text("task", "Task", func(e *InHot) *string { return &e.Task }),
			events.Text("suit", "Suit", func(e *InHot) *string { return &e.Suit }),
			events.Text("air", "Breathing air", func(e *InHot) *string { return &e.Air }),
			events.Text("rope", "Rope", func(e *InHot) *string { return &e.Rope }),
			events.Text("bottle", "Bottle", func(e *InHot) *string { return &e.Bottle }).Note("Size of the air cylinder."),
			events.Text("why", "Reason", func(e *InHot) *string { return &e.Why }),
			events.Text("note", "Note", func(e *InHot) *string { return &e.Note }),
		},
		Line: func(e InHot) string {
			return sentence("Into the hot zone", say("pair", e.Pair), amounts("", e.Pressures), listed("", e.Person), say("task", e.Task), say("suit", e.Suit), say("air", e.Air),
				say("rope:", e.Rope), say("bottle", e.Bottle), say("because", e.Why), say("", e.Note))
		},
		Example: InHot{Pair: "1", Pressures: events.KeyedAmounts[PSI]{{Key: "P1A", Value: Of[PSI](2980)}, {Key: "P1B", Value: Of[PSI](3010)}}, Task: "look and wedge"},
		Feeds:   []string{"people", "phases"},
	}),
	events.Declare(events.Spec[PressureRead]{
		Version: 1, Title: "Pressure read", Family: "people",
		Doc:  "Air left while people are in. Log it when it is called on the radio.",
		Says: []string{"air check", "pressure", "on air"},
		Fields: []events.Field[PressureRead]{
			events.Text("pair", "Pair", func(e *PressureRead) *string { return &e.Pair }),
			events.Measures("P#@", "Cylinder pressure", 0, 10_000, func(e *PressureRead) *events.KeyedAmounts[PSI] { return &e.Pressures }),
			events.Text("task", "Task", func(e *PressureRead) *string { return &e.Task }),
			events.Text("note", "Note", func(e *PressureRead) *string { return &e.Note }),
		},
		Line: func(e PressureRead) string {
			return sentence("Pressure read", say("pair", e.Pair), amounts("", e.Pressures), say("task", e.Task), say("", e.Note))
		},
		Example: PressureRead{Pair: "1", Pressures: events.KeyedAmounts[PSI]{{Key: "P1A", Value: Of[PSI](2200)}}},
		Feeds:   []string{"people"},
	}),
	events.Declare(events.Spec[OutHot]{
		Version: 1, Title: "Out of the hot zone", Family: "people",
		Doc:  "Who came out, on what air. Log it when they cross the line.",
		Says: []string{"out", "out of the hot zone", "came out", "crossed out"},
		Fields: []events.Field[OutHot]{
			events.Text("pair", "Pair", func(e *OutHot) *string { return &e.Pair }),
			events.Measures("P#@", "Cylinder pressure", 0, 10_000, func(e *OutHot) *events.KeyedAmounts[PSI] { return &e.Pressures }),
			events.Texts("person", "Person", func(e *OutHot) *[]string { return &e.Person }),
			events.Text("why", "Reason", func(e *OutHot) *string { return &e.Why }),
			events.Text("note", "Note", func(e *OutHot) *string { return &e.Note }),
		},
		Line: func(e OutHot) string {
			return sentence("Out of the hot zone", say("pair", e.Pair), amounts("", e.Pressures), listed("", e.Person), say("because", e.Why), say("", e.Note))
		},
		Example: OutHot{Pair: "1", Pressures: events.KeyedAmounts[PSI]{{Key: "P1A", Value: Of[PSI](1240)}, {Key: "P1B", Value: Of[PSI](1310)}}},
		Feeds:   []string{"people", "phases"},
	}),
	events.Declare(events.Spec[RollCall]{
		Version: 1, Title: "Roll call", Family: "people",
		Doc:  "A personnel accountability report: how many are in, how many answered or were seen. Log it when it is complete.",
		Says: []string{"PAR", "roll call", "accountability"},
		Fields: []events.Field[RollCall]{
			events.Measure("in", "In the hot zone", 0, 10_000, func(e *RollCall) *Amount[Count] { return &e.In }),
			events.Measure("seen", "Answered or seen", 0, 10_000, func(e *RollCall) *Amount[Count] { return &e.Seen }),
			events.Measure("tags_turned", "Tags turned", 0, 10_000, func(e *RollCall) *Amount[Count] { return &e.TagsTurned }),
			events.Texts("missing", "Missing", func(e *RollCall) *[]string { return &e.Missing }),
			events.Text("why", "Reason", func(e *RollCall) *string { return &e.Why }),
			events.Text("by", "Called by", func(e *RollCall) *string { return &e.By }),
		},
		Line: func(e RollCall) string {
			return sentence("Roll call", with("", e.In, "in the hot zone"), with("", e.Seen, "seen"), with("", e.TagsTurned, "tags turned"), listed("missing", e.Missing),
				say("because", e.Why), say("called by", e.By))
		},
		Example: RollCall{In: Of[Count](2), Seen: Of[Count](2)},
		Feeds:   []string{"people"},
	}),
	events.Declare(events.Spec[PostTaken]{
		Version: 1, Title: "Post taken", Family: "people",
		Doc:  "Who works at a hose end, a pump or a valve, and with what on the face. Log it when they take the post; air readings there count as theirs until they leave it.",
		Says: []string{"post", "on the hose", "tending"},
		Fields: []events.Field[PostTaken]{
			events.Text("person", "Person", func(e *PostTaken) *string { return &e.Person }),
			events.Text("air", "Breathing air", func(e *PostTaken) *string { return &e.Air }),
			events.Text("task", "Task", func(e *PostTaken) *string { return &e.Task }),
		},
		Line: func(e PostTaken) string {
			return sentence("Post taken", say("", e.Person), say("air:", e.Air), say("task", e.Task))
		},
		Example: PostTaken{Person: "P2B", Air: "none"},
		Feeds:   []string{"people"},
	}),
	events.Declare(events.Spec[PostLeft]{
		Version: 1, Title: "Post left", Family: "people",
		Doc:  "Who left the post. Log it when they step away.",
		Says: []string{"off post", "off the hose", "post left"},
		Fields: []events.Field[PostLeft]{
			events.Text("person", "Person", func(e *PostLeft) *string { return &e.Person }),
			events.Text("why", "Reason", func(e *PostLeft) *string { return &e.Why }),
		},
		Line: func(e PostLeft) string {
			return sentence("Post left", say("", e.Person), say("because", e.Why))
		},
		Example: PostLeft{Person: "P2B"},
		Feeds:   []string{"people"},
	}),
}
