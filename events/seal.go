package events

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"reflect"
	"time"
	"unicode/utf8"
)

// Seal checks d strictly and makes of it the entry that follows prev; prev is nil
// for the first entry of a log. It returns ErrInvalid, wrapped with every fault
// found, when d breaks the declaration of its kind.
func (c *Catalogue) Seal(d Draft, node string, prev *Recorded, now time.Time) (Recorded, error) {
	if err := c.Validate(d); err != nil {
		return Recorded{}, err
	}
	r := Recorded{Draft: d, Node: node, Seq: 1, RecordedAt: now.Round(0), Version: c.Type(d.Payload.Kind()).Version}
	if prev != nil {
		r.Seq, r.Prev = prev.Seq+1, prev.Hash
	}
	raw, err := c.encode(&r)
	if err != nil {
		return Recorded{}, fmt.Errorf("%w: %w", ErrInvalid, err)
	}
	r.Raw, r.Hash = raw, sha256.Sum256(raw)
	return r, nil
}

// Validate says everything that is wrong with a draft: ErrInvalid, or nil.
func (c *Catalogue) Validate(d Draft) error {
	var errs []error
	if id, err := ParseID(string(d.ID)); err != nil {
		errs = append(errs, err)
	} else if id != d.ID {
		errs = append(errs, fmt.Errorf("id %s has small letters; write it as %s", d.ID, id))
	}
	if IncidentID(d.Incident) == "" {
		errs = append(errs, fmt.Errorf("incident: %q has no letter or digit to name it by", d.Incident))
	}
	if err := d.Occurred.Fault(); err != nil {
		errs = append(errs, err)
	}
	if y := d.Reported.Year(); !d.Reported.IsZero() && (y < 1900 || y > 9999) {
		errs = append(errs, fmt.Errorf("reported: the year %d is outside 1900 to 9999", y))
	}
	errs = append(errs, d.textFault(), c.payloadFault(d.Payload))
	if err := errors.Join(errs...); err != nil {
		return fmt.Errorf("%w: %w", ErrInvalid, err)
	}
	return nil
}

func (c *Catalogue) payloadFault(p Payload) error {
	if p == nil {
		return errors.New("the entry states no fact; give it a kind")
	}
	t := c.Type(p.Kind())
	if t == nil {
		return fmt.Errorf("kind %q is not one this program can write; log it as a note", p.Kind())
	}
	if err := t.Check(p); err != nil {
		return fmt.Errorf("%s: %w", t.Kind, err)
	}
	return nil
}

// textFault names the first text that is not UTF-8: such bytes cannot be written
// as JSON without changing them.
func (d *Draft) textFault() error {
	texts := map[string]string{"incident": d.Incident, "by": d.ObservedBy, "relayed by": d.RelayedBy, "recorded by": d.RecordedBy,
		"channel": string(d.Channel), "device": d.Device, "where": d.Where, "words": d.Words, "grammar": d.Grammar, "source": d.Source.Name + d.Source.Raw}
	for what, s := range texts {
		if !utf8.ValidString(s) {
			return fmt.Errorf("%s: %q is not UTF-8 text; save the file as UTF-8", what, s)
		}
	}
	for _, p := range d.Extra {
		if !utf8.ValidString(p.Key + p.Value) {
			return fmt.Errorf("%q=%q is not UTF-8 text; save the file as UTF-8", p.Key, p.Value)
		}
	}
	return nil
}

// SameFact reports whether d says what r recorded: the same entry sent again, as
// opposed to an id used for something else. Where a copy came from does not count.
func (c *Catalogue) SameFact(d Draft, r Recorded) bool {
	a, b := d, r.Draft
	a.Source, b.Source = Source{}, Source{}
	a.RecordedBy, b.RecordedBy = "", ""
	if !sameWhen(a.Occurred, b.Occurred) || !a.Reported.Equal(b.Reported) || IncidentID(a.Incident) != IncidentID(b.Incident) {
		return false
	}
	a.Occurred, a.Reported, a.Incident = b.Occurred, b.Reported, b.Incident
	if len(a.Extra) == 0 && len(b.Extra) == 0 {
		a.Extra, b.Extra = nil, nil
	}
	return reflect.DeepEqual(a, b)
}

func sameWhen(a, b When) bool {
	return a.Form == b.Form && a.At.Equal(b.At) && a.From.Equal(b.From) && a.To.Equal(b.To) && a.Entry == b.Entry && a.Hard == b.Hard
}
