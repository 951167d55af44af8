package report

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections"
)

// lateAfter is the delay from which an entry is marked as told late.
// Common practice, no source.
const lateAfter = 10 * time.Minute

// Day is the entries of one day, in the order in which things happened.
type Day struct {
	Date time.Time
	Rows []Row
}

// Row is one entry of the full timeline with all that a reader must know of it.
type Row struct {
	Seq       events.Seq
	Kind      events.Kind
	At        projections.Moment
	Live      bool   // counts: neither struck nor a second witness
	Harm      bool   // speaks of somebody who may have been hurt or exposed
	Smoke     string // reported or explained, where it speaks of smoke or fire
	Node      string // set only where the report joins several logs
	When      string
	Before    events.Seq // the entry it is only known to come before
	Told      string     // empty unless it was told late
	Late      string     // minutes, with Told
	By        string
	RelayedBy string
	Channel   string
	Where     string
	Trust     string
	Line      string
	Words     string
	Extra     []events.Pair
	Marks     []string

	Was     string     // the line as first recorded, where a value was put right
	WasTime string     // the time as first recorded, where it was put right
	Fixes   []Fix      // corrections that apply, oldest first
	Struck  *Fix       // the strike that took it back
	Of      events.Seq // the entry it is a second witness of
	Witness []Witness
	ActsOn  events.Seq // for a correction, strike or join: what it acts on
}

// speaksOf are the entries that the row of an entry leads to.
func (r Row) speaksOf() (out []events.Seq) {
	for _, f := range r.Fixes {
		out = append(out, f.By)
	}
	if r.Struck != nil {
		out = append(out, r.Struck.By)
	}
	for _, w := range r.Witness {
		out = append(out, w.Seq)
	}
	for _, m := range r.Marks {
		for _, n := range entryNumber.FindAllStringSubmatch(m, -1) {
			s, _ := strconv.ParseUint(n[1], 10, 64) // all digits: too many of them name no entry
			out = append(out, events.Seq(s))
		}
	}
	return append(out, r.ActsOn, r.Before)
}

// Fix is a correction or a strike as the entry it acts on shows it.
type Fix struct {
	By     events.Seq
	Was    string
	Now    string
	Equals string
	Why    string
	Who    string
	Told   string
}

// Witness is a second witness of an entry.
type Witness struct {
	Seq events.Seq
	By  string
}

// Told returns the entries of a kind that count, in the order of the timeline.
func (d Document) Told(kind events.Kind) (out []Row) {
	for _, day := range d.Timeline {
		for _, r := range day.Rows {
			if r.Kind == kind && r.Live {
				out = append(out, r)
			}
		}
	}
	return out
}

// Closed reports whether somebody closed the log.
func (d Document) Closed() bool { return len(d.Told(kinds.LogClosed{}.Kind())) > 0 }

// Harm returns the entries that speak of people who may have been hurt or exposed,
// though nobody logged an injury.
func (d Document) Harm() (out []Row) {
	for _, day := range d.Timeline {
		for _, r := range day.Rows {
			if r.Harm && r.Live {
				out = append(out, r)
			}
		}
	}
	return out
}

// Smoke returns the entries in which smoke or fire was reported with the mishap, or
// those in which it was explained.
func (d Document) Smoke(how string) (out []Row) {
	for _, day := range d.Timeline {
		for _, r := range day.Rows {
			if r.Smoke == how && r.Live {
				out = append(out, r)
			}
		}
	}
	return out
}

// smoke says whether an entry reports smoke or fire with the mishap, which need not
// have been one, or explains what it was.
func smoke(p events.Payload) string {
	said := func(word string) bool {
		return word != "" && !strings.EqualFold(word, "no") && !strings.EqualFold(word, "none")
	}
	switch k := p.(type) {
	case kinds.Mishap:
		if said(k.Smoke) || said(k.Fire) {
			return "reported"
		}
	case kinds.Note:
		if k.Smoke != "" || k.Fire != "" {
			return "explained"
		}
	case kinds.FireSeen:
		return "explained"
	}
	return ""
}

// harm reports whether an entry speaks of somebody carried away, in rehab with
// symptoms or an exposure, or for whose sake work was stopped.
func harm(p events.Payload) bool {
	switch k := p.(type) {
	case kinds.LeftScene:
		return k.Carrying != "" && k.Condition != ""
	case kinds.RehabIn:
		return k.Exposure != "" || k.Symptoms != "" && !strings.EqualFold(k.Symptoms, "none")
	case kinds.StopWork:
		return k.Worker != ""
	}
	return false
}

// days makes the rows of the full timeline and parts them by day in the zone.
func days(cat *events.Catalogue, tl *events.Timeline, zone *time.Location) (out []Day) {
	several := len(logEnds(tl)) > 1
	doubts := doubted(tl)
	for _, e := range tl.Entries {
		d := dayOf(e.Time(), zone)
		if n := len(out); n == 0 || !out[n-1].Date.Equal(d) {
			out = append(out, Day{Date: d})
		}
		r := row(cat, tl, e, clock{zone, d})
		r.Marks = slices.Concat(r.Marks, doubts[e.ID])
		if several {
			r.Node = e.Node
		}
		out[len(out)-1].Rows = append(out[len(out)-1].Rows, r)
	}
	return out
}

// doubted marks the entries that a doubt names, and says how the doubt ended.
func doubted(tl *events.Timeline) map[events.ID][]string {
	ended := map[events.ID]string{}
	for e := range tl.Live() {
		if k, ok := e.Payload.(kinds.DoubtSettled); ok {
			ended[k.Entry] = fmt.Sprintf("settled by entry %d: %s", e.Seq, k.Ruling)
		}
	}
	marks := map[events.ID][]string{}
	for e := range tl.Live() {
		k, ok := e.Payload.(kinds.DoubtRaised)
		if !ok {
			continue
		}
		for _, id := range k.Entry {
			mark := fmt.Sprintf("in doubt by entry %d, %s", e.Seq, either(ended[e.ID], "open"))
			marks[events.ID(id)] = append(marks[events.ID(id)], mark)
		}
	}
	return marks
}

func row(cat *events.Catalogue, tl *events.Timeline, e *events.Entry, c clock) Row {
	r := Row{
		Seq: e.Seq, Kind: e.Payload.Kind(), At: projections.MomentOf(e), Live: e.Live(), When: c.when(e.Occurred), By: e.ObservedBy, RelayedBy: e.RelayedBy, Channel: string(e.Channel),
		Where: e.Where, Trust: string(e.Trust), Line: cat.Line(e.Payload), Words: e.Words, Extra: e.Extra, Marks: e.Marks,
		Harm: harm(e.Payload), Smoke: smoke(e.Payload),
	}
	if e.Occurred.Form == events.Before {
		if anchor := tl.Find(e.Occurred.Entry); anchor != nil {
			r.Before = anchor.Seq
		}
	}
	if late, least := delay(e); late >= lateAfter {
		r.Told, r.Late = c.clock(e.KnownAt()), least+digits(math.Trunc(late.Minutes()))
	}
	r.putRight(cat, e, c)
	return r
}

// delay is how long after it happened an entry was told. Of a soft time it is the
// least it can have been, and least says so.
func delay(e *events.Entry) (d time.Duration, least string) {
	if e.Occurred.Form == events.Bracket || e.Occurred.Form == events.Day {
		return e.KnownAt().Sub(e.Occurred.Latest()), "at least "
	}
	return e.Delay(), ""
}

// putRight adds what other entries did to e and what e does to another.
func (r *Row) putRight(cat *events.Catalogue, e *events.Entry, c clock) {
	for _, k := range e.PutRight {
		r.Fixes = append(r.Fixes, fix(k, c))
	}
	if was := cat.Line(e.Said); was != r.Line {
		r.Was = was
	}
	if len(e.PutRight) > 0 && !e.SaidWhen.At.Equal(e.Occurred.At.Add(e.ClockOff)) {
		r.WasTime = c.when(e.SaidWhen)
	}
	if e.Struck != nil {
		f := fix(e.Struck, c)
		r.Struck = &f
	}
	if says := func(mark string) bool { return strings.HasPrefix(mark, "second witness") }; e.Joined != nil && !slices.ContainsFunc(r.Marks, says) {
		r.Marks = append(slices.Clone(r.Marks), fmt.Sprintf("second witness of entry %d", e.Joined.Seq))
	}
	for _, w := range e.Witnesses {
		r.Witness = append(r.Witness, Witness{w.Seq, w.ObservedBy})
	}
	if e.Target != nil {
		r.ActsOn = e.Target.Seq
	}
}

// fix says what a correction or strike did, when and on whose word.
func fix(e *events.Entry, c clock) Fix {
	f := Fix{By: e.Seq, Who: e.ObservedBy, Told: c.clock(e.KnownAt())}
	if corrector, ok := e.Payload.(events.Corrector); ok {
		k := corrector.Corrects()
		f.Was, f.Now, f.Equals = k.Was, k.Now, k.Equals
	}
	switch k := e.Payload.(type) {
	case kinds.Correction:
		f.Why, f.Who = k.Why, either(k.By, f.Who)
	case kinds.Struck:
		f.Why, f.Who = k.Why, either(k.By, f.Who)
	}
	f.Why = strings.TrimSuffix(f.Why, ".")
	return f
}

func either(a, b string) string {
	if a != "" {
		return a
	}
	return b
}
