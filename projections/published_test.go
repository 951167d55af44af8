package projections

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/intake"
	"tankside/events/kinds"
)

// publishedCase is a row of the table: a figure of an incident's state at a view,
// and what its source makes of it.
type publishedCase struct {
	line                int
	name, asOf, knownAt string
	figure, want        string
	tolerance           string // "" where text is wanted
	source              string
}

var publishedColumns = []string{"case", "as_of", "known_at", "figure", "want", "tolerance", "mark", "source"}

// publishedCases reads the table. Every row must name its source, and say whether
// the figure was seen there or worked out from it.
func publishedCases(text string) (cases []publishedCase, err error) {
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		return nil, err
	}
	if len(rows) == 0 || !slices.Equal(rows[0], publishedColumns) {
		return nil, fmt.Errorf("the columns must be %s", strings.Join(publishedColumns, ","))
	}
	for i, r := range rows[1:] {
		c := publishedCase{i + 2, r[0], r[1], r[2], r[3], r[4], r[5], r[7]}
		switch {
		case strings.TrimSpace(c.source) == "":
			return nil, fmt.Errorf("line %d has no source", c.line)
		case r[6] != "seen" && r[6] != "computed":
			return nil, fmt.Errorf("line %d: the mark %q is not seen or computed", c.line, r[6])
		case c.figure == "" || c.want == "":
			return nil, fmt.Errorf("line %d asks for nothing", c.line)
		}
		cases = append(cases, c)
	}
	return cases, nil
}

// publishedLog reads an incident through intake and seals it. An entry without a
// time of being told was told when it was logged, a minute after the one before it.
func publishedLog(t *testing.T, path string) []events.Recorded {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	c, name := kinds.Catalogue(), strings.TrimSuffix(filepath.Base(path), ".csv")
	got, err := intake.CSV(bytes.NewReader(text), intake.Options{Catalogue: c, Incident: name, Name: filepath.Base(path), Zone: zoneOf(t, text)})
	if err != nil || len(got.Faults) > 0 {
		t.Fatalf("%s: %v, faults %v", path, err, got.Faults)
	}
	typed := time.Date(2025, 11, 1, 12, 0, 0, 0, time.UTC)
	var out []events.Recorded
	var prev *events.Recorded
	for i, d := range got.Drafts {
		at := typed.Add(time.Duration(i) * time.Minute)
		if !d.Reported.IsZero() {
			at = d.Reported
		}
		for _, x := range d.Extra {
			if x.Key != "recorded_at" {
				t.Fatalf("%s: line %d: %q is no field of %s", path, d.Source.Line, x.Key, d.Payload.Kind())
			}
			if x.Value != "" {
				at = instant(t, x.Value)
			}
		}
		r, err := c.Seal(d, "node", prev, at)
		if err != nil {
			t.Fatalf("%s: line %d: %v", path, d.Source.Line, err)
		}
		out = append(out, r)
		prev = &out[len(out)-1]
	}
	return out
}

var offset = regexp.MustCompile(`\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d[+-]\d\d:\d\d`)

// zoneOf is the zone of the first full time of an incident, UTC when it has none:
// its days are days there.
func zoneOf(t *testing.T, text []byte) *time.Location {
	t.Helper()
	if first := offset.Find(text); first != nil {
		return instant(t, string(first)).Location()
	}
	return time.UTC
}

func instant(t *testing.T, s string) time.Time {
	t.Helper()
	got, err := time.Parse(time.RFC3339, s)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// view reads the two clocks of a row. known_at is a time, or #4 for all that was
// known once entry 4 was logged.
func (c publishedCase) view(t *testing.T, log []events.Recorded) (v events.View) {
	t.Helper()
	if c.asOf != "" {
		v.AsOf = instant(t, c.asOf)
	}
	n, numbered := strings.CutPrefix(c.knownAt, "#")
	switch {
	case numbered:
		i, err := strconv.Atoi(n)
		if err != nil || i < 1 || i > len(log) {
			t.Fatalf("line %d: there is no entry %s", c.line, c.knownAt)
		}
		v.KnownAt = log[i-1].KnownAt()
	case c.knownAt != "":
		v.KnownAt = instant(t, c.knownAt)
	}
	return v
}

// stateJSON is the state of a log at a view, as its JSON reads back.
func stateJSON(t *testing.T, log []events.Recorded, v events.View) any {
	t.Helper()
	c := kinds.Catalogue()
	data, err := json.Marshal(Fold(c, c.NewTimeline(log, v)))
	if err != nil {
		t.Fatal(err)
	}
	var state any
	if err := json.Unmarshal(data, &state); err != nil {
		t.Fatal(err)
	}
	return state
}

// find follows a path such as volume.balances[load|all].unaccounted.high. Brackets
// pick the one element of a list that holds each of the texts as a value of its
// own, or is at that place of the list; count is the length of a list.
func find(node any, path string) (any, error) {
	rest := path
	for rest != "" {
		if pick, after, ok := bracket(rest); ok {
			list, isList := node.([]any)
			if !isList {
				return nil, fmt.Errorf("%s: [%s] picks from no list", path, pick)
			}
			var err error
			if node, err = pickOne(list, pick); err != nil {
				return nil, fmt.Errorf("%s: %w", path, err)
			}
			rest = strings.TrimPrefix(after, ".")
			continue
		}
		key := rest[:len(rest)-len(strings.TrimLeft(rest, "abcdefghijklmnopqrstuvwxyz_0123456789"))]
		rest = strings.TrimPrefix(rest[len(key):], ".")
		switch n := node.(type) {
		case map[string]any:
			value, ok := n[key]
			if !ok {
				return nil, fmt.Errorf("%s: nothing is called %q", path, key)
			}
			node = value
		case []any:
			if key != "count" {
				return nil, fmt.Errorf("%s: %q of a list", path, key)
			}
			node = float64(len(n))
		default:
			return nil, fmt.Errorf("%s: %q of %v", path, key, n)
		}
	}
	return node, nil
}

func bracket(s string) (pick, after string, ok bool) {
	if !strings.HasPrefix(s, "[") {
		return "", "", false
	}
	return strings.Cut(s[1:], "]")
}

func pickOne(list []any, pick string) (any, error) {
	if i, err := strconv.Atoi(pick); err == nil {
		if i < 0 || i >= len(list) {
			return nil, fmt.Errorf("the list has %d elements", len(list))
		}
		return list[i], nil
	}
	var found []any
	for _, e := range list {
		if holds(e, strings.Split(pick, "|")) {
			found = append(found, e)
		}
	}
	if len(found) != 1 {
		return nil, fmt.Errorf("%d elements are [%s], want one", len(found), pick)
	}
	return found[0], nil
}

func holds(element any, texts []string) bool {
	fields, _ := element.(map[string]any)
	return !slices.ContainsFunc(texts, func(text string) bool {
		for _, v := range fields {
			if v == text {
				return false
			}
		}
		return true
	})
}

// check says what is wrong with a figure, nil when it is as wanted.
func (c publishedCase) check(state any) error {
	got, err := find(state, c.figure)
	if err != nil {
		return err
	}
	text := written(got)
	wrong := fmt.Errorf("%s = %s, want %s; %s", c.figure, text, c.want, c.source)
	if c.tolerance != "" {
		want, err1 := strconv.ParseFloat(c.want, 64)
		tolerance, err2 := strconv.ParseFloat(c.tolerance, 64)
		if err := errors.Join(err1, err2); err != nil {
			return err
		}
		if v, ok := got.(float64); !ok || !(math.Abs(v-want) <= tolerance) {
			return wrong
		}
		return nil
	}
	good := text == c.want
	if part, ok := strings.CutPrefix(c.want, "contains "); ok {
		good = strings.Contains(text, part)
	} else if part, ok := strings.CutPrefix(c.want, "lacks "); ok {
		good = !strings.Contains(text, part)
	}
	if !good {
		return wrong
	}
	return nil
}

// written is a value as the table has it: text as it stands, else as JSON.
func written(v any) string {
	if s, ok := v.(string); ok {
		return s
	}
	var b strings.Builder
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		return err.Error()
	}
	return strings.TrimSpace(b.String())
}

// Published incidents, logged as their sources tell them, come out as the sources
// have it: bounds stay bounds, contradictions stay open, what nobody knows stays
// unknown. Those named hand are invented and worked out by hand.
func TestPublished(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "testdata", "published", "cases.csv"))
	if err != nil {
		t.Fatal(err)
	}
	cases, err := publishedCases(string(text))
	if err != nil {
		t.Fatal(err)
	}
	files, err := filepath.Glob(filepath.Join("..", "testdata", "incidents", "published", "*.csv"))
	if err != nil || len(files) < 35 {
		t.Fatalf("%d incidents, %v; want all 35", len(files), err)
	}
	asked := 0
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".csv")
		t.Run(name, func(t *testing.T) {
			log, before := publishedLog(t, file), asked
			for _, c := range cases {
				if c.name != name {
					continue
				}
				asked++
				if err := c.check(stateJSON(t, log, c.view(t, log))); err != nil {
					t.Errorf("line %d: %v", c.line, err)
				}
			}
			if asked == before {
				t.Error("no row of the table asks anything of this incident")
			}
		})
	}
	if asked != len(cases) {
		t.Errorf("%d of %d rows were asked; the others name no incident", asked, len(cases))
	}
}

// A table that leaves out its sources is refused, and a row that is wrong is told.
func TestPublishedBites(t *testing.T) {
	header := strings.Join(publishedColumns, ",") + "\n"
	for _, tt := range []struct{ row, want string }{
		{"x,,,notes,1,0,seen,\n", "line 2 has no source"},
		{"x,,,notes,1,0,guessed,a page\n", "is not seen or computed"},
		{"x,,,notes,,0,seen,a page\n", "asks for nothing"},
	} {
		if _, err := publishedCases(header + tt.row); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%q: got %v, want an error with %q", tt.row, err, tt.want)
		}
	}
	if _, err := publishedCases("case,figure\n"); err == nil {
		t.Error("other columns were taken")
	}
	var state any
	if err := json.Unmarshal([]byte(`{"a": {"value": null, "high": 3900}, "list": [{"of": "load", "u": 1}, {"of": "load", "u": 2}], "text": "at most 5"}`), &state); err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		figure, want, tolerance string
		good                    bool
	}{
		{"a.high", "3900", "0.5", true}, {"a.high", "3901", "0.5", false}, {"a.value", "null", "", true}, {"a.value", "0", "0", false},
		{"a.low", "null", "", false}, {"list[load].u", "1", "0", false}, {"list[1].u", "2", "0", true}, {"list[2].u", "2", "0", false},
		{"list.count", "2", "0", true}, {"text", "contains most", "", true}, {"text", "lacks most", "", false}, {"text", "contains least", "", false},
		{"text[x]", "1", "0", false}, {"list.u", "1", "0", false}, {"a.high", "nothing", "0", false},
	} {
		err := publishedCase{figure: tt.figure, want: tt.want, tolerance: tt.tolerance, source: "here"}.check(state)
		if (err == nil) != tt.good {
			t.Errorf("%s, want %s ± %s: got %v, want good %v", tt.figure, tt.want, tt.tolerance, err, tt.good)
		}
	}
}

// The hour that the clocks repeat needs its offset: a time without one is no time.
func TestTimeNeedsItsOffset(t *testing.T) {
	table := "occurred_at,event\n2025-11-02T01:30:00,mishap\n2025-11-02T01:30:00-05:00,mishap\n"
	got, err := intake.CSV(strings.NewReader(table), intake.Options{Catalogue: kinds.Catalogue(), Incident: "x", Name: "x.csv"})
	if err != nil || len(got.Faults) != 1 || got.Faults[0].Line != 2 || len(got.Drafts) != 1 {
		t.Errorf("got %v, faults %v; want a fault in line 2 and one entry", err, got.Faults)
	}
}
