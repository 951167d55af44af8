package journal

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"tankside/events"
)

// Repair brings both copies of an incident's log to what can be borne out of the two
// together, and returns what was done and what is still wrong. Nothing is dropped:
// the copies as they were, and whatever has no place in the log, are set aside.
// Entries that neither copy has cannot be brought back; that stays told.
func (j *Journal) Repair(ctx context.Context, incident string) ([]Finding, error) {
	if err := j.takeTurn(ctx); err != nil {
		return nil, err
	}
	defer j.giveTurn()
	c := j.chainOf(events.IncidentID(incident))
	if c == nil {
		return nil, fmt.Errorf("%w: %s has no incident %q", ErrNoLog, j.cfg.Dir, incident)
	}
	did, err := j.repair(ctx, c)
	return did, wrap("repair "+c.incident, err)
}

func (j *Journal) repair(ctx context.Context, c *chain) ([]Finding, error) {
	if err := j.settle(ctx); err != nil {
		return nil, err
	}
	e, v, err := j.look(ctx, c)
	if err != nil {
		return nil, err
	}
	if err := v.hold(c.copy.name); err != nil {
		return nil, err
	}
	r := &repairer{j: j, c: c, e: e, v: v}
	for _, step := range []func() error{r.keepOdd, r.rewriteCopy, func() error { return r.rebuildStore(ctx) }, r.settleHead} {
		if err := step(); err != nil {
			return r.did, err
		}
	}
	left, err := j.reload(ctx, c)
	return append(r.did, left...), err
}

// look judges one incident as it is on the disk now.
func (j *Journal) look(ctx context.Context, c *chain) (*evidence, *verdict, error) {
	all, err := gather(ctx, j.cfg.Catalogue, j.cfg.Dir, j.store)
	if err != nil {
		return nil, nil, err
	}
	e := all[c.incident]
	if e == nil {
		e = &evidence{incident: c.incident}
	}
	v := judge(e, j.head.Incidents[c.incident], true)
	return e, &v, nil
}

// hold reads the bytes of every version into memory, before the files they are in are
// written anew.
func (v *verdict) hold(name string) error {
	for _, ps := range [][]pick{v.picks, v.left} {
		for i := range ps {
			raw, err := ps[i].bytesOf(name)
			if err != nil {
				return err
			}
			ps[i].raw = raw
		}
	}
	return nil
}

// reload takes a log into memory again after its files were written anew.
func (j *Journal) reload(ctx context.Context, c *chain) ([]Finding, error) {
	e, v, err := j.look(ctx, c)
	if err != nil {
		return nil, err
	}
	fresh, err := j.newChain(e, v)
	if err != nil {
		return nil, err
	}
	j.mu.Lock()
	defer j.mu.Unlock()
	j.retired = append(j.retired, c.copy) // a reader may still be in it
	c.copy, c.at, c.ids, c.last, c.refuse, c.node = fresh.copy, fresh.at, fresh.ids, fresh.last, fresh.refuse, fresh.node
	c.owed = nil
	j.findings = slices.DeleteFunc(j.findings, func(f Finding) bool { return f.Incident == c.incident && !f.Note })
	j.findings = append(j.findings, v.findings...)
	return v.findings, nil
}

// repairer is one repair under way.
type repairer struct {
	j   *Journal
	c   *chain
	e   *evidence
	v   *verdict
	did []Finding
}

// told adds what was done.
func (r *repairer) told(place Place, what, fix string) {
	r.did = append(r.did, Finding{Incident: r.c.incident, Place: place, What: what, Fix: fix, Note: true})
}

// keepOdd sets aside the versions that have no place in the log and what is no entry.
func (r *repairer) keepOdd() error {
	var b bytes.Buffer
	for _, p := range r.v.left {
		b.Write(p.raw)
		b.WriteByte('\n')
	}
	for _, o := range r.e.odd {
		b.Write(o.raw)
		b.WriteByte('\n')
	}
	if b.Len() == 0 {
		return nil
	}
	name := r.j.aside(r.c.incident + "-unplaced.jsonl")
	if err := errors.Join(makeDir(filepath.Dir(name)), writeDurably(name, b.Bytes(), 0o600)); err != nil {
		return err
	}
	r.told(InBoth, fmt.Sprintf("%d lines have no place in the log", len(r.v.left)+len(r.e.odd)), "they are kept in "+name)
	return nil
}

// rewriteCopy writes the second copy anew when it is not the log.
func (r *repairer) rewriteCopy() error {
	if same(r.e.copy, r.v.picks) && !hasOdd(r.e.odd, InCopy) && len(r.e.torn) == 0 {
		return nil
	}
	var b bytes.Buffer
	for _, p := range r.v.picks {
		b.Write(p.raw)
		b.WriteByte('\n')
	}
	if r.e.hasCopy {
		old := r.j.aside(r.c.incident + "-copy.jsonl")
		if err := errors.Join(makeDir(filepath.Dir(old)), copyOne(r.c.copy.name, old), syncDir(filepath.Dir(old))); err != nil {
			return err
		}
		r.told(InCopy, fmt.Sprintf("written anew with %d entries", len(r.v.picks)), "the old one is kept as "+old)
	} else {
		r.told(InCopy, fmt.Sprintf("written anew with %d entries", len(r.v.picks)), "it was missing")
	}
	return writeDurably(r.c.copy.name, b.Bytes(), 0o600)
}

// rebuildStore makes a new store when the old one does not hold the log. The server
// never deletes and never inserts, so the whole folder is built anew.
func (r *repairer) rebuildStore(ctx context.Context) error {
	if same(r.e.store, r.v.picks) && !hasOdd(r.e.odd, InStore) {
		return nil
	}
	dir := r.j.storeDir() + ".new"
	if err := os.RemoveAll(dir); err != nil { // left by a repair that was cut short
		return err
	}
	s, err := openStore(ctx, r.j.cfg.storeConfig(dir, r.j.node))
	if err != nil {
		return err
	}
	if err := errors.Join(r.fill(ctx, s), s.close()); err != nil {
		return err
	}
	old := r.j.aside("store-damaged")
	if err := r.j.swapStore(dir, old); err != nil {
		return err
	}
	r.j.stored = s.last
	r.told(InStore, fmt.Sprintf("built anew with %d entries of this incident", len(r.v.picks)), "the old one is kept in "+old)
	return r.j.restart(ctx)
}

// fill stores what the old store has of other incidents, as it is, and the log.
func (r *repairer) fill(ctx context.Context, s *store) error {
	var batch []message
	var failed error
	flush := func() {
		if failed == nil && len(batch) > 0 {
			failed = s.put(ctx, batch)
		}
		batch = nil
	}
	add := func(m message) {
		if batch = append(batch, m); len(batch) == maxBatch {
			flush()
		}
	}
	err := r.j.store.each(ctx, 1, func(m message) {
		if subjectIncident(m.subject) != r.c.incident {
			add(m)
		}
	})
	for i := 0; err == nil && i < len(r.v.picks); i++ {
		var rec events.Recorded
		if rec, err = r.j.cfg.Catalogue.Open(r.v.picks[i].raw); err == nil {
			add(messageOf(&rec))
		}
	}
	flush()
	return errors.Join(err, failed)
}

// swapStore puts the new store in the place of the old one. A stop between the two
// renames is finished by the next start.
func (j *Journal) swapStore(fresh, old string) error {
	if err := errors.Join(makeDir(filepath.Dir(old)), j.store.close()); err != nil {
		return err
	}
	j.store = nil
	return errors.Join(os.Rename(j.storeDir(), old), os.Rename(fresh, j.storeDir()), syncDir(j.cfg.Dir), syncDir(filepath.Dir(old)))
}

// finishSwap completes a swap that was cut short: the old folder was already moved
// away, so the new one was whole.
func (j *Journal) finishSwap() error {
	fresh := j.storeDir() + ".new"
	if exists(j.storeDir()) || !exists(fresh) {
		return nil
	}
	return errors.Join(os.Rename(fresh, j.storeDir()), syncDir(j.cfg.Dir))
}

// settleHead makes the head agree with the log and keeps in it what is lost for good.
func (r *repairer) settleHead() error {
	m := r.j.head.Incidents[r.c.incident]
	last := mark{}
	if n := len(r.v.picks); n > 0 {
		last = mark{Seq: r.v.picks[n-1].seq, Hash: r.v.picks[n-1].hash.String()}
	}
	if m.Seq > last.Seq {
		m.Lost = append(m.Lost, lost{last.Seq + 1, m.Seq, m.Hash})
		r.told(InHead, "lost: "+entriesText(last.Seq+1, m.Seq), "the log goes on behind entry "+fmt.Sprint(last.Seq))
	}
	m.Seq, m.Hash = last.Seq, last.Hash
	r.j.head.Incidents[r.c.incident] = m
	return r.j.head.write(r.j.cfg.Dir)
}

// same reports whether a copy holds exactly the log.
func same(fs []found, picks []pick) bool {
	return slices.EqualFunc(fs, picks, func(f found, p pick) bool { return f.hash == p.hash })
}

// hasOdd reports whether there is something in a copy that is no entry.
func hasOdd(odd []oddity, p Place) bool {
	return slices.ContainsFunc(odd, func(o oddity) bool { return o.place == p })
}
