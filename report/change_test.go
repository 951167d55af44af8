package report

import (
	"encoding/json"
	"fmt"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections"
)

// apart walks two states side by side and gives the path of each figure that differs
// without naming the entry in either.
func apart(a, b any, seq float64, path string) (out []string) {
	ma, isMap := a.(map[string]any)
	mb, both := b.(map[string]any)
	if isMap && both {
		if _, figure := ma["from"]; figure && ma["unit"] != nil {
			if !reflect.DeepEqual([]any{ma["value"], ma["low"], ma["high"]}, []any{mb["value"], mb["low"], mb["high"]}) && !names(ma, seq) && !names(mb, seq) {
				out = append(out, fmt.Sprintf("%s: %v from %v became %v", path, ma["value"], ma["from"], mb["value"]))
			}
			return out
		}
		for k := range ma {
			out = append(out, apart(ma[k], mb[k], seq, path+"."+k)...)
		}
		return out
	}
	la, _ := a.([]any)
	lb, _ := b.([]any)
	for i := range min(len(la), len(lb)) {
		out = append(out, apart(la[i], lb[i], seq, fmt.Sprintf("%s[%d]", path, i))...)
	}
	return out
}

func names(figure map[string]any, seq float64) bool {
	from, _ := figure["from"].([]any)
	return slices.Contains(from, any(seq))
}

// stateOf is the state of a log as its JSON reads back.
func stateOf(t *testing.T, recorded []events.Recorded) (state any) {
	t.Helper()
	c := kinds.Catalogue()
	b, err := json.Marshal(projections.Fold(c, c.NewTimeline(recorded, events.View{})))
	if err == nil {
		err = json.Unmarshal(b, &state)
	}
	if err != nil {
		t.Fatal(err)
	}
	return state
}

// keyed are fields of which an entry may hold several, such as P1A or C4: putting one
// in anew takes the others away.
var keyed = regexp.MustCompile(`^(?:[A-Z][0-9]*|P[0-9]+[A-Z].*|[A-Z][0-9]*_.*)$`)

// nudged is the payload with one of its measured values a hundredth more, false where it
// has none that can be.
func nudged(k *events.Type, p events.Payload) (events.Payload, bool) {
	for _, v := range k.Values(p) {
		number, unit, ok := strings.Cut(v.Value, " ")
		f, err := strconv.ParseFloat(number, 64)
		if _, plain := k.Field(v.Key); !ok || err != nil || f == 0 || !plain || keyed.MatchString(v.Key) {
			continue
		}
		if q, err := k.Replace(p, v.Key, strconv.FormatFloat(f*1.01, 'f', 4, 64)+" "+unit); err == nil && k.Check(q) == nil {
			return q, true
		}
	}
	return p, false
}

// fixed reports whether an entry acts on others by their numbers or their clocks, or is
// put right itself: its figures name the entry that was put right.
func fixed(e *events.Entry) bool {
	_, corrects := e.Payload.(events.Corrector)
	_, clock := e.Payload.(kinds.ClockCheck)
	return corrects || clock || len(e.PutRight) > 0
}

// TestOneEntryChangesItsFigures nudges one entry after the other of Quarry Bend: no
// figure of the state changes but those that name the entry they come from.
func TestOneEntryChangesItsFigures(t *testing.T) {
	drafts := draftsOf(t, "quarry-bend.csv", "Quarry Bend")
	c := kinds.Catalogue()
	log := sealed(t, drafts)
	before := stateOf(t, log)
	changed := 0
	for _, e := range c.NewTimeline(log, events.View{}).Entries {
		p, ok := nudged(c.Type(e.Said.Kind()), e.Said)
		if !ok || fixed(e) {
			continue
		}
		changed++
		other := slices.Clone(drafts)
		other[e.Seq-1].Payload = p
		for _, line := range apart(before, stateOf(t, sealed(t, other)), float64(e.Seq), "") {
			t.Errorf("entry %d, %s: %s", e.Seq, e.Said.Kind(), line)
		}
	}
	if changed < 60 {
		t.Errorf("only %d entries could be nudged, want more than 60", changed)
	}
}

// TestApartSees: a figure that changes and does not name the entry is found.
func TestApartSees(t *testing.T) {
	figure := func(v float64) any {
		return map[string]any{"a": []any{map[string]any{"value": v, "unit": "gal", "from": []any{3.0}}}}
	}
	if got := apart(figure(1), figure(2), 4, ""); len(got) != 1 {
		t.Errorf("got %q, want the one figure", got)
	}
	if got := apart(figure(1), figure(2), 3, ""); len(got) != 0 {
		t.Errorf("got %q of a figure that names the entry, want nothing", got)
	}
}
