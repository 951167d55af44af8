package journal

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"tankside/events"
)

// found is an entry as one copy holds it.
type found struct {
	seq  events.Seq
	id   events.ID
	node string
	prev events.Hash
	hash events.Hash
	at   uint64 // place in the stream, or line of the second copy
	span span   // where it lies in the second copy
	raw  []byte // its bytes; nil where they can be read again from the second copy
}

// oddity is something in a copy that is no entry of the incident.
type oddity struct {
	place Place
	at    uint64
	why   string
	raw   []byte
}

// evidence is all that the two copies hold of one incident.
type evidence struct {
	incident string
	store    []found // in stream order
	copy     []found // in file order
	odd      []oddity
	hasCopy  bool   // the file is there
	whole    int64  // length of the whole lines of the second copy
	torn     []byte // what stands behind them

	next   int                 // the entry of copy that the store should hold next
	byHash map[events.Hash]int // index in copy; made when the two are out of step
}

// gather reads both copies. The store may be nil when it cannot be opened.
func gather(ctx context.Context, cat *events.Catalogue, dir string, s *store) (map[string]*evidence, error) {
	all := map[string]*evidence{}
	if err := gatherCopies(cat, dir, all); err != nil {
		return nil, err
	}
	if s == nil {
		return all, nil
	}
	err := s.each(ctx, 1, func(m message) {
		incident := subjectIncident(m.subject)
		if all[incident] == nil {
			all[incident] = &evidence{incident: incident}
		}
		all[incident].addStored(cat, m)
	})
	return all, err
}

// gatherCopies reads every second copy in the folder.
func gatherCopies(cat *events.Catalogue, dir string, all map[string]*evidence) error {
	names, err := filepath.Glob(copyName(dir, "*"))
	if err != nil {
		return err
	}
	for _, name := range names {
		e, err := readCopy(cat, name)
		if err != nil {
			return err
		}
		all[e.incident] = e
	}
	return nil
}

// readCopy reads one second copy.
func readCopy(cat *events.Catalogue, name string) (*evidence, error) {
	e := &evidence{incident: strings.TrimSuffix(filepath.Base(name), ".jsonl"), hasCopy: true}
	var n uint64
	var err error
	e.whole, e.torn, err = lines(name, func(at span, raw []byte) {
		n++
		f, why := e.look(cat, raw)
		if why != nil {
			e.odd = append(e.odd, oddity{InCopy, n, why.Error(), bytes.Clone(raw)})
			return
		}
		f.at, f.span = n, at
		e.copy = append(e.copy, f)
	})
	return e, err
}

// addStored takes in one message of the store. Reading an entry costs more than
// summing it, so one that equals the next of the second copy is not read again.
func (e *evidence) addStored(cat *events.Catalogue, m message) {
	hash := events.Hash(sha256.Sum256(m.raw))
	if e.next < len(e.copy) && e.copy[e.next].hash == hash {
		f := e.copy[e.next]
		f.at = m.at
		e.store = append(e.store, f)
		e.next++
		return
	}
	f, err := e.look(cat, m.raw)
	if err != nil {
		e.odd = append(e.odd, oddity{InStore, m.at, err.Error(), m.raw})
		return
	}
	f.at, f.raw = m.at, m.raw
	e.store = append(e.store, f)
	if i, ok := e.inCopy(hash); ok {
		e.next = i + 1 // the two are in step again
	}
}

// inCopy is where the second copy has the entry with this hash.
func (e *evidence) inCopy(hash events.Hash) (int, bool) {
	if e.byHash == nil {
		e.byHash = make(map[events.Hash]int, len(e.copy))
		for i, f := range e.copy {
			e.byHash[f.hash] = i
		}
	}
	i, ok := e.byHash[hash]
	return i, ok
}

// look reads what the judge needs of an entry's bytes.
func (e *evidence) look(cat *events.Catalogue, raw []byte) (found, error) {
	r, err := cat.Open(raw)
	if err != nil {
		return found{}, err
	}
	if events.IncidentID(r.Incident) != e.incident {
		return found{}, fmt.Errorf("it belongs to incident %q", r.Incident)
	}
	return found{seq: r.Seq, id: r.ID, node: r.Node, prev: r.Prev, hash: r.Hash}, nil
}

// bytesOf returns the bytes of an entry, from the second copy called name where
// they were not kept.
func (f found) bytesOf(name string) ([]byte, error) {
	if f.raw != nil {
		return f.raw, nil
	}
	file, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	raw := make([]byte, f.span.size)
	_, err = file.ReadAt(raw, f.span.off)
	return raw, errors.Join(err, file.Close())
}

// subjectIncident is the incident in a subject ev.<node>.<incident>.<kind>.
func subjectIncident(subject string) string {
	if parts := strings.Split(subject, "."); len(parts) == 4 {
		return parts[2]
	}
	return ""
}

// subjectOf is the subject under which the store keeps r. Names that could break a
// subject, which only a foreign archive can bring, are replaced; the entry's bytes
// are not touched by this.
func subjectOf(r *events.Recorded) string {
	safe := func(s string) string {
		if token(s) {
			return s
		}
		return "other"
	}
	return "ev." + safe(r.Node) + "." + events.IncidentID(r.Incident) + "." + safe(string(r.Payload.Kind()))
}

// messageOf is the message that stores r. Its id is the entry's within the incident:
// the same line imported into two incidents is two entries.
func messageOf(r *events.Recorded) message {
	return message{subject: subjectOf(r), id: events.IncidentID(r.Incident) + "/" + string(r.ID), raw: r.Raw}
}

// names returns the incidents of which there is evidence or a head, in order.
func names(all map[string]*evidence, h head) []string {
	set := map[string]bool{}
	for n := range all {
		set[n] = true
	}
	for n := range h.Incidents {
		set[n] = true
	}
	return slices.Sorted(maps.Keys(set))
}
