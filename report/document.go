// Package report makes the after-action report of an incident: a Document of what
// was recorded and what follows from it, written as Markdown, and that Markdown
// as one self-contained page of HTML.
//
// The words stand in the templates; the numbers come from the projections. Every
// number leads to the entries it came from, in the full timeline at the end, and
// what nobody logged is "not recorded".
package report

import (
	"cmp"
	"slices"
	"time"

	"tankside/events"
	"tankside/projections"
)

// Document is the report of one incident at one view.
type Document struct {
	State     projections.State
	Made      time.Time      // when the report was made
	Signer    string         // who signs it, with the role; empty for a draft
	Zone      *time.Location // all times are shown in it
	ZoneName  string         // e.g. "UTC−05:00"
	OtherZone []string       // zones in which entries were made besides Zone
	ZoneTurn  string         // what became of the clocks meanwhile; "" where nothing did
	Began     time.Time      // first thing that happened
	Ended     time.Time      // last thing that happened
	Logs      []LogEnd       // one a log
	Timeline  []Day

	AirOf   []string // the quantities read, in the order of their first reading
	AirRows []*AirRow

	Exposure ExposureTables

	Static projections.Figure // what a path to earth may have and still drain a charge

	Falls []Fall // where the load went

	Trips []TripRow            // into the hot zone, by person
	OnAir []projections.Supply // of those who are in

	Entered          int      // people with a trip into the hot zone
	Silent           []string // phases that nothing was logged of
	Unrehabbed       []string // were in the hot zone, rehab not recorded
	Undecontaminated []string // were in the hot zone, decon not recorded

	Edition  Edition
	Of       string // the person or the unit of the edition
	Units    Units
	Photos   []Photo
	Activity []Row // of whom the edition is of
	Bill     *Bill // what the hours cost by the department's rates; nil without rates

	times clock
	told  []time.Time // when entries were told, in order
}

// LogEnd is the last entry of a log that a report holds. Its hash speaks for all
// entries before it.
type LogEnd struct {
	Node    string
	Entries int
	Last    events.Seq
	Hash    string
	Code    string // the beginning of the hash, short enough to say aloud
}

// Build gathers the full report from what a log says at one view: inc must be folded
// from tl. The moment now is when the report is made and stands on its cover.
func Build(cat *events.Catalogue, inc *projections.Incident, tl *events.Timeline, now time.Time) Document {
	d, err := BuildAs(cat, inc, tl, now, Options{})
	if err != nil {
		panic(err) // the full edition asks for nothing that could be missing
	}
	return d
}

// sceneZone is the zone of the first entry that has a time of day: a day alone is written
// without one.
func sceneZone(tl *events.Timeline) *time.Location {
	for _, e := range tl.Entries {
		if e.Occurred.Form != events.Day {
			return e.Time().Location()
		}
	}
	return tl.Entries[0].Time().Location()
}

// BuildAs gathers a report as the options say. It fails where the edition is of a
// person or a unit that the log does not know; the error names those it knows.
func BuildAs(cat *events.Catalogue, inc *projections.Incident, tl *events.Timeline, now time.Time, o Options) (Document, error) {
	d := Document{State: inc.State(), Made: now, Zone: time.UTC, Logs: logEnds(tl), Static: projections.StaticLimit}
	d.Edition, d.Of, d.Units = Edition(either(string(o.Edition), string(Full))), o.Of, Units(either(string(o.Units), string(US)))
	if len(tl.Entries) > 0 {
		first := tl.Entries[0]
		d.Began, d.Ended = first.Time(), first.Time()
		for _, e := range tl.Entries {
			if !e.Desk() && e.Target == nil { // to put an entry right is not to go on
				d.Ended = e.Time()
			}
		}
		d.Zone = sceneZone(tl)
	}
	d.ZoneName = zoneName(d.Began.In(d.Zone))
	d.OtherZone, d.ZoneTurn = otherZones(tl, d.Zone), zoneTurn(tl, d.Zone)
	d.times = clock{d.Zone, d.Began.Truncate(time.Minute)}
	d.Timeline, d.told = days(cat, tl, d.Zone), tellings(tl, d.Zone)
	d.Bill = o.Rates.bill(d.State)
	if err := d.choose(o, tl); err != nil {
		return Document{}, err
	}
	d.setPhotos(tl, o.Paper)
	d.setAir()
	d.setExposure()
	d.setFalls()
	d.setTrips()
	d.silences()
	return d, nil
}

// silences names what the log does not speak of.
func (d *Document) silences() {
	for _, p := range d.State.Phases {
		if p.Start.IsZero() && p.End.IsZero() {
			d.Silent = append(d.Silent, p.Name)
		}
	}
	for _, p := range d.State.People {
		if p.Number > 0 {
			d.Entered++
		}
		if p.Number > 0 && len(p.Rehab) == 0 {
			d.Unrehabbed = append(d.Unrehabbed, p.Person)
		}
		if p.Number > 0 && len(p.Decon) == 0 {
			d.Undecontaminated = append(d.Undecontaminated, p.Person)
		}
	}
}

// zoneName writes the offset of t from UTC, e.g. "UTC−05:00".
func zoneName(t time.Time) string {
	if _, offset := t.Zone(); offset < 0 {
		return "UTC−" + t.Format("-07:00")[1:]
	}
	return "UTC" + t.Format("-07:00")
}

// otherZones lists the offsets in which entries were made besides the one shown.
func otherZones(tl *events.Timeline, shown *time.Location) (other []string) {
	for _, e := range tl.Entries {
		if z := zoneName(e.Time()); z != zoneName(e.Time().In(shown)) && !slices.Contains(other, z) {
			other = append(other, z)
		}
	}
	return other
}

// logEnds finds the newest entry of each log in the view.
func logEnds(tl *events.Timeline) []LogEnd {
	newest := map[string]*events.Entry{}
	count := map[string]int{}
	for _, e := range tl.Entries {
		count[e.Node]++
		if n := newest[e.Node]; n == nil || e.Seq > n.Seq {
			newest[e.Node] = e
		}
	}
	var out []LogEnd
	for node, e := range newest {
		hash := e.Hash.String()
		out = append(out, LogEnd{node, count[node], e.Seq, hash, hash[:4] + "-" + hash[4:8]})
	}
	slices.SortFunc(out, func(a, b LogEnd) int { return cmp.Compare(a.Node, b.Node) })
	return out
}
