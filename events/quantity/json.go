package quantity

import (
	"fmt"

	"github.com/go-json-experiment/json/jsontext"
)

// MarshalJSONTo writes {"value":5,"unit":"gal"}, with qualifier, low, high, u,
// assumed and words only where they say something. An amount that was not said
// must be left out by the caller.
func (a Amount[Q]) MarshalJSONTo(enc *jsontext.Encoder) error {
	e := members{enc: enc}
	e.token(jsontext.BeginObject)
	if a.Qual != Exactly {
		e.text("qualifier", string(a.Qual))
	}
	if a.Qual == Between {
		e.number("low", a.Low)
		e.number("high", a.High)
	} else {
		e.number("value", a.Best)
	}
	if a.Unit != "" {
		e.text("unit", a.Unit)
	}
	if a.U != 0 {
		e.number("u", a.U)
	}
	if a.Assumed {
		e.token(jsontext.String("assumed"))
		e.token(jsontext.True)
	}
	if a.Words != "" {
		e.text("words", a.Words)
	}
	e.token(jsontext.EndObject)
	return e.err
}

type members struct {
	enc *jsontext.Encoder
	err error
}

func (m *members) token(t jsontext.Token) {
	if m.err == nil {
		m.err = m.enc.WriteToken(t)
	}
}

func (m *members) text(key, v string) {
	m.token(jsontext.String(key))
	m.token(jsontext.String(v))
}

func (m *members) number(key string, v float64) {
	if m.err == nil {
		m.err = Check(v)
	}
	m.token(jsontext.String(key))
	m.token(jsontext.Float(v))
}

// UnmarshalJSONFrom reads what MarshalJSONTo wrote. It is strict: an unknown
// member, null, a number written as text or a missing value is an error.
func (a *Amount[Q]) UnmarshalJSONFrom(dec *jsontext.Decoder) error {
	*a = Amount[Q]{Qual: Exactly}
	if k := dec.PeekKind(); k != '{' {
		return kindError("amount", k, dec)
	}
	if _, err := dec.ReadToken(); err != nil {
		return err
	}
	var seen valueSeen
	for dec.PeekKind() != '}' {
		key, err := ReadText("a member's name", dec)
		if err != nil {
			return err
		}
		if err := a.member(key, dec, &seen); err != nil {
			return err
		}
	}
	if _, err := dec.ReadToken(); err != nil {
		return err
	}
	if a.Qual == Between {
		a.Best = a.Low + (a.High-a.Low)/2
	}
	return seen.check(a.Qual)
}

type valueSeen struct{ value, low, high bool }

func (s valueSeen) check(q Qualifier) error {
	if q == Between && (!s.low || !s.high || s.value) {
		return fmt.Errorf("a range needs low and high and no value")
	}
	if q != Between && (!s.value || s.low || s.high) {
		return fmt.Errorf("an amount needs a value; low and high belong to a range")
	}
	return nil
}

func (a *Amount[Q]) member(key string, dec *jsontext.Decoder, seen *valueSeen) (err error) {
	switch key {
	case "value":
		seen.value = true
		a.Best, err = readNumber(key, dec)
	case "low":
		seen.low = true
		a.Low, err = readNumber(key, dec)
	case "high":
		seen.high = true
		a.High, err = readNumber(key, dec)
	case "u":
		a.U, err = readNumber(key, dec)
	case "unit":
		a.Unit, err = ReadText(key, dec)
	case "words":
		a.Words, err = ReadText(key, dec)
	case "qualifier":
		a.Qual, err = readQualifier(dec)
	case "assumed":
		a.Assumed, err = readTrue(dec)
	default:
		return fmt.Errorf("an amount has no member %q", key)
	}
	return err
}

func kindError(what string, k jsontext.Kind, dec *jsontext.Decoder) error {
	if k == 0 { // a syntax error: let the reader name it
		if _, err := dec.ReadToken(); err != nil {
			return err
		}
	}
	return fmt.Errorf("%s: found JSON %v", what, k)
}

func readNumber(key string, dec *jsontext.Decoder) (float64, error) {
	if k := dec.PeekKind(); k != '0' {
		return 0, kindError(key+" must be a number", k, dec)
	}
	t, err := dec.ReadToken()
	if err != nil {
		return 0, err
	}
	v, err := t.Float()
	if err != nil {
		return 0, fmt.Errorf("%s: %v is too large a number", key, t)
	}
	return v, Check(v)
}

func readQualifier(dec *jsontext.Decoder) (Qualifier, error) {
	s, err := ReadText("qualifier", dec)
	if err != nil {
		return "", err
	}
	switch q := Qualifier(s); q {
	case Exactly, About, Over, Under, UpTo, Between:
		return q, nil
	}
	return "", fmt.Errorf("qualifier %q is not one of =, about, >, <, up to, range", s)
}

func readTrue(dec *jsontext.Decoder) (bool, error) {
	if k := dec.PeekKind(); k != 't' {
		return false, kindError("assumed must be true or left out", k, dec)
	}
	_, err := dec.ReadToken()
	return true, err
}
