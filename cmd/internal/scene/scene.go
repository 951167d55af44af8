// Package scene writes down what an incident has taught, for reading typed lines
// against: the trucks that are here, who is in, which hole is open, what runs.
package scene

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"tankside/events"
	"tankside/events/intake/lines"
	"tankside/events/kinds"
	"tankside/projections"
)

// At returns the scene of an incident at the hour now. The timeline is the one that
// inc was folded from; scribe is the role of whoever types. It is made once for each
// entry that comes, not for each key that is hit.
func At(inc *projections.Incident, c *events.Catalogue, t *events.Timeline, now time.Time, scribe string) lines.Context {
	s := &scene{
		ctx:   lines.Context{Incident: inc.Name, Mode: inc.Mode, Scribe: scribe, Now: now, Zone: now.Location()},
		loads: map[string]lines.Maybe{},
	}
	for _, e := range t.Entries {
		s.entry(c, e)
		if e.Live() {
			s.learn(e)
		}
	}
	slices.SortStableFunc(s.ctx.Entries, func(a, b lines.Entry) int { return cmp.Compare(a.Seq, b.Seq) })
	inc = inc.At(now)
	s.people(inc)
	s.volumes(inc.Amounts())
	s.others(inc, now)
	slices.Reverse(s.ctx.Places)
	slices.Reverse(s.ctx.Roles)
	slices.Reverse(s.ctx.Tasks)
	return s.ctx
}

// scene is a context in the making.
type scene struct {
	ctx   lines.Context
	loads map[string]lines.Maybe // by compartment, as the last paper has it
}

// entry notes an entry that a line can refer to.
func (s *scene) entry(c *events.Catalogue, e *events.Entry) {
	s.ctx.Entries = append(s.ctx.Entries, lines.Entry{
		Seq: e.Seq, ID: e.ID, At: e.Time(), Told: e.Reported, Words: e.Words, Who: e.ObservedBy, Where: e.Where, Line: func() string { return c.Line(e.Payload) }, Payload: e.Payload, Off: !e.Live(),
	})
}

// learn takes what one entry teaches: words for places and roles, and whatever its kind
// is about.
func (s *scene) learn(e *events.Entry) {
	teach(&s.ctx.Places, e.Where)
	teach(&s.ctx.Roles, e.ObservedBy)
	switch k := e.Payload.(type) {
	case kinds.InHot:
		teach(&s.ctx.Tasks, k.Task)
	case kinds.Mishap:
		s.ctx.Mishap = e.Time()
	case kinds.LogOpened:
		s.zone(k.Zone)
	case kinds.OnScene:
		s.units(k.Unit)
		s.arrived(k.Truck)
	case kinds.SentOut:
		s.units(k.Unit)
	case kinds.LeftScene:
		if t := s.truck(k.Truck); t != nil {
			t.State = lines.Gone
		}
	case kinds.TruckOrdered:
		s.ordered(e, k)
	case kinds.ETAChanged:
		if t := s.truck(k.Truck); t != nil {
			t.ETA = string(k.ETA)
		}
	case kinds.TruckChecked:
		if t := s.truck(cmp.Or(k.Truck, e.Where)); t != nil {
			t.Checked = true
		}
	case kinds.ResistanceRead:
		s.resistance(e, k)
	case kinds.CustodyPassed:
		teach(&s.ctx.Units, k.From)
		teach(&s.ctx.Units, k.To)
	case kinds.FoamApplied:
		s.ctx.FoamFlow, s.ctx.FoamMix = orElse(amount(k.Flow), s.ctx.FoamFlow), orElse(amount(k.Mix), s.ctx.FoamMix)
	default:
		s.transfer(e)
	}
}

// teach adds a word to a list, the latest last, each once.
func teach(list *[]string, word string) {
	if word == "" {
		return
	}
	if i := slices.Index(*list, word); i >= 0 {
		*list = slices.Delete(*list, i, i+1)
	}
	*list = append(*list, word)
}

func (s *scene) units(names []string) {
	for _, n := range names {
		teach(&s.ctx.Units, n)
	}
}

// zone takes the zone that the log was opened in, where it names one with its rule for
// the clocks; an offset alone has none.
func (s *scene) zone(name string) {
	if z, err := time.LoadLocation(name); err == nil && strings.Contains(name, "/") {
		s.ctx.Zone = z
	}
}

// truck returns the truck that words name, a new one if it was never named; nil for
// words that name none.
func (s *scene) truck(words string) *lines.Truck {
	name := ""
	for w := range strings.FieldsSeq(words) {
		if isTruck(w) {
			name = w
		}
	}
	if name == "" {
		return nil
	}
	if n := len(name); name[n-1] >= 'A' {
		name = name[:n-1] // a hole of it
	}
	for i := range s.ctx.Trucks {
		if s.ctx.Trucks[i].Name == name {
			return &s.ctx.Trucks[i]
		}
	}
	s.ctx.Trucks = append(s.ctx.Trucks, lines.Truck{Name: name, State: lines.Expected})
	return &s.ctx.Trucks[len(s.ctx.Trucks)-1]
}

// isTruck reports whether w is the name of a receiver: a letter other than C, and
// digits, and perhaps the letter of a hole.
func isTruck(w string) bool {
	if len(w) < 2 || w[0] < 'A' || w[0] > 'Z' || strings.ContainsRune("CGLP", rune(w[0])) {
		return false
	}
	digits := strings.TrimRight(w[1:], "ABCDE")
	return digits != "" && len(w[1:])-len(digits) <= 1 && strings.Trim(digits, "0123456789") == ""
}

func (s *scene) arrived(name string) {
	if t := s.truck(name); t != nil {
		t.State = lines.Here
	}
}

func (s *scene) ordered(e *events.Entry, k kinds.TruckOrdered) {
	t := s.truck(k.Truck)
	if t == nil {
		return
	}
	t.From, t.ETA, t.Usable, t.Product = e.Where, string(k.ETA), amount(k.Usable), k.Product
	for _, h := range k.Holes {
		t.Holes = append(t.Holes, h.Key)
		t.Usable = plus(t.Usable, amount(h.Value))
	}
}

// resistance takes a reading of the ground or of a truck's bond.
func (s *scene) resistance(e *events.Entry, k kinds.ResistanceRead) {
	limit, ohms := amount(k.Limit), amount(k.Resistance)
	if k.Path == "ground" {
		s.ctx.Ground, s.ctx.GroundLimit = orElse(ohms, s.ctx.Ground), orElse(limit, s.ctx.GroundLimit)
		return
	}
	s.ctx.BondLimit = orElse(limit, s.ctx.BondLimit)
	_, to, ok := strings.Cut(cmp.Or(k.To, e.Where), " to ")
	if !ok {
		to = k.To
	}
	if t := s.truck(to); t != nil && ohms.Known {
		t.Bond = ohms
		t.BondBad = k.Result == "bad" || limit.Known && ohms.Value > limit.Value
	}
}
