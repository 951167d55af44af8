package projections

import (
	"fmt"
	"reflect"
	"slices"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

// foldNamed returns a fold of a fresh incident by the name that kinds know it by.
func foldNamed(inc *Incident, name string) Applier {
	if name == "quality" {
		return &inc.Quality
	}
	for _, f := range inc.named() {
		if f.name == name {
			return f.fold
		}
	}
	return nil
}

// telling are payloads for the kinds whose example does not say all that a fold
// listens for.
var telling = map[events.Kind]events.Payload{
	"call_made":     kinds.CallMade{AskedFor: "hazmat team"},
	"decision":      kinds.Decision{Choice: "close road both ways", Isolate: quantity.Of[quantity.Feet](330)},
	"gear_ready":    kinds.GearReady{Drill: "air", Bump: "passed"},
	"left_scene":    kinds.LeftScene{Unit: []string{"Engine 4"}, Truck: "R1"},
	"on_scene":      kinds.OnScene{Truck: "R1"},
	"sized_up":      kinds.SizedUp{Roll: quantity.Of[quantity.Degrees](90)},
	"truck_checked": kinds.TruckChecked{Truck: "R3", Dry: "yes"},
	"order_given": kinds.OrderGiven{Rule: []string{
		"stop at 10 % LEL in work area", "PAR every 20 min while anyone is in", "foam again at 60 min", "bond under 5 ohm",
	}},
}

// places are where an example has to be told for a fold to know what it is about.
var places = map[events.Kind]string{"stick_read": "R1", "scale_ticket": "R1", "custody_passed": "R1", "water_found": "C3"}

// examples makes an entry of every kind, the kinds in the order of the catalogue:
// of its example, or of what is more telling.
func examples(t *testing.T, telling map[events.Kind]events.Payload) map[events.Kind]*events.Entry {
	t.Helper()
	var rows []line
	for i, typ := range kinds.Catalogue().Types() {
		p := typ.Example
		if told, ok := telling[typ.Kind]; ok {
			p = told
		}
		rows = append(rows, line{fmt.Sprintf("%02d:%02d", i/60, i%60), orElse(places[typ.Kind], "Place"), p})
	}
	out := map[events.Kind]*events.Entry{}
	for _, e := range story(t, rows...).Entries {
		out[e.Payload.Kind()] = e
	}
	return out
}

// after folds the entries and returns the fold, without what every entry adds to
// the quality of the log.
func after(name string, entries []*events.Entry) Applier {
	f := foldNamed(&Incident{}, name)
	for _, e := range entries {
		f.Apply(e)
	}
	if q, ok := f.(*Quality); ok {
		q.Entries, q.told, q.delays, q.Late, q.Soft = 0, nil, nil, nil, 0
	}
	return f
}

// changes reports whether the example of a kind changes a fold: a fresh one, or one
// that has seen every other kind.
func changes(all map[events.Kind]*events.Entry, name string, kind events.Kind) bool {
	var others []*events.Entry
	for _, typ := range kinds.Catalogue().Types() {
		if typ.Kind != kind {
			others = append(others, all[typ.Kind])
		}
	}
	e := all[kind]
	return !reflect.DeepEqual(after(name, nil), after(name, []*events.Entry{e})) ||
		!reflect.DeepEqual(after(name, others), after(name, append(slices.Clone(others), e)))
}

// Every kind names the folds that read it, and only those: what the event reference
// prints is what the program does, as Fold goes by it.
func TestKindsFeedTheFoldsTheyName(t *testing.T) {
	plain, told := examples(t, nil), examples(t, telling)
	names := []string{"quality"}
	for _, f := range (&Incident{}).named() {
		names = append(names, f.name)
	}
	for _, typ := range kinds.Catalogue().Types() {
		var reads []string
		for _, name := range names {
			if changes(plain, name, typ.Kind) || changes(told, name, typ.Kind) {
				reads = append(reads, name)
			}
		}
		if reads == nil {
			reads = []string{events.NarrativeOnly}
		}
		feeds := slices.Clone(typ.Feeds)
		slices.Sort(feeds)
		slices.Sort(reads)
		if !slices.Equal(feeds, reads) {
			t.Errorf("%s says it feeds %v; the folds that read it are %v", typ.Kind, feeds, reads)
		}
	}
}
