package events

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"tankside/events/quantity"
)

// dialect is the JSON Schema version that the schemas are written in.
const dialect = "https://json-schema.org/draft/2020-12/schema"

// schema is a JSON Schema, as much of it as entries need. Its fields are written
// in this order, maps by key, so that the same declarations give the same bytes.
type schema struct {
	Dialect     string              `json:"$schema,omitempty"`
	Ref         string              `json:"$ref,omitempty"`
	Title       string              `json:"title,omitempty"`
	Description string              `json:"description,omitempty"`
	Type        string              `json:"type,omitempty"`
	Const       json.RawMessage     `json:"const,omitempty"`
	Enum        []string            `json:"enum,omitempty"`
	Format      string              `json:"format,omitempty"`
	Pattern     string              `json:"pattern,omitempty"`
	MinLength   int                 `json:"minLength,omitempty"`
	Minimum     *float64            `json:"minimum,omitempty"`
	Maximum     *float64            `json:"maximum,omitempty"`
	Items       *schema             `json:"items,omitempty"`
	MinItems    int                 `json:"minItems,omitempty"`
	MaxItems    int                 `json:"maxItems,omitempty"`
	Properties  map[string]*schema  `json:"properties,omitempty"`
	Patterns    map[string]*schema  `json:"patternProperties,omitempty"`
	Additional  *bool               `json:"additionalProperties,omitempty"`
	Required    []string            `json:"required,omitempty"`
	Needs       map[string][]string `json:"dependentRequired,omitempty"`
	Not         *schema             `json:"not,omitempty"`
	If          *schema             `json:"if,omitempty"`
	Then        *schema             `json:"then,omitempty"`
	AllOf       []*schema           `json:"allOf,omitempty"`
	AnyOf       []*schema           `json:"anyOf,omitempty"`
	OneOf       []*schema           `json:"oneOf,omitempty"`
	Examples    []json.RawMessage   `json:"examples,omitempty"`
	Defs        map[string]*schema  `json:"$defs,omitempty"`
}

// closed is an object that has no other members than these.
func closed(properties map[string]*schema) *schema {
	return &schema{Type: "object", Properties: properties, Additional: new(bool)}
}

func (s *schema) bytes() ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(s); err != nil {
		return nil, fmt.Errorf("events: schema: %w", err)
	}
	return b.Bytes(), nil
}

// SchemaFile is one JSON Schema and the path at which the others refer to it.
type SchemaFile struct {
	Path string // with forward slashes, e.g. "kinds/foam_applied.schema.json"
	JSON []byte
}

// The paths of the schemas, as they refer to each other.
const (
	entryPath   = "entry.schema.json"
	amountsPath = "amount.schema.json"
)

func schemaPath(k Kind) string { return "kinds/" + string(k) + ".schema.json" }

// Schemas returns the schema of an entry, that of amounts and that of the data of
// every kind, as they are published. They are JSON Schema, draft 2020-12.
func (c *Catalogue) Schemas() (files []SchemaFile, err error) {
	add := func(path string, s *schema, fault error) {
		raw, wrong := s.bytes()
		files, err = append(files, SchemaFile{path, raw}), errors.Join(err, fault, wrong)
	}
	add(entryPath, c.entrySchema(), nil)
	add(amountsPath, c.amountsSchema(), nil)
	for _, t := range c.types {
		s, fault := t.schema()
		add(schemaPath(t.Kind), s, fault)
	}
	return files, err
}

// Schema returns the JSON Schema of the data of a kind in its newest version. It
// refers to ../amount.schema.json, which Schemas has too. It fails for a kind that
// the catalogue does not hold.
func (c *Catalogue) Schema(kind Kind) ([]byte, error) {
	t := c.Type(kind)
	if t == nil {
		return nil, fmt.Errorf("events: schema: kind %q is not known; the nearest are %v", kind, c.Suggest(string(kind)))
	}
	s, err := t.schema()
	if err != nil {
		return nil, err
	}
	return s.bytes()
}

func (t *Type) schema() (*schema, error) {
	example, err := t.Encode(t.Example)
	if err != nil {
		return nil, fmt.Errorf("events: schema: %s: %w", t.Kind, err)
	}
	s := closed(map[string]*schema{})
	s.Dialect, s.Title, s.Description, s.Examples = dialect, t.Title, t.Doc, []json.RawMessage{example}
	s.Patterns = map[string]*schema{}
	for _, f := range t.Fields {
		if f.Patterned() {
			s.Patterns[f.keyPattern()] = f.schema()
		} else {
			s.Properties[f.Key] = f.schema()
		}
	}
	return s, nil
}

// keyPattern is the expression that Matches stands for.
func (f FieldInfo) keyPattern() string {
	return "^" + strings.NewReplacer("#", "[0-9]+", "@", "[A-Z]").Replace(f.Key) + "$"
}

// clockPattern is what a Clock takes: 9:05, 22:30, 22:30:15.
const clockPattern = `^([01]?[0-9]|2[0-3]):[0-5][0-9](:[0-5][0-9]([.,][0-9]+)?)?$`

// schema describes the values of the field.
func (f FieldInfo) schema() *schema {
	s := &schema{Title: f.Label, Description: f.Help}
	switch f.Type {
	case TextField, KeyedField:
		s.Type, s.MinLength = "string", 1
	case TextsField:
		s.Type, s.Items, s.MinItems = "array", &schema{Type: "string", MinLength: 1}, 1
	case ChoiceField:
		s.Enum = f.Choices
	case ClockField:
		s.Type, s.Pattern = "string", clockPattern
	case EntryField:
		s.Type, s.Pattern = "string", idPattern
	case AmountField, AmountsField:
		s.Ref = "../" + amountsPath + "#/$defs/" + f.amountName()
	}
	return s
}

// amountsSchema is every sort of amount that a field of the catalogue holds, each
// under the name of its scale and bounds.
func (c *Catalogue) amountsSchema() *schema {
	s := &schema{Dialect: dialect, Title: "Amounts", Defs: map[string]*schema{"amount": amountSchema()}}
	s.Description = "What was measured or said, with the bounds of each unit it may be in."
	for _, t := range c.types {
		for _, f := range t.Fields {
			if f.scale != nil {
				s.Defs[f.amountName()] = f.amountSchema()
			}
		}
	}
	return s
}

func (f FieldInfo) amountName() string {
	return strings.Map(tokenRune, f.scale.Name+" "+quantity.Bounds(f.Low, f.High, f.scale.Canonical()))
}

// tokenRune keeps a name fit to stand in a reference.
func tokenRune(r rune) rune {
	if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-' || r == '.' {
		return r
	}
	return '_'
}

// amountSchema is the shape of every amount, whatever its unit.
func amountSchema() *schema {
	least := 0.0
	number, text := &schema{Type: "number"}, &schema{Type: "string"}
	s := closed(map[string]*schema{
		"value": number, "low": number, "high": number, "unit": text, "words": text,
		"u":         {Type: "number", Minimum: &least, Description: "standard uncertainty, in the unit of the amount"},
		"qualifier": {Enum: []string{"=", "about", ">", "<", "up to", "range"}},
		"assumed":   {Const: json.RawMessage("true"), Description: "no unit was entered"},
	})
	isRange := map[string]*schema{"qualifier": {Enum: []string{"range"}}}
	s.Description = "What was said: a value, or a range from low to high."
	s.OneOf = []*schema{
		{Required: []string{"value"}, Not: &schema{AnyOf: []*schema{
			{Required: []string{"low"}}, {Required: []string{"high"}}, {Required: []string{"qualifier"}, Properties: isRange},
		}}},
		{Required: []string{"qualifier", "low", "high"}, Properties: isRange, Not: &schema{Required: []string{"value"}}},
	}
	return s
}

// amountSchema adds the units of the field's scale, each with the bounds that the
// field has in that unit.
func (f FieldInfo) amountSchema() *schema {
	s := &schema{Ref: "#/$defs/amount"}
	for _, u := range f.scale.Units {
		number := &schema{Minimum: inUnit(f.Low, u), Maximum: inUnit(f.High, u)}
		one := &schema{Properties: map[string]*schema{"value": number, "low": number, "high": number}}
		if u.Symbol == "" {
			one.Not = &schema{Required: []string{"unit"}}
		} else {
			one.Required = []string{"unit"}
			one.Properties["unit"] = &schema{Pattern: unitPattern(u)}
		}
		if u.Symbol != f.scale.Canonical() {
			one.Properties["assumed"] = &schema{Not: &schema{}}
		}
		s.AnyOf = append(s.AnyOf, one)
	}
	return s
}

// inUnit converts a bound from the canonical unit, to twelve digits. An open bound
// stays open.
func inUnit(bound float64, u quantity.Unit) *float64 {
	v := (bound - u.Offset) / u.Factor
	if math.IsInf(v, 0) {
		return nil
	}
	if v != bound {
		v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'g', 12, 64), 64)
	}
	return &v
}

// unitPattern is an expression for the unit's symbol and its other spellings, in
// upper or lower case, as Scale.Find takes them.
func unitPattern(u quantity.Unit) string {
	var names []string
	for _, name := range append([]string{u.Symbol}, u.Aliases...) {
		var b strings.Builder
		for _, r := range name {
			b.WriteString(anyCase(r))
		}
		names = append(names, b.String())
	}
	return "^(" + strings.Join(names, "|") + ")$"
}

// anyCase is an expression for r in all its cases.
func anyCase(r rune) string {
	class := string(r)
	for c := unicode.SimpleFold(r); c != r; c = unicode.SimpleFold(c) {
		class += string(c)
	}
	if utf8.RuneCountInString(class) == 1 {
		return regexp.QuoteMeta(class)
	}
	return "[" + class + "]"
}
