package intake_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/intake"
	"tankside/events/kinds"
)

func readLines(t *testing.T, text string) intake.Result {
	t.Helper()
	o := options()
	o.Name = "log.jsonl"
	res, err := intake.JSONLines(strings.NewReader(text), o)
	if err != nil {
		t.Fatal(err)
	}
	return res
}

// TestStoredLinesComeBack takes in what another log of the incident stored.
func TestStoredLinesComeBack(t *testing.T) {
	c := kinds.Catalogue()
	now := time.Date(2025, 10, 14, 21, 17, 0, 0, time.FixedZone("", -5*3600))
	var lines []string
	var want []events.Draft
	var prev *events.Recorded
	for _, typ := range c.Types() {
		d := events.Draft{ID: events.NewID(now), Incident: "Quarry Bend", Occurred: events.At(now), Reported: now, Words: "as said", Payload: typ.Example}
		r, err := c.Seal(d, "north", prev, now)
		if err != nil {
			t.Fatal(err)
		}
		prev = &r
		lines, want = append(lines, string(r.Raw)), append(want, d)
	}
	res := readLines(t, "\ufeff"+strings.Join(lines, "\r\n\r\n"))
	if len(res.Faults) > 0 || len(res.Drafts) != len(want) {
		t.Fatalf("got %d drafts of %d, faults %v", len(res.Drafts), len(want), texts(res.Faults))
	}
	for i, d := range res.Drafts {
		if !c.SameFact(d, events.Recorded{Draft: want[i]}) || d.Source.Raw != lines[i] || d.Source.Line != 2*i+1 {
			t.Errorf("line %d: got %+v, want %+v", 2*i+1, d, want[i])
		}
	}
}

func TestLinesWithoutIDs(t *testing.T) {
	line := `{"kind":"note","occurred":{"at":"2025-10-14T21:16:00-05:00"},"words":"hiss"}`
	first := readLines(t, line+"\n"+line)
	if len(first.Drafts) != 2 || first.Drafts[0].ID == first.Drafts[1].ID || first.Drafts[0].Incident != "Quarry Bend" {
		t.Fatalf("got %+v, faults %v", first.Drafts, texts(first.Faults))
	}
	if again := readLines(t, line+"\n"+line); !slices.Equal(ids(again.Drafts), ids(first.Drafts)) {
		t.Errorf("ids were %v, are %v", ids(first.Drafts), ids(again.Drafts))
	}
}

func TestLineFaults(t *testing.T) {
	good := `{"kind":"note","occurred":{"at":"2025-10-14T21:16:00-05:00"}}`
	for _, tt := range []struct{ name, line, want string }{
		{"broken JSON", `{"kind":"note",,}`, "log.jsonl:2:16: "},
		{"not an object", `[1]`, "log.jsonl:2: must be an object"},
		{"unknown member", `{"kind":"note","colour":"red"}`, `log.jsonl:2: colour="red": not part of an entry as this program knows it; put the line right`},
		{"unknown kind", `{"kind":"nope","data":{}}`, `log.jsonl:2: kind "nope" is not one this program can write`},
		{"unknown field", `{"kind":"note","data":{"zz":"1"}}`, `log.jsonl:2: note has no field "zz"`},
		{"null in a number", `{"kind":"foam_applied","data":{"flow":null}}`, "log.jsonl:2: flow: "},
		{"no time", `{"kind":"note"}`, "log.jsonl:2: occurred: no time given"},
		{"two objects", good + good, "log.jsonl:2: more follows after the closing brace"},
		{"another incident", `{"incident":"Harrow Mill","kind":"note","occurred":{"at":"2025-10-14T21:16:00-05:00"}}`, `log.jsonl:2: the entry is of incident "Harrow Mill", not of "Quarry Bend"; name that incident`},
		{"not UTF-8", "{\"kind\":\"note\xff\"}", "log.jsonl:2: "},
	} {
		t.Run(tt.name, func(t *testing.T) {
			res := readLines(t, good+"\n"+tt.line+"\n"+good)
			got := texts(res.Faults)
			if len(got) != 1 || !strings.HasPrefix(got[0], tt.want) || strings.Contains(got[0], "\n") || len(res.Drafts) != 2 {
				t.Errorf("%d drafts, faults\n got %s\nwant %s…", len(res.Drafts), strings.Join(got, "\n"), tt.want)
			}
		})
	}
}

func TestIncidentOfTheLineStands(t *testing.T) {
	o := options()
	o.Incident = ""
	res, err := intake.JSONLines(strings.NewReader(`{"incident":"Harrow Mill","kind":"note","occurred":{"at":"2025-10-14T21:16:00-05:00"}}`), o)
	if err != nil || len(res.Drafts) != 1 || res.Drafts[0].Incident != "Harrow Mill" {
		t.Errorf("got %+v, %v, want one entry of Harrow Mill", res, err)
	}
}

// checkResult holds what every result must satisfy, whatever came in.
func checkResult(t *testing.T, o intake.Options, res intake.Result) {
	t.Helper()
	for _, d := range res.Drafts {
		if err := o.Catalogue.Validate(d); err != nil {
			t.Fatalf("line %d became a draft no log would take: %v", d.Source.Line, err)
		}
		if _, err := o.Catalogue.Seal(d, "n", nil, time.Unix(0, 0)); err != nil {
			t.Fatalf("line %d cannot be sealed: %v", d.Source.Line, err)
		}
	}
	for _, f := range res.Faults {
		if f.Line < 1 || f.What == "" || strings.ContainsAny(f.Error(), "\n\r") {
			t.Fatalf("fault %q is not one line with a place and a reason", f.Error())
		}
	}
	if res.Bad() > 0 && len(res.Faults) == 0 {
		t.Fatalf("%d of %d rows are gone without a word", res.Bad(), res.Rows)
	}
}

func FuzzCSV(f *testing.F) {
	for _, typ := range kinds.Catalogue().Types() {
		var values []string
		for _, p := range typ.Values(typ.Example) {
			values = append(values, p.Key+"="+p.Value)
		}
		f.Add(head + fmt.Sprintf("1,2025-10-14T21:16:00-05:00,,radio,P1A,%s,,%q,\n", typ.Kind, strings.Join(values, "; ")))
	}
	f.Add(head + "1,before #2,,,,note,,,a\n2,before #1,,,,note,,,\"b\n")
	f.Add(head + "1,before #3,,,,struck,,entry=#2,\n2,2025-10-14,,,,joined,,entry=#3; with=#1,\n3,2025-10-14,,,,note,,,c\n")
	f.Fuzz(func(t *testing.T, text string) {
		o := options()
		res, err := intake.CSV(strings.NewReader(text), o)
		if err != nil {
			t.Fatal(err)
		}
		checkResult(t, o, res)
		seen := map[events.ID]bool{}
		for _, d := range res.Drafts {
			if seen[d.ID] {
				t.Fatalf("two rows have the id %s", d.ID)
			}
			seen[d.ID] = true
		}
	})
}

func FuzzJSONLines(f *testing.F) {
	c := kinds.Catalogue()
	now := time.Date(2025, 10, 14, 21, 17, 0, 0, time.UTC)
	for _, typ := range c.Types() {
		r, err := c.Seal(events.Draft{ID: events.NewID(now), Incident: "Quarry Bend", Occurred: events.At(now), Payload: typ.Example}, "n", nil, now)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(r.Raw))
	}
	f.Fuzz(func(t *testing.T, text string) {
		o := options()
		res, err := intake.JSONLines(strings.NewReader(text), o)
		if err != nil {
			t.Fatal(err)
		}
		checkResult(t, o, res)
	})
}
