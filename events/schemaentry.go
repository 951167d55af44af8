package events

import (
	"encoding/json"
	"fmt"
)

// What the texts of an envelope look like.
const (
	idPattern   = "^[0-7][0-9A-HJKMNP-TV-Za-hjkmnp-tv-z]{25}$"
	hashPattern = "^[0-9a-f]{64}$"
)

// entrySchema is the JSON Schema of a whole entry. It takes an entry as a log
// holds it and as a sender writes it, which has no place in a log yet.
func (c *Catalogue) entrySchema() *schema {
	s := closed(map[string]*schema{
		"id":          {Type: "string", Pattern: idPattern, Description: "ULID made by the sender; the same id is the same entry"},
		"incident":    {Type: "string", MinLength: 1},
		"mode":        {Type: "string", MinLength: 1, Description: "exercise or test; left out for an actual incident"},
		"node":        {Type: "string", MinLength: 1, Description: "the machine whose log holds the entry"},
		"n":           {Type: "integer", Minimum: number(1), Description: "place in that log"},
		"kind":        {Enum: c.names(), Description: "what sort of fact; says which schema the data follow"},
		"v":           {Type: "integer", Minimum: number(1), Description: "version of the kind"},
		"occurred":    whenSchema(),
		"told":        timeSchema("when the post was told"),
		"recorded":    timeSchema("when the log took it"),
		"by":          textSchema("role of whoever saw or measured it"),
		"relayed_by":  textSchema("role of whoever passed it on"),
		"recorded_by": textSchema("whoever wrote it down"),
		"channel":     textSchema("typed, radio, runner, phone, device or file"),
		"device":      textSchema("the clock that stamped it, when a device did"),
		"where":       textSchema("place"),
		"trust":       textSchema("measured, observed, estimated, said or worked out"),
		"words":       textSchema("as said"),
		"grammar":     textSchema("version of the grammar that read the words, when they are a line that was read"),
		"extra":       pairsSchema("said, but not a field of the kind; in order"),
		"source":      sourceSchema(),
		"data":        {Type: "object", Description: "the fields of the kind"},
		"prev":        {Type: "string", Pattern: hashPattern, Description: "SHA-256 of the entry before it in the log, of its bytes as stored"},
	})
	s.Dialect, s.Title = dialect, "Entry"
	s.Description = "One entry of an incident log. Only a log writes node, n, recorded and prev."
	s.Required = []string{"id", "incident", "kind", "v", "occurred", "data"}
	s.Needs = map[string][]string{"n": {"recorded"}, "prev": {"n"}}
	for _, t := range c.types {
		s.AllOf = append(s.AllOf, t.dataSchema()...)
	}
	return s
}

func (c *Catalogue) names() []string {
	out := make([]string, len(c.types))
	for i, t := range c.types {
		out[i] = string(t.Kind)
	}
	return out
}

// dataSchema sends entries of the kind to the schema of its data. Data of an older
// version are an object and no more: they are turned into the newest on reading.
func (t *Type) dataSchema() []*schema {
	kind := &schema{Enum: []string{string(t.Kind)}}
	newest := json.RawMessage(fmt.Sprint(t.Version))
	return []*schema{
		{
			If:   &schema{Properties: map[string]*schema{"kind": kind}},
			Then: &schema{Properties: map[string]*schema{"v": {Maximum: number(float64(t.Version))}}},
		},
		{
			If:   &schema{Properties: map[string]*schema{"kind": kind, "v": {Const: newest}}},
			Then: &schema{Properties: map[string]*schema{"data": {Ref: schemaPath(t.Kind)}}},
		},
	}
}

func number(v float64) *float64 { return &v }

func textSchema(description string) *schema {
	return &schema{Type: "string", MinLength: 1, Description: description}
}

func timeSchema(description string) *schema {
	return &schema{Type: "string", Format: "date-time", Description: description}
}

// whenSchema is the schema of a When.
func whenSchema() *schema {
	s := closed(map[string]*schema{
		"form":  {Enum: []string{string(Span), string(Bracket), string(Day), string(Before)}, Description: "left out for an instant"},
		"at":    timeSchema("the best instant; the start of a span; any time of a day"),
		"from":  timeSchema("the earliest it can have been"),
		"to":    timeSchema("the latest it can have been; the end of a span"),
		"entry": {Type: "string", MinLength: 1, Description: "the id of the entry it came before"},
		"hard":  {Const: json.RawMessage("true"), Description: "tied to a clock of known accuracy"},
	})
	s.Description = "When it happened, as exactly as it is known."
	forms := []struct {
		form Form
		need []string
	}{{Span, []string{"at", "to"}}, {Bracket, []string{"at", "from", "to"}}, {Day, []string{"at"}}, {Before, []string{"entry"}}}
	for _, f := range forms {
		s.OneOf = append(s.OneOf, &schema{
			Properties: map[string]*schema{"form": {Enum: []string{string(f.form)}}}, Required: append([]string{"form"}, f.need...),
		})
	}
	s.OneOf = append(s.OneOf, &schema{Required: []string{"at"}, Not: &schema{Required: []string{"form"}}})
	return s
}

func pairsSchema(description string) *schema {
	pair := &schema{Type: "array", Items: &schema{Type: "string"}, MinItems: 2, MaxItems: 2}
	return &schema{Type: "array", Items: pair, Description: description}
}

func sourceSchema() *schema {
	s := closed(map[string]*schema{
		"name": textSchema("file or relay"),
		"line": {Type: "integer", Minimum: number(1)},
		"raw":  textSchema("the line as it stood"),
	})
	s.Description = "Where it was taken from, verbatim."
	return s
}
