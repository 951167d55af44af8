package kinds

import (
	"fmt"
	"strings"

	"tankside/events"
	"tankside/events/quantity"
)

// sentence joins what was said into one sentence; parts that say nothing are left
// out. With nothing but the head it is still a sentence.
func sentence(head string, parts ...string) string {
	var said []string
	for _, p := range parts {
		if p != "" {
			said = append(said, p)
		}
	}
	if len(said) == 0 {
		return head + "."
	}
	return head + ": " + strings.Join(said, ", ") + "."
}

// amount is any Amount.
type amount interface {
	fmt.Stringer
	Said() bool
}

// with writes an amount between a word before it and words after it, "" when it
// was not said.
func with(before string, a amount, after ...string) string {
	if !a.Said() {
		return ""
	}
	return strings.TrimSpace(before + " " + a.String() + " " + strings.Join(after, " "))
}

// say writes a label and its words, "" when there are no words.
func say(label, words string) string {
	if words == "" {
		return ""
	}
	return strings.TrimSpace(label + " " + words)
}

// list writes a label and many words, "" when there are none.
func listed(label string, words []string) string {
	return say(label, strings.Join(words, "; "))
}

// amounts writes amounts by key, "" when there are none.
func amounts[Q quantity.Quantity](label string, ks events.KeyedAmounts[Q]) string {
	var out []string
	for _, k := range ks {
		out = append(out, spaced(k.Key)+" "+k.Value.String())
	}
	return say(label, strings.Join(out, ", "))
}

// texts writes words by key, "" when there are none.
func texts(label string, ks events.KeyedTexts) string {
	var out []string
	for _, k := range ks {
		out = append(out, spaced(k.Key)+" "+k.Value)
	}
	return say(label, strings.Join(out, ", "))
}

// spaced writes a key as words: "C3_water" is "C3 water".
func spaced(key string) string { return strings.ReplaceAll(key, "_", " ") }
