package quantity

import (
	"bytes"

	"github.com/go-json-experiment/json/jsontext"
)

// common holds the texts that nearly every stored entry repeats, so that reading
// a long log does not make a new copy of each.
var common = func() map[string]string {
	m := map[string]string{}
	for _, s := range []string{"value", "low", "high", "u", "unit", "words", "qualifier", "assumed",
		"id", "incident", "mode", "node", "n", "kind", "v", "occurred", "told", "recorded", "by", "relayed_by", "recorded_by",
		"channel", "device", "where", "trust", "extra", "source", "data", "prev", "at", "from", "to", "form", "entry", "hard", "name", "line", "raw",
		"typed", "radio", "runner", "phone", "file", "measured", "observed", "estimated", "said", "worked out"} {
		m[s] = s
	}
	for _, scale := range allScales {
		for _, u := range scale.Units {
			m[u.Symbol] = u.Symbol
		}
	}
	return m
}()

// longestCommon is the length in bytes of the longest text in common.
var longestCommon = func() (n int) {
	for s := range common {
		n = max(n, len(s))
	}
	return n
}()

// ReadText reads a JSON string; what names it in the error.
func ReadText(what string, dec *jsontext.Decoder) (string, error) {
	plain, err := ReadPlain(what, dec)
	if err != nil {
		return "", err
	}
	if len(plain) <= longestCommon {
		if s, ok := common[string(plain)]; ok {
			return s, nil
		}
	}
	return string(plain), nil
}

// ReadPlain reads a JSON string without keeping it: the bytes are good until the
// decoder reads on.
func ReadPlain(what string, dec *jsontext.Decoder) ([]byte, error) {
	if k := dec.PeekKind(); k != '"' {
		return nil, kindError(what+" must be text", k, dec)
	}
	v, err := dec.ReadValue()
	if err != nil {
		return nil, err
	}
	plain := v[1 : len(v)-1]
	if bytes.IndexByte(plain, '\\') >= 0 {
		return jsontext.AppendUnquote(nil, v)
	}
	return plain, nil
}
