package events

import (
	"fmt"
	"slices"
	"strings"

	"tankside/events/quantity"
)

// Reference writes the page that explains every kind of entry, family by family,
// as Markdown.
func (c *Catalogue) Reference() string {
	var b strings.Builder
	b.WriteString(`# Kinds of entry

Every entry has a time, a teller, a place and words of its own; what follows is what each kind
adds. Leave out what was not said: nothing stands for zero. A number is followed by its unit and
then by any words (5 gal into pan); a number alone is in the first unit named. It may be about 5,
over 5, under 5, up to 5, 4 to 6, or 5 ± 0.5. In a key, # stands for a number and @ for one
capital letter. Whatever has no field here is kept beside the entry as it was said.
`)
	for _, family := range c.families() {
		fmt.Fprintf(&b, "\n## %s\n", upperFirst(family))
		for _, t := range c.types {
			if t.Family == family {
				b.WriteString("\n" + t.Reference())
			}
		}
	}
	return b.String()
}

// families lists the families in the order in which they first appear.
func (c *Catalogue) families() (out []string) {
	for _, t := range c.types {
		if !slices.Contains(out, t.Family) {
			out = append(out, t.Family)
		}
	}
	return out
}

// Reference writes the part of the page that explains the kind, as Markdown.
func (t *Type) Reference() string {
	var b strings.Builder
	fmt.Fprintf(&b, "### %s: `%s`\n\n%s\n", t.Title, t.Kind, t.Doc)
	if len(t.Fields) > 0 {
		b.WriteString("\n| key | name | takes | note |\n|---|---|---|---|\n")
	}
	for _, f := range t.Fields {
		fmt.Fprintf(&b, "| `%s` | %s | %s | %s |\n", f.Key, cell(f.Label), cell(f.Takes()), cell(f.note()))
	}
	b.WriteString("\n")
	if len(t.Says) > 0 {
		fmt.Fprintf(&b, "- Said as: %s\n", strings.Join(t.Says, ", "))
	}
	fmt.Fprintf(&b, "- Read by: %s\n- Version: %d\n", strings.Join(t.Feeds, ", "), t.Version)
	fmt.Fprintf(&b, "- In the report: %s\n", t.Line(t.Example))
	fmt.Fprintf(&b, "\n```\n%s\n%s\n```\n", PairsText(t.Values(t.Example)), t.exampleJSON())
	return b.String()
}

// exampleJSON is the example as it is stored. NewCatalogue has checked that it can
// be written.
func (t *Type) exampleJSON() string {
	raw, err := t.Encode(t.Example)
	if err != nil {
		return err.Error()
	}
	return string(raw)
}

// PairsText writes keys and values as a log file holds them: "leg=L1; meter=897 gal".
func PairsText(pairs []Pair) string {
	out := make([]string, len(pairs))
	for i, p := range pairs {
		out[i] = p.Key + "=" + p.Value
	}
	return strings.Join(out, "; ")
}

// Takes says in a few words what the field may hold, e.g. "0 to 100 %".
func (f FieldInfo) Takes() string {
	switch f.Type {
	case TextsField:
		return "words, as often as needed"
	case ChoiceField:
		return "one of: " + strings.Join(f.Choices, ", ")
	case ClockField:
		return "a clock time, 22:30"
	case EntryField:
		return "the id of an entry"
	case AmountField, AmountsField:
		return f.takesAmount()
	default:
		return "words"
	}
}

func (f FieldInfo) takesAmount() string {
	s := quantity.Bounds(f.Low, f.High, f.Units[0])
	if f.Units[0] == "" {
		s += ", a count"
	}
	if others := f.Units[1:]; len(others) > 0 {
		s += "; also in " + strings.Join(others, ", ")
	}
	return s
}

// note is the help of the field and the words that are said for it.
func (f FieldInfo) note() string {
	if len(f.Says) == 0 {
		return f.Help
	}
	return strings.TrimSpace(f.Help + " Said as: " + strings.Join(f.Says, ", "))
}

// cell keeps text from ending a cell of a Markdown table.
func cell(s string) string { return strings.ReplaceAll(s, "|", `\|`) }

func upperFirst(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
