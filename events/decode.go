package events

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"strings"
	"sync"
	"time"

	"github.com/go-json-experiment/json/jsontext"

	"tankside/events/quantity"
)

// Open reads the stored bytes of an entry. A payload it does not understand, in
// part or as a whole, is kept and named in Faults. It returns ErrNotAnEntry only
// when raw is no entry at all.
func (c *Catalogue) Open(raw []byte) (Recorded, error) {
	r, env, err := readEnvelope(raw)
	if err != nil {
		return Recorded{}, fmt.Errorf("%w: %w", ErrNotAnEntry, err)
	}
	if r.Seq == 0 || env.kind == "" || env.data == nil {
		return Recorded{}, fmt.Errorf("%w: it lacks n, kind or data", ErrNotAnEntry)
	}
	r.Raw, r.Hash, r.Faults = raw, sha256.Sum256(raw), env.strange
	if err := r.Occurred.Fault(); err != nil {
		r.Faults = append(r.Faults, err.Error())
	}
	t := c.Type(env.kind)
	if t == nil {
		r.Payload = Unknown{env.kind, string(env.data)}
		r.Faults = append(r.Faults, fmt.Sprintf("kind %q is not known to this program; the entry is kept as it is", env.kind))
		return r, nil
	}
	p, faults := t.decode(r.Version, env.data)
	r.Payload, r.Faults = p, append(r.Faults, faults...)
	return r, nil
}

// OpenDraft reads an envelope that comes from outside: strictly, so that nothing
// in it can be lost. What only a log can say (n, node, recorded, prev) may be there
// and is dropped from the draft, except that the recorded time stands in for a
// missing told time. Its place in the other log stays in the source's raw line.
func (c *Catalogue) OpenDraft(raw []byte) (Draft, error) {
	r, env, err := readEnvelope(raw)
	if err != nil {
		return Draft{}, fmt.Errorf("%w: %w", ErrNotAnEntry, err)
	}
	if len(env.strange) > 0 {
		return Draft{}, fmt.Errorf("%w: %s", ErrInvalid, env.strange[0])
	}
	t := c.Type(env.kind)
	if t == nil {
		return Draft{}, fmt.Errorf("%w: kind %q is not one this program can write", ErrInvalid, env.kind)
	}
	if env.data == nil {
		env.data = []byte("{}")
	}
	if r.Version == 0 {
		r.Version = t.Version
	}
	if r.Payload, err = t.DecodeStrict(r.Version, env.data); err != nil {
		return Draft{}, fmt.Errorf("%w: %w", ErrInvalid, err)
	}
	r.ID = ID(strings.ToUpper(string(r.ID)))
	if r.Reported.IsZero() {
		r.Reported = r.RecordedAt
	}
	return r.Draft, nil
}

// envelope is what readEnvelope finds besides the plain fields.
type envelope struct {
	kind    Kind
	data    []byte
	strange []string // members this program does not know
}

func readEnvelope(raw []byte) (r Recorded, env envelope, err error) {
	dec, done := reader(raw)
	defer done()
	err = object(dec, func(key string) error {
		if err := readMember(&r, &env, key, dec); err != nil {
			return fmt.Errorf("%s: %w", key, err)
		}
		return nil
	})
	if err != nil {
		return r, env, err
	}
	return r, env, ended(dec)
}

// reading is a decoder with its buffer, kept for the next entry.
type reading struct {
	buf bytes.Buffer
	dec *jsontext.Decoder
}

var readings = sync.Pool{New: func() any { return &reading{dec: jsontext.NewDecoder(&bytes.Buffer{})} }}

// reader returns a decoder of raw; call done when it has served.
func reader(raw []byte) (dec *jsontext.Decoder, done func()) {
	r := readings.Get().(*reading)
	r.buf = *bytes.NewBuffer(raw)
	r.dec.Reset(&r.buf)
	return r.dec, func() { readings.Put(r) }
}

// ended refuses bytes after the value.
func ended(dec *jsontext.Decoder) error {
	if _, err := dec.ReadToken(); err != io.EOF {
		return fmt.Errorf("more follows after the closing brace")
	}
	return nil
}

func readMember(r *Recorded, env *envelope, key string, dec *jsontext.Decoder) (err error) {
	if at := r.textMember(key); at != nil {
		*at, err = readString(dec)
		return err
	}
	switch key {
	case "id":
		r.ID, err = readAs[ID](dec)
	case "mode":
		r.Mode, err = readAs[Mode](dec)
	case "channel":
		r.Channel, err = readAs[Channel](dec)
	case "trust":
		r.Trust, err = readAs[Trust](dec)
	case "kind":
		env.kind, err = readAs[Kind](dec)
	case "n":
		var n int
		n, err = readInt(dec)
		r.Seq = Seq(n)
	case "v":
		r.Version, err = readInt(dec)
	case "occurred":
		r.Occurred, err = readWhen(dec, &env.strange)
	case "told":
		r.Reported, err = readTime(dec)
	case "recorded":
		r.RecordedAt, err = readTime(dec)
	case "extra":
		r.Extra, err = readPairs(dec)
	case "source":
		r.Source, err = readSource(dec, &env.strange)
	case "prev":
		r.Prev, err = readHash(dec)
	case "data":
		var v jsontext.Value
		v, err = dec.ReadValue()
		env.data = bytes.Clone(v)
	default:
		err = setAside(dec, &env.strange, key, "an entry")
	}
	return err
}

// setAside passes over a member that a later program may have written, and names it.
func setAside(dec *jsontext.Decoder, strange *[]string, key, of string) error {
	v, err := dec.ReadValue()
	if err == nil {
		*strange = append(*strange, fmt.Sprintf("%s=%s: not part of %s as this program knows it", key, v, of))
	}
	return err
}

// textMember returns where a member of plain text goes, nil for the others.
func (r *Recorded) textMember(key string) *string {
	switch key {
	case "incident":
		return &r.Incident
	case "node":
		return &r.Node
	case "by":
		return &r.ObservedBy
	case "relayed_by":
		return &r.RelayedBy
	case "recorded_by":
		return &r.RecordedBy
	case "device":
		return &r.Device
	case "where":
		return &r.Where
	case "words":
		return &r.Words
	case "grammar":
		return &r.Grammar
	}
	return nil
}

func readAs[T ~string](dec *jsontext.Decoder) (T, error) {
	s, err := readString(dec)
	return T(s), err
}

func readInt(dec *jsontext.Decoder) (int, error) {
	if err := expect(dec, '0', "a number"); err != nil {
		return 0, err
	}
	t, err := dec.ReadToken()
	if err != nil {
		return 0, err
	}
	n, err := t.Int()
	if err != nil || n < 0 || n > 1<<53 {
		return 0, fmt.Errorf("%v is not a whole number from 0", t)
	}
	return int(n), nil
}

func readTime(dec *jsontext.Decoder) (time.Time, error) {
	s, err := quantity.ReadPlain("it", dec)
	if err != nil {
		return time.Time{}, err
	}
	t, err := time.Parse(time.RFC3339, string(s))
	if err != nil {
		return time.Time{}, fmt.Errorf("%q is not an RFC 3339 time", s)
	}
	return t, nil
}

func readHash(dec *jsontext.Decoder) (h Hash, err error) {
	s, err := quantity.ReadPlain("it", dec)
	if err != nil {
		return h, err
	}
	if n, err := hex.Decode(h[:], s[:min(len(s), 64)]); err != nil || n != len(h) || len(s) != 64 {
		return h, fmt.Errorf("%q is not a SHA-256 sum", s)
	}
	return h, nil
}

// object walks the members of a JSON object.
func object(dec *jsontext.Decoder, member func(key string) error) error {
	if err := expect(dec, '{', "an object"); err != nil {
		return err
	}
	if _, err := dec.ReadToken(); err != nil {
		return err
	}
	for dec.PeekKind() != '}' {
		key, err := readString(dec)
		if err != nil {
			return err
		}
		if err := member(key); err != nil {
			return err
		}
	}
	_, err := dec.ReadToken()
	return err
}

func readWhen(dec *jsontext.Decoder, strange *[]string) (w When, err error) {
	err = object(dec, func(key string) (err error) {
		switch key {
		case "form":
			w.Form, err = readAs[Form](dec)
		case "at":
			w.At, err = readTime(dec)
		case "from":
			w.From, err = readTime(dec)
		case "to":
			w.To, err = readTime(dec)
		case "entry":
			w.Entry, err = readAs[ID](dec)
		case "hard":
			if err = expect(dec, 't', "true"); err == nil {
				_, err = dec.ReadToken()
				w.Hard = true
			}
		default:
			err = setAside(dec, strange, key, "a time")
		}
		return err
	})
	return w, err
}

func readSource(dec *jsontext.Decoder, strange *[]string) (s Source, err error) {
	err = object(dec, func(key string) (err error) {
		switch key {
		case "name":
			s.Name, err = readString(dec)
		case "line":
			s.Line, err = readInt(dec)
		case "raw":
			s.Raw, err = readString(dec)
		default:
			err = setAside(dec, strange, key, "a source")
		}
		return err
	})
	return s, err
}

func readPairs(dec *jsontext.Decoder) (out []Pair, err error) {
	if err := expect(dec, '[', "a list"); err != nil {
		return nil, err
	}
	if _, err := dec.ReadToken(); err != nil {
		return nil, err
	}
	for dec.PeekKind() != ']' {
		pair, err := readList(dec)
		if err != nil {
			return nil, err
		}
		if len(pair) != 2 {
			return nil, fmt.Errorf("each must be a key and a value")
		}
		out = append(out, Pair{pair[0], pair[1]})
	}
	_, err = dec.ReadToken()
	return out, err
}
