package events

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Correction says what an entry puts right. Entry names the other entry; where it
// is empty, Said names it in words: its kind and something it holds, such as
// "pump_off L5".
type Correction struct {
	Entry  ID
	Said   string
	Key    string // the field; empty when Was tells
	Was    string
	Now    string
	Equals string // Now in the unit the field is kept in, when said
}

// TimeKey is the key of a Correction that puts the time of an entry right.
const TimeKey = "time"

// The payloads the timeline itself acts on. The kinds that do so implement these.
type (
	// Corrector is a payload that puts another entry right.
	Corrector interface{ Corrects() Correction }
	// Striker is a payload that takes another entry back.
	Striker interface{ Strikes() ID }
	// Joiner is a payload that says witness states the same fact as stands.
	Joiner interface{ Joins() (stands, witness ID) }
	// ClockChecker is a payload that says how far a device's clock runs ahead.
	ClockChecker interface {
		ClockOff() (ahead time.Duration, said bool)
	}
)

// strike applies strikes, newest first, so that a strike which was itself struck
// does not act.
func (t *Timeline) strike() {
	for _, e := range slices.Backward(t.Entries) {
		s, ok := e.Payload.(Striker)
		if !ok || e.Struck != nil {
			continue
		}
		if e.Target = t.earlier(e, s.Strikes()); e.Target == nil {
			continue
		}
		e.Target.Struck = e
	}
}

// earlier returns the entry that id names, nil with a mark on e when it is not
// there or was recorded after e: what puts right can only reach back.
func (t *Timeline) earlier(e *Entry, id ID) *Entry {
	target := t.byID[id]
	switch {
	case id == "":
		e.Marks = append(e.Marks, "not applied: it does not say which entry it means")
		return nil
	case target == nil:
		t.adrift = true
		e.Marks = append(e.Marks, fmt.Sprintf("not applied: it means an entry that is not in this log (%s)", id))
		return nil
	case target.place >= e.place:
		e.Marks = append(e.Marks, "not applied: it means itself or an entry recorded after it")
		return nil
	}
	return target
}

// correct applies corrections, newest first among those that correct each other, so
// that what a correction says is settled before it acts; those of one entry oldest
// first, so that the last word stands.
func (t *Timeline) correct(c *Catalogue) {
	waiting := map[*Entry][]*Entry{} // corrections of an entry, newest first
	meant := t.meant()
	for _, e := range slices.Backward(t.Entries) {
		for _, k := range slices.Backward(waiting[e]) {
			if e.Struck != nil {
				k.Marks = append(k.Marks, fmt.Sprintf("not applied: entry %d was taken back", e.Seq))
				continue
			}
			k.apply(c, e)
		}
		if e.Struck != nil {
			continue
		}
		k, ok := e.Payload.(Corrector)
		if !ok {
			continue
		}
		if e.Target = t.target(c, e, k.Corrects(), meant); e.Target != nil {
			waiting[e.Target] = append(waiting[e.Target], e)
		}
	}
}

// kindAt is what a correction in words goes by: a kind, at an instant or at any.
type kindAt struct {
	kind Kind
	at   int64 // Unix microseconds
	any  bool
}

// meant gathers the entries that corrections in words can mean, so that finding one
// takes no walk through the whole log.
func (t *Timeline) meant() map[kindAt][]*Entry {
	named := map[Kind]bool{}
	for _, e := range t.Entries {
		if k, ok := e.Payload.(Corrector); ok {
			if words := strings.Fields(k.Corrects().Said); len(words) > 0 {
				named[Kind(words[0])] = true
			}
		}
	}
	if len(named) == 0 {
		return nil
	}
	found := map[kindAt][]*Entry{}
	for _, e := range t.Entries {
		if kind := e.Payload.Kind(); named[kind] {
			for _, at := range []kindAt{{kind: kind, at: e.Occurred.At.UnixMicro()}, {kind: kind, any: true}} {
				found[at] = append(found[at], e)
			}
		}
	}
	return found
}

// target finds the entry that a correction means. In words it means an entry of its
// own instant before any other.
func (t *Timeline) target(c *Catalogue, e *Entry, k Correction, meant map[kindAt][]*Entry) *Entry {
	if k.Entry != "" {
		return t.earlier(e, k.Entry)
	}
	if n, ok := numbered(k.Said); ok {
		return t.byNumber(c, e, k, n)
	}
	found := c.inWords(e, k, meant)
	for p, was := e, k; len(found) == 0; {
		if p, was = t.putBefore(p, was); p == nil {
			break
		}
		found = c.inWords(e, was, meant)
	}
	switch {
	case len(found) == 0:
		e.Marks = append(e.Marks, fmt.Sprintf("not applied: no earlier entry is %q with %q; name the entry", k.Said, k.Was))
	case !slices.ContainsFunc(found[1:], func(o *Entry) bool { return !c.sameWitnessed(found[0], o) }):
		return found[0] // one entry, or one fact told by several
	default:
		e.Marks = append(e.Marks, fmt.Sprintf("not applied: %q with %q could be entry %d or %d; name the entry", k.Said, k.Was, found[0].Seq, found[1].Seq))
	}
	return nil
}

// numbered reads words that are an entry's number and nothing else: "entry 22", "#22".
func numbered(said string) (Seq, bool) {
	said = strings.TrimSpace(strings.TrimPrefix(strings.ToLower(strings.TrimSpace(said)), "entry"))
	n, err := strconv.ParseUint(strings.TrimPrefix(said, "#"), 10, 63)
	return Seq(n), err == nil
}

// byNumber finds the entry that has the number n and holds what was wrong. A number may
// be counted in another list, such as a file's own rows, so it never counts by itself.
func (t *Timeline) byNumber(c *Catalogue, e *Entry, k Correction, n Seq) *Entry {
	for _, o := range t.Entries[:e.place] {
		if o.Seq == n && slices.ContainsFunc(c.Values(o.Payload), func(p Pair) bool { return p.Value == k.Was && (k.Key == "" || p.Key == k.Key) }) {
			return o
		}
	}
	e.Marks = append(e.Marks, fmt.Sprintf("not applied: no earlier entry has the number %d and holds %q; write the kind of the entry and words that stand in it, such as \"pump_off L5\", and the wrong value as it stands there", n, k.Was))
	return nil
}

// inWords returns the entries that k names in words.
func (c *Catalogue) inWords(e *Entry, k Correction, meant map[kindAt][]*Entry) []*Entry {
	words := strings.Fields(k.Said)
	if len(words) == 0 {
		return nil
	}
	kind := Kind(words[0])
	if found := fitting(c, e, k, words[1:], meant[kindAt{kind: kind, at: e.Occurred.At.UnixMicro()}]); len(found) > 0 {
		return found
	}
	return fitting(c, e, k, words[1:], meant[kindAt{kind: kind, any: true}])
}

// putBefore finds the correction before e that put the value there which k calls
// wrong, and returns it with what it says; nil when there is none.
func (t *Timeline) putBefore(e *Entry, k Correction) (*Entry, Correction) {
	for _, p := range slices.Backward(t.Entries[:e.place]) {
		if other, ok := p.Payload.(Corrector); ok && p.Struck == nil {
			if o := other.Corrects(); o.Said == k.Said && o.Entry == "" && k.Was != "" && (o.Now == k.Was || o.Equals == k.Was) {
				return p, o
			}
		}
	}
	return nil, k
}

// fitting returns those of others, recorded before e and not struck, that are what k
// names in words: each word stands in a value or the place, and the value that was
// wrong is there.
func fitting(c *Catalogue, e *Entry, k Correction, words []string, others []*Entry) (found []*Entry) {
	for _, o := range others {
		if o.place < e.place && o.Struck == nil && fits(c, o, k, words) {
			found = append(found, o)
		}
	}
	return found
}

func fits(c *Catalogue, o *Entry, k Correction, words []string) bool {
	values := c.Values(o.Payload)
	for _, w := range words {
		held := strings.Contains(" "+o.Where+" ", " "+w+" ")
		for _, p := range values {
			held = held || p.Value == w
		}
		if !held {
			return false
		}
	}
	_, ok := keyOf(values, k)
	return ok
}

// keyOf returns the key that a correction puts right: the one it names, or the
// one whose value is what it says was wrong.
func keyOf(values []Pair, k Correction) (string, bool) {
	if k.Key != "" {
		return k.Key, true
	}
	for _, p := range values {
		if k.Was != "" && p.Value == k.Was {
			return p.Key, true
		}
	}
	if _, err := time.Parse(time.RFC3339, k.Was); err == nil {
		return TimeKey, true
	}
	return "", false
}

// apply puts target right, or marks the correction when it cannot be done.
func (e *Entry) apply(c *Catalogue, target *Entry) {
	k := e.Payload.(Corrector).Corrects()
	values := c.Values(target.Payload)
	key, ok := keyOf(values, k)
	if !ok {
		e.Marks = append(e.Marks, fmt.Sprintf("not applied: entry %d does not hold %q; name the field", target.Seq, k.Was))
		return
	}
	if err := e.put(c, target, key, k.Now); err != nil {
		e.Marks = append(e.Marks, fmt.Sprintf("not applied: %v", err))
		return
	}
	target.PutRight = append(target.PutRight, e)
	for _, p := range values {
		if p.Key == key && k.Was != "" && p.Value != k.Was {
			e.Marks = append(e.Marks, fmt.Sprintf("says entry %d was %q; it was %q", target.Seq, k.Was, p.Value))
		}
	}
}

func (e *Entry) put(c *Catalogue, target *Entry, key, now string) error {
	if key == TimeKey {
		w, err := ParseWhen(now, target.Occurred.At)
		if err == nil {
			err = w.Fault()
		}
		if err == nil {
			target.Occurred, target.timed = w, true
		}
		return err
	}
	typ := c.Type(target.Payload.Kind())
	if typ == nil {
		return fmt.Errorf("entry %d is of a kind this program does not know", target.Seq)
	}
	if _, unknown := target.Payload.(Unknown); unknown {
		return fmt.Errorf("entry %d could not be read", target.Seq)
	}
	p, err := typ.Replace(target.Payload, key, now)
	if err != nil {
		return err
	}
	if s, ok := p.(Striker); ok && s.Strikes() != target.Payload.(Striker).Strikes() {
		return fmt.Errorf("entry %d has taken another entry back; strike it, and strike the right one", target.Seq)
	}
	target.Payload = p
	return nil
}

// join marks second witnesses: those a person joined, and those that state the
// same kind, time and numbers from different tellers.
func (t *Timeline) join(c *Catalogue) {
	for _, e := range t.Entries {
		j, ok := e.Payload.(Joiner)
		if !ok || e.Struck != nil {
			continue
		}
		stands, witness := j.Joins()
		a, b := t.earlier(e, stands), t.earlier(e, witness)
		e.Target = a
		switch {
		case a == nil || b == nil: // marked
		case a.Payload.Kind() != b.Payload.Kind():
			e.Marks = append(e.Marks, fmt.Sprintf("not applied: entry %d is %s and entry %d is %s: not one fact told twice", a.Seq, a.Payload.Kind(), b.Seq, b.Payload.Kind()))
		case a != b && a.Live() && b.Live() && len(b.Witnesses) == 0:
			b.Joined, a.Witnesses = a, append(a.Witnesses, b)
		default:
			e.Marks = append(e.Marks, fmt.Sprintf("not applied: entries %d and %d are one, or one of them is taken back or joined already", a.Seq, b.Seq))
		}
	}
	for i := 0; i < len(t.Entries); {
		j := i + 1
		for j < len(t.Entries) && t.Entries[j].at.Equal(t.Entries[i].at) {
			j++
		}
		c.joinSame(t.Entries[i:j])
		i = j
	}
}

// joinSame joins entries of one instant that state the same fact. The earlier one
// stands, or the one that was put right.
func (c *Catalogue) joinSame(entries []*Entry) {
	for i, a := range entries {
		for _, b := range entries[i+1:] {
			if !a.Live() || !b.Live() || !c.sameWitnessed(a, b) {
				continue
			}
			stands, witness := a, b
			if len(a.PutRight) == 0 && len(b.PutRight) > 0 {
				stands, witness = b, a
			}
			if len(witness.Witnesses) == 0 {
				witness.Joined, stands.Witnesses = stands, append(stands.Witnesses, witness)
				witness.Marks = append(witness.Marks, fmt.Sprintf("second witness of entry %d: same kind, time and numbers", stands.Seq))
			}
		}
	}
}

// sameWitnessed reports whether two entries are one fact told by two: the same
// kind at the same place from different tellers, and the same values as first said
// or as put right. Where both were put right, only what stands now counts.
func (c *Catalogue) sameWitnessed(a, b *Entry) bool {
	if a.Payload.Kind() != b.Payload.Kind() || a.ObservedBy == b.ObservedBy || a.Where != b.Where || !sameMoment(a.Occurred, b.Occurred) {
		return false
	}
	if _, ok := a.Payload.(Unknown); ok {
		return false
	}
	if c.agree(a.Payload, b.Payload) {
		return true
	}
	both := len(a.PutRight) > 0 && len(b.PutRight) > 0
	return !both && len(a.PutRight)+len(b.PutRight) > 0 && c.agree(a.Said, b.Said)
}

// agree reports whether two payloads have some value in common and none that
// disagrees.
func (c *Catalogue) agree(a, b Payload) bool {
	values, other := map[string][]string{}, map[string][]string{}
	for _, p := range c.Values(a) {
		values[p.Key] = append(values[p.Key], p.Value)
	}
	for _, p := range c.Values(b) {
		other[p.Key] = append(other[p.Key], p.Value)
	}
	shared := 0
	for key, v := range other {
		if have, ok := values[key]; ok {
			if !slices.Equal(have, v) {
				return false
			}
			shared++
		}
	}
	return shared > 0
}

// sameMoment reports whether two times with the same best instant are one moment as
// two people tell it. A day is not: much happens twice in a day.
func sameMoment(a, b When) bool {
	if !a.Soft() && !b.Soft() {
		return true
	}
	return a.Form == Bracket && b.Form == Bracket && a.From.Equal(b.From) && a.To.Equal(b.To)
}
