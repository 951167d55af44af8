package events

import (
	"bytes"
	"fmt"
	"time"

	"github.com/go-json-experiment/json/jsontext"
)

// encode writes an entry as one line of JSON with its keys in a fixed order.
func (c *Catalogue) encode(r *Recorded) ([]byte, error) {
	var b bytes.Buffer
	w := &writer{enc: jsontext.NewEncoder(&b)}
	w.token(jsontext.BeginObject)
	w.text("id", string(r.ID))
	w.text("incident", r.Incident)
	w.text("mode", string(r.Mode))
	if r.Seq > 0 {
		w.text("node", r.Node)
		w.key("n")
		w.token(jsontext.Uint(uint64(r.Seq)))
	}
	w.text("kind", string(r.Payload.Kind()))
	w.key("v")
	w.token(jsontext.Int(int64(r.Version)))
	w.when("occurred", r.Occurred)
	w.time("told", r.Reported)
	w.time("recorded", r.RecordedAt)
	w.text("by", r.ObservedBy)
	w.text("relayed_by", r.RelayedBy)
	w.text("recorded_by", r.RecordedBy)
	w.text("channel", string(r.Channel))
	w.text("device", r.Device)
	w.text("where", r.Where)
	w.text("trust", string(r.Trust))
	w.text("words", r.Words)
	w.text("grammar", r.Grammar)
	w.pairs("extra", r.Extra)
	w.source(r.Source)
	w.key("data")
	if w.err == nil {
		w.err = c.Type(r.Payload.Kind()).write(r.Payload, w.enc)
	}
	if !r.Prev.IsZero() {
		w.text("prev", r.Prev.String())
	}
	w.token(jsontext.EndObject)
	if w.err != nil {
		return nil, w.err
	}
	return bytes.TrimSpace(b.Bytes()), nil
}

// EncodeDraft writes a draft as one line of JSON, in the form that OpenDraft reads
// and that JSON Lines intake takes.
func (c *Catalogue) EncodeDraft(d Draft) ([]byte, error) {
	if err := c.payloadFault(d.Payload); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrInvalid, err)
	}
	return c.encode(&Recorded{Draft: d, Version: c.Type(d.Payload.Kind()).Version})
}

// writer keeps the first error and leaves out what was not said.
type writer struct {
	enc *jsontext.Encoder
	err error
}

func (w *writer) token(t jsontext.Token) {
	if w.err == nil {
		w.err = w.enc.WriteToken(t)
	}
}

func (w *writer) key(k string) { w.token(jsontext.String(k)) }

func (w *writer) text(k, v string) {
	if v != "" {
		w.key(k)
		w.token(jsontext.String(v))
	}
}

func (w *writer) time(k string, t time.Time) {
	if !t.IsZero() {
		w.text(k, t.Format(time.RFC3339Nano))
	}
}

func (w *writer) when(k string, v When) {
	w.key(k)
	w.token(jsontext.BeginObject)
	w.text("form", string(v.Form))
	w.time("at", v.At)
	w.time("from", v.From)
	w.time("to", v.To)
	w.text("entry", string(v.Entry))
	if v.Hard {
		w.key("hard")
		w.token(jsontext.True)
	}
	w.token(jsontext.EndObject)
}

func (w *writer) pairs(k string, ps []Pair) {
	if len(ps) == 0 {
		return
	}
	w.key(k)
	w.token(jsontext.BeginArray)
	for _, p := range ps {
		w.token(jsontext.BeginArray)
		w.token(jsontext.String(p.Key))
		w.token(jsontext.String(p.Value))
		w.token(jsontext.EndArray)
	}
	w.token(jsontext.EndArray)
}

func (w *writer) source(s Source) {
	if s == (Source{}) {
		return
	}
	w.key("source")
	w.token(jsontext.BeginObject)
	w.text("name", s.Name)
	if s.Line > 0 {
		w.key("line")
		w.token(jsontext.Int(int64(s.Line)))
	}
	w.text("raw", s.Raw)
	w.token(jsontext.EndObject)
}
