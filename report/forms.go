package report

import (
	"slices"
	"strings"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections"
)

// Position is a box of a form with whoever the log has in it.
type Position struct {
	Title string
	Held  []projections.Holding // none: not recorded
	Spoke *Row                  // where nobody was logged taking it: the first entry somebody told as such
}

// position is a box of a form: words that a role is known by, any of which will do,
// and words that make it another box.
type position struct {
	title       string
	words, than []string
}

// hazmatPositions are the boxes of ICS 208-HM, in the order of the form.
var hazmatPositions = []position{
	{"Incident commander", []string{"ic", "incident command", "incident commander", "unified command"}, nil},
	{"Hazmat group supervisor", []string{"hazmat group", "hazmat supervisor", "hazmat branch", "hm group", "hazmat officer"}, nil},
	{"Technical specialist, reference", []string{"reference", "technical specialist", "science", "research"}, nil},
	{"Safety officer", []string{"safety", "safety officer"}, []string{"assistant", "hazmat"}},
	{"Assistant safety officer, hazmat", []string{"assistant safety", "hazmat safety"}, nil},
	{"Entry leader", []string{"entry", "entry leader", "entry team"}, nil},
	{"Site access control leader", []string{"access", "access control", "site access"}, nil},
	{"Decon leader", []string{"decon", "decontamination"}, nil},
	{"Safe refuge area manager", []string{"refuge"}, nil},
	{"Environmental health", []string{"environmental", "health"}, nil},
}

// commandPositions are the boxes of the organisation in ICS 201.
var commandPositions = []position{
	hazmatPositions[0],
	{"Liaison officer", []string{"liaison"}, nil},
	{"Safety officer", []string{"safety", "safety officer"}, nil},
	{"Public information officer", []string{"pio", "information", "press"}, nil},
	{"Planning section chief", []string{"planning", "plans"}, nil},
	{"Operations section chief", []string{"operations", "ops"}, nil},
	{"Finance and administration section chief", []string{"finance", "administration"}, nil},
	{"Logistics section chief", []string{"logistics"}, nil},
}

// fits reports whether a role is that of the box.
func (p position) fits(role string) bool {
	role = " " + strings.Join(strings.FieldsFunc(strings.ToLower(role), notInName), " ") + " "
	has := func(w string) bool { return strings.Contains(role, " "+w+" ") }
	return slices.ContainsFunc(p.words, has) && !slices.ContainsFunc(p.than, has)
}

// positions fills the boxes, and after them puts every role that fits none.
func (d Document) positions(boxes []position) (out []Position) {
	placed := map[int]bool{}
	for _, b := range boxes {
		p := Position{Title: b.title}
		for i, h := range d.State.Command.Roles {
			if b.fits(h.Role) {
				p.Held = append(p.Held, h)
				placed[i] = true
			}
		}
		if len(p.Held) == 0 {
			p.Spoke = d.spoke(b)
		}
		out = append(out, p)
	}
	for i, h := range d.State.Command.Roles {
		if !placed[i] {
			out = append(out, Position{Title: h.Role, Held: []projections.Holding{h}})
		}
	}
	return out
}

// spoke is the first entry that somebody told as the holder of a box, nil where nobody did.
func (d Document) spoke(b position) *Row {
	for _, day := range d.Timeline {
		for i, r := range day.Rows {
			if r.Live && b.fits(r.By) {
				return &day.Rows[i]
			}
		}
	}
	return nil
}

// HazmatPositions are the boxes of ICS 208-HM with whoever held them.
func (d Document) HazmatPositions() []Position { return d.positions(hazmatPositions) }

// CommandPositions are the boxes of ICS 201 with whoever held them.
func (d Document) CommandPositions() []Position { return d.positions(commandPositions) }

// Positions are the roles that the person or the unit of the edition held.
func (d Document) Positions() []projections.Holding {
	return keep(d.State.Command.Roles, func(h projections.Holding) bool { return strings.EqualFold(h.Holder, d.Of) })
}

// EntryGates is what ought to come before the first entry, with what the log has of it.
func (d Document) EntryGates() []projections.Gate {
	return keep(d.State.Gates, func(g projections.Gate) bool { return g.Step == "first entry" })
}

// BriefedBeforeEntry is the gate of the safety briefing, nil where nobody was logged
// going in.
func (d Document) BriefedBeforeEntry() *projections.Gate {
	for _, g := range d.EntryGates() {
		if g.Need == "safety briefing" {
			return &g
		}
	}
	return nil
}

// Material is one product with what the log says that ICS 208-HM asks for. What only a
// data sheet says is in no entry.
type Material struct {
	Product  string
	UN       []projections.ProductSaid // each time somebody named it
	Quantity projections.Figure        // of the load
	Gravity  []projections.Hydrometer
}

// Materials are the products that were carried.
func (d Document) Materials() (out []Material) {
	at := func(product string) *Material {
		i := slices.IndexFunc(out, func(m Material) bool { return strings.EqualFold(m.Product, product) })
		if i < 0 {
			i, out = len(out), append(out, Material{Product: product, Quantity: projections.Lacking("gal")})
		}
		return &out[i]
	}
	for _, b := range d.State.Volume.Balances {
		if b.Of != "load" || b.Product == "all" {
			continue
		}
		for _, t := range b.Terms {
			if t.Name == "load" {
				at(b.Product).Quantity = t.Figure
			}
		}
	}
	for _, n := range d.State.Volume.Statements.Named {
		m := at(n.Product)
		m.UN = append(m.UN, n)
	}
	for _, g := range d.State.Volume.Statements.Gravities {
		if g.Product != "" {
			m := at(g.Product)
			m.Gravity = append(m.Gravity, g)
		}
	}
	return out
}

// Meter is an instrument, or what was read without naming one, by what it reads.
type Meter struct {
	Reads       string
	Instruments string // each once, as said
	From        []events.Seq
}

// meterBoxes are the boxes for instruments in ICS 208-HM, by the quantities of the log.
var meterBoxes = []struct {
	reads string
	of    []string
}{
	{"Flammable vapour, % LEL", []string{"lel"}}, {"Oxygen, %", []string{"o2"}}, {"Toxic, ppm", []string{"voc", "benzene", "co", "h2s"}}, {"Radiation", nil},
}

// Meters are the boxes for instruments with what the air was read by.
func (d Document) Meters() (out []Meter) {
	for _, box := range meterBoxes {
		m := Meter{Reads: box.reads}
		var names []string
		for _, s := range d.State.Air {
			if !slices.Contains(box.of, strings.ToLower(s.Quantity)) {
				continue
			}
			for _, r := range s.Readings {
				name := either(r.Instrument, "read, instrument not named")
				if !slices.Contains(names, name) {
					names, m.From = append(names, name), append(m.From, r.At.From...)
				}
			}
		}
		m.Instruments = strings.Join(names, "; ")
		m.From = slices.Compact(slices.Sorted(slices.Values(m.From)))
		out = append(out, m)
	}
	return out
}

// Carers are the units on the scene that carry the sick by their name.
func (d Document) Carers() []projections.Resource {
	words := whole([]string{"medic", "ambulance", "ems", "paramedic", "rescue"})
	return keep(d.State.Resources, func(r projections.Resource) bool { return words.MatchString(r.Name) || words.MatchString(r.Sort) })
}

// stepKinds are the entries that ICS 201 lists as actions: what was decided, ordered
// and done at the scene. What was only read, counted or said is left to the timeline.
var stepKinds = map[events.Kind]bool{
	kinds.CommandTaken{}.Kind(): true, kinds.ObjectiveSet{}.Kind(): true, kinds.OrderGiven{}.Kind(): true, kinds.Decision{}.Kind(): true,
	kinds.ZonesSet{}.Kind(): true, kinds.RoadClosed{}.Kind(): true, kinds.RoadOpened{}.Kind(): true, kinds.PeopleMoved{}.Kind(): true,
	kinds.IgnitionControlled{}.Kind(): true, kinds.Braced{}.Kind(): true, kinds.BoomSet{}.Kind(): true, kinds.BriefingGiven{}.Kind(): true,
	kinds.DeconReady{}.Kind(): true, kinds.InHot{}.Kind(): true, kinds.OutHot{}.Kind(): true, kinds.StopWork{}.Kind(): true,
	kinds.ResumeWork{}.Kind(): true, kinds.SignalSounded{}.Kind(): true, kinds.LiftBegun{}.Kind(): true, kinds.OnWheels{}.Kind(): true,
	kinds.EmergencyEnded{}.Kind(): true,
}

// Steps are the actions of the incident in the order in which they happened.
func (d Document) Steps() (out []Row) {
	for _, day := range d.Timeline {
		out = append(out, keep(day.Rows, func(r Row) bool { return r.Live && stepKinds[r.Kind] })...)
	}
	return out
}

// Dispatched is when the first unit was alerted, or the mishap where nobody logged that.
func (d Document) Dispatched() projections.Moment {
	if m := d.Stamp("first unit alerted"); !m.IsZero() {
		return m
	}
	return d.Occurred()
}

// activity is every entry that a unit, a person or a post told, or that names it. A
// person is also named by the pair.
func (d *Document) activity(of string) (out []Row) {
	named := []string{of}
	for _, p := range d.State.People {
		if !strings.EqualFold(p.Person, of) {
			continue
		}
		for _, t := range p.Trips {
			if pair := "pair " + t.Pair; t.Pair != "" && !slices.Contains(named, pair) {
				named = append(named, pair)
			}
		}
	}
	names := whole(named)
	for _, day := range d.Timeline {
		for _, r := range day.Rows {
			if r.Live && slices.ContainsFunc([]string{r.By, r.RelayedBy, r.Where, r.Line}, names.MatchString) {
				out = append(out, r)
			}
		}
	}
	return out
}

// Member is what is known of the person of the edition, nil where it is of a unit.
func (d Document) Member() *projections.Person {
	for i, p := range d.State.People {
		if strings.EqualFold(p.Person, d.Of) {
			return &d.State.People[i]
		}
	}
	return nil
}

// Unit is what is known of the unit of the edition, nil where it is of a person.
func (d Document) Unit() *projections.Resource {
	for i, r := range d.State.Resources {
		if strings.EqualFold(r.Name, d.Of) {
			return &d.State.Resources[i]
		}
	}
	return nil
}

// FirstTrips are the first trips into the hot zone of everybody who went in.
func (d Document) FirstTrips() (out []TripRow) {
	for _, t := range d.Trips {
		if !slices.ContainsFunc(out, func(o TripRow) bool { return o.Person == t.Person }) {
			out = append(out, t)
		}
	}
	return out
}

// Tasked reports whether anybody was logged going in with a task.
func (d Document) Tasked() bool {
	return slices.ContainsFunc(d.FirstTrips(), func(t TripRow) bool { return t.Task != "" })
}

// LastWeather is the newest reading of the weather, nil where there is none.
func (d Document) LastWeather() *projections.WeatherRead {
	if n := len(d.State.Weather); n > 0 {
		return &d.State.Weather[n-1]
	}
	return nil
}

// Worst is the reading of each quantity that matters most: of oxygen the lowest, of all
// else the highest.
func (d Document) Worst() (out []projections.AirSeries) {
	for _, q := range d.AirOf {
		var worst *projections.AirSeries
		for _, s := range d.State.Air {
			if s.Quantity != q {
				continue
			}
			if s.Quantity == "O2" {
				s.Max = s.Min
			}
			past := func(w *projections.AirSeries) bool {
				return q == "O2" && s.Max.Value < w.Max.Value || q != "O2" && s.Max.Value > w.Max.Value
			}
			if s.Max.Known && (worst == nil || past(worst)) {
				worst = &s
			}
		}
		if worst != nil {
			out = append(out, *worst)
		}
	}
	return out
}
