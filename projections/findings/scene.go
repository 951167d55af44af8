package findings

import (
	"cmp"
	"fmt"
	"iter"
	"slices"
	"strings"
	"time"

	"tankside/events"
	"tankside/projections"
)

// scene is what a rule looks at while it is held against the log.
type scene struct {
	inc  *projections.Incident
	tl   *events.Timeline
	now  time.Time // the moment the state is of
	book *Book
	rule *Rule // the one being held against the log

	live     []*events.Entry
	bySeq    map[events.Seq]*events.Entry
	byKind   map[events.Kind][]*events.Entry
	orders   []order
	set      map[string][]setting // what orders set a level to, by rule and level
	found    []projections.Finding
	ids      map[string]int // how often each was given
	due      []projections.Due
	alarms   []projections.Alarm
	duties   []projections.Duty
	rulesOff []projections.RuleOff
	packed   [][]*projections.Supply // by team, worked out when first asked for, as are
	taken    []step
	pumped   []projections.PumpRun
	filed    *projections.Moment
}

func newScene(inc *projections.Incident, tl *events.Timeline, b *Book) *scene {
	c := &scene{inc: inc, tl: tl, book: b, now: inc.AsOf, byKind: map[events.Kind][]*events.Entry{}, set: map[string][]setting{}, ids: map[string]int{}}
	for e := range tl.Live() {
		c.live = append(c.live, e)
		kind := e.Payload.Kind()
		c.byKind[kind] = append(c.byKind[kind], e)
	}
	c.orders = ordersOf(c.live)
	return c
}

// entry is the one at a place of the log, nil when the view does not hold it.
func (c *scene) entry(n events.Seq) *events.Entry {
	if c.bySeq == nil {
		c.bySeq = make(map[events.Seq]*events.Entry, len(c.tl.Entries))
		for _, e := range c.tl.Entries {
			c.bySeq[e.Seq] = e
		}
	}
	return c.bySeq[n]
}

// entries yields the live entries of a kind, in the order in which they happened.
func entries[P events.Payload](c *scene) iter.Seq2[*events.Entry, P] {
	return func(yield func(*events.Entry, P) bool) {
		var kind P
		for _, e := range c.byKind[kind.Kind()] {
			if p, ok := e.Payload.(P); ok && !yield(e, p) {
				return
			}
		}
	}
}

// moments are when the entries of a kind happened.
func moments[P events.Payload](c *scene) (out []projections.Moment) {
	for e := range entries[P](c) {
		out = append(out, projections.MomentOf(e))
	}
	return out
}

// people is everybody the log names.
func (c *scene) people() []projections.Person { return c.inc.Persons() }

// busy are the stretches with somebody in the hot zone.
func (c *scene) busy() []projections.Interval { return c.inc.Occupied() }

// packs is the air of every trip on a bottle.
func (c *scene) packs() []projections.Supply { return c.inc.Supplies() }

// find reports a finding. It fills in what every finding of the rule has in common.
func (c *scene) find(f projections.Finding) {
	r := c.rule
	f.Rule, f.Ref = r.Name, r.Ref
	f.Severity = cmp.Or(f.Severity, r.Severity)
	f.Clears = cmp.Or(f.Clears, r.Clears)
	f.Method = cmp.Or(f.Method, r.Title)
	f.From = c.evidence(f)
	f.Confidence = append([]string{}, append(f.Confidence, c.confidence(f)...)...)
	if !f.Minutes.Known && len(f.Minutes.Missing) == 0 {
		f.Minutes = c.lasted(f)
	}
	if !f.Observed.Known && len(f.Observed.Missing) == 0 {
		f.Observed = projections.Lacking(f.Observed.Unit, "a fact, not a number")
	}
	f.ID = c.id(f)
	c.found = append(c.found, f)
}

// lasted is how long a finding lasts; one that begins and ends with the same entry is
// of one moment.
func (c *scene) lasted(f projections.Finding) projections.Figure {
	return projections.Elapsed(f.Start, f.End, c.now)
}

// evidence are all the entries a finding stands on, each once.
func (c *scene) evidence(f projections.Finding) []events.Seq {
	all := slices.Concat(f.From, f.Start.From, f.End.From, f.Observed.From)
	if f.Limit != nil {
		all = append(all, f.Limit.From...)
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// id names a finding by its rule, its subject and the entry it begins with, none of
// which an unrelated entry changes. Where two would have one name the later has a
// number.
func (c *scene) id(f projections.Finding) string {
	id := f.Rule
	if f.Subject != "" {
		id += "/" + strings.Join(strings.Fields(strings.ToLower(f.Subject)), "-")
	}
	if len(f.Start.From) > 0 {
		id += fmt.Sprintf("/%d", f.Start.From[0])
	}
	c.ids[id]++
	if n := c.ids[id]; n > 1 {
		id += fmt.Sprintf("/%d", n)
	}
	return id
}

// lateAfter is how many minutes after the fact an entry counts as told late.
const lateAfter = 10 // common practice, no source

// confidence says what weakens the evidence: entries that were put right or told late,
// clocks that were off, times that are soft.
func (c *scene) confidence(f projections.Finding) (out []string) {
	var right, late, off, soft []string
	for _, n := range f.From {
		e := c.entry(n)
		if e == nil {
			continue
		}
		switch {
		case len(e.PutRight) > 0:
			right = append(right, fmt.Sprintf("%d by %d", n, e.PutRight[0].Seq))
		case e.Delay() > lateAfter*time.Minute:
			late = append(late, fmt.Sprintf("%d by %.0f min", n, e.Delay().Minutes()))
		case e.ClockOff != 0 && c.rule.Name != "clock-off":
			off = append(off, fmt.Sprintf("%d by %.0f s", n, e.ClockOff.Seconds()))
		}
		if !e.Occurred.Earliest().Equal(e.Occurred.Latest()) && e.Occurred.Form != events.Span {
			soft = append(soft, fmt.Sprint(n))
		}
	}
	for _, group := range []struct {
		what    string
		entries []string
	}{{"put right: entry ", right}, {"told late: entry ", late}, {"clock off and corrected: entry ", off}, {"time not exact: entry ", soft}} {
		if len(group.entries) > 0 {
			out = append(out, group.what+strings.Join(group.entries, ", "))
		}
	}
	return out
}

// order is what is in a rule that somebody set at the site.
type order struct {
	at   projections.Moment
	text string // lower case, words apart by single blanks
}
