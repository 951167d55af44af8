package console

import (
	"path/filepath"
	"slices"
	"strings"

	"tankside/cmd/internal/desk"
	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections"
)

// words fills the page of the chief's own text.
func (m *deskModel) words(d *desk.Desk) {
	for _, s := range kinds.Sections {
		t := deskText{Section: s, Title: deskWords[s]}
		for _, w := range d.State.Review.Sections {
			if w.Section == s {
				t.Text, t.Seen = w.Text, first(w.At.From)
			}
		}
		m.Sections = append(m.Sections, t)
	}
	outcomes := d.State.Review.Outcomes
	placed := map[int]bool{}
	for _, o := range d.State.Command.Objectives {
		seq := seqs(o.At.From)
		g := deskGoal{Form: form("o", seq), Of: seq, Planned: join("; reached when ", o.Objective, o.Criterion), By: seq}
		for i, w := range outcomes {
			if len(w.Of) > 0 && slices.Contains(o.At.From, w.Of[0]) {
				placed[i] = true
				g.fill(w)
			}
		}
		m.Goals = append(m.Goals, g)
	}
	for i, w := range outcomes {
		if !placed[i] {
			g := deskGoal{Form: form("o", w.Objective), Of: w.Objective, Planned: w.Objective}
			g.fill(w)
			m.Goals = append(m.Goals, g)
		}
	}
}

func (g *deskGoal) fill(w projections.Outcome) {
	g.Outcome, g.Cited, g.Seen = w, seqs(w.Evidence), first(w.At.From)
}

// deskFigures are the numbers that are remarked on most; any other is named by its place
// in the state.
var deskFigures = []deskFigure{
	{"/volume/load", "load", ""}, {"/volume/transferred", "transferred", ""}, {"/volume/released", "released", ""},
	{"/volume/evaporated", "evaporated", ""}, {"/volume/recovered", "recovered from the ground", ""}, {"/volume/remaining", "left in the tank, dipped", ""},
	{"/volume/left_over", "left over", ""}, {"/volume/unaccounted", "unaccounted", ""},
}

// said fills the page of comments and remarks.
func (m *deskModel) said(d *desk.Desk) {
	for _, c := range d.State.Review.Comments {
		m.Comments = append(m.Comments, deskSaid{Seq: first(c.At.From), Who: c.Role, About: c.About, Text: c.Text})
	}
	for _, r := range d.State.Review.Remarks {
		now, err := d.Figure(r.Figure)
		if err != nil || now == r.Stood {
			now = ""
		}
		m.Remarks = append(m.Remarks, deskSaid{Seq: first(r.At.From), Who: now, About: r.Figure, Was: r.Stood, Text: r.Text})
	}
	for _, f := range deskFigures {
		if value, err := d.Figure(f.Pointer); err == nil {
			f.Value = value
			m.Figures = append(m.Figures, f)
		}
	}
}

// deskSigning is what stands on the page on which it is signed.
type deskSigning struct {
	Name, Role string
	Confirm    bool // both are said: what is signed stands there, to be confirmed
	After      events.Seq
	Head, Code string // the hash of the last entry, and its beginning
	Rules      string
	Program    string
	Signed     []deskSignature
	Addendum   []deskEvidence
}

type deskSignature struct {
	Name, Role, At, Code string
	Seq                  events.Seq
	File                 string // of the signed report, "" where it was not kept here
	Path                 string
}

func (v *view) signing(d *desk.Desk, name, role string) deskSigning {
	name, role = strings.TrimSpace(name), strings.TrimSpace(role)
	s := deskSigning{Name: name, Role: role, Confirm: name != "" && role != "", After: d.Last(), Head: d.Head(), Rules: d.State.RuleBook, Program: d.Program}
	if len(s.Head) > 8 {
		s.Code = s.Head[:4] + "-" + s.Head[4:8]
	}
	for _, g := range d.State.Review.Signatures {
		sig := deskSignature{Name: g.Name, Role: g.Role, At: g.At.Best.In(v.zone).Format("2 January 2006 15:04"), Code: g.Code, Seq: first(g.At.From)}
		base := v.console.signedName(g.Code)
		if signedFile.MatchString(base + ".html") {
			path := filepath.Join(v.console.cfg.Signed, base)
			if v.console.cfg.Signed != "" && there(path+".html") {
				sig.File, sig.Path = base, path
			}
		}
		s.Signed = append(s.Signed, sig)
	}
	s.Addendum = v.evidence(d.State.Review.Addendum)
	return s
}
