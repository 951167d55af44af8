package desk

import (
	"cmp"
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Figure reads a number of the state by its JSON Pointer and writes it for reading.
func (d *Desk) Figure(pointer string) (string, error) {
	raw, err := json.Marshal(d.State)
	if err != nil {
		return "", err
	}
	var state any
	if err := json.Unmarshal(raw, &state); err != nil {
		return "", err
	}
	switch v := at(state, pointer).(type) {
	case map[string]any:
		if value, known := v["value"].(float64); known {
			return strings.TrimSpace(digits(value) + " " + fmt.Sprint(cmp.Or(v["unit"], any("")))), nil
		}
		if _, figure := v["missing"]; figure {
			return "not known", nil
		}
	case float64:
		return digits(v), nil
	}
	return "", fmt.Errorf("%s is no number of the state; tankside state --json has them, and /volume/unaccounted is how one is named", pointer)
}

// at follows a JSON Pointer, nil where it leads nowhere.
func at(v any, pointer string) any {
	for _, key := range strings.Split(strings.TrimPrefix(pointer, "/"), "/") {
		key = strings.NewReplacer("~1", "/", "~0", "~").Replace(key)
		switch in := v.(type) {
		case map[string]any:
			v = in[key]
		case []any:
			n, err := strconv.Atoi(key)
			if v = nil; err == nil && n >= 0 && n < len(in) {
				v = in[n]
			}
		default:
			return nil
		}
	}
	return v
}

// digits writes a number for reading: a tenth from ten up, a hundredth below, with commas
// between thousands.
func digits(v float64) string {
	places := 2
	if math.Abs(v) >= 10 {
		places = 1
	}
	text := strconv.FormatFloat(v, 'f', places, 64)
	whole, rest, _ := strings.Cut(strings.TrimPrefix(text, "-"), ".")
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	if rest = strings.TrimRight(rest, "0"); rest != "" {
		whole += "." + rest
	}
	if strings.HasPrefix(text, "-") && whole != "0" {
		whole = "-" + whole
	}
	return whole
}
