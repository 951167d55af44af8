package projections

import (
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"

	"tankside/events"
	"tankside/events/kinds"
)

// Reviewed is a finding that the chief took, dismissed or wrote.
type Reviewed struct {
	At        Moment       `json:"at"`
	ID        string       `json:"id"`      // of the rules' finding, or the name of the chief's own
	Verdict   string       `json:"verdict"` // taken, dismissed or written
	Statement string       `json:"statement,omitempty"`
	Sort      string       `json:"sort,omitempty"`
	Why       string       `json:"why,omitempty"`
	Opinion   bool         `json:"opinion"` // written without entries
	Changed   bool         `json:"changed"` // the evidence is no longer what it was
	Stood     []string     `json:"stood"`   // the evidence when this was written
	Stands    []string     `json:"stands"`  // the evidence now; empty when the rules find it no more
	Evidence  []events.Seq `json:"evidence"`

	entries []string // ids cited by the chief's own
}

// Written is the chief's text for a part of the report.
type Written struct {
	At      Moment `json:"at"`
	Section string `json:"section"`
	Text    string `json:"text"`
}

// Recommended is what is to be done about a finding.
type Recommended struct {
	At      Moment `json:"at"`
	Finding string `json:"finding,omitempty"`
	Action  string `json:"action"`
	Owner   string `json:"owner,omitempty"`
	Due     string `json:"due,omitempty"`
	Status  string `json:"status,omitempty"`
}

// Outcome is what came of an objective, as the chief writes it.
type Outcome struct {
	At        Moment       `json:"at"`
	Of        []events.Seq `json:"of"`                  // the entry that set the objective; empty where none did
	Objective string       `json:"objective,omitempty"` // in words, where no entry set it
	Outcome   string       `json:"outcome,omitempty"`
	Actual    string       `json:"actual,omitempty"`
	Why       string       `json:"why,omitempty"`
	Sustain   string       `json:"sustain,omitempty"`
	Improve   string       `json:"improve,omitempty"`
	Changed   bool         `json:"changed"` // the evidence is no longer what it was
	Stood     []string     `json:"stood"`   // the evidence when this was written
	Stands    []string     `json:"stands"`  // the evidence now
	Evidence  []events.Seq `json:"evidence"`

	objective string // as it was said
	entries   []string
}

// Comment is what somebody said of the draft.
type Comment struct {
	At    Moment `json:"at"`
	Role  string `json:"role,omitempty"`
	About string `json:"about,omitempty"`
	Text  string `json:"text"`
}

// Remark stands beside a number.
type Remark struct {
	At     Moment `json:"at"`
	Figure string `json:"figure"` // JSON Pointer into the state
	Stood  string `json:"stood,omitempty"`
	Text   string `json:"text"`
}

// Signed is a signature under the report.
type Signed struct {
	At        Moment `json:"at"`
	Name      string `json:"name"`
	Role      string `json:"role,omitempty"`
	Code      string `json:"code"`
	Statement string `json:"statement"`
	Signature string `json:"signature"`

	entry *events.Entry
}

// Review is what was written over the report: the chief's part of it, the comments and
// the signatures. Nothing in it changes a number.
type Review struct {
	Findings        []Reviewed
	Sections        []Written
	Recommendations []Recommended
	Outcomes        []Outcome
	Comments        []Comment
	Remarks         []Remark
	Signatures      []Signed
	Sent            []string // to whom it is out for comment
	Stage           string   // as it was last moved; empty: never

	log  *events.Timeline // to look up the entries that findings stand on
	line func(events.Payload) string
}

// ReviewState is the review as the state shows it.
type ReviewState struct {
	Stage           string        `json:"stage"` // draft, out for comment, signed or reissued
	Sent            []string      `json:"sent"`
	Findings        []Reviewed    `json:"findings"`
	Sections        []Written     `json:"sections"`
	Recommendations []Recommended `json:"recommendations"`
	Outcomes        []Outcome     `json:"outcomes"`
	Comments        []Comment     `json:"comments"`
	Remarks         []Remark      `json:"remarks"`
	Signatures      []Signed      `json:"signatures"`
	Addendum        []events.Seq  `json:"addendum"` // what came into the log after the last signature
}

// Apply folds one entry.
func (r *Review) Apply(e *events.Entry) {
	at := MomentOf(e)
	switch k := e.Payload.(type) {
	case kinds.FindingTaken:
		r.judged(Reviewed{At: at, ID: k.Finding, Verdict: "taken", Statement: k.Statement, Sort: k.Sort, Stood: list(k.Stood)})
	case kinds.FindingDismissed:
		r.judged(Reviewed{At: at, ID: k.Finding, Verdict: "dismissed", Why: k.Why, Stood: list(k.Stood)})
	case kinds.FindingWritten:
		r.judged(Reviewed{At: at, ID: k.Name, Verdict: "written", Statement: k.Statement, Sort: k.Sort, Opinion: len(k.Entry) == 0,
			Stood: list(k.Stood), entries: k.Entry})
	case kinds.SectionWritten:
		r.Sections = newest(r.Sections, Written{at, k.Section, k.Text}, func(o Written) bool { return o.Section == k.Section })
	case kinds.RecommendationMade:
		r.Recommendations = newest(r.Recommendations, Recommended{at, k.Finding, k.Action, k.Owner, k.Due, k.Status},
			func(o Recommended) bool { return o.Finding == k.Finding && o.Action == k.Action })
	case kinds.OutcomeWritten:
		r.Outcomes = newest(r.Outcomes, Outcome{At: at, objective: k.Objective, Outcome: k.Outcome, Actual: k.Actual, Why: k.Why, Sustain: k.Sustain, Improve: k.Improve,
			Stood: list(k.Stood), entries: k.Entry}, func(o Outcome) bool { return o.objective == k.Objective })
	case kinds.CommentMade:
		r.Comments = append(r.Comments, Comment{at, orElse(k.Role, e.ObservedBy), k.About, k.Text})
	case kinds.RemarkMade:
		r.Remarks = append(r.Remarks, Remark{at, k.Figure, k.Stood, k.Text})
	case kinds.ReportMoved:
		r.Stage, r.Sent = k.State, k.To
	case kinds.ReportSigned:
		r.Signatures = append(r.Signatures, Signed{at, k.Name, k.Role, k.Code, k.Statement, k.Signature, e})
	}
}

func (r *Review) judged(f Reviewed) {
	r.Findings = newest(r.Findings, f, func(o Reviewed) bool { return o.ID == f.ID })
}

// newest puts v in the place of the one it is a newer version of, or at the end.
func newest[T any](all []T, v T, same func(T) bool) []T {
	if i := slices.IndexFunc(all, same); i >= 0 {
		all[i] = v
		return all
	}
	return append(all, v)
}

// State is the review against what the rules find now.
func (r *Review) State(found []Finding) ReviewState {
	s := ReviewState{
		Stage: orElse(r.Stage, "draft"), Sent: list(r.Sent), Findings: slices.Clone(list(r.Findings)), Sections: list(r.Sections),
		Recommendations: list(r.Recommendations), Outcomes: slices.Clone(list(r.Outcomes)), Comments: list(r.Comments), Remarks: list(r.Remarks), Signatures: []Signed{},
		Addendum: []events.Seq{},
	}
	for i := range s.Findings {
		r.compare(&s.Findings[i], found)
	}
	for i := range s.Outcomes {
		o := &s.Outcomes[i]
		if o.Of = r.places([]string{o.objective}); len(o.Of) == 0 {
			o.Objective = o.objective
		}
		o.Evidence = r.places(o.entries)
		o.Stands = r.lines(o.Evidence)
		o.Changed = !slices.Equal(o.Stood, o.Stands)
	}
	r.sign(&s)
	return s
}

// compare says whether the evidence of a finding is still what it was.
func (r *Review) compare(f *Reviewed, found []Finding) {
	f.Stands, f.Evidence = []string{}, []events.Seq{}
	if f.Verdict == "written" {
		f.Evidence = r.places(f.entries)
		f.Stands = r.lines(f.Evidence)
	} else if i := slices.IndexFunc(found, func(o Finding) bool { return o.ID == f.ID }); i >= 0 {
		f.Evidence, f.Stands = list(found[i].From), r.Evidence(found[i])
		f.Statement = orElse(f.Statement, found[i].Statement)
	}
	f.Changed = !slices.Equal(f.Stood, f.Stands)
}

// signs reports whether an entry holds a signature of what it says: by the key that is in
// it, over this log up to the entry before it. One that does not is an entry like any
// other; whose key it is nobody can tell from the log.
func (k Signed) signs() bool {
	said := map[string]string{}
	for line := range strings.Lines(k.Statement) {
		if name, value, ok := strings.Cut(strings.TrimSuffix(line, "\n"), ": "); ok {
			said[name] = value
		}
	}
	key, err := hex.DecodeString(said["key"])
	signature, err2 := hex.DecodeString(k.Signature)
	return err == nil && err2 == nil && len(key) == ed25519.PublicKeySize && said["log"] == k.entry.Prev.String() && said["name"] == k.Name &&
		ed25519.Verify(key, []byte(k.Statement), signature)
}

// places finds the entries with the ids.
func (r *Review) places(ids []string) []events.Seq {
	out := []events.Seq{}
	for _, id := range ids {
		if r.log == nil {
			break
		}
		if e := r.log.Find(events.ID(id)); e != nil {
			out = append(out, e.Seq)
		}
	}
	return out
}

// sign sets the stage by the signatures, and lists what came in after the last. A
// signature right behind another is a second one under the same report.
func (r *Review) sign(s *ReviewState) {
	for _, k := range r.Signatures {
		if k.signs() {
			s.Signatures = append(s.Signatures, k)
		}
	}
	if len(s.Signatures) == 0 || r.log == nil {
		return
	}
	s.Stage = "signed"
	for i := range s.Signatures[1:] {
		if len(r.since(s.Signatures[i].entry, s.Signatures[i+1].entry)) > 0 {
			s.Stage = "reissued"
		}
	}
	s.Addendum = r.since(s.Signatures[len(s.Signatures)-1].entry, nil)
}

// since lists the entries that were recorded after one and before another, nil for no
// end. Signatures are not among them: they say nothing that a report would have to.
func (r *Review) since(from, to *events.Entry) []events.Seq {
	out := []events.Seq{}
	for _, e := range r.log.Entries {
		if _, signature := e.Payload.(kinds.ReportSigned); !signature && recordedAfter(e, from) && (to == nil || recordedAfter(to, e)) {
			out = append(out, e.Seq)
		}
	}
	slices.Sort(out)
	return out
}

// recordedAfter reports whether a was recorded after b: in one log by place, else by the clock.
func recordedAfter(a, b *events.Entry) bool {
	if a.Node == b.Node {
		return a.Seq > b.Seq
	}
	return a.RecordedAt.After(b.RecordedAt)
}

// Evidence writes what a finding stands on: its statement and its entries as they are
// now. Two of them differ where anything differs that the finding rests on.
func (r *Review) Evidence(f Finding) []string {
	return append([]string{f.Statement}, r.lines(f.From)...)
}

// EvidenceOf writes the entries with the ids as they are now.
func (r *Review) EvidenceOf(ids []string) []string { return r.lines(r.places(ids)) }

// most is how many entries are written out; of more, their sum stands for the rest.
const most = 12

func (r *Review) lines(from []events.Seq) []string {
	out := []string{}
	if r.log == nil {
		return out
	}
	for _, e := range r.log.Entries {
		if slices.Contains(from, e.Seq) {
			out = append(out, r.told(e))
		}
	}
	if len(out) > most {
		rest := sha256.Sum256([]byte(strings.Join(out[most:], "\n")))
		out = append(out[:most:most], fmt.Sprintf("and %d more, sum %x", len(out)-most, rest[:8]))
	}
	return out
}

// told writes one entry on one line, with how it counts.
func (r *Review) told(e *events.Entry) string {
	text := fmt.Sprintf("%d: %s %s", e.Seq, e.Time().Format("15:04"), r.line(e.Payload))
	if e.Where != "" {
		text = fmt.Sprintf("%s (%s)", text, e.Where)
	}
	if e.Struck != nil {
		text += " Struck."
	}
	return text
}
