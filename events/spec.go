package events

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/go-json-experiment/json/jsontext"
)

// Upcast turns the raw JSON of one version of a kind into the next version's.
type Upcast func(raw []byte) ([]byte, error)

// Spec declares a kind once. Everything else about the kind comes from here: the
// codec, the schema, the flags, the report line, the reference, the fuzz seed.
type Spec[E Payload] struct {
	Version  int      // 1 for a new kind
	Title    string   // as printed, e.g. "Foam applied"
	Family   string   // the group it is listed under
	Doc      string   // what it records and when to log it
	Says     []string // words a scribe says for it
	Fields   []Field[E]
	Line     func(E) string // the report line, a sentence without the place and the time
	Example  E
	Feeds    []string // the projections that read it, or NarrativeOnly
	Decision bool     // needs to see the newest entry first: close, sign, settle
	Desk     bool     // written afterwards over the report: no part of the incident
	Upcasts  []Upcast // Upcasts[0] makes version 2 from version 1, and so on
}

// NarrativeOnly marks a kind that no projection but the timeline reads.
const NarrativeOnly = "narrative only"

// Type is a declared kind with the payload's Go type erased.
type Type struct {
	Kind     Kind
	Version  int
	Title    string
	Family   string
	Doc      string
	Says     []string
	Fields   []FieldInfo
	Feeds    []string
	Decision bool
	Desk     bool
	Example  Payload

	upcasts []Upcast
	empty   func() Payload
	line    func(Payload) string
	write   func(Payload, *jsontext.Encoder) error
	read    func(raw []byte, lenient bool) (Payload, []string, error)
	set     func(p Payload, key string, clear bool, texts []string) (Payload, error)
	show    func(Payload) []Pair
	check   func(Payload) error
}

// Declare makes the Type of a Spec. A mistake in the declaration is a programming
// error and panics with the kind's name.
func Declare[E Payload](s Spec[E]) *Type {
	var zero E
	t := &Type{Kind: zero.Kind(), Version: s.Version, Title: s.Title, Family: s.Family, Doc: s.Doc, Says: s.Says,
		Feeds: s.Feeds, Decision: s.Decision, Desk: s.Desk, Example: s.Example, upcasts: s.Upcasts}
	if len(s.Upcasts) != s.Version-1 {
		panic(fmt.Sprintf("events: %s: version %d needs %d upcasts, has %d", t.Kind, s.Version, s.Version-1, len(s.Upcasts)))
	}
	for _, f := range s.Fields {
		t.Fields = append(t.Fields, f.FieldInfo)
	}
	k := fields[E](s.Fields)
	t.empty = func() Payload { var e E; return e }
	t.line = func(p Payload) string { return s.Line(p.(E)) }
	t.write = func(p Payload, enc *jsontext.Encoder) error { e := p.(E); return k.write(&e, enc) }
	t.read = func(raw []byte, lenient bool) (Payload, []string, error) {
		var e E
		err := k.readStrict(&e, raw)
		if err == nil || !lenient {
			return e, nil, err
		}
		var again E
		faults, err := k.readLenient(&again, raw)
		return again, faults, err
	}
	t.set = func(p Payload, key string, clear bool, texts []string) (Payload, error) {
		e := p.(E)
		err := k.set(&e, key, clear, texts)
		return e, err
	}
	t.show = func(p Payload) []Pair { e := p.(E); return k.show(&e) }
	t.check = func(p Payload) error {
		e, ok := p.(E)
		if !ok {
			return fmt.Errorf("%s: payload has the wrong Go type %T", t.Kind, p)
		}
		return k.check(&e)
	}
	return t
}

// Empty returns a payload of the kind with nothing said.
func (t *Type) Empty() Payload { return t.empty() }

// Field returns the description of the field that takes key.
func (t *Type) Field(key string) (FieldInfo, bool) {
	for _, patterned := range []bool{false, true} {
		for _, f := range t.Fields {
			if f.Patterned() == patterned && f.Matches(key) {
				return f, true
			}
		}
	}
	return FieldInfo{}, false
}

// Line returns the report line of p.
func (t *Type) Line(p Payload) string { return t.line(p) }

// Values returns what p says as keys and values, in declared order.
func (t *Type) Values(p Payload) []Pair { return t.show(p) }

// Check returns what in p breaks the declaration, nil when nothing does.
func (t *Type) Check(p Payload) error { return t.check(p) }

// With returns p with text added under key. Errors: the kind has no such field;
// the text is not what the field takes; ErrTwice.
func (t *Type) With(p Payload, key, text string) (Payload, error) {
	return t.set(p, key, false, []string{text})
}

// Replace returns p with texts in place of what key said before.
func (t *Type) Replace(p Payload, key string, texts ...string) (Payload, error) {
	return t.set(p, key, true, texts)
}

// Encode returns the payload as JSON. It fails where Check does.
func (t *Type) Encode(p Payload) ([]byte, error) {
	if err := t.Check(p); err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if err := t.write(p, jsontext.NewEncoder(&b)); err != nil {
		return nil, err
	}
	return bytes.TrimSpace(b.Bytes()), nil
}

// DecodeStrict reads a payload of any known version and refuses whatever the
// declaration does not allow.
func (t *Type) DecodeStrict(version int, raw []byte) (Payload, error) {
	raw, err := t.upcast(version, raw)
	if err != nil {
		return nil, err
	}
	p, _, err := t.read(raw, false)
	return p, err
}

// decode reads a stored payload and keeps going: what it cannot take is named in
// faults, and a payload it cannot take at all comes back as Unknown.
func (t *Type) decode(version int, raw []byte) (Payload, []string) {
	up, err := t.upcast(version, raw)
	if err != nil {
		return Unknown{t.Kind, string(raw)}, []string{err.Error()}
	}
	p, faults, err := t.read(up, true)
	if err != nil {
		return Unknown{t.Kind, string(raw)}, []string{err.Error()}
	}
	return p, faults
}

func (t *Type) upcast(version int, raw []byte) ([]byte, error) {
	if version < 1 || version > t.Version {
		return nil, fmt.Errorf("%s: version %d is not known to this program, which knows 1 to %d; the entry is kept as it is", t.Kind, version, t.Version)
	}
	for v := version; v < t.Version; v++ {
		var err error
		if raw, err = t.upcasts[v-1](raw); err != nil {
			return nil, fmt.Errorf("%s: from version %d to %d: %w", t.Kind, v, v+1, err)
		}
	}
	return raw, nil
}

// fields is the codec of one payload type.
type fields[E Payload] []Field[E]

func (fs fields[E]) find(key string) *Field[E] {
	for i := range fs {
		if fs[i].Key == key {
			return &fs[i]
		}
	}
	for i := range fs {
		if fs[i].Patterned() && fs[i].Matches(key) {
			return &fs[i]
		}
	}
	return nil
}

func (fs fields[E]) write(e *E, enc *jsontext.Encoder) error {
	if err := enc.WriteToken(jsontext.BeginObject); err != nil {
		return err
	}
	for i := range fs {
		if !fs[i].said(e) {
			continue
		}
		if err := fs[i].write(e, enc); err != nil {
			return fmt.Errorf("%s: %w", fs[i].Key, err)
		}
	}
	return enc.WriteToken(jsontext.EndObject)
}

func (fs fields[E]) check(e *E) error {
	var errs []error
	for i := range fs {
		if err := fs[i].fault(e); err != nil {
			errs = append(errs, fmt.Errorf("%s: %w", fs[i].Key, err))
		}
	}
	return errors.Join(errs...)
}

func (fs fields[E]) show(e *E) (out []Pair) {
	for i := range fs {
		out = append(out, fs[i].show(e)...)
	}
	return out
}

func (fs fields[E]) set(e *E, key string, clear bool, texts []string) error {
	f := fs.find(key)
	if f == nil {
		return fmt.Errorf("%s has no field %q; it has %s", (*e).Kind(), key, strings.Join(fs.keys(), ", "))
	}
	if clear {
		f.clear(e)
	}
	for _, text := range texts {
		if err := f.parse(e, key, text); err != nil {
			return fmt.Errorf("%s: %w", key, err)
		}
	}
	return nil
}

func (fs fields[E]) keys() []string {
	out := make([]string, len(fs))
	for i := range fs {
		out[i] = fs[i].Key
	}
	slices.Sort(out)
	return out
}

// readStrict stops at the first thing the declaration does not allow.
func (fs fields[E]) readStrict(e *E, raw []byte) error {
	dec, done := reader(raw)
	defer done()
	err := object(dec, func(key string) error {
		f := fs.find(key)
		if f == nil {
			return fmt.Errorf("%s has no field %q; it has %s", (*e).Kind(), key, strings.Join(fs.keys(), ", "))
		}
		if err := f.read(e, key, dec); err != nil {
			return fmt.Errorf("%s: %w", key, err)
		}
		return nil
	})
	if err != nil {
		return err
	}
	return ended(dec)
}

// readLenient takes each member on its own and names those it cannot take.
func (fs fields[E]) readLenient(e *E, raw []byte) (faults []string, err error) {
	dec, done := reader(raw)
	defer done()
	err = object(dec, func(key string) error {
		v, err := dec.ReadValue()
		if err != nil {
			return err
		}
		f := fs.find(key)
		if f == nil {
			faults = append(faults, fmt.Sprintf("%s=%s: not a field this program knows", key, v))
			return nil
		}
		if err := f.read(e, key, jsontext.NewDecoder(bytes.NewBuffer(bytes.Clone(v)))); err != nil {
			faults = append(faults, fmt.Sprintf("%s=%s: %v", key, v, err))
		}
		return nil
	})
	return faults, err
}
