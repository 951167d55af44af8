// Package memlog is a log of one incident in memory. It keeps every rule of the
// durable log but one: it is gone when the program ends. Tests, dry runs and
// "what if" questions use it; package logtest holds it to the same suite as the
// journal.
package memlog

import (
	"context"
	"fmt"
	"iter"
	"slices"
	"sync"
	"time"

	"tankside/events"
)

// Log is the log of one incident as one node recorded it. The zero value is not
// usable; see New.
type Log struct {
	cat      *events.Catalogue
	incident string
	node     string
	now      func() time.Time

	mu    sync.Mutex
	raws  [][]byte // only bytes are kept: what a reader changes, no other reader sees
	ids   map[events.ID]int
	last  *events.Recorded
	grown chan struct{} // closed at the next entry
}

var _ events.Log = (*Log)(nil)

// New makes an empty log for an incident, which is named as a person names it.
func New(cat *events.Catalogue, incident, node string, now func() time.Time) *Log {
	return &Log{cat: cat, incident: events.IncidentID(incident), node: node, now: now,
		ids: map[events.ID]int{}, grown: make(chan struct{})}
}

// Append takes in one entry.
func (l *Log) Append(ctx context.Context, d events.Draft) (events.Recorded, error) {
	rs, err := l.AppendAll(ctx, []events.Draft{d})
	if err != nil {
		return events.Recorded{}, err
	}
	return rs[0], nil
}

// AppendAll takes in all of ds or none.
func (l *Log) AppendAll(ctx context.Context, ds []events.Draft) ([]events.Recorded, error) {
	return l.append(ctx, ds, func() error { return nil })
}

// AppendAfter takes in one entry while last is the newest.
func (l *Log) AppendAfter(ctx context.Context, last events.Seq, d events.Draft) (events.Recorded, error) {
	rs, err := l.append(ctx, []events.Draft{d}, func() error {
		if _, there := l.ids[d.ID]; !there && events.Seq(len(l.raws)) != last {
			return fmt.Errorf("%w: it ends at entry %d, not %d", events.ErrMovedOn, len(l.raws), last)
		}
		return nil
	})
	if err != nil {
		return events.Recorded{}, err
	}
	return rs[0], nil
}

// append takes in all of ds or none, where may has nothing against it.
func (l *Log) append(ctx context.Context, ds []events.Draft, may func() error) ([]events.Recorded, error) {
	if err := ctx.Err(); err != nil {
		return nil, fmt.Errorf("%w: %w", events.ErrNotSaved, err)
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	if err := may(); err != nil {
		return nil, err
	}
	out, fresh, err := l.seal(ds)
	if err != nil || len(fresh) == 0 {
		return out, err
	}
	for i := range fresh {
		l.ids[fresh[i].ID] = len(l.raws)
		l.raws = append(l.raws, slices.Clone(fresh[i].Raw))
	}
	l.last = &fresh[len(fresh)-1]
	close(l.grown)
	l.grown = make(chan struct{})
	return out, nil
}

// seal returns ds as they are or will be recorded, and which of them are new.
func (l *Log) seal(ds []events.Draft) (out, fresh []events.Recorded, err error) {
	mine := map[events.ID]events.Recorded{}
	prev := l.last
	for _, d := range ds {
		if events.IncidentID(d.Incident) != l.incident {
			return nil, nil, fmt.Errorf("%w: entry of incident %q given to the log of %s", events.ErrInvalid, d.Incident, l.incident)
		}
		r, there := mine[d.ID]
		if n, ok := l.ids[d.ID]; ok {
			if r, err = l.open(l.raws[n]); err != nil {
				return nil, nil, err
			}
			there = true
		}
		if there && !l.cat.SameFact(d, r) {
			return nil, nil, fmt.Errorf("%w (%s, entry %d)", events.ErrIDReused, d.ID, r.Seq)
		}
		if !there {
			if r, err = l.cat.Seal(d, l.node, prev, l.now()); err != nil {
				return nil, nil, err
			}
			mine[d.ID], prev = r, &r
			fresh = append(fresh, r)
		}
		out = append(out, r)
	}
	return out, fresh, nil
}

// open decodes stored bytes afresh for one reader.
func (l *Log) open(raw []byte) (events.Recorded, error) { return l.cat.Open(slices.Clone(raw)) }

// Read yields the entries from seq on.
func (l *Log) Read(ctx context.Context, from events.Seq) iter.Seq2[events.Recorded, error] {
	return func(yield func(events.Recorded, error) bool) {
		raws, _ := l.since(from)
		l.yieldAll(ctx, raws, yield)
	}
}

// Follow yields what Read yields and then every new entry, until ctx ends.
func (l *Log) Follow(ctx context.Context, from events.Seq) iter.Seq2[events.Recorded, error] {
	return func(yield func(events.Recorded, error) bool) {
		yield = untilDone(ctx, yield)
		for next := max(from, 1); ; {
			raws, grown := l.since(next)
			if !l.yieldAll(ctx, raws, yield) {
				return
			}
			next += events.Seq(len(raws))
			if len(raws) > 0 {
				continue
			}
			select {
			case <-grown:
			case <-ctx.Done():
				return
			}
		}
	}
}

// since is the stored bytes from seq on and the channel that tells of more.
func (l *Log) since(from events.Seq) ([][]byte, <-chan struct{}) {
	l.mu.Lock()
	defer l.mu.Unlock()
	i := min(max(from, 1)-1, events.Seq(len(l.raws)))
	return l.raws[i:len(l.raws):len(l.raws)], l.grown
}

// yieldAll decodes and yields; false when the reader has had enough or ctx ended.
func (l *Log) yieldAll(ctx context.Context, raws [][]byte, yield func(events.Recorded, error) bool) bool {
	for _, raw := range raws {
		if err := ctx.Err(); err != nil {
			yield(events.Recorded{}, err)
			return false
		}
		r, err := l.open(raw)
		if !yield(r, err) || err != nil {
			return false
		}
	}
	return true
}

// untilDone leaves out the error that only says that ctx ended.
func untilDone(ctx context.Context, yield func(events.Recorded, error) bool) func(events.Recorded, error) bool {
	return func(r events.Recorded, err error) bool {
		if err != nil && ctx.Err() != nil {
			return false
		}
		return yield(r, err)
	}
}
