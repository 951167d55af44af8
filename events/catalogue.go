package events

import (
	"fmt"
	"slices"
	"strings"
)

// Catalogue is the kinds a program knows. It never changes after it is made.
type Catalogue struct {
	types  []*Type
	byKind map[Kind]*Type
}

// NewCatalogue gathers types in the order given. It fails when a kind is there
// twice or a declaration leaves out what every kind must have.
func NewCatalogue(types ...*Type) (*Catalogue, error) {
	c := &Catalogue{types: types, byKind: make(map[Kind]*Type, len(types))}
	for _, t := range types {
		if c.byKind[t.Kind] != nil {
			return nil, fmt.Errorf("events: kind %s is declared twice", t.Kind)
		}
		if err := t.complete(); err != nil {
			return nil, fmt.Errorf("events: kind %s: %w", t.Kind, err)
		}
		c.byKind[t.Kind] = t
	}
	return c, nil
}

// complete says what a declaration lacks.
func (t *Type) complete() error {
	for what, s := range map[string]string{"title": t.Title, "family": t.Family, "doc": t.Doc, "kind": string(t.Kind)} {
		if s == "" {
			return fmt.Errorf("has no %s", what)
		}
	}
	if len(t.Feeds) == 0 {
		return fmt.Errorf("names no projection; write NarrativeOnly when none reads it")
	}
	keys := map[string]bool{}
	for _, f := range t.Fields {
		if f.Key == "" || f.Label == "" || keys[f.Key] {
			return fmt.Errorf("field %q has no label or stands twice", f.Key)
		}
		keys[f.Key] = true
		many := f.Type == AmountsField || f.Type == KeyedField
		if f.Patterned() != many {
			return fmt.Errorf("field %q: only fields by key have # or @ in their key, and all of them do", f.Key)
		}
	}
	if err := t.Check(t.Example); err != nil {
		return fmt.Errorf("example: %w", err)
	}
	if t.line(t.Example) == "" || t.line(t.Empty()) == "" {
		return fmt.Errorf("the report line is empty")
	}
	return nil
}

// Types returns the kinds in the order of the list they were gathered from.
func (c *Catalogue) Types() []*Type { return slices.Clone(c.types) }

// Type returns the declaration of kind, nil when the program does not know it.
func (c *Catalogue) Type(kind Kind) *Type { return c.byKind[kind] }

// Suggest returns the known kinds that look like name, best first, at most three.
func (c *Catalogue) Suggest(name string) []Kind {
	type near struct {
		kind Kind
		d    int
	}
	var found []near
	for _, t := range c.types {
		d := distance(strings.ToLower(name), string(t.Kind))
		if strings.Contains(string(t.Kind), strings.ToLower(name)) && name != "" {
			d = min(d, 1)
		}
		if d <= max(2, len(name)/3) {
			found = append(found, near{t.Kind, d})
		}
	}
	slices.SortStableFunc(found, func(a, b near) int { return a.d - b.d })
	var out []Kind
	for _, n := range found[:min(3, len(found))] {
		out = append(out, n.kind)
	}
	return out
}

// Line returns the report line of an entry: the kind's own sentence, or for a
// kind this program does not know its words and raw fields.
func (c *Catalogue) Line(p Payload) string {
	if u, ok := p.(Unknown); ok {
		return fmt.Sprintf("%s (a kind this program does not know): %s", u.Name, u.JSON)
	}
	t := c.Type(p.Kind())
	if t == nil {
		return string(p.Kind())
	}
	return t.Line(p)
}

// Title returns the printed name of a kind.
func (c *Catalogue) Title(k Kind) string {
	if t := c.Type(k); t != nil {
		return t.Title
	}
	return string(k)
}

// Values returns what a payload says as keys and values.
func (c *Catalogue) Values(p Payload) []Pair {
	if u, ok := p.(Unknown); ok {
		return []Pair{{"raw", u.JSON}}
	}
	if t := c.Type(p.Kind()); t != nil {
		return t.Values(p)
	}
	return nil
}

// distance is the number of letters to insert, drop or change to make b of a
// (Levenshtein 1965).
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		last := row[0]
		row[0] = i + 1
		for j := range len(b) {
			cost := last
			if a[i] != b[j] {
				cost++
			}
			last = row[j+1]
			row[j+1] = min(cost, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}
