package projections

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"tankside/events"
	"tankside/events/kinds"
)

// stateSchema is the published schema of the state in an independent validator.
func stateSchema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("..", "schema", "state.schema.json"))
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	if err := c.AddResource("mem:///state.schema.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("mem:///state.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// asJSON writes the state and reads it as a plain document.
func asJSON(t *testing.T, inc *Incident) map[string]any {
	t.Helper()
	raw, err := json.Marshal(inc)
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	return doc.(map[string]any)
}

// everyKind is an incident with the example of every kind.
func everyKind(t *testing.T) *Incident {
	t.Helper()
	tl := &events.Timeline{}
	all := examples(t, telling)
	for _, typ := range kinds.Catalogue().Types() {
		tl.Entries = append(tl.Entries, all[typ.Kind])
	}
	return Fold(kinds.Catalogue(), tl)
}

func TestStateFitsItsSchema(t *testing.T) {
	s := stateSchema(t)
	for name, inc := range map[string]*Incident{
		"nothing logged":      toldOf(t),
		"every kind":          everyKind(t),
		"Quarry Bend":         folded(t, "quarry-bend", events.View{}),
		"Quarry Bend, 23:21":  folded(t, "quarry-bend", events.View{KnownAt: at(t, "2025-10-14T23:21:30-05:00")}),
		"Quarry Bend, 01:10":  folded(t, "quarry-bend", events.View{AsOf: at(t, "2025-10-15T01:10:00-05:00")}),
		"Quarry Bend, at 1st": folded(t, "quarry-bend", events.View{AsOf: at(t, "2025-10-14T20:31:00-05:00")}),
		"Harrow Mill":         folded(t, "harrow-mill", events.View{}),
	} {
		if err := s.Validate(asJSON(t, inc)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// The validator refuses what the schema is there to catch.
func TestStateSchemaBites(t *testing.T) {
	s := stateSchema(t)
	for _, tt := range []struct {
		name   string
		change func(state map[string]any)
	}{
		{"a key of its own", func(m map[string]any) { m["extra"] = 1 }},
		{"a key left out", func(m map[string]any) { delete(m, "people") }},
		{"a list as null", func(m map[string]any) { m["trucks"] = nil }},
		{"unknown without what is missing", func(m map[string]any) {
			minutes := m["people"].([]any)[0].(map[string]any)["minutes"].(map[string]any)
			minutes["value"] = nil
			delete(minutes, "missing")
		}},
		{"a time that is none", func(m map[string]any) { m["as_of"] = "yesterday" }},
	} {
		doc := asJSON(t, folded(t, "quarry-bend", events.View{}))
		tt.change(doc)
		if s.Validate(doc) == nil {
			t.Errorf("%s passes", tt.name)
		}
	}
}

// No list of the state is ever null, wherever it stands.
func TestStateOfNothing(t *testing.T) {
	inc := toldOf(t)
	raw, err := json.Marshal(inc)
	if err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{"phases", "people", "air", "grounding", "holes", "trucks", "due", "findings", "notes", "waits"} {
		if strings.Contains(string(raw), `"`+key+`":null`) {
			t.Errorf("%s is null for an empty log", key)
		}
	}
	if p := inc.State(); p.AsOf != nil || p.Entries != 0 || len(p.People) != 0 {
		t.Errorf("state of nothing: as of %v, %d entries, people %v", p.AsOf, p.Entries, p.People)
	}
}

// Two renderings of one log are the same bytes.
func TestStateIsTheSameTwice(t *testing.T) {
	for _, incident := range []string{"quarry-bend", "harrow-mill"} {
		a, err := json.Marshal(folded(t, incident, events.View{}))
		if err != nil {
			t.Fatal(err)
		}
		b, err := json.Marshal(folded(t, incident, events.View{}))
		if err != nil || !bytes.Equal(a, b) {
			t.Errorf("%s: the state differs between two folds of one log (%v)", incident, err)
		}
	}
}
