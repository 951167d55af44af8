package cli

import (
	"bufio"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"tankside/cmd/internal/scene"
	"tankside/events"
	"tankside/events/intake"
	speech "tankside/events/intake/lines"
	"tankside/projections"
)

// page is a page of notes on its way into the log.
type page struct {
	app     *App
	inc     *incident
	im      *importing
	name    string
	written time.Time
	known   []events.Recorded // the log, and the lines of the page so far
	seen    map[string]int    // how often a line stood above
	last    time.Time         // the latest time a line gave
	lines   []pageLine
}

// pageLine is a line of the page and what it becomes.
type pageLine struct {
	n       int
	reading speech.Reading
	drafts  []events.Draft
	there   bool
}

// bringInPage reads a page of notes, line by line, and appends what is new in it.
func (ss *session) bringInPage(cmd *cobra.Command, name string, im *importing, in io.Reader) error {
	inc, err := ss.load(cmd.Context(), name)
	if err != nil {
		return err
	}
	p := &page{app: ss.app, inc: inc, im: im, name: filepath.Base(im.file), known: inc.entries, seen: map[string]int{}}
	if im.file == "-" {
		p.name = "standard input"
	}
	if p.written, err = p.finished(); err != nil {
		return err
	}
	if err := p.read(in); err != nil {
		return err
	}
	p.untimed()
	p.gather()
	if im.dry && !asJSON(cmd) {
		p.show()
	}
	if !im.dry && (len(im.faults) == 0 || im.keepGoing) {
		if err := ss.add(cmd.Context(), inc, im); err != nil {
			return err
		}
	}
	err = ss.app.tellImport(cmd, inc.name, im)
	inc.idle(ss.app, im.added)
	return err
}

// finished is when the page was done with: its clock times are the last before.
func (p *page) finished() (time.Time, error) {
	now := p.app.Now().Truncate(time.Second)
	now = now.In(p.inc.zone(now))
	if p.im.written == "" {
		return now, nil
	}
	w, err := p.inc.saidTime(p.im.written, now)
	if err != nil || w.Form != events.Instant {
		return now, usage("--written: %q is not one moment; write 06:30 or 2025-10-15T06:30:00-05:00", p.im.written)
	}
	return w.At.In(now.Location()), nil
}

func (p *page) read(in io.Reader) error {
	s := bufio.NewScanner(io.LimitReader(in, intake.MaxSize))
	s.Buffer(nil, intake.MaxLine)
	for n := 1; s.Scan(); n++ {
		if text := strings.TrimSpace(strings.TrimPrefix(s.Text(), "\ufeff")); text != "" {
			p.im.rows++
			p.line(n, text)
		}
	}
	if err := s.Err(); err != nil {
		return usage("%s: %w; break long lines up", p.name, err)
	}
	return nil
}

// line reads one line against the log and the page so far.
func (p *page) line(n int, text string) {
	r := speech.Parse(p.scene(), text)
	drafts := r.Drafts
	if r.Ask != nil {
		drafts = r.Ask.Choices[0].Drafts
	}
	count := 0
	speech.Number(drafts, func() events.ID {
		count++
		return events.ContentID(time.Unix(0, 0), events.IncidentID(p.inc.name), "page", text, fmt.Sprint(p.seen[text]), fmt.Sprint(count))
	})
	p.seen[text]++
	for i := range drafts {
		d := &drafts[i]
		d.Incident, d.RecordedBy, d.Channel = p.inc.name, p.im.scribe, channelOf(d.Channel)
		d.Mode = p.mode()
		d.Source = events.Source{Name: p.name, Line: n, Raw: text}
		d.Extra = append(d.Extra, events.Pair{Key: "typed up later", Value: "from " + p.name})
		p.keep(*d, r.Timed)
	}
	l := pageLine{n: n, reading: r, drafts: drafts}
	if w := l.when(); !w.IsZero() {
		p.last = w.Latest()
	}
	p.lines = append(p.lines, l)
}

// channelOf is how a line of a page came: from a file, unless it says more.
func channelOf(said events.Channel) events.Channel {
	if said == events.Typed {
		return events.File
	}
	return said
}

func (p *page) mode() events.Mode {
	if len(p.inc.entries) > 0 {
		return p.inc.entries[0].Mode
	}
	if p.im.exercise {
		return events.Exercise
	}
	return events.Actual
}

// scene is what the incident and the page have taught so far.
func (p *page) scene() speech.Context {
	c := p.app.catalogue
	tl := c.NewTimeline(p.known, events.View{})
	ctx := scene.At(projections.Fold(c, tl), c, tl, p.written, p.im.scribe)
	ctx.Incident = p.inc.name
	return ctx
}

// keep adds a draft to what the next lines are read against: one without a time as of
// the line before it, and not at all before the first.
func (p *page) keep(d events.Draft, timed bool) {
	if !timed {
		if p.last.IsZero() {
			return
		}
		d.Occurred = events.At(p.last)
	}
	var prev *events.Recorded
	if n := len(p.known); n > 0 {
		prev = &p.known[n-1]
	}
	if r, err := p.app.catalogue.Seal(d, "page", prev, p.written); err == nil {
		p.known = append(p.known[:len(p.known):len(p.known)], r)
	}
}

// untimed gives the lines without a time the stretch between the lines around them; of
// those before the first time, only the day is known.
func (p *page) untimed() {
	next := p.written
	after := make([]time.Time, len(p.lines))
	for i := len(p.lines) - 1; i >= 0; i-- {
		after[i] = next
		if w := p.lines[i].when(); !w.IsZero() {
			next = w.Earliest()
		}
	}
	var last time.Time
	for i, l := range p.lines {
		w := l.when()
		switch {
		case !w.IsZero():
			last = w.Latest()
			continue
		case l.reading.Timed:
			continue // before another entry
		case last.IsZero():
			w = events.OnDay(after[i])
		case after[i].Before(last):
			w = events.At(last)
		default:
			w = events.Between(last, after[i])
		}
		for j := range l.drafts {
			l.drafts[j].Occurred = w
		}
	}
}

// when is the time that the line gives; zero where it gives none, or only an order.
func (l *pageLine) when() events.When {
	if w := l.drafts[0].Occurred; l.reading.Timed && w.Form != events.Before {
		return w
	}
	return events.When{}
}

// gather sorts out which lines the log has already: a line is known by its words, as
// what it becomes depends on what the log held when it was read.
func (p *page) gather() {
	have := map[events.ID]bool{}
	for _, r := range p.inc.entries {
		have[r.ID] = true
	}
	for i := range p.lines {
		l := &p.lines[i]
		if l.there = have[l.drafts[0].ID]; l.there {
			p.im.there++
			continue
		}
		for _, d := range l.drafts {
			if err := p.app.catalogue.Validate(d); err != nil {
				p.im.bad++
				p.im.faults = append(p.im.faults, intake.Fault{Name: p.name, Line: l.n, What: oneLine(err)})
				continue
			}
			p.im.fresh = append(p.im.fresh, d)
		}
	}
}

// show prints what each line would become.
func (p *page) show() {
	for _, l := range p.lines {
		state := string(l.reading.Certainty)
		if l.there {
			state = "already there"
		}
		fmt.Fprintf(p.app.Out, "%d  %s: %s\n", l.n, state, legible(l.reading.Raw))
		for _, d := range l.drafts {
			fmt.Fprintln(p.app.Out, "   "+p.inc.numbered(p.app, d))
		}
		if l.reading.Ask != nil {
			fmt.Fprintln(p.app.Out, "   asks: "+legible(l.reading.Ask.Text))
		}
		for _, h := range l.reading.Hints {
			fmt.Fprintln(p.app.Out, "   note: "+legible(h))
		}
	}
}
