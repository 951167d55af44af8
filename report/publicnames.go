package report

import (
	"slices"
	"strings"

	"tankside/events"
	"tankside/events/kinds"
)

// holders are the fields that may hold the name of a person, by key; where the key is
// something else in other kinds of entry, with the kind.
var holders = strings.Fields(`approver approved_by checked_by confirmed_by coordinator driver held led_by missing relieves signed witness worker
	agency_on_scene.who call_made.by call_made.who command_taken.from command_taken.unified decision.by doubt_settled.by
	emergency_ended.by fire_seen.by order_given.by order_given.to people_moved.by public_told.by reference_read.by resume_work.by
	road_closed.by road_opened.by roll_call.by sample_taken.to signal_sounded.by stop_work.by tank_measured.by`)

// numbersOfPeople are the fields that hold a telephone number.
var numbersOfPeople = []string{"phone", "call_back"}

// healthFields are the fields that are about a body in a kind that otherwise is not, with
// the words before them in the line of the entry.
var healthFields = map[events.Kind]struct{ key, label string }{
	kinds.Mishap{}.Kind():  {"hurt", "hurt: "},
	kinds.SizedUp{}.Kind(): {"life", "people in danger: "},
}

// notNames are said in the place of a name.
var notNames = strings.Fields(`absent all everybody everyone nobody no none not ok present recorded refused unknown unsigned yes`)

// held are the names and the telephone numbers in the fields of an entry.
func held(cat *events.Catalogue, p events.Payload) (names, phones []string) {
	for _, v := range cat.Values(p) {
		switch {
		case slices.Contains(numbersOfPeople, v.Key):
			phones = append(phones, v.Value)
		case slices.Contains(holders, v.Key) || slices.Contains(holders, string(p.Kind())+"."+v.Key):
			if !slices.Contains(notNames, strings.ToLower(strings.Trim(v.Value, ". "))) {
				names = append(names, v.Value)
			}
		}
	}
	return names, phones
}

// hideHealth leaves out of the line of an entry what it says of a body.
func hideHealth(cat *events.Catalogue, p events.Payload, r *Row) {
	f, ok := healthFields[p.Kind()]
	if !ok {
		return
	}
	for _, v := range cat.Values(p) {
		if v.Key == f.key {
			r.Line = strings.Replace(r.Line, f.label+v.Value, f.label+leftOut, 1)
		}
	}
	if strings.Contains(r.Was, f.label) {
		r.Was = leftOut
	}
	for i := range r.Fixes {
		r.Fixes[i].Was, r.Fixes[i].Now, r.Fixes[i].Equals, r.Fixes[i].Why = "", leftOut, "", leftOut
	}
}
