package intake

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"tankside/events"
)

// row is one row of a table on its way to a draft.
type row struct {
	record
	o       Options
	n       string   // its number in the file
	before  string   // the n of the row it came before, "" when it has a time
	refs    []ref    // the rows that its values name
	content []string // what it says, without n: from this comes the id
	draft   events.Draft
	faults  []Fault
	visited bool   // its id is made, or is to be made next
	needs   []*row // rows whose ids are to be made before its own
}

// ref is a value that names another row of the file, as in entry=#4.
type ref struct{ key, n string }

func (r *row) fault(column, key, what string) {
	r.faults = append(r.faults, Fault{Name: r.o.Name, Line: r.line, Column: column, Key: key, What: what})
}

// read makes a draft of the cells, all but its id.
func (r *row) read(names []string) {
	d := &r.draft
	d.Incident, d.Mode, d.RecordedBy = r.o.Incident, r.o.Mode, r.o.RecordedBy
	d.Source = events.Source{Name: r.o.Name, Line: r.line, Raw: r.raw}
	cell := map[string]string{}
	var extra []events.Pair
	for i, name := range names {
		text := strings.TrimSpace(r.cells[i])
		if what := textFault(text); what != "" {
			r.fault(name, "", what)
		}
		cell[name] = text
		if text != "" && !isColumn(name) {
			extra = append(extra, events.Pair{Key: name, Value: text})
		}
	}
	if len(r.faults) > 0 {
		return
	}
	r.n, d.Channel, d.ObservedBy, d.Where, d.Words = cell[colN], events.Channel(cell[colChannel]), cell[colWho], cell[colWhere], cell[colWords]
	switch d.Channel {
	case "":
		d.Channel = events.File
	case events.Device:
		d.Device = d.ObservedBy
	}
	r.times(cell[colOccurred], cell[colReported])
	r.payload(cell[colEvent], cell[colValues])
	d.Extra = append(d.Extra, extra...)
	r.say(cell, extra)
}

func isColumn(name string) bool {
	for _, c := range columns {
		if c == name {
			return true
		}
	}
	return false
}

// say lists what the row says, in an order that does not depend on the columns'.
func (r *row) say(cell map[string]string, extra []events.Pair) {
	r.content = []string{events.IncidentID(r.o.Incident)}
	for _, c := range columns {
		if c != colN && cell[c] != "" && (c != colOccurred || r.before == "") && (c != colValues || len(r.refs) == 0) {
			r.content = append(r.content, c+"="+cell[c])
		}
	}
	if len(r.refs) > 0 {
		for _, p := range pairs(cell[colValues]) {
			if !slices.Contains(r.refs, refOf(p)) {
				r.content = append(r.content, p.Key+"="+p.Value)
			}
		}
	}
	for _, p := range slices.SortedFunc(slices.Values(extra), func(a, b events.Pair) int { return strings.Compare(a.Key, b.Key) }) {
		r.content = append(r.content, p.Key+"="+p.Value)
	}
}

// times reads when it happened and when the post was told.
func (r *row) times(occurred, reported string) {
	like := time.Unix(0, 0).UTC()
	if r.o.Zone != nil {
		like = like.In(r.o.Zone)
	}
	if reported != "" {
		told, err := time.Parse(time.RFC3339, reported)
		if err != nil {
			r.fault(colReported, "", fmt.Sprintf("%q is not a time with its zone; write it as 2025-10-14T21:16:00-05:00, or leave it empty", clip(reported)))
		} else {
			r.draft.Reported, like = told, told
		}
	}
	if n, ok := strings.CutPrefix(occurred, "before #"); ok {
		r.before = strings.TrimSpace(n)
		return
	}
	when, err := fullWhen(occurred, like)
	if err != nil {
		r.fault(colOccurred, "", err.Error())
	}
	r.draft.Occurred = when
}

// fullWhen reads a time that says its day: a bare clock time would depend on who
// reads the file, and on which side of midnight.
func fullWhen(s string, like time.Time) (events.When, error) {
	if s == "" {
		return events.When{}, errors.New("no time is given; write when it happened, a day such as 2025-10-14 if that is all, or before #n")
	}
	for part := range strings.SplitSeq(s, "/") {
		if !strings.Contains(part, "-") {
			return events.When{}, fmt.Errorf("%q has no day; write it as 2025-10-14T21:16:00-05:00", clip(s))
		}
		if _, err := events.ParseWhen(part, like); err != nil {
			return events.When{}, fmt.Errorf("%q is not a time; write it with its zone, as 2025-10-14T21:16:00-05:00, or only the day", clip(part))
		}
	}
	w, err := events.ParseWhen(s, like)
	if err == nil {
		err = w.Fault()
	}
	return w, err
}

// payload reads the kind and its values.
func (r *row) payload(kind, values string) {
	typ := r.o.Catalogue.Type(events.Kind(kind))
	if typ == nil {
		r.fault(colEvent, "", r.o.unknownKind(kind))
		return
	}
	p := typ.Empty()
	for _, pair := range pairs(values) {
		with, err := p, error(nil)
		f, takes := typ.Field(pair.Key)
		if f.Type == events.EntryField && refOf(pair).n != "" {
			r.refs = append(r.refs, refOf(pair))
			continue
		}
		if takes && pair.Value != "" {
			with, err = typ.With(p, pair.Key, pair.Value)
		}
		switch {
		case !takes, pair.Value == "", errors.Is(err, events.ErrTwice):
			r.draft.Extra = append(r.draft.Extra, pair)
		case err != nil:
			r.fault(colValues, pair.Key, strings.TrimPrefix(oneLine(err), pair.Key+": ")+"; "+useWords)
		default:
			p = with
		}
	}
	r.draft.Payload = p
}

// refOf is what a value names in the file; its n is empty when it names no row.
func refOf(p events.Pair) ref {
	n, ok := strings.CutPrefix(p.Value, "#")
	if !ok {
		return ref{key: p.Key}
	}
	return ref{p.Key, strings.TrimSpace(n)}
}

// pairs splits "key=value; key=value". A part without "=" goes on with the value
// before it; at the beginning it is kept under the name of the column.
func pairs(s string) []events.Pair {
	var out []events.Pair
	for part := range strings.SplitSeq(s, ";") {
		key, value, ok := strings.Cut(part, "=")
		key, value = strings.TrimSpace(key), strings.TrimSpace(value)
		switch {
		case ok:
			out = append(out, events.Pair{Key: key, Value: value})
		case key == "":
		case len(out) > 0:
			last := &out[len(out)-1]
			last.Value = strings.TrimPrefix(last.Value+"; "+key, "; ")
		default:
			out = append(out, events.Pair{Key: colValues, Value: key})
		}
	}
	return out
}

// identify gives every good row its id. Rows that say the same are told apart by
// how many of them stand above; n plays no part, so renumbering changes nothing.
func (t *table) identify() {
	byN, seen := map[string][]*row{}, map[string]int{}
	for _, r := range t.all {
		if r.n != "" {
			byN[r.n] = append(byN[r.n], r)
		}
	}
	for _, r := range t.all {
		for _, next := range r.way(byN) {
			next.identify(byN, seen)
		}
	}
}

// way is r and the rows that need their ids before it does, those needed first. A
// file may hold a "before" for every row, so this walks a list and does not recurse.
func (r *row) way(byN map[string][]*row) (way []*row) {
	var open []*row
	enter := func(next *row) {
		if !next.visited && len(next.faults) == 0 {
			next.visited, next.needs = true, next.named(byN)
			open = append(open, next)
		}
	}
	for enter(r); len(open) > 0; {
		top := open[len(open)-1]
		n := len(top.needs)
		if n == 0 {
			way, open = append(way, top), open[:len(open)-1]
			continue
		}
		need := top.needs[n-1]
		top.needs = top.needs[:n-1]
		enter(need)
	}
	return way
}

// named returns the rows that r names, where each is one row of the file.
func (r *row) named(byN map[string][]*row) (out []*row) {
	names := []string{r.before}
	for _, ref := range r.refs {
		names = append(names, ref.n)
	}
	for _, n := range names {
		if found := byN[n]; len(found) == 1 {
			out = append(out, found[0])
		}
	}
	return out
}

func (r *row) identify(byN map[string][]*row, seen map[string]int) {
	at := r.draft.Occurred.At
	if r.before != "" {
		if id, ok := r.resolve(byN, colOccurred, "", r.before, "give a time"); ok {
			r.draft.Occurred = events.When{Form: events.Before, Entry: id}
			r.content = append(r.content, "before="+string(id))
		}
		at = r.draft.Reported
	}
	for _, ref := range r.refs {
		r.refer(byN, ref)
	}
	if len(r.faults) > 0 {
		return
	}
	key := strings.Join(r.content, "\x00")
	r.draft.ID = events.ContentID(at, append(r.content, fmt.Sprint(seen[key]))...)
	seen[key]++
	if err := r.o.Catalogue.Validate(r.draft); err != nil {
		r.fault("", "", invalid(err))
	}
}

// refer puts the id of the row that a value names into its field.
func (r *row) refer(byN map[string][]*row, f ref) {
	id, ok := r.resolve(byN, colValues, f.key, f.n, "write the id of an entry")
	if !ok {
		return
	}
	r.content = append(r.content, f.key+"="+string(id))
	p, err := r.o.Catalogue.Type(r.draft.Payload.Kind()).With(r.draft.Payload, f.key, string(id))
	if err != nil { // a second value for the field
		r.draft.Extra = append(r.draft.Extra, events.Pair{Key: f.key, Value: string(id)})
		return
	}
	r.draft.Payload = p
}

// resolve finds the id of the row whose n is said; or is the way out when there is
// no such row.
func (r *row) resolve(byN map[string][]*row, column, key, n, or string) (events.ID, bool) {
	found := byN[n]
	switch {
	case len(found) == 0:
		r.fault(column, key, fmt.Sprintf("no row has n %q; name a row of this file, or %s", clip(n), or))
		return "", false
	case len(found) > 1:
		r.fault(column, key, fmt.Sprintf("%d rows have n %q; number them apart", len(found), clip(n)))
		return "", false
	}
	other := found[0]
	switch {
	case other == r:
		r.fault(column, key, "it names itself; name another row, or "+or)
	case len(other.faults) > 0:
		r.fault(column, key, fmt.Sprintf("the row it names, in line %d, has a fault; put that right first", other.line))
	case other.draft.ID == "":
		r.fault(column, key, fmt.Sprintf("it names line %d, which names it in turn; in one of them %s", other.line, or))
	}
	return other.draft.ID, other.draft.ID != "" && len(other.faults) == 0
}
