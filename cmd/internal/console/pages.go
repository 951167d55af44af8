package console

import (
	"bytes"
	"encoding/json"
	"fmt"
	"html/template"
	"net/http"
	"slices"
	"strconv"
	"time"

	"tankside/events"
	"tankside/projections/live"
	"tankside/templates"
)

// page is one page of the console.
type page struct {
	Name  string
	Path  string
	Title string
	Key   string // the function key that leads to it
	Line  bool   // has the entry line and the latest entries
	Still bool   // is made when it is asked for: the feed leaves alone what somebody writes on it
	model func(*view) any
}

// pageList are the pages in the order of their keys.
var pageList = []page{
	{Name: "board", Path: "/", Title: "Board", Key: "F2", Line: true, model: nearBoard},
	{Name: "story", Path: "/story", Title: "Story", Key: "F3", Line: true, model: story},
	{Name: "product", Path: "/product", Title: "Product", Key: "F4", Line: true, model: product},
	{Name: "people", Path: "/people", Title: "People", Key: "F7", Line: true, model: people},
	{Name: "due", Path: "/due", Title: "Due", Key: "F8", Line: true, model: due},
	{Name: "desk", Path: "/desk", Title: "Desk", Key: "F6", Still: true, model: deskPage},
	{Name: "far", Path: "/far", Title: "Far", Key: "F9", model: farBoard},
}

// pattern is the page's path for the router, where "/" alone means everything below it.
func (p page) pattern() string {
	if p.Path == "/" {
		return "/{$}"
	}
	return p.Path
}

func pageOf(name string) (page, bool) {
	i := slices.IndexFunc(pageList, func(p page) bool { return p.Name == name })
	if i < 0 {
		return page{}, false
	}
	return pageList[i], true
}

// parsePages reads the templates, which are built in.
func parsePages() *template.Template {
	t := template.New("").Option("missingkey=error").Funcs(template.FuncMap{
		"number": number, "amount": amount, "band": band, "span": span, "digits": digits,
		"static": static,
	})
	return template.Must(t.ParseFS(templates.Console, "console/*.html"))
}

// view is what a page is made from: the incident at one hour, and how one looks at it.
type view struct {
	*live.Scene
	console *Console
	Page    page
	Back    bool // through other clocks than the present
	Query   string
	asked   *http.Request // that the page is made for; nil for the feed
	zone    *time.Location
	dayOne  time.Time // midnight before the first entry
	entry   func(events.ID) *events.Entry
}

// part is a piece of a page that the feed may replace.
type part struct{ id, html string }

// as is the part under another id.
func (p part) as(id string) part { return part{id, p.html} }

// zone is that of the incident: of its first entry, or of this machine's clock.
func (c *Console) zone(recorded []events.Recorded) *time.Location {
	if len(recorded) > 0 && !recorded[0].Occurred.At.IsZero() {
		return recorded[0].Occurred.At.Location()
	}
	return c.cfg.Now().Location()
}

// now is the newest scene.
func (c *Console) now() *view { return c.view(c.cfg.Live.News().Scene) }

func (c *Console) view(s *live.Scene) *view {
	v := &view{Scene: s, console: c, zone: c.zone(s.Recorded), entry: s.Timeline.Find}
	first := s.At
	if len(s.Recorded) > 0 {
		first = s.Recorded[0].KnownAt()
	}
	v.firstDay(first)
	return v
}

// look is the state that a request asks for: at this hour, or through the clocks that
// it names as minutes after the first entry.
func (c *Console) look(r *http.Request) *view {
	q := r.URL.Query()
	v := c.now() // its reach is what the minutes count in
	asOf, known := v.minute(q.Get("as_of")), v.minute(q.Get("known_at"))
	if !asOf.IsZero() || !known.IsZero() {
		v = c.view(c.cfg.Live.Back(events.View{AsOf: asOf, KnownAt: known}))
		v.Back = true
	}
	v.Query = q.Get("q")
	return v
}

// minute is the moment so many minutes after the first entry; zero where none is named,
// or the last is.
func (v *view) minute(text string) time.Time {
	n, err := strconv.Atoi(text)
	if first, last := v.reach(); err == nil && n >= 0 && n < last {
		return first.Add(time.Duration(n) * time.Minute)
	}
	return time.Time{}
}

// reach is when the incident begins and how many minutes it has lasted.
func (v *view) reach() (first time.Time, minutes int) {
	for _, e := range v.Timeline.Entries {
		if t := e.Time(); !t.IsZero() && (first.IsZero() || t.Before(first)) && v.At.Sub(t) < 7*24*time.Hour {
			first = t
		}
	}
	if first.IsZero() {
		return v.At, 0
	}
	first = first.Truncate(time.Minute)
	return first, int(v.At.Sub(first).Minutes()) + 1
}

// page answers with a whole page.
func (c *Console) page(p page) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		v := c.look(r)
		v.Page, v.asked = p, r
		news := c.cfg.Live.News()
		shell := shellOf(v, &news)
		shell.Code, shell.Others = c.code(r), c.others(r)
		shell.Draft = c.drafts.of(c.known(w, r))
		var buf bytes.Buffer
		if err := c.pages.ExecuteTemplate(&buf, "page", shell); err != nil {
			c.fault(w, err)
			return
		}
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		w.Header().Set(ofHeader, c.of())
		_, _ = buf.WriteTo(w) // a reader that is gone is not our fault
	}
}

// part answers with the board of a page alone, as the slider of the two clocks asks it.
func (c *Console) part(w http.ResponseWriter, r *http.Request) {
	p, ok := pageOf(r.URL.Query().Get("page"))
	if !ok {
		http.Error(w, "There is no such page.", http.StatusNotFound)
		return
	}
	v := c.look(r)
	v.Page = p
	for _, part := range c.parts(p, v) {
		fmt.Fprintf(w, `<hx-partial hx-target="#%s" hx-swap="innerMorph">%s</hx-partial>`, part.id, part.html)
	}
}

func (c *Console) fault(w http.ResponseWriter, err error) {
	c.cfg.Program.Error("page", "err", err)
	http.Error(w, "This page could not be made; the log is not touched by that.", http.StatusInternalServerError)
}

// parts are the pieces of a page that change with the incident.
func (c *Console) parts(p page, v *view) []part {
	v.Page = p
	present := v
	if v.Back { // what cannot wait is never of another hour
		present = c.now()
	}
	if p.Still { // it is of the present alone, and what somebody writes on it stays
		frame := []part{c.execute("banner", present.banner()), c.execute("alarms", present.alarms())}
		if v.asked == nil {
			return frame
		}
		return append(frame, part{id: "clocks"}, c.execute(p.Name, p.model(v)).as("board"))
	}
	return []part{
		c.execute("banner", present.banner()),
		c.execute("alarms", present.alarms()),
		c.execute("clocks", v.clocks()),
		c.execute(p.Name, p.model(v)).as("board"),
	}
}

// execute fills a template. One that fails says so in its place: the rest of the page
// is needed all the same.
func (c *Console) execute(name string, data any) part {
	var buf bytes.Buffer
	if err := c.pages.ExecuteTemplate(&buf, name, data); err != nil {
		c.cfg.Program.Error("part of a page", "part", name, "err", err)
		return part{name, "<p>This part could not be shown.</p>"}
	}
	return part{name, buf.String()}
}

// pulse says that the feed lives, at what hour of the incident, and what is saved.
func (c *Console) pulse(news *live.News) string {
	now := c.cfg.Now()
	at := now.In(c.zone(news.Entries))
	_, seconds := at.Zone()
	p := struct {
		Now     int64      `json:"now"` // ms
		Last    events.Seq `json:"last"`
		Saved   string     `json:"saved"` // when the last entry was saved
		Trouble string     `json:"trouble"`
		Name    string     `json:"name"`   // of the incident
		Build   string     `json:"build"`  // of the program
		Offset  int        `json:"offset"` // ms of the zone now, which changes as the clocks go on or back
		Zone    string     `json:"zone"`
	}{now.UnixMilli(), news.Last(), "", c.cfg.Trouble(), c.cfg.Name, build(), seconds * 1000, offset(at)}
	if n := len(news.Entries); n > 0 {
		p.Saved = news.Entries[n-1].RecordedAt.In(c.zone(news.Entries)).Format(time.TimeOnly)
	}
	text, _ := json.Marshal(p) // numbers and strings
	return string(text)
}
