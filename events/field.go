package events

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/go-json-experiment/json/jsontext"

	"tankside/events/quantity"
)

// FieldType is the shape of a field's value.
type FieldType string

// The field types. The plural ones may be given many times.
const (
	TextField    FieldType = "text"
	TextsField   FieldType = "texts"
	ChoiceField  FieldType = "choice"
	AmountField  FieldType = "amount"
	AmountsField FieldType = "amounts by key"
	KeyedField   FieldType = "texts by key"
	ClockField   FieldType = "clock time"
	EntryField   FieldType = "entry"
)

// FieldInfo describes a field to whoever fills it in: forms, flags, the entry
// grammar, the schema and the event reference.
type FieldInfo struct {
	Key     string // as written in a log; "#" stands for digits, "@" for one capital letter
	Label   string
	Type    FieldType
	Units   []string // accepted units, canonical first
	Low     float64  // bounds in the canonical unit
	High    float64
	Choices []string
	Says    []string // words a scribe uses for the field
	Help    string
	scale   *quantity.Scale
}

// Matches reports whether key is this field's, with "#" and "@" filled in.
func (f FieldInfo) Matches(key string) bool { return matchKey(f.Key, key) }

// Patterned reports whether the key has a part to be filled in.
func (f FieldInfo) Patterned() bool { return strings.ContainsAny(f.Key, "#@") }

// Unit returns the accepted symbol of the unit that word stands for: "gal" for
// "gallons".
func (f FieldInfo) Unit(word string) (symbol string, ok bool) {
	if f.scale == nil {
		return "", false
	}
	u, ok := f.scale.Find(word)
	return u.Symbol, ok
}

func matchKey(pattern, key string) bool {
	for pattern != "" {
		switch pattern[0] {
		case '#':
			n := 0
			for n < len(key) && key[n] >= '0' && key[n] <= '9' {
				n++
			}
			if n == 0 {
				return false
			}
			key = key[n:]
		case '@':
			if key == "" || key[0] < 'A' || key[0] > 'Z' {
				return false
			}
			key = key[1:]
		default:
			if key == "" || key[0] != pattern[0] {
				return false
			}
			key = key[1:]
		}
		pattern = pattern[1:]
	}
	return key == ""
}

// Field is a field of the payload struct E. Make one with Text, Texts, Choice,
// Measure, Measures, TextsBy, ClockTime or EntryRef.
type Field[E Payload] struct {
	FieldInfo
	clear func(e *E)
	said  func(e *E) bool
	write func(e *E, enc *jsontext.Encoder) error
	read  func(e *E, key string, dec *jsontext.Decoder) error
	parse func(e *E, key, text string) error
	show  func(e *E) []Pair
	fault func(e *E) error
}

// Said adds the words a scribe uses for the field.
func (f Field[E]) Said(words ...string) Field[E] { f.Says = words; return f }

// Note adds a sentence to the field's entry in the reference.
func (f Field[E]) Note(help string) Field[E] { f.Help = help; return f }

// Keyed is a value under a key that the log filled in, such as the 2500 gal of C1.
type Keyed[T any] struct {
	Key   string
	Value T
}

// KeyedAmounts are amounts by key, in the order they were said.
type KeyedAmounts[Q quantity.Quantity] []Keyed[quantity.Amount[Q]]

// Get returns the amount under key; the zero Amount when there is none.
func (k KeyedAmounts[Q]) Get(key string) quantity.Amount[Q] {
	for _, v := range k {
		if v.Key == key {
			return v.Value
		}
	}
	return quantity.Amount[Q]{}
}

// KeyedTexts are words by key, in the order they were said.
type KeyedTexts []Keyed[string]

// Get returns the words under key, "" when there are none.
func (k KeyedTexts) Get(key string) string {
	for _, v := range k {
		if v.Key == key {
			return v.Value
		}
	}
	return ""
}

// errEmpty is returned for a text that says nothing.
const errEmpty Error = "is empty; leave the field out when nothing was said"

// ErrTwice is returned when a field that holds one value is given a second.
const ErrTwice Error = "events: given twice"

func pairOf[E Payload](key string, text func(*E) string) func(*E) []Pair {
	return func(e *E) []Pair {
		if t := text(e); t != "" {
			return []Pair{{key, t}}
		}
		return nil
	}
}

func stringField[E Payload](info FieldInfo, get func(*E) string, set func(*E, string), check func(string) error) Field[E] {
	f := Field[E]{FieldInfo: info}
	f.clear = func(e *E) { set(e, "") }
	f.said = func(e *E) bool { return get(e) != "" }
	f.show = pairOf(info.Key, get)
	f.fault = func(e *E) error { return check(get(e)) }
	f.write = func(e *E, enc *jsontext.Encoder) error {
		return writePair(enc, info.Key, get(e))
	}
	f.read = func(e *E, key string, dec *jsontext.Decoder) error {
		s, err := readString(dec)
		if err == nil && s == "" {
			err = errEmpty
		}
		if err == nil {
			err = check(s)
		}
		if err == nil {
			set(e, s)
		}
		return err
	}
	f.parse = func(e *E, key, text string) error {
		if get(e) != "" {
			return ErrTwice
		}
		if err := check(text); err != nil {
			return err
		}
		set(e, text)
		return nil
	}
	return f
}

// Text is a field of free words.
func Text[E Payload](key, label string, at func(*E) *string) Field[E] {
	return stringField(FieldInfo{Key: key, Label: label, Type: TextField},
		func(e *E) string { return *at(e) }, func(e *E, s string) { *at(e) = s }, func(string) error { return nil })
}

// Choice is a field that takes one of a few fixed words.
func Choice[E Payload](key, label string, choices []string, at func(*E) *string) Field[E] {
	check := func(s string) error {
		if s != "" && !slices.Contains(choices, s) {
			return fmt.Errorf("%q is not one of %s", s, strings.Join(choices, ", "))
		}
		return nil
	}
	return stringField(FieldInfo{Key: key, Label: label, Type: ChoiceField, Choices: choices},
		func(e *E) string { return *at(e) }, func(e *E, s string) { *at(e) = s }, check)
}

// ClockTime is a field that holds a time of day as said.
func ClockTime[E Payload](key, label string, at func(*E) *Clock) Field[E] {
	check := func(s string) error {
		if s == "" {
			return nil
		}
		if _, ok := Clock(s).After(epoch); !ok {
			return fmt.Errorf("%q is not a clock time; write it as 22:30", s)
		}
		return nil
	}
	return stringField(FieldInfo{Key: key, Label: label, Type: ClockField},
		func(e *E) string { return string(*at(e)) }, func(e *E, s string) { *at(e) = Clock(s) }, check)
}

// EntryRef is a field that names another entry by its id.
func EntryRef[E Payload](key, label string, at func(*E) *ID) Field[E] {
	check := func(s string) error {
		if s == "" {
			return nil
		}
		_, err := ParseID(s)
		return err
	}
	return stringField(FieldInfo{Key: key, Label: label, Type: EntryField},
		func(e *E) string { return string(*at(e)) }, func(e *E, s string) { *at(e) = ID(strings.ToUpper(s)) }, check)
}

// Texts is a field of words that may be given many times.
func Texts[E Payload](key, label string, at func(*E) *[]string) Field[E] {
	f := Field[E]{FieldInfo: FieldInfo{Key: key, Label: label, Type: TextsField}}
	f.clear = func(e *E) { *at(e) = nil }
	f.said = func(e *E) bool { return len(*at(e)) > 0 }
	f.fault = func(e *E) error { return nil }
	f.show = func(e *E) (out []Pair) {
		for _, s := range *at(e) {
			out = append(out, Pair{key, s})
		}
		return out
	}
	f.write = func(e *E, enc *jsontext.Encoder) error { return writeList(enc, key, *at(e)) }
	f.read = func(e *E, _ string, dec *jsontext.Decoder) error {
		list, err := readList(dec)
		if err == nil && slices.Contains(list, "") {
			err = errEmpty
		}
		if err == nil {
			*at(e) = list
		}
		return err
	}
	f.parse = func(e *E, _, text string) error {
		if text != "" {
			*at(e) = append(slices.Clone(*at(e)), text)
		}
		return nil
	}
	return f
}

func amountInfo[Q quantity.Quantity](key, label string, t FieldType, low, high float64) FieldInfo {
	s := quantity.ScaleOf[Q]()
	return FieldInfo{Key: key, Label: label, Type: t, Units: s.Symbols(), Low: low, High: high, scale: s}
}

// Unbounded stands for "no bound" in a field of measured amounts.
var Unbounded = math.Inf(1)

// Measure is a field that holds one amount between low and high, bounds in the
// canonical unit of Q.
func Measure[E Payload, Q quantity.Quantity](key, label string, low, high float64, at func(*E) *quantity.Amount[Q]) Field[E] {
	f := Field[E]{FieldInfo: amountInfo[Q](key, label, AmountField, low, high)}
	f.clear = func(e *E) { *at(e) = quantity.Amount[Q]{} }
	f.said = func(e *E) bool { return at(e).Said() }
	f.fault = func(e *E) error { return at(e).Fault(low, high) }
	f.show = pairOf(key, func(e *E) string { return shown(*at(e)) })
	f.write = func(e *E, enc *jsontext.Encoder) error {
		if err := enc.WriteToken(jsontext.String(key)); err != nil {
			return err
		}
		return at(e).MarshalJSONTo(enc)
	}
	f.read = func(e *E, _ string, dec *jsontext.Decoder) error {
		return readAmount(at(e), dec, low, high)
	}
	f.parse = func(e *E, _, text string) error {
		if at(e).Said() {
			return ErrTwice
		}
		a, err := parseAmount[Q](text, low, high)
		if err == nil {
			*at(e) = a
		}
		return err
	}
	return f
}

// Measures is a field of amounts by key; the key has "#" or "@" to be filled in.
func Measures[E Payload, Q quantity.Quantity](key, label string, low, high float64, at func(*E) *KeyedAmounts[Q]) Field[E] {
	f := Field[E]{FieldInfo: amountInfo[Q](key, label, AmountsField, low, high)}
	f.clear = func(e *E) { *at(e) = nil }
	f.said = func(e *E) bool { return len(*at(e)) > 0 }
	f.fault = func(e *E) error {
		for _, k := range *at(e) {
			if err := k.Value.Fault(low, high); err != nil {
				return fmt.Errorf("%s: %w", k.Key, err)
			}
		}
		return nil
	}
	f.show = func(e *E) (out []Pair) {
		for _, k := range *at(e) {
			out = append(out, Pair{k.Key, shown(k.Value)})
		}
		return out
	}
	f.write = func(e *E, enc *jsontext.Encoder) error {
		for _, k := range *at(e) {
			if err := enc.WriteToken(jsontext.String(k.Key)); err != nil {
				return err
			}
			if err := k.Value.MarshalJSONTo(enc); err != nil {
				return err
			}
		}
		return nil
	}
	f.read = func(e *E, key string, dec *jsontext.Decoder) error {
		var a quantity.Amount[Q]
		if err := readAmount(&a, dec, low, high); err != nil {
			return err
		}
		*at(e) = append(*at(e), Keyed[quantity.Amount[Q]]{key, a})
		return nil
	}
	f.parse = func(e *E, key, text string) error {
		if at(e).Get(key).Said() {
			return ErrTwice
		}
		a, err := parseAmount[Q](text, low, high)
		if err == nil {
			*at(e) = append(slices.Clone(*at(e)), Keyed[quantity.Amount[Q]]{key, a})
		}
		return err
	}
	return f
}

// TextsBy is a field of words by key; the key has "#" or "@" to be filled in.
func TextsBy[E Payload](key, label string, at func(*E) *KeyedTexts) Field[E] {
	f := Field[E]{FieldInfo: FieldInfo{Key: key, Label: label, Type: KeyedField}}
	f.clear = func(e *E) { *at(e) = nil }
	f.said = func(e *E) bool { return len(*at(e)) > 0 }
	f.fault = func(e *E) error { return nil }
	f.show = func(e *E) (out []Pair) {
		for _, k := range *at(e) {
			out = append(out, Pair(k))
		}
		return out
	}
	f.write = func(e *E, enc *jsontext.Encoder) error {
		for _, k := range *at(e) {
			if err := writePair(enc, k.Key, k.Value); err != nil {
				return err
			}
		}
		return nil
	}
	f.read = func(e *E, key string, dec *jsontext.Decoder) error {
		s, err := readString(dec)
		if err == nil && s == "" {
			err = errEmpty
		}
		if err == nil {
			*at(e) = append(*at(e), Keyed[string]{key, s})
		}
		return err
	}
	f.parse = func(e *E, key, text string) error {
		if at(e).Get(key) != "" {
			return ErrTwice
		}
		if text != "" {
			*at(e) = append(slices.Clone(*at(e)), Keyed[string]{key, text})
		}
		return nil
	}
	return f
}
