package cli

import (
	"fmt"
	"math"
	"strings"

	"tankside/events"
	"tankside/events/quantity"
)

// unitOf is what a field is to be given, in a word or two.
func unitOf(f events.FieldInfo) string {
	switch f.Type {
	case events.AmountField, events.AmountsField:
		if f.Units[0] == "" {
			return "number"
		}
		return f.Units[0]
	case events.ClockField:
		return "21:16"
	case events.EntryField:
		return "#number"
	case events.ChoiceField:
		return "choice"
	}
	return "words"
}

// describe says what a field is, with its bounds, units and choices.
func describe(f events.FieldInfo) string {
	parts := []string{f.Label}
	if len(f.Units) > 0 && !(math.IsInf(f.Low, 0) && math.IsInf(f.High, 0)) {
		parts = append(parts, quantity.Bounds(f.Low, f.High, f.Units[0]))
	}
	if len(f.Units) > 1 {
		parts = append(parts, "also in "+strings.Join(f.Units[1:], ", "))
	}
	if len(f.Choices) > 0 {
		parts = append(parts, strings.Join(f.Choices, ", "))
	}
	if f.Type == events.TextsField {
		parts = append(parts, "may be given many times")
	}
	text := strings.Join(parts, "; ")
	if second := otherwise[f.Key]; second.flag != "" {
		text += "; for " + second.means + ": --" + second.flag
	}
	if f.Help != "" {
		text += ". " + f.Help
	}
	return text
}

// keyedHelp describes the flags whose names the log fills in; the flag library
// cannot list them.
func keyedHelp(t *events.Type) string {
	var b strings.Builder
	for _, f := range t.Fields {
		if f.Patterned() {
			key := strings.NewReplacer("#", "1", "@", "A").Replace(f.Key)
			fmt.Fprintf(&b, "\n      --%s %s   %s", key, unitOf(f), describe(f))
		}
	}
	if b.Len() == 0 {
		return ""
	}
	return "\n\nFlags by key (put the number and the letter that you mean):" + b.String()
}

// exampleFlags are the flags that make a kind's example.
func exampleFlags(t *events.Type) []string {
	var out []string
	for _, p := range t.Values(t.Example) {
		out = append(out, "--"+p.Key, p.Value)
	}
	return out
}

// exampleLine is the command that makes a kind's example, as one would type it.
func exampleLine(t *events.Type) string {
	line := "tankside log " + string(t.Kind)
	for _, arg := range exampleFlags(t) {
		line += " " + quoted(arg)
	}
	return line
}

// quoted puts an argument in quotes where a shell would split it.
func quoted(arg string) string {
	if strings.ContainsFunc(arg, func(r rune) bool { return !strings.ContainsRune(plain, r) }) {
		return fmt.Sprintf("%q", arg)
	}
	return arg
}

// plain are the characters that no shell treats specially.
const plain = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_./:+,@"
