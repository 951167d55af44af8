package kinds

import "tankside/events"

// FindingTaken is a finding of the rules that the chief takes into the report. A later
// one for the same finding stands in its place.
type FindingTaken struct {
	Finding   string   // its id in the state
	Statement string   // in the chief's words; the rule's own where none were said
	Sort      string   // kept up, fix or open question
	Stood     []string // the evidence as it stood when this was written
}

// Kind returns finding_taken.
func (FindingTaken) Kind() events.Kind { return "finding_taken" }

// FindingDismissed is a finding of the rules that the chief leaves out, and why.
type FindingDismissed struct {
	Finding string
	Why     string
	Stood   []string
}

// Kind returns finding_dismissed.
func (FindingDismissed) Kind() events.Kind { return "finding_dismissed" }

// FindingWritten is a finding of the chief's own. Without entries it is an opinion.
type FindingWritten struct {
	Name      string // by which it is put right or given a recommendation
	Statement string
	Sort      string
	Entry     []string // ids of the entries it stands on
	Stood     []string
}

// Kind returns finding_written.
func (FindingWritten) Kind() events.Kind { return "finding_written" }

// SectionWritten is a text of the chief's for one part of the report. The newest stands.
type SectionWritten struct {
	Section string
	Text    string
}

// Kind returns section_written.
func (SectionWritten) Kind() events.Kind { return "section_written" }

// RecommendationMade is what is to be done about a finding, by whom and until when.
type RecommendationMade struct {
	Finding string // the id of a finding, or the name of the chief's own
	Action  string
	Owner   string
	Due     string
	Status  string
}

// Kind returns recommendation_made.
func (RecommendationMade) Kind() events.Kind { return "recommendation_made" }

// OutcomeWritten is what came of an objective, against what was planned.
type OutcomeWritten struct {
	Objective string   // the id of the entry that set it, or what was meant in words
	Outcome   string   // reached, partly reached, not reached or given up
	Actual    string   // what happened
	Why       string   // of the difference
	Sustain   string   // to be done again
	Improve   string   // to be done otherwise
	Entry     []string // ids of the entries it stands on
	Stood     []string // those entries as they stood when this was written
}

// Kind returns outcome_written.
func (OutcomeWritten) Kind() events.Kind { return "outcome_written" }

// CommentMade is what somebody asked to comment says of the draft.
type CommentMade struct {
	Role  string
	About string
	Text  string
}

// Kind returns comment_made.
func (CommentMade) Kind() events.Kind { return "comment_made" }

// RemarkMade stands beside a number of the report; the number stays as it is.
type RemarkMade struct {
	Figure string // the place of the number in the state, as a JSON Pointer (RFC 6901)
	Text   string
	Stood  string // what the number was when this was written
}

// Kind returns remark_made.
func (RemarkMade) Kind() events.Kind { return "remark_made" }

// ReportMoved is the report going from hand to hand before it is signed.
type ReportMoved struct {
	State string
	To    []string
}

// Kind returns report_moved.
func (ReportMoved) Kind() events.Kind { return "report_moved" }

// ReportSigned is a signature under the report as it stood at one entry of the log.
type ReportSigned struct {
	Name      string
	Role      string
	Code      string // short enough to say aloud
	Statement string // what was signed, word for word
	Signature string // Ed25519 of the statement's bytes, hexadecimal
}

// Kind returns report_signed.
func (ReportSigned) Kind() events.Kind { return "report_signed" }

// FindingSorts are what a finding may be.
var FindingSorts = []string{"kept up", "fix", "open question"}

// Outcomes are what may come of an objective.
var Outcomes = []string{"reached", "partly reached", "not reached", "given up"}

// Sections are the parts of the report that the chief writes.
var Sections = []string{"title", "summary", "cause", "well", "fix", "copies"}

var reviewKinds = []*events.Type{
	events.Declare(events.Spec[FindingTaken]{
		Version: 1, Title: "Finding taken", Family: "review", Desk: true,
		Doc:  "The chief takes a finding of the rules into the report, in his own words or the rule's; said again, the newer one stands.",
		Says: []string{"finding taken"},
		Fields: []events.Field[FindingTaken]{
			events.Text("finding", "Finding", func(e *FindingTaken) *string { return &e.Finding }).Note("Its id, as tankside review list prints it."),
			events.Text("statement", "Statement", func(e *FindingTaken) *string { return &e.Statement }),
			events.Choice("sort", "Sort", FindingSorts, func(e *FindingTaken) *string { return &e.Sort }),
			events.Texts("stood", "Evidence then", func(e *FindingTaken) *[]string { return &e.Stood }),
		},
		Line: func(e FindingTaken) string {
			return sentence("Finding taken", e.Finding, say("", e.Sort), e.Statement, listed("evidence then:", e.Stood))
		},
		Example: FindingTaken{Finding: "roll-call-late/181", Statement: "the roll call slipped while R2 was waited for", Sort: "fix", Stood: []string{"no roll call for 31 min with somebody in"}},
		Feeds:   []string{"review"},
	}),
	events.Declare(events.Spec[FindingDismissed]{
		Version: 1, Title: "Finding dismissed", Family: "review", Desk: true,
		Doc:  "The chief leaves a finding of the rules out of the report and says why; it stays listed in the draft.",
		Says: []string{"finding dismissed"},
		Fields: []events.Field[FindingDismissed]{
			events.Text("finding", "Finding", func(e *FindingDismissed) *string { return &e.Finding }),
			events.Text("why", "Reason", func(e *FindingDismissed) *string { return &e.Why }),
			events.Texts("stood", "Evidence then", func(e *FindingDismissed) *[]string { return &e.Stood }),
		},
		Line: func(e FindingDismissed) string {
			return sentence("Finding dismissed", e.Finding, say("because", e.Why), listed("evidence then:", e.Stood))
		},
		Example: FindingDismissed{Finding: "foam-overdue/96", Why: "foam was put down by the engine and not told"},
		Feeds:   []string{"review"},
	}),
	events.Declare(events.Spec[FindingWritten]{
		Version: 1, Title: "Finding written", Family: "review", Desk: true,
		Doc:  "A finding in the chief's own words, with the entries it stands on; without entries it is printed as an opinion. Said again under the same name, the newer one stands.",
		Says: []string{"own finding"},
		Fields: []events.Field[FindingWritten]{
			events.Text("name", "Name", func(e *FindingWritten) *string { return &e.Name }),
			events.Text("statement", "Statement", func(e *FindingWritten) *string { return &e.Statement }),
			events.Choice("sort", "Sort", FindingSorts, func(e *FindingWritten) *string { return &e.Sort }),
			events.Texts("entry", "Entry", func(e *FindingWritten) *[]string { return &e.Entry }).Note("The id of each entry it stands on."),
			events.Texts("stood", "Evidence then", func(e *FindingWritten) *[]string { return &e.Stood }),
		},
		Line: func(e FindingWritten) string {
			return sentence("Finding written", e.Name, say("", e.Sort), e.Statement, listed("entries", e.Entry), listed("evidence then:", e.Stood))
		},
		Example: FindingWritten{Name: "own-1", Statement: "the second truck should have been ordered with the first", Sort: "fix", Entry: []string{string(exampleID)}},
		Feeds:   []string{"review"},
	}),
	events.Declare(events.Spec[SectionWritten]{
		Version: 1, Title: "Section written", Family: "review", Desk: true,
		Doc:  "The chief's text for one part of the report; said again, the newer one stands. It stays what it is when the numbers beside it change.",
		Says: []string{"report section"},
		Fields: []events.Field[SectionWritten]{
			events.Choice("section", "Section", Sections, func(e *SectionWritten) *string { return &e.Section }),
			events.Text("text", "Text", func(e *SectionWritten) *string { return &e.Text }),
		},
		Line:    func(e SectionWritten) string { return sentence("Section written", e.Section, say("", e.Text)) },
		Example: SectionWritten{Section: "cause", Text: "the driver swerved for a deer and the load did the rest"},
		Feeds:   []string{"review"},
	}),
	events.Declare(events.Spec[RecommendationMade]{
		Version: 1, Title: "Recommendation made", Family: "review", Desk: true,
		Doc:  "What is to be done about a finding, by which role and until when; said again for the same finding and action, the newer one stands.",
		Says: []string{"recommendation made"},
		Fields: []events.Field[RecommendationMade]{
			events.Text("finding", "Finding", func(e *RecommendationMade) *string { return &e.Finding }),
			events.Text("action", "Action", func(e *RecommendationMade) *string { return &e.Action }),
			events.Text("owner", "Owner", func(e *RecommendationMade) *string { return &e.Owner }),
			events.Text("due", "Due", func(e *RecommendationMade) *string { return &e.Due }),
			events.Text("status", "Status", func(e *RecommendationMade) *string { return &e.Status }),
		},
		Line: func(e RecommendationMade) string {
			return sentence("Recommendation made", say("on", e.Finding), e.Action, say("owner", e.Owner), say("due", e.Due), say("status", e.Status))
		},
		Example: RecommendationMade{Finding: "own-1", Action: "order two trucks at once", Owner: "Hazmat Group Supervisor", Due: "2025-12-01"},
		Feeds:   []string{"review"},
	}),
	events.Declare(events.Spec[OutcomeWritten]{
		Version: 1, Title: "Outcome written", Family: "review", Desk: true,
		Doc:  "What came of an objective: what happened, why it differs from what was planned, what to sustain and what to improve. Said again for the same objective, the newer one stands.",
		Says: []string{"outcome of objective"},
		Fields: []events.Field[OutcomeWritten]{
			events.Text("objective", "Objective", func(e *OutcomeWritten) *string { return &e.Objective }).Note("The id of the entry that set it, or in words where no entry did."),
			events.Choice("outcome", "Outcome", Outcomes, func(e *OutcomeWritten) *string { return &e.Outcome }),
			events.Text("actual", "Actual", func(e *OutcomeWritten) *string { return &e.Actual }),
			events.Text("why", "Reason", func(e *OutcomeWritten) *string { return &e.Why }),
			events.Text("sustain", "Sustain", func(e *OutcomeWritten) *string { return &e.Sustain }),
			events.Text("improve", "Improve", func(e *OutcomeWritten) *string { return &e.Improve }),
			events.Texts("entry", "Entry", func(e *OutcomeWritten) *[]string { return &e.Entry }).Note("The id of each entry it stands on."),
			events.Texts("stood", "Evidence then", func(e *OutcomeWritten) *[]string { return &e.Stood }),
		},
		Line: func(e OutcomeWritten) string {
			return sentence("Outcome written", e.Objective, say("", e.Outcome), say("actual:", e.Actual), say("because", e.Why), say("sustain:", e.Sustain),
				say("improve:", e.Improve), listed("entries", e.Entry), listed("evidence then:", e.Stood))
		},
		Example: OutcomeWritten{Objective: "empty the tank where it lies", Outcome: "reached", Actual: "every compartment was dipped below an inch", Sustain: "a dip before the lift", Entry: []string{string(exampleID)}},
		Feeds:   []string{"review"},
	}),
	events.Declare(events.Spec[CommentMade]{
		Version: 1, Title: "Comment made", Family: "review", Desk: true,
		Doc:  "What somebody says of the draft who was asked to comment; a recollection of the job itself is an entry of its kind, told late.",
		Says: []string{"report comment"},
		Fields: []events.Field[CommentMade]{
			events.Text("role", "Role", func(e *CommentMade) *string { return &e.Role }),
			events.Text("about", "About", func(e *CommentMade) *string { return &e.About }).Note("A finding, a section or an entry; left out, the whole."),
			events.Text("text", "Text", func(e *CommentMade) *string { return &e.Text }),
		},
		Line: func(e CommentMade) string {
			return sentence("Comment made", say("by", e.Role), say("on", e.About), e.Text)
		},
		Example: CommentMade{Role: "Safety Officer", About: "cause", Text: "the deer is hearsay"},
		Feeds:   []string{"review"},
	}),
	events.Declare(events.Spec[RemarkMade]{
		Version: 1, Title: "Remark made", Family: "review", Desk: true,
		Doc:  "A remark beside a number of the report; the number itself changes only with the log.",
		Says: []string{"report remark"},
		Fields: []events.Field[RemarkMade]{
			events.Text("figure", "Figure", func(e *RemarkMade) *string { return &e.Figure }).Note("Where it stands in tankside state --json, such as /volume/unaccounted."),
			events.Text("text", "Text", func(e *RemarkMade) *string { return &e.Text }),
			events.Text("stood", "Was then", func(e *RemarkMade) *string { return &e.Stood }),
		},
		Line: func(e RemarkMade) string {
			return sentence("Remark made", say("on", e.Figure), say("which was", e.Stood), e.Text)
		},
		Example: RemarkMade{Figure: "/volume/unaccounted", Text: "within what the dip can tell", Stood: "14 gal"},
		Feeds:   []string{"review"},
	}),
	events.Declare(events.Spec[ReportMoved]{
		Version: 1, Title: "Report moved", Family: "review", Desk: true,
		Doc:  "The report goes out for comment, or back to being a draft; signing has a kind of its own.",
		Says: []string{"report moved"},
		Fields: []events.Field[ReportMoved]{
			events.Choice("state", "State", []string{"draft", "out for comment"}, func(e *ReportMoved) *string { return &e.State }),
			events.Texts("to", "To", func(e *ReportMoved) *[]string { return &e.To }),
		},
		Line:    func(e ReportMoved) string { return sentence("Report moved", say("", e.State), listed("to", e.To)) },
		Example: ReportMoved{State: "out for comment", To: []string{"Safety Officer", "Entry leader"}},
		Feeds:   []string{"review"},
	}),
	events.Declare(events.Spec[ReportSigned]{
		Version: 1, Title: "Report signed", Family: "review", Desk: true,
		Doc:  "A signature under the report as it stood at one entry of the log: tankside sign writes it.",
		Says: []string{"report signed"},
		Fields: []events.Field[ReportSigned]{
			events.Text("name", "Name", func(e *ReportSigned) *string { return &e.Name }),
			events.Text("role", "Role", func(e *ReportSigned) *string { return &e.Role }),
			events.Text("code", "Code", func(e *ReportSigned) *string { return &e.Code }),
			events.Text("statement", "Statement", func(e *ReportSigned) *string { return &e.Statement }),
			events.Text("signature", "Signature", func(e *ReportSigned) *string { return &e.Signature }),
		},
		Line: func(e ReportSigned) string {
			return sentence("Report signed", say("by", e.Name), say("", e.Role), say("code", e.Code), say("statement:", e.Statement), say("signature", e.Signature))
		},
		Example:  ReportSigned{Name: "Chief 1", Role: "Incident Commander", Code: "7f3a-91bc"},
		Feeds:    []string{"review"},
		Decision: true,
	}),
}
