package journal

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"tankside/events"
)

// Trouble is a save that did not succeed yet, or did after all.
type Trouble struct {
	Incident string
	Entries  int   // entries waiting to be saved
	Try      int   // tries so far
	Err      error // why; nil when Saved
	Saved    bool  // the trouble is over
}

// String says it the way the screen shows it.
func (t Trouble) String() string {
	if t.Saved {
		return fmt.Sprintf("%s: saved after %d tries", t.Incident, t.Try)
	}
	return fmt.Sprintf("NOT SAVED: %s: %d waiting, try %d: %v; trying again", t.Incident, t.Entries, t.Try, t.Err)
}

// incidentLog is the log of one incident.
type incidentLog struct {
	j *Journal
	c *chain
}

var _ events.Log = (*incidentLog)(nil)

// Append saves one entry in both places. It keeps trying, with the same id, until
// it is saved or ctx ends.
func (l *incidentLog) Append(ctx context.Context, d events.Draft) (events.Recorded, error) {
	rs, err := l.AppendAll(ctx, []events.Draft{d})
	if err != nil {
		return events.Recorded{}, err
	}
	return rs[0], nil
}

// AppendAll saves entries by atomic batches of up to 1000. Up to that number it is
// all or none whatever happens; of more, a machine that stops between two batches
// keeps the first ones, and appending the same again adds the rest.
func (l *incidentLog) AppendAll(ctx context.Context, ds []events.Draft) ([]events.Recorded, error) {
	return l.append(ctx, ds, func() error { return nil })
}

// AppendAfter saves one entry while last is the newest. Whether it is, is looked at when
// nobody else writes, and only the number of this entry can follow it in the store.
func (l *incidentLog) AppendAfter(ctx context.Context, last events.Seq, d events.Draft) (events.Recorded, error) {
	rs, err := l.append(ctx, []events.Draft{d}, func() error {
		if _, there := l.c.ids[d.ID]; !there && l.c.newest() != last {
			return fmt.Errorf("%w: %s ends at entry %d, not %d", events.ErrMovedOn, l.c.incident, l.c.newest(), last)
		}
		return nil
	})
	if err != nil {
		return events.Recorded{}, err
	}
	return rs[0], nil
}

// append saves entries, where may has nothing against it.
func (l *incidentLog) append(ctx context.Context, ds []events.Draft, may func() error) ([]events.Recorded, error) {
	if err := l.check(ds); err != nil {
		return nil, err
	}
	if err := l.j.takeTurn(ctx); err != nil {
		return nil, err
	}
	defer l.j.giveTurn()
	var out []events.Recorded
	err := l.retry(ctx, len(ds), func() (err error) {
		out, err = l.attempt(ctx, ds, may)
		return err
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

// retry tries to save n entries until it works, cannot work, or ctx ends.
func (l *incidentLog) retry(ctx context.Context, n int, attempt func() error) error {
	for try := 1; ; try++ {
		err := attempt()
		if err == nil && try > 1 {
			l.j.tell(Trouble{Incident: l.c.incident, Try: try, Saved: true})
		}
		if err == nil || permanent(err) {
			return err
		}
		l.j.tell(Trouble{Incident: l.c.incident, Entries: n, Try: try, Err: err})
		if stop := l.j.pause(ctx); stop != nil {
			return fmt.Errorf("%w: %s: %w (%w)", events.ErrNotSaved, l.c.incident, err, stop)
		}
	}
}

// check refuses what no retry can save, before anything is written.
func (l *incidentLog) check(ds []events.Draft) error {
	for i := range ds {
		if err := l.j.cfg.Catalogue.Validate(ds[i]); err != nil {
			return err
		}
		if id := events.IncidentID(ds[i].Incident); id != l.c.incident {
			return fmt.Errorf("%w: entry of incident %q given to the log of %s", events.ErrInvalid, ds[i].Incident, l.c.incident)
		}
	}
	return nil
}

// permanent reports whether trying again cannot help.
func permanent(err error) bool {
	for _, p := range []events.Error{events.ErrInvalid, events.ErrIDReused, events.ErrMovedOn, events.ErrClosed, ErrDamaged, ErrConflict} {
		if errors.Is(err, p) {
			return true
		}
	}
	return false
}

// takeTurn waits until nobody else writes.
func (j *Journal) takeTurn(ctx context.Context) error {
	select {
	case <-j.closed:
		return events.ErrClosed
	default:
	}
	select {
	case <-j.turn:
		return nil
	case <-j.closed:
		return events.ErrClosed
	case <-ctx.Done():
		return fmt.Errorf("%w: %w", events.ErrNotSaved, ctx.Err())
	}
}

// giveTurn lets the next one write.
func (j *Journal) giveTurn() { j.turn <- struct{}{} }

// pause waits before the next try; it returns why there is to be none.
func (j *Journal) pause(ctx context.Context) error {
	t := time.NewTimer(j.cfg.RetryEvery)
	defer t.Stop()
	select {
	case <-t.C:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	case <-j.closed:
		return events.ErrClosed
	}
}

// tell reports trouble to the program.
func (j *Journal) tell(t Trouble) {
	if j.cfg.OnTrouble != nil {
		j.cfg.OnTrouble(t)
	}
}

// attempt tries once to have all of ds in both places.
func (l *incidentLog) attempt(ctx context.Context, ds []events.Draft, may func() error) ([]events.Recorded, error) {
	if err := l.j.settle(ctx); err != nil {
		return nil, err
	}
	if err := may(); err != nil {
		return nil, err
	}
	out, fresh, err := l.seal(ds)
	if err != nil {
		return nil, err
	}
	return out, l.saveAll(ctx, fresh)
}

// saveAll saves sealed entries by atomic batches.
func (l *incidentLog) saveAll(ctx context.Context, rs []events.Recorded) error {
	for batch := range slices.Chunk(rs, maxBatch) {
		if err := l.save(ctx, batch); err != nil {
			return err
		}
	}
	l.j.keepHead()
	return nil
}

// seal returns ds as they are or will be recorded, and which of them are new.
func (l *incidentLog) seal(ds []events.Draft) (out, fresh []events.Recorded, err error) {
	prev := l.c.last
	mine := map[events.ID]events.Recorded{}
	out = make([]events.Recorded, len(ds))
	for i, d := range ds {
		r, there := mine[d.ID]
		if n, ok := l.c.ids[d.ID]; ok {
			if r, err = l.entry(n); err != nil {
				return nil, nil, err
			}
			there = true
		}
		switch {
		case there && !l.j.cfg.Catalogue.SameFact(d, r):
			return nil, nil, fmt.Errorf("%w (%s, entry %d)", events.ErrIDReused, d.ID, r.Seq)
		case !there && l.c.refuse != nil:
			return nil, nil, l.c.refuse
		case !there:
			if r, err = l.j.cfg.Catalogue.Seal(d, l.c.node, prev, l.j.cfg.Now()); err != nil {
				return nil, nil, err
			}
			if len(r.Raw) > maxEntry {
				return nil, nil, fmt.Errorf("%w: the entry is %s long and the longest is %s; put the bulk into a file and log where it is",
					events.ErrInvalid, bytesText(uint64(len(r.Raw))), bytesText(maxEntry))
			}
			prev = &r
			mine[d.ID] = r
			fresh = append(fresh, r)
		}
		out[i] = r
	}
	return out, fresh, nil
}

// save puts sealed entries into the store and then into the second copy.
func (l *incidentLog) save(ctx context.Context, rs []events.Recorded) error {
	ms := make([]message, len(rs))
	for i := range rs {
		ms[i] = messageOf(&rs[i])
	}
	if err := l.j.store.put(ctx, ms); err != nil {
		l.j.unsure = true
		return err
	}
	l.c.owed = rs
	return l.j.completeCopy(l.c)
}

// keepHead writes the head when it has fallen far enough behind. The entries are
// saved whether or not that works.
func (j *Journal) keepHead() {
	if j.unsaid < headEvery {
		return
	}
	j.watchSpace()
	if err := j.writeHead(); err != nil {
		j.unsaid = headEvery // try again with the next entry
		j.cfg.Log.Warn("head record not written", "err", err)
	}
}

// settle brings the journal into a state in which the next entry can be made: the
// store answers, what it holds is known, and the second copies have it too.
func (j *Journal) settle(ctx context.Context) error {
	if j.unsure || j.store == nil {
		if err := j.restart(ctx); err != nil {
			return err
		}
	}
	return j.completeCopies()
}

// restart starts the server anew and takes in what it had stored without saying so.
// Only a new start ends a write error, and only after it can nothing sent before
// still arrive.
func (j *Journal) restart(ctx context.Context) error {
	j.conn.Store(nil)
	if j.store != nil {
		if err := j.store.close(); err != nil {
			return err
		}
		j.stored, j.store = j.store.last, nil
	}
	s, err := openStore(ctx, j.cfg.storeConfig(j.storeDir(), j.node))
	if err != nil {
		return err
	}
	if s.last < j.stored {
		s.close()
		return fmt.Errorf("%w: the store has lost entries while running: it ends at place %d and had %d; stop the program and start it again: the log goes on from the second copy", ErrDamaged, s.last, j.stored)
	}
	if err := errors.Join(s.each(ctx, j.stored+1, j.adopt), j.serve(s)); err != nil {
		s.close()
		return err
	}
	j.store, j.unsure = s, false
	return nil
}

// adopt takes in an entry that was stored without our knowing.
func (j *Journal) adopt(m message) {
	r, err := j.cfg.Catalogue.Open(m.raw)
	if err != nil {
		return // nobody but us writes here; Verify shows it
	}
	c := j.chainOf(events.IncidentID(r.Incident))
	if c == nil {
		return
	}
	prev := events.Hash{}
	if end := c.end(); end != nil {
		prev = end.Hash
	}
	if r.Prev == prev {
		c.owed = append(c.owed, r)
	}
}
