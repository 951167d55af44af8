package console

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"tankside/cmd/internal/desk"
	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections"
)

// deskModel is the page on which the chief writes his part of the report.
type deskModel struct {
	Tab    string // findings, words, comments or sign
	Tabs   []deskTab
	Stages []deskStage
	Next   string   // what comes next with the report
	Signed bool     // once at least
	Lacks  []string // what stands in the way, and does not forbid it
	Guest  string   // role of another machine, which may only add; "" at this one
	Here   bool     // it may be signed on this machine
	Last   events.Seq
	Head   string
	Kept   string // half-written texts of this browser, as JSON
	Sorts  []string

	Groups   []deskGroup
	Actions  []projections.Recommended
	Sections []deskText
	Goals    []deskGoal
	Outcomes []string
	Comments []deskSaid
	Remarks  []deskSaid
	Figures  []deskFigure
	Sent     string
	Sign     deskSigning
}

type deskTab struct {
	Name, Title string
	Count       int // of what waits to be decided there
}

type deskStage struct {
	Name string
	Now  bool
}

// deskGroup is findings that are treated alike.
type deskGroup struct {
	Name, Title, Empty string
	Findings           []deskFinding
	More               int // findings that are not shown, see mostOffered
}

// mostOffered is how many undecided findings of a group the desk shows at once, unless it
// is asked for all: each is a form.
const mostOffered = 60

// deskFinding is a finding with what was done about it.
type deskFinding struct {
	ID, Form   string
	When       string // it began
	Number     int    // in the report; 0 where it is not in it
	Severity   string
	Verdict    string // "" while nobody has decided
	Own        bool
	Opinion    bool
	Rule       string // the words of the rule
	Statement  string // the chief's
	Sort, Why  string
	Figure     string
	Method     string
	Evidence   []deskEvidence
	Cited      string // the entries of an own finding, as they are typed
	Seen       events.Seq
	Changed    bool
	Was, Is    []string
	Actions    []projections.Recommended
	ActionForm string
}

type deskEvidence struct {
	Seq  events.Seq
	Text string
}

type deskText struct {
	Section, Title, Text string
	Seen                 events.Seq
}

// deskGoal is an objective against what came of it.
type deskGoal struct {
	Form, Of, Planned, By string
	projections.Outcome
	Cited string
	Seen  events.Seq
}

type deskSaid struct {
	Seq             events.Seq
	Who, About, Was string
	Text            string
}

type deskFigure struct{ Pointer, Name, Value string }

// deskWords are the parts of the report as their author knows them.
var deskWords = map[string]string{
	"title": "Title", "summary": "Summary, in a few sentences", "cause": "Cause, in your words", "well": "Lessons: what was kept up",
	"fix": "Lessons: what to fix", "copies": "Who gets copies",
}

// deskPage makes the page of the desk.
func deskPage(v *view) any {
	c, q := v.console, v.asked.URL.Query()
	m := deskModel{Tab: q.Get("at"), Guest: c.role(v.asked), Sorts: kinds.FindingSorts, Outcomes: kinds.Outcomes}
	m.Here = m.Guest == "" && fromHere(v.asked) && c.cfg.Signed != ""
	m.Kept = c.keptTexts(c.browserOf(v.asked))
	_ = c.deskAt(c.cfg.Live.News().Entries, func(d *desk.Desk) error {
		m.Last, m.Head = d.Last(), d.Head()
		groups := v.deskGroups(d)
		m.course(d, groups)
		switch m.Tab {
		case "words":
			m.words(d)
		case "comments":
			m.said(d)
		case "sign":
			m.Sign = v.signing(d, q.Get("name"), q.Get("role"))
		default:
			m.Tab, m.Groups = "findings", groups
			for i, g := range groups {
				if n := len(g.Findings) - mostOffered; n > 0 && (g.Name == "serious" || g.Name == "other") && !q.Has("all") {
					groups[i].Findings, groups[i].More = g.Findings[:mostOffered], n
				}
			}
			m.Actions = about(d, "")
		}
		return nil
	})
	return m
}

// keptTexts are the half-written texts of a browser by their field.
func (c *Console) keptTexts(browser string) string {
	c.texts.mu.Lock()
	defer c.texts.mu.Unlock()
	out := map[string]string{}
	for key, d := range c.texts.lines {
		if field, ok := strings.CutPrefix(key, browser+" "); ok && browser != "" {
			out[field] = d.Line
		}
	}
	text, _ := json.Marshal(out) // strings
	return string(text)
}

// course says how far the report is, what comes next and what stands in the way.
func (m *deskModel) course(d *desk.Desk, groups []deskGroup) {
	r := d.State.Review
	for _, s := range []string{"draft", "out for comment", "signed", "reissued"} {
		m.Stages = append(m.Stages, deskStage{s, s == r.Stage})
	}
	open, changed := len(groups[1].Findings), 0
	for _, f := range r.Findings {
		if f.Changed {
			changed++
		}
	}
	for _, o := range r.Outcomes {
		if o.Changed {
			changed++
		}
	}
	lack := func(n int, one, many string) {
		if n > 0 {
			m.Lacks = append(m.Lacks, plural(n, one, many))
		}
	}
	lack(open, "serious finding not decided", "serious findings not decided")
	lack(changed, "text whose evidence changed since it was written", "texts whose evidence changed since they were written")
	for _, s := range []string{"summary", "cause"} {
		if !slices.ContainsFunc(r.Sections, func(w projections.Written) bool { return w.Section == s && strings.TrimSpace(w.Text) != "" }) {
			m.Lacks = append(m.Lacks, "no "+s+" written")
		}
	}
	lack(len(r.Comments), "comment to read", "comments to read")
	m.Next = map[string]string{
		"draft":           "decide the findings, write your words, send it out for comment, sign",
		"out for comment": "read the comments, then sign",
		"signed":          "nothing, until something new comes into the log",
		"reissued":        "nothing, until something new comes into the log",
	}[r.Stage]
	if n := len(r.Addendum); n > 0 && len(r.Signatures) > 0 {
		m.Next = fmt.Sprintf("sign again: %s came in after the last signature, and stand in an addendum nobody has signed", plural(n, "entry", "entries"))
	}
	m.Signed = len(r.Signatures) > 0
	m.Sent = strings.Join(r.Sent, ", ")
	m.Tabs = []deskTab{{"findings", "Findings", open + len(groups[0].Findings)}, {"words", "Words", 0}, {"comments", "Comments", len(r.Comments)}, {"sign", "Sign", len(r.Addendum)}}
}

// deskGroups are the findings, those to be decided first and of them the serious.
func (v *view) deskGroups(d *desk.Desk) []deskGroup {
	const serious, other, taken, dismissed, changed = 1, 2, 3, 4, 0
	out := []deskGroup{
		{"changed", "Evidence changed since you wrote", "", nil, 0},
		{"serious", "To decide: serious", "Nothing serious waits.", nil, 0}, {"other", "To decide: the rest", "Nothing else waits.", nil, 0},
		{"taken", "In the report", "No finding is in the report yet.", nil, 0}, {"dismissed", "Left out, with the reason", "Nothing was left out.", nil, 0},
	}
	number := 0
	for _, r := range d.State.Review.Findings {
		f := v.reviewed(d, r)
		at := dismissed
		if r.Verdict != "dismissed" {
			number++
			f.Number, at = number, taken
		}
		if f.Changed {
			at = changed
		}
		out[at].Findings = append(out[at].Findings, f)
	}
	for _, f := range d.State.Findings {
		if !slices.ContainsFunc(d.State.Review.Findings, func(r projections.Reviewed) bool { return r.ID == f.ID }) {
			at := other
			if f.Severity == projections.Serious {
				at = serious
			}
			out[at].Findings = append(out[at].Findings, v.offered(d, f))
		}
	}
	slices.SortStableFunc(out[other].Findings, func(a, b deskFinding) int {
		return projections.Severity(b.Severity).Rank() - projections.Severity(a.Severity).Rank()
	})
	return out
}

// offered is a finding of the rules.
func (v *view) offered(d *desk.Desk, f projections.Finding) deskFinding {
	out := deskFinding{ID: f.ID, Form: form("f", f.ID), ActionForm: form("a", f.ID), When: v.clock(f.Start), Severity: string(f.Severity), Rule: f.Statement, Statement: f.Statement, Method: f.Method, Evidence: v.evidence(f.From)}
	if f.Observed.Known {
		out.Figure = band(f.Observed)
	}
	if f.Limit != nil {
		out.Figure = join("; ", out.Figure, fmt.Sprintf("limit %s%s, %s", digits(f.Limit.Value, 2), unit(f.Limit.Unit), join(", ", f.Limit.Source, f.Limit.Edition)))
	}
	out.Actions = about(d, f.ID)
	return out
}

// reviewed is a finding that was decided or written.
func (v *view) reviewed(d *desk.Desk, r projections.Reviewed) deskFinding {
	out := deskFinding{ID: r.ID, Evidence: v.evidence(r.Evidence)}
	if i := slices.IndexFunc(d.State.Findings, func(f projections.Finding) bool { return f.ID == r.ID }); i >= 0 {
		out = v.offered(d, d.State.Findings[i])
	}
	out.Form, out.ActionForm, out.Actions = form("f", r.ID), form("a", r.ID), about(d, r.ID)
	out.Verdict, out.Own, out.Opinion, out.Sort, out.Why = r.Verdict, r.Verdict == "written", r.Opinion, r.Sort, r.Why
	out.Statement = cmp.Or(r.Statement, out.Rule, r.ID)
	out.Changed, out.Was, out.Is = r.Changed, r.Stood, r.Stands
	out.Cited, out.Seen = seqs(r.Evidence), first(r.At.From)
	return out
}

// about lists what is recommended about a finding, "" for what is about none.
func about(d *desk.Desk, id string) (out []projections.Recommended) {
	for _, m := range d.State.Review.Recommendations {
		if m.Finding == id {
			out = append(out, m)
		}
	}
	return out
}

// evidence writes entries down as the story has them.
func (v *view) evidence(from []events.Seq) (out []deskEvidence) {
	for _, e := range v.Timeline.Entries {
		if slices.Contains(from, e.Seq) {
			text := v.when(e) + "  " + v.console.cfg.Catalogue.Line(e.Payload)
			if e.Struck != nil {
				text += " (struck)"
			}
			out = append(out, deskEvidence{e.Seq, text})
		}
	}
	return out
}

// form is the name of a form, by which its half-written texts are found again.
func form(kind, id string) string {
	return kind + "-" + strings.Map(func(r rune) rune {
		if r == ' ' || r == '"' || r == '/' {
			return '-'
		}
		return r
	}, id)
}

func first(from []events.Seq) events.Seq {
	if len(from) == 0 {
		return 0
	}
	return from[0]
}

func seqs(from []events.Seq) string {
	out := make([]string, len(from))
	for i, s := range from {
		out[i] = fmt.Sprint(s)
	}
	return strings.Join(out, ", ")
}
