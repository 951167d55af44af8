package console

import (
	"cmp"
	"fmt"
	"html/template"
	"slices"
	"time"

	"tankside/events"
	"tankside/projections"
	"tankside/projections/live"
)

// shell is the page around what changes.
type shell struct {
	*view
	Title    string
	Incident string
	Exercise bool
	Served   string // the name under which it is served, by which a page tells that another is
	Build    string // of the program
	Token    string
	Pages    []page
	Clock    string // the hour of the scene, until the page keeps its own
	Zone     string
	OffsetMS int   // of the zone, for the clock on the page
	NowMS    int64 // the hour at the incident
	MishapMS int64
	Parts    map[string]template.HTML
	Latest   template.HTML
	Others   []Other // incidents that are open at the same time
	Code     string  // by which another machine is paired; "" where none may come, and on those
	Far      bool
	Draft    draft // that was being typed on this machine
}

func shellOf(v *view, news *live.News) shell {
	c := v.console
	at := v.At.In(v.zone)
	_, seconds := at.Zone()
	s := shell{
		view: v, Title: v.Page.Title, Incident: cmp.Or(v.State.Incident, c.cfg.Name), Exercise: v.State.Mode == string(events.Exercise),
		Served: c.cfg.Name, Build: build(), NowMS: c.cfg.Now().UnixMilli(),
		Token: c.token, Pages: pageList, Clock: at.Format(time.TimeOnly), Zone: offset(at), OffsetMS: seconds * 1000, Parts: map[string]template.HTML{},
		Far: !v.Page.Line,
	}
	if t := v.mishap(); !t.IsZero() {
		s.MishapMS = t.UnixMilli()
	}
	for _, p := range c.parts(v.Page, v) {
		s.Parts[p.id] = template.HTML(p.html) // our own template's, escaped there
	}
	if v.Page.Line {
		s.Latest = template.HTML(c.latest(news).html)
	}
	return s
}

// mishap is when the tank went over, zero where it is not recorded.
func (v *view) mishap() time.Time {
	for _, b := range v.State.Benchmarks {
		if b.Name == "crash" || b.Name == "mishap" {
			return b.At.Best
		}
	}
	return time.Time{}
}

// banner is what stands across the top: only that work is stopped, that the radio is
// quiet, that the board is not kept up, or that nothing can be saved. The last is the
// page's own to show.
func (v *view) banner() (out []bannerLine) {
	if v.Stuck != "" {
		out = append(out, bannerLine{"BOARD STANDS", v.Stuck + "; go on writing, and start tankside again", ""})
	}
	for _, s := range v.State.Stops {
		if s.End.IsZero() {
			out = append(out, bannerLine{"STOPPED", join(", ", s.Place, s.Why) + ", since " + v.clock(s.Start), since(v.At, s.Start.Best)})
		}
	}
	for _, o := range v.State.Quality.Outages {
		if o.What == "radio" && o.End.IsZero() {
			out = append(out, bannerLine{"RADIO QUIET", join(", ", o.Where, o.Cause) + ", since " + v.clock(o.Start), since(v.At, o.Start.Best)})
		}
	}
	return out
}

type bannerLine struct{ Word, Text, For string }

// alarms are the few things that cannot wait.
func (v *view) alarms() (out []alarm) {
	for _, a := range v.Incident.Alarms {
		stop := slices.ContainsFunc(v.State.Stops, func(s projections.Stop) bool {
			return s.End.IsZero() && slices.Equal(s.Start.From, a.Since.From)
		})
		out = append(out, alarm{join(" ", a.Rule, a.Subject, fmt.Sprint(a.Since.From)), a.Statement, stop})
	}
	return out
}

// alarm is said to those who hear the page; one that the banner shows is not shown twice.
type alarm struct {
	Key       string // of the same alarm as long as it stands: its words change with the hour
	Statement string
	Bannered  bool
}

// clocks is how one looks back.
func (v *view) clocks() clocks {
	present := v
	if v.Back {
		present = v.console.now()
	}
	first, minutes := present.reach()
	c := clocks{Back: v.Back, Minutes: minutes, AsOf: minutes, KnownAt: minutes, Page: v.Page.Name}
	tl := v.Timeline.View
	c.AsOfText, c.KnownText = "now", "now"
	if !tl.AsOf.IsZero() {
		c.AsOf, c.AsOfText = int(tl.AsOf.Sub(first).Minutes()), v.hour(tl.AsOf)
	}
	if !tl.KnownAt.IsZero() {
		c.KnownAt, c.KnownText = int(tl.KnownAt.Sub(first).Minutes()), v.hour(tl.KnownAt)
	}
	return c
}

type clocks struct {
	Page                string
	Back                bool
	Minutes             int
	AsOf, KnownAt       int
	AsOfText, KnownText string
}

// clock writes the time of day of a moment and, where it is not the first day's, the
// day; what is soft says about.
func (v *view) clock(m projections.Moment) string {
	switch {
	case m.IsZero():
		return notSaid
	case m.DayOnly():
		return m.Best.In(v.zone).Format("2 Jan")
	case m.Soft():
		return "about " + v.hour(m.Best)
	}
	return v.hour(m.Best)
}

// hour writes the time of day, with +1 for the day after the first.
func (v *view) hour(t time.Time) string {
	t = t.In(v.zone)
	text := t.Format("15:04")
	y, m, d := t.Date()
	midnight := time.Date(y, m, d, 0, 0, 0, 0, v.zone)
	if days := int(midnight.Sub(v.dayOne).Hours()+12) / 24; days > 0 {
		text += " +" + digits(float64(days), 0)
	}
	if repeated(t) {
		text += t.Format(" MST")
	}
	return text
}

// repeated reports whether the time of day of t comes twice that day, as the clocks go
// back.
func repeated(t time.Time) bool {
	const layout = "2 Jan 15:04"
	return t.Add(time.Hour).Format(layout) == t.Format(layout) || t.Add(-time.Hour).Format(layout) == t.Format(layout)
}
