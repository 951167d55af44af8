package projections

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

// Crossing is one stay of one person in the hot zone as logged. Its start is zero
// when the person came out without having been logged in, its end while the person
// is in.
type Crossing struct {
	Interval
	Pair        string   `json:"pair,omitempty"`
	Place       string   `json:"place,omitempty"`
	Task        string   `json:"task,omitempty"`
	Suit        string   `json:"suit,omitempty"`
	Air         string   `json:"air,omitempty"`
	Rope        string   `json:"rope,omitempty"`
	Bottle      string   `json:"bottle,omitempty"`
	PressureIn  Figure   `json:"pressure_in"`
	PressureOut Figure   `json:"pressure_out"`
	Pressures   []AirSay `json:"pressures,omitempty"`
}

// Trip is a crossing with what follows from it.
type Trip struct {
	Crossing
	Minutes Figure `json:"minutes"`
	AirUsed Figure `json:"air_used"`
	AirRate Figure `json:"air_rate"`
}

// AirSay is a cylinder pressure told during an entry.
type AirSay struct {
	At       Moment `json:"at"`
	Pressure Figure `json:"pressure"`
}

// open reports whether the person has not come out of the trip yet.
func (t *Crossing) open() bool { return t.End.IsZero() }

// Person is what the log says of one person, who is named by pair and letter.
type Person struct {
	Person  string      `json:"person"`
	In      bool        `json:"in"`
	Trips   []Trip      `json:"trips"`
	Number  int         `json:"number"` // of trips
	Minutes Figure      `json:"minutes"`
	Longest Figure      `json:"longest"`
	AirUsed Figure      `json:"air_used"`
	AirRate Figure      `json:"air_rate"` // mean over the trips with both pressures
	Suited  []Suited    `json:"suited,omitempty"`
	Posts   []Post      `json:"posts,omitempty"`
	Rehab   []RehabStay `json:"rehab,omitempty"`
	Decon   []Decon     `json:"decon,omitempty"`

	crossings []Crossing
}

// last returns the crossing that began last, nil when there is none.
func (p *Person) last() *Crossing {
	if len(p.crossings) == 0 {
		return nil
	}
	return &p.crossings[len(p.crossings)-1]
}

// People is who crossed into the hot zone and for how long, who stood by, who was
// counted, and who was looked after.
type People struct {
	ending
	Backups   []Backup
	RollCalls []RollCall
	RollRules []MinutesRule // how often a roll call is due
	StayRules []MinutesRule // how long a stay may last
	AirRules  []AirRule     // which bottle is used and when to turn round
	Briefings []Briefing
	Lines     []DeconLine
	Injuries  []Injured
	NearMiss  []NearMiss
	Notes     []Note

	persons map[string]*Person
	members map[string][]string // of a pair
	open    int                 // trips that have not ended
}

// Apply folds one entry.
func (p *People) Apply(e *events.Entry) {
	switch k := e.Payload.(type) {
	case kinds.InHot:
		p.in(e, k)
	case kinds.OutHot:
		p.out(e, k)
	case kinds.PressureRead:
		p.pressures(e, k)
	case kinds.BackupReady:
		p.backup(e, k)
	case kinds.RollCall:
		p.roll(e, k)
	case kinds.OrderGiven:
		p.rules(e, k)
	default:
		p.care(e)
	}
}

func (p *People) note(e *events.Entry, format string, args ...any) {
	p.Notes = append(p.Notes, Note{e.Seq, fmt.Sprintf(format, args...)})
}

func (p *People) person(key string) *Person {
	if got := p.persons[key]; got != nil {
		return got
	}
	got := &Person{Person: key}
	p.persons = setIn(p.persons, key, got)
	return got
}

// pair returns the persons of a pair: pair 3 is P3A and P3B. A crew under another
// name counts as one person of that name.
func (p *People) pair(name string) []string {
	if got, ok := p.members[name]; ok {
		return got
	}
	got := pairOf(name)
	p.members = setIn(p.members, name, got)
	return got
}

func pairOf(name string) []string {
	s := strings.TrimSpace(name)
	if len(s) > 5 && strings.EqualFold(s[:5], "pair ") {
		s = strings.TrimSpace(s[5:])
	}
	if s == "" {
		return nil
	}
	if strings.Trim(s, "0123456789") == "" {
		return []string{"P" + s + "A", "P" + s + "B"}
	}
	return []string{s}
}

// called is a person named by pair and letter. Such a name is put in capitals, so that
// p1a who comes out is the P1A who went in; any other name stays as said.
var called = regexp.MustCompile(`^[pP][0-9]+[a-zA-Z]$`)

// namedIn returns whoever an entry names, by name or by cylinder pressure.
func namedIn(persons []string, pressures events.KeyedAmounts[quantity.PSI]) []string {
	var who []string
	for _, p := range persons {
		if p = strings.TrimSpace(p); called.MatchString(p) {
			p = strings.ToUpper(p)
		}
		who = append(who, p)
	}
	for _, k := range pressures {
		if !slices.Contains(who, k.Key) {
			who = append(who, k.Key)
		}
	}
	return who
}

func (p *People) in(e *events.Entry, k kinds.InHot) {
	who := namedIn(k.Person, k.Pressures)
	if len(who) == 0 {
		who = p.pair(k.Pair)
	}
	if len(who) == 0 {
		p.note(e, "somebody went in; the entry does not say who")
	}
	p.breakBackup(e, who)
	at := MomentOf(e)
	for _, key := range who {
		trip := Crossing{
			Interval: Interval{Start: at}, Pair: k.Pair, Place: e.Where, Task: k.Task, Suit: k.Suit, Air: k.Air, Rope: k.Rope, Bottle: k.Bottle,
			PressureIn: FigureOf(k.Pressures.Get(key), "", at.From...), PressureOut: Lacking("psi"),
		}
		if e.Occurred.Form == events.Span {
			trip.End = EndOf(e)
		}
		p.enter(e, p.person(key), trip)
	}
}

func (p *People) enter(e *events.Entry, person *Person, trip Crossing) {
	if last := person.last(); last != nil {
		if last.open() {
			p.note(e, "%s was logged in again while in since %s; the first time in stands", person.Person, clock(last.Start.Best))
			return
		}
		if trip.Start.Best.Before(last.End.Best) {
			p.note(e, "%s went in before coming out of another trip at %s: in twice at once", person.Person, clock(last.End.Best))
		}
	}
	if trip.open() {
		p.open++
	}
	person.crossings = add(person.crossings, trip)
}

func (p *People) out(e *events.Entry, k kinds.OutHot) {
	who := namedIn(k.Person, k.Pressures)
	if len(who) == 0 {
		who = p.inAs(k.Pair)
	}
	if len(who) == 0 {
		p.note(e, "somebody came out; the entry does not say who")
	}
	at := MomentOf(e)
	for _, key := range who {
		person := p.person(key)
		last := person.last()
		if last == nil || !last.open() {
			p.note(e, "%s came out at %s but was never logged in", key, clock(e.Time()))
			person.crossings = add(person.crossings, Crossing{Pair: k.Pair, Place: e.Where, PressureIn: Lacking("psi")})
			last = person.last()
			p.open++
		}
		last.End, last.PressureOut = at, FigureOf(k.Pressures.Get(key), "", at.From...)
		p.open--
	}
}

// inAs returns who went in under the name of a pair and is in, stand-ins and all;
// with nobody in, the pair itself.
func (p *People) inAs(pair string) []string {
	var who []string
	for key, person := range p.persons {
		if last := person.last(); last != nil && last.open() && last.Pair == pair {
			who = append(who, key)
		}
	}
	if len(who) == 0 {
		return p.pair(pair)
	}
	slices.Sort(who)
	return who
}

func (p *People) pressures(e *events.Entry, k kinds.PressureRead) {
	for _, v := range k.Pressures {
		last := p.person(v.Key).last()
		if last == nil || !last.open() {
			p.note(e, "%s told a pressure but is not logged in", v.Key)
			continue
		}
		last.Pressures = append(last.Pressures, AirSay{MomentOf(e), FigureOf(v.Value, "", e.Seq)})
	}
}

// List returns everybody the log names, sorted by pair and letter, as at now.
func (p *People) List(now time.Time) []Person {
	out := make([]Person, 0, len(p.persons))
	for _, person := range p.persons {
		out = append(out, person.at(now))
	}
	slices.SortFunc(out, func(a, b Person) int { return natural(a.Person, b.Person) })
	return out
}

// at returns a copy of the person with what depends on now worked out.
func (p *Person) at(now time.Time) Person {
	out := *p
	out.crossings = nil
	out.Number = len(p.crossings)
	out.Trips = make([]Trip, out.Number)
	var stays, used, onAir []Figure
	for i := range out.Trips {
		t := &out.Trips[i]
		t.Crossing = p.crossings[i]
		t.work(now)
		out.In = out.In || t.open()
		stays = append(stays, t.Minutes)
		used = append(used, t.AirUsed)
		if t.AirRate.Known {
			onAir = append(onAir, t.Minutes)
		}
		if t.Minutes.Known && (!out.Longest.Known || t.Minutes.Value > out.Longest.Value) {
			out.Longest = t.Minutes
		}
	}
	out.Minutes = Sum("min", "", stays)
	switch {
	case out.Number == 0:
		out.Minutes.Method, out.Longest, out.AirUsed = "no trip logged", Lacking("min", "no trip logged"), Lacking("psi", "no trip logged")
	case out.In:
		out.Minutes.Method = "so far"
		fallthrough
	default:
		out.AirUsed = Sum("psi", "", used)
		out.Longest.Unit = "min"
	}
	out.AirRate = rate(out.AirUsed, Sum("min", "", onAir))
	return out
}

// work fills in what follows from a trip's two ends.
func (t *Trip) work(now time.Time) {
	t.Minutes = lasting(t.Start, t.End, now)
	if t.Start.IsZero() {
		t.Minutes.Missing = []string{"time in of the trip that ended at " + clock(t.End.Best)}
		t.Minutes.From, t.Minutes.Low = t.End.From, 0
	}
	t.AirUsed = t.PressureIn.Minus(t.PressureOut).As("pressure in less pressure out")
	if !t.AirUsed.Known {
		t.AirUsed = Lacking("psi", missingOf(t.PressureIn, "pressure in"), missingOf(t.PressureOut, "pressure out"))
		t.AirUsed.Missing = slices.DeleteFunc(t.AirUsed.Missing, func(s string) bool { return s == "" })
	}
	t.AirRate = rate(t.AirUsed, t.Minutes)
}

func missingOf(f Figure, what string) string {
	if f.Known {
		return ""
	}
	return what
}

// rate is air used over the minutes it was used in, psi/min; unknown where either
// is, or where no time passed.
func rate(used, stay Figure) Figure {
	if !used.Known || !stay.Known || stay.Value <= 0 {
		return Lacking("psi/min", "pressures at both ends of a trip")
	}
	return Exact(used.Value/stay.Value, "psi/min", "mean", union(used.From, stay.From)...)
}

// InAt returns who was in at t, sorted by pair and letter.
func (p *People) InAt(t time.Time) []string {
	who := []string{}
	for key, person := range p.persons {
		for i := range person.crossings {
			trip := &person.crossings[i]
			if !trip.Start.IsZero() && !t.Before(trip.Start.Best) && (trip.open() || t.Before(trip.End.Best)) {
				who = append(who, key)
				break
			}
		}
	}
	slices.SortFunc(who, natural)
	return who
}

// Occupied returns the stretches during which somebody was in. A crew that leaves
// in the minute in which the next goes in does not end one.
func (p *People) Occupied() []Interval {
	var all []Interval
	for _, person := range p.persons {
		for i := range person.crossings {
			if !person.crossings[i].Start.IsZero() {
				all = append(all, person.crossings[i].Interval)
			}
		}
	}
	return merge(all)
}
