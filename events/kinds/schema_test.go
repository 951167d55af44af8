package kinds_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"pgregory.net/rapid"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

var update = flag.Bool("update", false, "write golden entries that are not there yet; those that are never change")

// published is the folder of the schemas in the tree.
var published = filepath.Join("..", "..", "schema")

// The schemas in the tree are those of today's declarations, and no others.
func TestPublishedSchemas(t *testing.T) {
	files, err := kinds.Catalogue().Schemas()
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]bool{}
	for _, f := range files {
		want[f.Path] = true
		got, err := os.ReadFile(filepath.Join(published, filepath.FromSlash(f.Path)))
		if err != nil || !bytes.Equal(got, f.JSON) {
			t.Errorf("schema/%s is not what the declarations say (%v): run make generate and look at the difference", f.Path, err)
		}
	}
	found, err := filepath.Glob(filepath.Join(published, "kinds", "*"))
	if types := len(kinds.Catalogue().Types()); err != nil || len(found) != types || len(want) != types+2 {
		t.Errorf("schema/kinds holds %d files, the catalogue %d kinds: take out those of kinds that are gone", len(found), types)
	}
}

func TestSchemaOfUnknownKind(t *testing.T) {
	if raw, err := kinds.Catalogue().Schema("foam_aplied"); err == nil || !strings.Contains(err.Error(), "foam_applied") {
		t.Errorf("got %s, %v; want the nearest kind named", raw, err)
	}
}

// compiler is an independent validator that holds the schemas.
func compiler(t *testing.T) *jsonschema.Compiler {
	t.Helper()
	files, err := kinds.Catalogue().Schemas()
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	c.DefaultDraft(jsonschema.Draft7) // so that only the schemas' own words make them 2020-12
	c.AssertFormat()
	for _, f := range files {
		doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(f.JSON))
		if err != nil {
			t.Fatal(err)
		}
		if err := c.AddResource("mem:///"+f.Path, doc); err != nil {
			t.Fatal(err)
		}
	}
	return c
}

func compile(t *testing.T, c *jsonschema.Compiler, path string) *jsonschema.Schema {
	t.Helper()
	s, err := c.Compile("mem:///" + path)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func entrySchema(t *testing.T) *jsonschema.Schema {
	return compile(t, compiler(t), "entry.schema.json")
}

func validate(t *testing.T, s *jsonschema.Schema, raw []byte) error {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(raw))
	if err != nil {
		t.Fatalf("%s: %v", raw, err)
	}
	return s.Validate(doc)
}

func seal(t testing.TB, p events.Payload) events.Recorded {
	t.Helper()
	first, err := kinds.Catalogue().Seal(draft(p), "laptop-a", nil, now.Add(time.Minute))
	if err != nil {
		t.Fatal(err)
	}
	d := draft(p)
	d.ID = events.ContentID(now, "second")
	second, err := kinds.Catalogue().Seal(d, "laptop-a", &first, now.Add(time.Minute))
	if err != nil {
		t.Fatal(err)
	}
	return second
}

// What the codec writes, the schema takes: whole entries, drafts, and each field
// alone. What the codec refuses in a field, the schema refuses too.
func TestSchemaAgreesWithCodec(t *testing.T) {
	c := compiler(t)
	s := compile(t, c, "entry.schema.json")
	for _, typ := range kinds.Catalogue().Types() {
		t.Run(string(typ.Kind), func(t *testing.T) {
			r := seal(t, typ.Example)
			taken(t, s, r.Raw)
			sent, err := kinds.Catalogue().EncodeDraft(draft(typ.Example))
			if err != nil {
				t.Fatal(err)
			}
			taken(t, s, sent)
			refused(t, s, withData(r, `{"no_such_field":1}`))
			data := compile(t, c, "kinds/"+string(typ.Kind)+".schema.json")
			for _, f := range typ.Fields {
				key, good := sampleJSON(t, typ, f)
				taken(t, data, fmt.Appendf(nil, "{%q:%s}", key, good))
				for _, bad := range faulty(f) {
					if raw := fmt.Appendf(nil, "{%q:%s}", key, bad); json.Valid(raw) {
						refused(t, data, raw)
					}
				}
			}
		})
	}
}

func withData(r events.Recorded, data string) []byte {
	i := bytes.Index(r.Raw, []byte(`"data":`))
	return append(r.Raw[:i:i], `"data":`+data+`}`...)
}

func taken(t *testing.T, s *jsonschema.Schema, raw []byte) {
	t.Helper()
	if err := validate(t, s, raw); err != nil {
		t.Errorf("%s: %v", raw, err)
	}
}

func refused(t *testing.T, s *jsonschema.Schema, raw []byte) {
	t.Helper()
	if validate(t, s, raw) == nil {
		t.Errorf("the schema takes %s", raw)
	}
}

// Units other than the canonical one carry bounds of their own.
func TestSchemaUnits(t *testing.T) {
	s := entrySchema(t)
	for _, tt := range []struct {
		kind, data string
		ok         bool
	}{
		{"foam_applied", `{"mix":{"value":100,"unit":"%"}}`, true},
		{"foam_applied", `{"mix":{"value":100.1,"unit":"%"}}`, false},
		{"dip_read", `{"C4":{"value":3537,"unit":"litres","words":"about half"}}`, true},
		{"dip_read", `{"C4":{"value":3537,"unit":"GAL"}}`, true},
		{"dip_read", `{"C4":{"value":378541,"unit":"L"}}`, true},
		{"dip_read", `{"C4":{"value":378542,"unit":"L"}}`, false},
		{"dip_read", `{"C4":{"value":378542,"unit":"gal"}}`, false},
		{"dip_read", `{"Cx":{"value":1,"unit":"gal"}}`, false},
		{"dip_read", `{"C4":{"value":1,"unit":"psi"}}`, false},
		{"dip_read", `{"C4":{"value":1}}`, false},
		{"dip_read", `{"C4":{"value":1,"unit":"gal","assumed":true}}`, true},
		{"dip_read", `{"C4":{"value":1,"unit":"L","assumed":true}}`, false},
		{"dip_read", `{"C4":{"value":1,"unit":"gal","assumed":false}}`, false},
		{"load_stated", `{"temp":{"value":-62,"unit":"C"}}`, true},
		{"load_stated", `{"temp":{"value":-63,"unit":"C"}}`, false},
		{"load_stated", `{"total":{"qualifier":"range","low":2400,"high":2600,"unit":"gal"}}`, true},
		{"load_stated", `{"total":{"qualifier":"range","low":2400,"unit":"gal"}}`, false},
		{"load_stated", `{"total":{"qualifier":"about","low":2400,"high":2600,"unit":"gal"}}`, false},
		{"load_stated", `{"total":{"qualifier":"up to","value":2600,"unit":"gal","u":30}}`, true},
		{"roll_call", `{"in":{"value":2}}`, true},
		{"roll_call", `{"in":{"value":2,"unit":"people"}}`, false},
		{"resistance_read", `{"path":"bond","resistance":{"value":700,"unit":"mohm"}}`, true},
	} {
		typ := kinds.Catalogue().Type(events.Kind(tt.kind))
		if err := validate(t, s, withData(seal(t, typ.Example), tt.data)); (err == nil) != tt.ok {
			t.Errorf("schema, %s %s: %v, want taken %v", tt.kind, tt.data, err, tt.ok)
		}
		if _, err := typ.DecodeStrict(1, []byte(tt.data)); (err == nil) != tt.ok {
			t.Errorf("codec, %s %s: %v, want taken %v", tt.kind, tt.data, err, tt.ok)
		}
	}
}

// The envelope is held as strictly as the data.
func TestSchemaOfEnvelope(t *testing.T) {
	s := entrySchema(t)
	raw := string(seal(t, kinds.Note{Text: "seen"}).Raw)
	taken(t, s, []byte(raw))
	for old, planted := range map[string]string{
		`"v":1`:                     `"v":2`,
		`"n":2`:                     `"n":0`,
		`"kind":"note"`:             `"kind":"teleported"`,
		`"words":"as said"`:         `"words":null`,
		`"incident":"Quarry Bend",`: "",
		`"channel":"radio"`:         `"channel":"radio","chanel":"radio"`,
		`"at":`:                     `"form":"span","at":`,
		`"at":"2025`:                `"at":"20x5`,
		`"id":"0`:                   `"id":"U`,
		`"prev":"`:                  `"prev":"z`,
	} {
		if !strings.Contains(raw, old) {
			t.Fatalf("%s has no %s", raw, old)
		}
		refused(t, s, []byte(strings.Replace(raw, old, planted, 1)))
	}
}

// Any amount that the codec takes, in any unit and any case of its letters, up to
// the very bounds, the schema takes as well.
func TestSchemaTakesEveryAmount(t *testing.T) {
	c := compiler(t)
	types := slices.DeleteFunc(kinds.Catalogue().Types(), func(t *events.Type) bool { return !slices.ContainsFunc(t.Fields, isAmount) })
	both := 0
	rapid.Check(t, func(t *rapid.T) {
		typ := rapid.SampledFrom(types).Draw(t, "kind")
		f := rapid.SampledFrom(slices.DeleteFunc(slices.Clone(typ.Fields), func(f events.FieldInfo) bool { return !isAmount(f) })).Draw(t, "field")
		unit := rapid.SampledFrom(f.Units).Draw(t, "unit")
		if rapid.Bool().Draw(t, "shouted") && strings.ToLower(unit) != "mohm" { // whose case tells milli from mega
			unit = strings.ToUpper(unit)
		}
		value := rapid.OneOf(rapid.Float64Range(f.Low, f.High), rapid.Float64Range(-1e7, 1e7), rapid.Just(f.Low), rapid.Just(f.High)).Draw(t, "value")
		text := strings.TrimSpace(rapid.SampledFrom([]string{"", "about ", "over ", "under ", "up to "}).Draw(t, "how") + quantity.Digits(value) + " " + unit)
		key, _ := sample(f)
		p, err := typ.With(typ.Empty(), key, text)
		if err != nil {
			return // out of bounds in this unit
		}
		raw, err := typ.Encode(p)
		if err != nil {
			t.Fatal(err)
		}
		s, err := c.Compile("mem:///kinds/" + string(typ.Kind) + ".schema.json")
		if err != nil {
			t.Fatal(err)
		}
		doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(raw))
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Validate(doc); err != nil {
			t.Fatalf("%s: %s: %v", typ.Kind, raw, err)
		}
		both++
	})
	if both == 0 {
		t.Error("no amount was taken by the codec: the test shows nothing")
	}
}

func isAmount(f events.FieldInfo) bool { return f.Units != nil }
