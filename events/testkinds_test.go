package events

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"tankside/events/quantity"
)

// The kinds of these tests: one that measures, and one for each thing the
// timeline acts on.
type (
	pumped struct {
		Leg   string
		Meter quantity.Amount[quantity.Gallons]
		Marks []string
	}
	fixed struct {
		Entry              ID
		Said, Key          string
		Was, Now, Whatever string
	}
	undone  struct{ Entry ID }
	merged  struct{ Entry, With ID }
	checked struct {
		Ahead quantity.Amount[quantity.Seconds]
	}
)

func (pumped) Kind() Kind  { return "pumped" }
func (fixed) Kind() Kind   { return "fixed" }
func (undone) Kind() Kind  { return "undone" }
func (merged) Kind() Kind  { return "merged" }
func (checked) Kind() Kind { return "checked" }

func (f fixed) Corrects() Correction {
	return Correction{Entry: f.Entry, Said: f.Said, Key: f.Key, Was: f.Was, Now: f.Now}
}
func (u undone) Strikes() ID     { return u.Entry }
func (m merged) Joins() (ID, ID) { return m.Entry, m.With }
func (k checked) ClockOff() (time.Duration, bool) {
	return time.Duration(float64(k.Ahead.Or(0)) * float64(time.Second)), k.Ahead.Said()
}

func line[E Payload](e E) string { return fmt.Sprintf("%s %+v", e.Kind(), e) }

// testCatalogue holds the kinds above. pumped is at version 3: version 1 called
// the meter "gallons" without a unit, version 2 named the leg "line".
func testCatalogue(t testing.TB) *Catalogue {
	t.Helper()
	c, err := NewCatalogue(
		Declare(Spec[pumped]{Version: 3, Title: "Pumped", Family: "test", Doc: "Test.", Feeds: []string{NarrativeOnly}, Line: line[pumped],
			Upcasts: []Upcast{
				func(raw []byte) ([]byte, error) {
					var n float64
					if _, err := fmt.Sscanf(string(raw), `{"gallons":%g}`, &n); err != nil {
						return nil, err
					}
					return fmt.Appendf(nil, `{"line":"L1","meter":{"value":%g,"unit":"gal"}}`, n), nil
				},
				func(raw []byte) ([]byte, error) {
					return []byte(strings.Replace(string(raw), `"line":`, `"leg":`, 1)), nil
				},
			},
			Fields: []Field[pumped]{
				Text("leg", "Leg", func(e *pumped) *string { return &e.Leg }),
				Measure("meter", "Meter", 0, 10_000, func(e *pumped) *quantity.Amount[quantity.Gallons] { return &e.Meter }),
				Texts("mark", "Marks", func(e *pumped) *[]string { return &e.Marks }),
			},
			Example: pumped{Leg: "L1", Meter: quantity.Of[quantity.Gallons](1012)}}),
		Declare(Spec[fixed]{Version: 1, Title: "Fixed", Family: "test", Doc: "Test.", Feeds: []string{NarrativeOnly}, Line: line[fixed],
			Fields: []Field[fixed]{
				EntryRef("entry", "Entry", func(e *fixed) *ID { return &e.Entry }),
				Text("said", "Said", func(e *fixed) *string { return &e.Said }),
				Text("key", "Key", func(e *fixed) *string { return &e.Key }),
				Text("was", "Was", func(e *fixed) *string { return &e.Was }),
				Text("now", "Now", func(e *fixed) *string { return &e.Now }),
			}}),
		Declare(Spec[undone]{Version: 1, Title: "Undone", Family: "test", Doc: "Test.", Feeds: []string{NarrativeOnly}, Line: line[undone],
			Fields: []Field[undone]{EntryRef("entry", "Entry", func(e *undone) *ID { return &e.Entry })}}),
		Declare(Spec[merged]{Version: 1, Title: "Merged", Family: "test", Doc: "Test.", Feeds: []string{NarrativeOnly}, Line: line[merged],
			Fields: []Field[merged]{
				EntryRef("entry", "Entry", func(e *merged) *ID { return &e.Entry }),
				EntryRef("with", "With", func(e *merged) *ID { return &e.With }),
			}}),
		Declare(Spec[checked]{Version: 1, Title: "Checked", Family: "test", Doc: "Test.", Feeds: []string{NarrativeOnly}, Line: line[checked],
			Fields: []Field[checked]{Measure("ahead", "Ahead", -86400, 86400, func(e *checked) *quantity.Amount[quantity.Seconds] { return &e.Ahead })}}),
	)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

var start = time.Date(2025, 10, 14, 22, 0, 0, 0, time.FixedZone("", -5*3600))

// at is minute m of the test incident.
func at(m float64) time.Time { return start.Add(time.Duration(m * float64(time.Minute))) }

// scribe writes a log entry by entry.
type scribe struct {
	t   testing.TB
	c   *Catalogue
	log []Recorded
}

// write records p as happened at minute m and told a minute later, after edits.
func (s *scribe) write(m float64, p Payload, edits ...func(*Draft)) Recorded {
	s.t.Helper()
	n := len(s.log)
	d := Draft{ID: ContentID(at(m), fmt.Sprint(n)), Incident: "test", Occurred: At(at(m)), Reported: at(m + 1), ObservedBy: "Pair 1", Payload: p}
	for _, edit := range edits {
		edit(&d)
	}
	var prev *Recorded
	if n > 0 {
		prev = &s.log[n-1]
	}
	r, err := s.c.Seal(d, "a", prev, at(100+float64(n)))
	if err != nil {
		s.t.Fatal(err)
	}
	s.log = append(s.log, r)
	return r
}

func meter(leg string, gal float64) pumped {
	return pumped{Leg: leg, Meter: quantity.Of(quantity.Gallons(gal))}
}
