package console

import (
	"fmt"
	"html/template"
	"slices"
	"strings"
	"time"

	"tankside/events"
	"tankside/projections"
	"tankside/report"
)

// productModel is the product page.
type productModel struct {
	Basis   string
	Totals  []figureRow
	Verdict string
	agreement
	Legs      []legRow
	Receivers []receiverRow
	Holds     []holdRow
	Aside     []string
	Questions []questionRow
	Pictures  []template.HTML
	Hidden    hidden
}

type figureRow struct {
	Name, Value, How string
	Share            int // percent of the load, for the bar; 0 where that is not known
}

type legRow struct{ ID, From, To, Start, Stop, Gross, Net, Rate, By string }

type receiverRow struct{ ID, Product, Net, Room, RoomBy, Ways string }

type holdRow struct{ ID, Product, State, Load, Out, Released, Dip, Left string }

type questionRow struct {
	Seq    int
	Text   string
	WayOut string
}

func product(v *view) any {
	vol := v.State.Volume
	m := productModel{Basis: vol.Basis, Verdict: vol.Verdict, agreement: v.agreement(), Totals: totals(&vol)}
	v.drawn(func(d *report.Document) { m.Pictures = v.pictures(d.Product(pictureWidth), &m.Hidden) })
	for _, l := range newest(v, vol.Legs, mostRows, &m.Hidden.Rows) {
		m.Legs = append(m.Legs, v.leg(l))
	}
	for _, r := range vol.Receivers {
		m.Receivers = append(m.Receivers, receiverRow{r.ID, r.Product, band(r.Net.Figure), number(r.Room), r.RoomBy, ways(r.Measured)})
	}
	for _, c := range vol.Compartments {
		m.Holds = append(m.Holds, holdRow{c.ID, c.Product, c.State, number(c.Load), number(c.Transferred), number(c.Released), number(c.Dip), number(c.Aboard)})
	}
	for _, s := range vol.SetAside {
		m.Aside = append(m.Aside, aside(s))
	}
	for _, q := range vol.Questions {
		if len(q.Settled) == 0 {
			m.Questions = append(m.Questions, questionRow{int(q.Seq), fmt.Sprintf("%s, %s: %s", q.About, q.What, q.Why), q.WayOut})
		}
	}
	return m
}

// aside says what the answers do without, why, and who ruled so.
func aside(s projections.SetAside) string {
	text := s.What + ", " + amount(s.Gross.Figure) + ": " + s.Why
	if s.By != "" {
		text += " (ruled by " + s.By + ")"
	}
	return text
}

// totals says where the product is, line by line.
func totals(vol *projections.VolumeState) (out []figureRow) {
	for _, f := range []struct {
		name string
		f    projections.Figure
		part bool // of the load
	}{
		{"load", vol.Load, true},
		{"delivered before", vol.Delivered, true},
		{"transferred", vol.Transferred, true},
		{"released", vol.Released, true},
		{"evaporated", vol.Evaporated, true},
		{"left in the tank, dipped", vol.Remaining, true},
		{"should still be aboard", vol.Aboard, true},
		{"recovered from the ground", vol.Recovered, false},
		{"left over", vol.LeftOver, false},
		{"unaccounted", vol.Unaccounted, false},
	} {
		row := figureRow{Name: f.name, Value: band(f.f), How: f.f.Method}
		if !f.f.Known && len(f.f.Missing) > 0 {
			row.How = "missing: " + strings.Join(f.f.Missing, ", ")
		}
		if f.part && vol.Load.Known && vol.Load.Value > 0 && f.f.Known {
			row.Share = int(min(max(f.f.Value/vol.Load.Value*100, 0), 100) + 0.5)
		}
		out = append(out, row)
	}
	return out
}

func (v *view) leg(l projections.LegState) legRow {
	row := legRow{l.ID, l.From, l.To, v.clock(l.Start), v.clock(l.Stop), band(l.Gross.Figure), number(l.Net.Figure), number(l.Rate), notSaid}
	if l.Stop.IsZero() {
		row.Stop = "RUNNING"
	}
	for _, m := range l.Measured {
		if m.Counts {
			row.By = m.Method
		}
	}
	return row
}

// ways writes each way in which a volume was measured, with what does not count.
func ways(ms []projections.Measurement) string {
	var out []string
	for _, m := range ms {
		if !m.Net.Known {
			continue
		}
		text := m.Method + " " + number(m.Net.Figure)
		switch {
		case m.SetAside != "":
			text += " (set aside)"
		case m.Agrees == "disagrees":
			text += " (disagrees)"
		}
		out = append(out, text)
	}
	return strings.Join(out, ", ")
}

// peopleModel is the people page.
type peopleModel struct {
	In      []inside
	Count   int
	Backup  string
	PAR     string
	Resting []string
	People  []personRow
	Stays   []stayRow
	Notes   []string // what is so now
	Earlier []string // what was
	Picture []template.HTML
	Hidden  hidden
}

// note takes down what is or was so.
func (m *peopleModel) note(i projections.Interval, text string) {
	if i.End.IsZero() {
		m.Notes = append(m.Notes, text)
	} else {
		m.Earlier = append(m.Earlier, text)
	}
}

type personRow struct{ Person, Where, Trips, Minutes, Longest, Used, Rate string }

type stayRow struct {
	Person, Pair, In, Out, Minutes, AirIn, AirOut, Task string
	Open                                                bool
	start                                               time.Time
}

func people(v *view) any {
	acc := v.State.Accountability
	m := peopleModel{In: v.inside(), Count: len(acc.In), Backup: v.backup(), PAR: v.rollCall(), Resting: v.resting()}
	v.drawn(func(d *report.Document) { m.Picture = v.pictures(d.People(2*pictureWidth), &m.Hidden) })
	for _, p := range v.State.People {
		row := personRow{p.Person, "out", fmt.Sprint(p.Number), number(p.Minutes), number(p.Longest), number(p.AirUsed), number(p.AirRate)}
		switch {
		case p.In:
			row.Where = "IN"
		case p.Number == 0:
			row.Where = "not in yet"
		}
		m.People = append(m.People, row)
		for _, t := range p.Trips {
			m.Stays = append(m.Stays, stayRow{
				p.Person, t.Pair, v.clock(t.Start), v.clock(t.End), number(t.Minutes), number(t.PressureIn), number(t.PressureOut),
				join(", ", t.Task, t.Place), t.End.IsZero(), t.Start.Best,
			})
		}
	}
	m.Stays = v.newestStays(m.Stays, &m.Hidden.Rows)
	for _, u := range acc.Unbacked {
		m.note(u, fmt.Sprintf("Somebody in and no backup named: %s to %s.", v.clock(u.Start), v.until(u)))
	}
	for _, g := range acc.LateRolls {
		m.note(g.Interval, fmt.Sprintf("No PAR recorded for %s, %s to %s; ordered every %s.", amount(g.Minutes), v.clock(g.Start), v.until(g.Interval), amount(g.Limit)))
	}
	m.Earlier = newest(v, m.Earlier, mostRows, &m.Hidden.Rows)
	return m
}

// newestStays leaves out the stays that began before the newest ones, wherever they stand;
// whoever is in stays.
func (v *view) newestStays(stays []stayRow, left *int) []stayRow {
	var starts []time.Time
	for _, s := range stays {
		starts = append(starts, s.start)
	}
	slices.SortFunc(starts, time.Time.Compare)
	if starts = newest(v, starts, mostRows, left); len(starts) == len(stays) {
		return stays
	}
	return slices.DeleteFunc(stays, func(s stayRow) bool { return !s.Open && s.start.Before(starts[0]) })
}

// What a page of a long log shows unless it is asked for all: it is sent anew with every
// entry.
const (
	mostRows     = 300
	mostPictures = 12      // of legs
	mostDrawn    = 100_000 // bytes of one picture
)

// hidden counts what a page of a long log leaves out.
type hidden struct{ Rows, Pictures int }

// all reports whether the page is to leave out nothing.
func (v *view) all() bool { return v.Query == "all" }

// newest is the end of a list, and counts what it leaves out.
func newest[T any](v *view, list []T, most int, left *int) []T {
	n := len(list) - most
	if n <= 0 || v.all() {
		return list
	}
	*left += n
	return list[n:]
}

// pictureWidth is the width of a picture in px: two stand beside each other on a laptop.
const pictureWidth = 620

// drawn lets do take pictures from the report of the moment.
func (v *view) drawn(do func(*report.Document)) {
	v.Read(func(inc *projections.Incident, tl *events.Timeline) {
		d := report.Build(v.console.cfg.Catalogue, inc, tl, v.At)
		do(&d)
	})
}

// pictures are drawn by the report, which escapes what was said.
func (v *view) pictures(ps []report.Picture, left *hidden) (out []template.HTML) {
	all := len(ps)
	if !v.all() {
		ps = slices.DeleteFunc(ps, func(p report.Picture) bool { return len(p.SVG) > mostDrawn })
		left.Pictures = all - len(ps)
	}
	legs := slices.IndexFunc(ps, func(p report.Picture) bool { return strings.HasPrefix(p.Name, "leg ") })
	if legs < 0 {
		legs = len(ps)
	}
	for _, p := range slices.Concat(ps[:legs], newest(v, ps[legs:], mostPictures, &left.Pictures)) {
		out = append(out, template.HTML(p.SVG))
	}
	return out
}

// until is the end of a stretch, or now.
func (v *view) until(i projections.Interval) string {
	if i.End.IsZero() {
		return "now"
	}
	return v.clock(i.End)
}

// dueModel is the page of what is due and what was found.
type dueModel struct {
	Timers   []due1
	Findings []findingRow
	More     int // findings that have no room
	Off      []string
	Book     string
}

type findingRow struct {
	At, For, Text, Limit, Severity, Subject string
	From                                    []int
}

// mostFound is how many findings the page shows, the most serious first.
const mostFound = 300

func due(v *view) any {
	m := dueModel{Timers: v.timers(), Book: v.Incident.RuleBook}
	found := slices.Clone(v.Incident.Findings)
	slices.SortStableFunc(found, func(a, b projections.Finding) int { return b.Severity.Rank() - a.Severity.Rank() })
	m.More = max(0, len(found)-mostFound)
	for _, f := range found[:len(found)-m.More] {
		row := findingRow{At: v.clock(f.Start), Text: f.Statement, Severity: string(f.Severity), Subject: f.Subject}
		if f.Minutes.Known {
			row.For = span(f.Minutes.Value)
		}
		if f.Limit != nil {
			row.Limit = fmt.Sprintf("limit %s%s; %s", digits(f.Limit.Value, 2), unit(f.Limit.Unit), join(", ", f.Limit.Source, f.Limit.Edition))
		}
		for _, s := range f.From {
			row.From = append(row.From, int(s))
		}
		m.Findings = append(m.Findings, row)
	}
	for _, r := range v.Incident.RulesOff {
		m.Off = append(m.Off, r.Title+": "+r.Why)
	}
	return m
}
