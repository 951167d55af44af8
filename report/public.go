package report

import (
	"cmp"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections"
)

// leftOut stands where the public edition holds something back.
const leftOut = "left out of the public edition"

// posts are the words of posts, units and ranks. A teller or a holder whose every word
// is one of them, a number or the name of a unit is a post; any other may be a name.
var posts = strings.Fields(`a an and any at by for from of on the with no not to ic
	agency air ambulance assistant backup battalion boss brief cab captain chief command commander console coordinator county crew
	decon deputy director dispatch dispatcher district driver duty engine engineer entry environmental evidence
	federal fire foam gas grounding group hazmat health heavy hose hot incident insurer investigator
	ladder lead leader liaison lift line local log logistics manager medic medical meter monitor monitoring note
	officer on-scene operations operator pair paper patrol phone photo pipe planning police post print public pump radio reader recovery rehab relay relief
	rep reporter rescue runner safety scene scribe slip company stabilisation stabilization section sheriff spill squad staging state station supervisor tank team technical technician telemetry
	tool tow transfer transport trooper truck unit utility wrecker`)

// personal are the kinds of entry that are about somebody's body or breath.
var personal = []events.Kind{
	kinds.RehabIn{}.Kind(), kinds.RehabOut{}.Kind(), kinds.Injury{}.Kind(), kinds.DeconDone{}.Kind(), kinds.SuitedUp{}.Kind(),
	kinds.PressureRead{}.Kind(), kinds.InHot{}.Kind(), kinds.OutHot{}.Kind(), kinds.PostTaken{}.Kind(), kinds.PostLeft{}.Kind(),
	kinds.LeftScene{}.Kind(), kinds.DebriefHeld{}.Kind(),
}

// free are the kinds that are somebody's own words.
var free = []events.Kind{
	kinds.Note{}.Kind(), kinds.NearMiss{}.Kind(), kinds.StopWork{}.Kind(), kinds.CallReceived{}.Kind(),
	kinds.CommentMade{}.Kind(), kinds.RemarkMade{}.Kind(), kinds.FindingDismissed{}.Kind(), kinds.ReportSigned{}.Kind(),
	kinds.FindingTaken{}.Kind(), kinds.FindingWritten{}.Kind(), kinds.OutcomeWritten{}.Kind(), // they quote the entries they stand on
}

// publish makes the public edition of the state and the timeline.
func (d *Document) publish(tl *events.Timeline) {
	code := d.coder(tl)
	a := &d.State.Accountability
	a.Injuries, a.NearMisses = nil, nil
	d.State.Exposure = keep(d.State.Exposure, func(x projections.Exposed) bool { return x.Person == "" })
	d.State.Findings, d.State.Due, d.State.RulesOff, d.State.Alarms = nil, nil, nil, nil
	r := &d.State.Review
	r.Comments, r.Remarks, r.Signatures = nil, nil, nil
	r.Findings = keep(r.Findings, func(f projections.Reviewed) bool { return f.Verdict != "dismissed" })
	d.State.Supply, d.State.Rest, d.State.Command.Debriefs = nil, nil, nil
	d.State = rewritten(rewriter{text: code}, d.State)
	for i := range d.State.People {
		p := &d.State.People[i]
		p.Rehab, p.Decon, p.Posts, p.Suited = nil, nil, nil, nil
	}
	d.holdBack()
	n := 0 // the rows are the entries, in their order
	for i := range d.Timeline {
		rows := d.Timeline[i].Rows
		for j := range rows {
			hideHealth(kinds.Catalogue(), tl.Entries[n].Payload, &rows[j])
			n++
			rows[j] = withheld(rewritten(rewriter{text: code}, rows[j]))
		}
	}
}

// holdBack leaves out why work was stopped, which may be somebody's health, and what
// the quality of the log says of entries that are left out themselves.
func (d *Document) holdBack() {
	for i := range d.State.Stops {
		why := &d.State.Stops[i].Why
		for j := range d.State.Waits {
			for k, r := range d.State.Waits[j].Reasons {
				if *why != "" {
					d.State.Waits[j].Reasons[k] = strings.ReplaceAll(r, *why, leftOut)
				}
			}
		}
		*why = leftOut
	}
	own := map[events.Seq]bool{}
	for _, day := range d.Timeline {
		for _, r := range day.Rows {
			own[r.Seq] = slices.Contains(personal, r.Kind) || slices.Contains(free, r.Kind)
		}
	}
	q := &d.State.Quality
	for i := range q.Revised {
		if own[q.Revised[i].Seq] {
			q.Revised[i].Was, q.Revised[i].Now = leftOut, leftOut
		}
	}
	for i := range q.Struck {
		if own[q.Struck[i].Seq] {
			q.Struck[i].Line, q.Struck[i].Why = leftOut, leftOut
		}
	}
	for i := range q.Joined {
		if own[q.Joined[i].Seq] {
			q.Joined[i].Line = leftOut
		}
	}
	q.Faults, q.Unknown, d.State.Notes = nil, nil, nil
}

// withheld leaves out of an entry what is personal or somebody's own words.
func withheld(r Row) Row {
	r.Words, r.Extra, r.Harm = "", nil, false
	if !slices.Contains(personal, r.Kind) && !slices.Contains(free, r.Kind) {
		return r
	}
	return leaveOut(r)
}

// leaveOut leaves out of an entry all that it says.
func leaveOut(r Row) Row {
	r.Words, r.Extra, r.Harm = "", nil, false
	title := strings.ReplaceAll(string(r.Kind), "_", " ")
	r.Line = title + ": " + leftOut
	if r.Was != "" {
		r.Was = leftOut
	}
	for i := range r.Fixes {
		r.Fixes[i].Was, r.Fixes[i].Now, r.Fixes[i].Equals, r.Fixes[i].Why = "", leftOut, "", leftOut
	}
	if r.Struck != nil {
		r.Struck.Why = leftOut
	}
	return r
}

// coder returns what puts a code in the place of everybody who may be known by it:
// member 1 for who was at the hot zone, person 1 for any other that is not plainly a post.
func (d *Document) coder(tl *events.Timeline) func(string) string {
	codes := map[string]string{}
	add := func(name, code string) {
		if key := strings.ToLower(name); key != "" && codes[key] == "" {
			codes[key] = code
		}
	}
	for i, p := range d.State.People {
		add(p.Person, fmt.Sprintf("member %d", i+1))
	}
	known := whole(append(d.units(), posts...))
	others := keep(d.named(tl), func(name string) bool { return !isPost(name, known) })
	for i, name := range others {
		add(name, fmt.Sprintf("person %d", i+1))
	}
	for _, e := range tl.Entries {
		_, phones := held(kinds.Catalogue(), e.Payload)
		for _, number := range phones {
			add(number, leftOut)
		}
	}
	return replacing(codes)
}

// replacing returns what puts a code in the place of each name, by name in lower case.
func replacing(codes map[string]string) func(string) string {
	if len(codes) == 0 {
		return func(s string) string { return s }
	}
	find := whole(slices.Collect(maps.Keys(codes)))
	return func(s string) string {
		for range 2 { // what stands between two names belongs to one match only
			s = find.ReplaceAllStringFunc(s, func(m string) string {
				name := strings.TrimFunc(m, notInName)
				from := strings.Index(m, name)
				return m[:from] + either(codes[strings.ToLower(name)], leftOut) + m[from+len(name):]
			})
		}
		return s
	}
}

// named are those who told, relayed or held something, or are named with it, each
// once, in the order of the log.
func (d *Document) named(tl *events.Timeline) (names []string) {
	add := func(list ...string) {
		for _, n := range list {
			if n != "" && !slices.Contains(names, n) {
				names = append(names, n)
			}
		}
	}
	for _, e := range tl.Entries {
		add(e.ObservedBy, e.RelayedBy)
		people, _ := held(kinds.Catalogue(), e.Payload)
		add(people...)
		if k, ok := e.Payload.(kinds.Correction); ok {
			add(k.By)
		}
	}
	for _, r := range d.State.Command.Roles {
		add(r.Holder)
	}
	for _, h := range d.State.Command.Handovers {
		add(h.From, h.To)
	}
	for _, b := range d.State.Accountability.Briefings {
		add(append([]string{b.By, b.Approver}, b.Heard...)...)
	}
	for _, x := range d.State.Decisions {
		add(x.By)
	}
	for _, x := range d.State.Actions {
		add(x.Owner)
	}
	for _, x := range d.State.Custody.Parties {
		add(x.Rep)
	}
	for _, x := range d.State.Accountability.Injuries {
		add(x.Person)
	}
	return names
}

// isPost reports whether nothing is left of a name once words of posts, names of units
// and numbers are taken away.
func isPost(name string, known *regexp.Regexp) bool {
	rest := known.ReplaceAllString(" "+strings.ReplaceAll(name, " ", "  ")+" ", " ")
	return !strings.ContainsFunc(numbers.ReplaceAllString(rest, ""), func(r rune) bool { return !notInName(r) })
}

var numbers = regexp.MustCompile(`\b[A-Za-z]?[0-9]+[A-Za-z]?\b|\b[A-Za-z]\b`)

func notInName(r rune) bool { return strings.ContainsRune(" \t,.;:()/-+=|'\"_&", r) }

// whole matches any of the names, the longest first, as words of their own.
func whole(names []string) *regexp.Regexp {
	quoted := make([]string, 0, len(names))
	for _, n := range names {
		quoted = append(quoted, regexp.QuoteMeta(strings.ToLower(n)))
	}
	slices.SortFunc(quoted, func(a, b string) int { return cmp.Or(len(b)-len(a), strings.Compare(a, b)) })
	return regexp.MustCompile(`(?i)(?:^|[^\pL\pN])(?:` + strings.Join(quoted, "|") + `)(?:[^\pL\pN]|$)`)
}
