package console

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections/live"
)

// lateAfter is the delay from which an entry shows when it was told.
// Common practice, no source.
const lateAfter = 2 * time.Minute

// latestRows is how many entries stand below a board: seven fit above the line at
// 1366 x 768.
const latestRows = 7

// storyRows is how many entries the story shows at once; the rest is found by words.
const storyRows = 300

// row is one entry as a line of a list.
type row struct {
	Seq     events.Seq
	At      string
	Day     string // set where another day begins
	Told    string // when it was told, where that was late
	Who     string
	Where   string
	Text    string
	Words   string
	Was     string // the line as first recorded, where it was put right
	Why     string // of the correction or the strike
	By      events.Seq
	Struck  bool
	Doubt   bool
	Joined  events.Seq
	Witness []events.Seq
	Moved   string // where it was typed first, of an entry that was moved here
	Marks   []string
	Cited   []int // findings of the report that stand on it, by their number there
}

// latest is the newest entries, in the order of the log: what was typed last stands
// last, wherever in the story it belongs.
func (c *Console) latest(news *live.News) part {
	entries := news.Entries[max(0, len(news.Entries)-latestRows):]
	v := &view{console: c, zone: c.zone(news.Entries), entry: news.Order.Find}
	if len(news.Entries) > 0 {
		v.firstDay(news.Entries[0].KnownAt())
	}
	rows := make([]row, 0, len(entries))
	for i := range entries {
		e := news.Order.Find(entries[i].ID)
		if e == nil || e.Seq != entries[i].Seq { // not folded yet
			e = &events.Entry{Recorded: entries[i], Said: entries[i].Payload, Marks: entries[i].Faults}
		}
		rows = append(rows, v.row(e))
	}
	return c.execute("latest", rows)
}

// row writes an entry down.
func (v *view) row(e *events.Entry) row {
	c := v.console.cfg.Catalogue
	r := row{
		Seq: e.Seq, At: v.when(e), Who: e.ObservedBy, Where: e.Where, Text: v.line(e.Payload), Words: e.Words,
		Struck: e.Struck != nil, Moved: kinds.MovedFrom(e.Extra), Marks: e.Marks,
	}
	if n, ok := e.Payload.(kinds.Note); ok && r.Words != "" && (n.Text == "" || strings.EqualFold(n.Text, strings.TrimRight(r.Words, "."))) {
		n.Text = r.Words // the words of a note are what it says
		r.Text, r.Words = strings.TrimPrefix(c.Line(n), "Note: "), ""
	}
	told := e.KnownAt()
	if at := e.Occurred.At; !at.IsZero() && told.Sub(at) >= lateAfter {
		r.Told = v.hour(told)
	}
	if n := len(e.PutRight); n > 0 {
		last := e.PutRight[n-1]
		r.Was, r.By = v.line(e.Said), last.Seq
		if k, ok := last.Payload.(kinds.Correction); ok {
			r.Why = k.Why
		}
	}
	if e.Struck != nil {
		r.By = e.Struck.Seq
		if k, ok := e.Struck.Payload.(kinds.Struck); ok {
			r.Why = k.Why
		}
	}
	if e.Joined != nil {
		r.Joined, r.Marks = e.Joined.Seq, nil // it says so itself
	}
	for _, w := range e.Witnesses {
		r.Witness = append(r.Witness, w.Seq)
	}
	for _, p := range e.Extra {
		if p.Key == readWithout {
			r.Marks = append(slices.Clip(r.Marks), readWithout+" "+p.Value)
		}
	}
	_, raised := e.Payload.(kinds.DoubtRaised)
	r.Doubt = raised || len(r.Marks) > 0
	return r
}

// line writes what an entry says. Entries that it names go by their numbers, as on the
// page; in the log they go by their ids.
func (v *view) line(p events.Payload) string {
	c := v.console.cfg.Catalogue
	text := c.Line(p)
	if !strings.Contains(text, "entry ") {
		return text
	}
	for _, value := range c.Values(p) {
		if e := v.entry(events.ID(value.Value)); e != nil {
			text = strings.ReplaceAll(text, "entry "+e.ID.Short(), fmt.Sprintf("entry %d", e.Seq))
		}
	}
	return text
}

// when writes when an entry happened.
func (v *view) when(e *events.Entry) string {
	switch w := e.Occurred; w.Form {
	case events.Before:
		return "before"
	case events.Day:
		return w.At.In(v.zone).Format("2 Jan")
	case events.Bracket:
		return "~" + v.hour(w.At)
	case events.Span:
		return v.hour(w.At) + "–" + w.To.In(v.zone).Format("15:04")
	default:
		return v.hour(w.At)
	}
}

// firstDay sets the day from which days are counted.
func (v *view) firstDay(t time.Time) {
	y, m, d := t.In(v.zone).Date()
	v.dayOne = time.Date(y, m, d, 0, 0, 0, 0, v.zone)
}

// storyModel is the timeline with what can be done about an entry.
type storyModel struct {
	Rows  []row
	Query string
	More  int // entries that are not shown
	All   int
}

// story is the timeline in the order in which things happened, newest last.
func story(v *view) any {
	m := storyModel{Query: v.Query, All: len(v.Timeline.Entries)}
	var shown []*events.Entry
	for _, e := range v.Timeline.Entries {
		if v.Query == "" || v.matches(e) {
			shown = append(shown, e)
		}
	}
	m.More = max(0, len(shown)-storyRows)
	day := ""
	for _, e := range shown[m.More:] {
		r := v.row(e)
		r.Cited = v.cited(e.Seq)
		if d := e.Time().In(v.zone).Format("Monday 2 January"); d != day {
			r.Day, day = d, d
		}
		m.Rows = append(m.Rows, r)
	}
	return m
}

// cited lists the findings in the report that stand on an entry.
func (v *view) cited(seq events.Seq) (out []int) {
	n := 0
	for _, f := range v.State.Review.Findings {
		if f.Verdict == "dismissed" {
			continue
		}
		if n++; slices.Contains(f.Evidence, seq) {
			out = append(out, n)
		}
	}
	return out
}

// matches reports whether an entry holds every word that is looked for.
func (v *view) matches(e *events.Entry) bool {
	text := strings.ToLower(fmt.Sprint(v.console.cfg.Catalogue.Line(e.Payload), " ", e.Words, " ", e.ObservedBy, " ", e.Where, " #", e.Seq, " ", e.Payload.Kind()))
	return !slices.ContainsFunc(strings.Fields(strings.ToLower(v.Query)), func(w string) bool { return !strings.Contains(text, w) })
}
