package kinds_test

import (
	"reflect"
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
)

// The page names every kind, key, unit, choice, word and fold, and what it shows
// as an example is one.
func TestReference(t *testing.T) {
	page := kinds.Catalogue().Reference()
	for _, typ := range kinds.Catalogue().Types() {
		part := typ.Reference()
		if strings.Count(page, part) != 1 {
			t.Errorf("%s does not stand once in the page", typ.Kind)
		}
		want := append([]string{string(typ.Kind), typ.Title, typ.Doc, typ.Line(typ.Example)}, append(typ.Says, typ.Feeds...)...)
		for _, f := range typ.Fields {
			want = append(want, "| `"+f.Key+"` |", f.Label, f.Help)
			want = append(want, append(f.Units, append(f.Choices, f.Says...)...)...)
		}
		for _, w := range want {
			if !strings.Contains(part, w) {
				t.Errorf("%s: the page does not say %q", typ.Kind, w)
			}
		}
		exampleOnPage(t, typ, part)
		for _, row := range strings.Split(part, "\n") {
			if strings.HasPrefix(row, "|") && strings.Count(row, "|") != 5 {
				t.Errorf("%s: %s has not four cells", typ.Kind, row)
			}
		}
	}
}

func exampleOnPage(t *testing.T, typ *events.Type, part string) {
	t.Helper()
	_, code, _ := strings.Cut(part, "```\n")
	lines := strings.Split(code, "\n")
	if p := fill(t, typ, pairsOf(lines[0])); !reflect.DeepEqual(p, typ.Example) {
		t.Errorf("%s: %s reads as %+v, want %+v", typ.Kind, lines[0], p, typ.Example)
	}
	if p, err := typ.DecodeStrict(typ.Version, []byte(lines[1])); err != nil || !reflect.DeepEqual(p, typ.Example) {
		t.Errorf("%s: %s reads as %+v, %v; want %+v", typ.Kind, lines[1], p, err, typ.Example)
	}
}

func TestReferencePart(t *testing.T) {
	want := "### Radio back: `radio_back`\n\nA radio channel is heard again.\n\n| key | name | takes | note |\n|---|---|---|---|\n" +
		"| `gap` | Gap | 0 to 100000 min; also in h, s |  |\n| `cause` | Cause | words |  |\n\n" +
		"- Said as: radio back, channel back\n- Read by: quality\n- Version: 1\n- In the report: Radio back: gap 12 min, because of relay battery.\n" +
		"\n```\ngap=12 min; cause=relay battery\n{\"gap\":{\"value\":12,\"unit\":\"min\"},\"cause\":\"relay battery\"}\n```\n"
	if got := kinds.Catalogue().Type("radio_back").Reference(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}
