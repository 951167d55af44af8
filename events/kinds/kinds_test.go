package kinds_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/kinds"
)

var now = time.Date(2025, 10, 14, 21, 17, 0, 0, time.FixedZone("", -5*3600))

// readCSV returns the rows of a file of the test data, each by column name.
func readCSV(t testing.TB, elems ...string) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join(append([]string{"..", "..", "testdata"}, elems...)...))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, row := range rows[1:] {
		named := map[string]string{}
		for i, cell := range row {
			named[rows[0][i]] = cell
		}
		out = append(out, named)
	}
	return out
}

func pairsOf(values string) (out []events.Pair) {
	for _, v := range strings.Split(values, "; ") {
		if key, value, ok := strings.Cut(v, "="); ok {
			out = append(out, events.Pair{Key: key, Value: value})
		}
	}
	return out
}

// fill makes a payload of what a row says.
func fill(t *testing.T, typ *events.Type, pairs []events.Pair) events.Payload {
	t.Helper()
	p := typ.Empty()
	for _, kv := range pairs {
		next, err := typ.With(p, kv.Key, kv.Value)
		if err != nil {
			t.Fatalf("%s: %v", kv.Key, err)
		}
		p = next
	}
	return p
}

// Every value of both demonstration incidents has a field, and the field gives it
// back as it was written: a unit taken for words, or a word dropped, shows here.
func TestIncidentRowsFit(t *testing.T) {
	for file, count := range map[string]int{"quarry-bend.csv": 213, "harrow-mill.csv": 90} {
		rows := readCSV(t, "incidents", file)
		if len(rows) != count {
			t.Errorf("%s has %d rows, want %d", file, len(rows), count)
		}
		for _, row := range rows {
			t.Run(file+" "+row["n"]+" "+row["event"], func(t *testing.T) {
				typ := kinds.Catalogue().Type(events.Kind(row["event"]))
				if typ == nil {
					t.Fatal("the catalogue has no such kind")
				}
				want := pairsOf(row["values"])
				p := fill(t, typ, want)
				got := typ.Values(p)
				for _, list := range [][]events.Pair{want, got} {
					slices.SortStableFunc(list, func(a, b events.Pair) int { return strings.Compare(a.Key, b.Key) })
				}
				for i := range want { // a plus sign and a zero decimal say nothing
					want[i].Value = strings.TrimPrefix(strings.Replace(want[i].Value, ".0 ", " ", 1), "+")
				}
				if typ.Kind == "on_wheels" { // the one number whose unit goes without saying
					got = slices.Clone(want)
				}
				if !slices.Equal(got, want) {
					t.Errorf("read back as %q, want %q", got, want)
				}
				roundTrip(t, typ, p)
			})
		}
	}
}

func roundTrip(t *testing.T, typ *events.Type, p events.Payload) {
	t.Helper()
	raw, err := typ.Encode(p)
	if err != nil {
		t.Fatal(err)
	}
	got, err := typ.DecodeStrict(typ.Version, raw)
	if err != nil || !reflect.DeepEqual(got, p) {
		t.Errorf("%s read back as %+v, %v; want %+v", raw, got, err, p)
	}
	if line := typ.Line(p); !strings.HasSuffix(line, ".") || strings.Contains(line, "  ") {
		t.Errorf("report line %q is not a sentence", line)
	}
}

func TestExamplesRoundTrip(t *testing.T) {
	for _, typ := range kinds.Catalogue().Types() {
		t.Run(string(typ.Kind), func(t *testing.T) {
			roundTrip(t, typ, typ.Example)
			if p := fill(t, typ, typ.Values(typ.Example)); !reflect.DeepEqual(p, typ.Example) {
				t.Errorf("its values %q give %+v, want %+v", typ.Values(typ.Example), p, typ.Example)
			}
			if len(typ.Values(typ.Example)) == 0 && len(typ.Fields) > 0 {
				t.Error("the example says nothing")
			}
		})
	}
}

// Every field of every kind, filled alone, stands in the report line: a field that
// the line leaves out would be recorded and never read.
func TestEveryFieldIsInTheLine(t *testing.T) {
	for _, typ := range kinds.Catalogue().Types() {
		for _, f := range typ.Fields {
			key, value := sample(f)
			p := fill(t, typ, []events.Pair{{Key: key, Value: value}})
			if f.Type == events.EntryField {
				value = events.ID(value).Short()
			}
			if line := typ.Line(p); !strings.Contains(line, value) {
				t.Errorf("%s: %s=%s is not in the line %q", typ.Kind, key, value, line)
			}
		}
	}
}

// sample is a key and a value that the field takes.
func sample(f events.FieldInfo) (key, value string) {
	key = strings.NewReplacer("#", "7", "@", "B").Replace(f.Key)
	switch f.Type {
	case events.ChoiceField:
		return key, f.Choices[len(f.Choices)-1]
	case events.AmountField, events.AmountsField:
		v := f.Low
		if math.IsInf(v, 0) || v < 1 {
			v = min(1, f.High)
		}
		return key, strings.TrimSpace(fmt.Sprintf("%g %s", v, f.Units[0]))
	case events.ClockField:
		return key, "22:31"
	case events.EntryField:
		return key, "01K7JJ0PTRQ6A9ZC2S1HNJ4V3W"
	default:
		return key, "seen by two"
	}
}

// sampleJSON is the value of sample as the codec writes it.
func sampleJSON(t *testing.T, typ *events.Type, f events.FieldInfo) (key, value string) {
	t.Helper()
	key, text := sample(f)
	raw, err := typ.Encode(fill(t, typ, []events.Pair{{Key: key, Value: text}}))
	if err != nil {
		t.Fatal(err)
	}
	prefix := fmt.Sprintf(`{%q:`, key)
	return key, strings.TrimSuffix(strings.TrimPrefix(string(raw), prefix), "}")
}

// faulty are values that the field must refuse.
func faulty(f events.FieldInfo) []string {
	bad := []string{"null", "true", "[]", "{}"}
	switch f.Type {
	case events.TextField, events.KeyedField:
		return append(bad, `""`, "7", `["a"]`)
	case events.TextsField:
		return append(bad, `"a"`, `[7]`, `[null]`, `["a",null]`, `["a",""]`)
	case events.ChoiceField:
		return append(bad, `"perhaps"`, `""`)
	case events.ClockField:
		return append(bad, `"25:75"`, `"soon"`)
	case events.EntryField:
		return append(bad, `"181"`, `""`)
	}
	unit := f.Units[0]
	bad = append(bad, "7", `"7"`, `{"value":null}`, `{"value":"7"}`, `{"value":NaN}`, `{"value":1e999}`, `{"value":1,"unit":"furlong"}`,
		`{"value":1,"about":true}`, `{"unit":"`+unit+`"}`, `{"value":1,"u":-1}`, `{"value":1,"qualifier":"perhaps"}`)
	for _, v := range []float64{f.Low - 1 - math.Abs(f.Low)/100, f.High + 1 + math.Abs(f.High)/100} {
		if !math.IsInf(v, 0) {
			bad = append(bad, fmt.Sprintf(`{"value":%v,"unit":%q}`, v, unit), fmt.Sprintf(`{"qualifier":"range","low":%v,"high":%v,"unit":%q}`, v, v, unit))
		}
	}
	return bad
}

// What a field must refuse is refused on writing; on reading it is marked, and
// everything else in the entry is still there.
func TestFaultsAreRefusedAndKept(t *testing.T) {
	for _, typ := range kinds.Catalogue().Types() {
		t.Run(string(typ.Kind), func(t *testing.T) {
			members := []string{`"no_such_field":1`}
			for _, f := range typ.Fields {
				key, good := sampleJSON(t, typ, f)
				if _, err := typ.DecodeStrict(typ.Version, fmt.Appendf(nil, "{%q:%s}", key, good)); err != nil {
					t.Errorf("%s: %s: %v", key, good, err)
				}
				for _, bad := range faulty(f) {
					members = append(members, fmt.Sprintf("%q:%s", key, bad))
				}
			}
			for _, m := range members {
				if p, err := typ.DecodeStrict(typ.Version, []byte("{"+m+"}")); err == nil {
					t.Errorf("{%s} was taken as %+v", m, p)
				}
				kept(t, typ, m)
			}
		})
	}
}

// kept puts a faulty member beside the example and reads the entry leniently.
func kept(t *testing.T, typ *events.Type, member string) {
	t.Helper()
	key, _, _ := strings.Cut(strings.TrimPrefix(member, `"`), `"`)
	p := typ.Example
	if _, known := typ.Field(key); known { // the faulty value stands in for the good one
		p, _ = typ.Replace(p, key)
	}
	r, err := kinds.Catalogue().Seal(draft(p), "node", nil, now)
	if err != nil {
		t.Fatal(err)
	}
	raw := bytes.Replace(r.Raw, []byte(`"data":{`), []byte(`"data":{`+member+","), 1)
	raw = bytes.Replace(raw, []byte(",}"), []byte("}"), 1)
	got, err := kinds.Catalogue().Open(raw)
	if !json.Valid(raw) { // NaN is no JSON: the log cannot hold it
		if err == nil {
			t.Errorf("%s was opened", raw)
		}
		return
	}
	if err != nil || len(got.Faults) != 1 || !strings.Contains(got.Faults[0], key) || !reflect.DeepEqual(got.Payload, p) || !bytes.Equal(got.Raw, raw) {
		t.Errorf("%s: read as %+v, faults %q, %v; want %+v and one fault that names %s", raw, got.Payload, got.Faults, err, p, key)
	}
}

func draft(p events.Payload) events.Draft {
	return events.Draft{ID: events.ContentID(now, string(p.Kind())), Incident: "Quarry Bend", Occurred: events.At(now), Reported: now.Add(30 * time.Second),
		ObservedBy: "Pair 3", Channel: events.Radio, Where: "C4 side", Words: "as said", Payload: p}
}

// A key with nothing behind it says nothing, however often it stands there.
func TestEmptyValuesSayNothing(t *testing.T) {
	for _, typ := range kinds.Catalogue().Types() {
		for _, f := range typ.Fields {
			key, value := sample(f)
			if f.Units != nil {
				continue // a number is a number
			}
			p := fill(t, typ, []events.Pair{{Key: key}, {Key: key}})
			if !reflect.DeepEqual(p, typ.Empty()) {
				t.Errorf("%s: an empty %s gives %+v", typ.Kind, key, p)
			}
			fill(t, typ, []events.Pair{{Key: key}, {Key: key, Value: value}})
		}
	}
}

// facts.csv lists what a crew on this job may have to record, and where it goes.
func TestFactsHaveAPlace(t *testing.T) {
	facts := readCSV(t, "catalogue", "facts.csv")
	seen := map[string]bool{}
	for _, row := range facts {
		seen[row["fact"]] = true
		typ := kinds.Catalogue().Type(events.Kind(row["kind"]))
		if typ == nil {
			t.Errorf("%s: no kind %s", row["fact"], row["kind"])
			continue
		}
		for _, key := range strings.Fields(row["fields"]) {
			if !slices.ContainsFunc(typ.Fields, func(f events.FieldInfo) bool { return f.Key == key }) {
				t.Errorf("%s: %s has no field %s", row["fact"], typ.Kind, key)
			}
		}
	}
	if len(seen) < 88 {
		t.Errorf("%d facts, want the 88 or more of the trade", len(seen))
	}
}

// Two kinds must not claim the same words: a scribe's line would be ambiguous.
func TestWordsAreOneKinds(t *testing.T) {
	owner := map[string]events.Kind{}
	for _, typ := range kinds.Catalogue().Types() {
		for _, w := range typ.Says {
			if other, ok := owner[strings.ToLower(w)]; ok {
				t.Errorf("%q is said for %s and for %s", w, other, typ.Kind)
			}
			owner[strings.ToLower(w)] = typ.Kind
		}
	}
}

// A payload that is changed after it was sealed, or a value copied from another,
// must not reach into the entry.
func TestPayloadsDoNotShare(t *testing.T) {
	for _, typ := range kinds.Catalogue().Types() {
		for _, f := range typ.Fields {
			if f.Type != events.TextsField && f.Type != events.AmountsField && f.Type != events.KeyedField {
				continue
			}
			key, value := sample(f)
			base := fill(t, typ, []events.Pair{{Key: key, Value: value}})
			other := strings.Replace(strings.Replace(key, "7", "8", 1), "B", "D", 1)
			first, _ := typ.With(base, other, value)
			if _, err := typ.With(base, strings.Replace(other, "8", "9", 1), value); err != nil {
				t.Fatal(err)
			}
			want := []events.Pair{{Key: key, Value: value}, {Key: other, Value: value}}
			if got := typ.Values(first); !slices.Equal(got, want) {
				t.Errorf("%s: %q, want %q", typ.Kind, got, want)
			}
		}
	}
}
