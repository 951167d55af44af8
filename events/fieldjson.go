package events

import (
	"fmt"
	"time"

	"github.com/go-json-experiment/json/jsontext"

	"tankside/events/quantity"
)

// epoch is a day to try a clock time on.
var epoch = time.Unix(0, 0).UTC()

// shown writes an amount so that parsing it again gives the same amount.
func shown[Q quantity.Quantity](a quantity.Amount[Q]) string {
	if !a.Said() {
		return ""
	}
	if a.Assumed {
		a.Unit = ""
	}
	return a.String()
}

func parseAmount[Q quantity.Quantity](text string, low, high float64) (quantity.Amount[Q], error) {
	a, err := quantity.Parse[Q](text)
	if err != nil {
		return a, err
	}
	return a, a.Fault(low, high)
}

func readAmount[Q quantity.Quantity](a *quantity.Amount[Q], dec *jsontext.Decoder, low, high float64) error {
	var got quantity.Amount[Q]
	if err := got.UnmarshalJSONFrom(dec); err != nil {
		return err
	}
	if err := got.Fault(low, high); err != nil {
		return err
	}
	*a = got
	return nil
}

func writePair(enc *jsontext.Encoder, key, value string) error {
	if err := enc.WriteToken(jsontext.String(key)); err != nil {
		return err
	}
	return enc.WriteToken(jsontext.String(value))
}

func writeList(enc *jsontext.Encoder, key string, list []string) error {
	toks := []jsontext.Token{jsontext.String(key), jsontext.BeginArray}
	for _, s := range list {
		toks = append(toks, jsontext.String(s))
	}
	for _, t := range append(toks, jsontext.EndArray) {
		if err := enc.WriteToken(t); err != nil {
			return err
		}
	}
	return nil
}

func readString(dec *jsontext.Decoder) (string, error) { return quantity.ReadText("it", dec) }

// expect looks at the next value's kind without taking it.
func expect(dec *jsontext.Decoder, want jsontext.Kind, name string) error {
	k := dec.PeekKind()
	if k == want {
		return nil
	}
	if k == 0 { // broken JSON: let the reader say where
		_, err := dec.ReadToken()
		return err
	}
	return fmt.Errorf("must be %s, found JSON %v", name, k)
}

func readList(dec *jsontext.Decoder) ([]string, error) {
	if err := expect(dec, '[', "a list of texts"); err != nil {
		return nil, err
	}
	if _, err := dec.ReadToken(); err != nil {
		return nil, err
	}
	var out []string
	for dec.PeekKind() != ']' {
		s, err := readString(dec)
		if err != nil {
			return nil, err
		}
		out = append(out, s)
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("is an empty list; leave the field out when nothing was said")
	}
	_, err := dec.ReadToken()
	return out, err
}
