package journal

import (
	"cmp"
	"context"
	"fmt"
	"iter"
	"slices"

	"tankside/events"
)

// windowSize is how much of the second copy is read at a time.
const windowSize = 256 << 10

// Read yields the entries from seq on. They are read from the second copy, which
// was compared with the store when the journal was opened and has had every entry
// since: so the log can be read while the store cannot be written.
func (l *incidentLog) Read(ctx context.Context, from events.Seq) iter.Seq2[events.Recorded, error] {
	return func(yield func(events.Recorded, error) bool) {
		v := l.j.view(l.c, from)
		if v.shut {
			yield(events.Recorded{}, events.ErrClosed)
			return
		}
		l.yieldAll(ctx, v, yield)
	}
}

// Follow yields what Read yields and then every new entry, until ctx ends.
func (l *incidentLog) Follow(ctx context.Context, from events.Seq) iter.Seq2[events.Recorded, error] {
	return func(yield func(events.Recorded, error) bool) {
		yield = untilDone(ctx, yield)
		for {
			v := l.j.view(l.c, from)
			if !l.yieldAll(ctx, v, yield) {
				return
			}
			if n := len(v.at); n > 0 {
				from = v.at[n-1].seq + 1
				continue
			}
			if v.shut {
				yield(events.Recorded{}, events.ErrClosed)
				return
			}
			select {
			case <-v.grown:
			case <-ctx.Done():
				return
			case <-l.j.closed:
			}
		}
	}
}

// view is a log as it stood at one moment.
type view struct {
	file  *copyFile
	at    []place
	grown <-chan struct{} // closed when there is more
	shut  bool            // the journal is closed
}

// view is the log from seq on as it stands now.
func (j *Journal) view(c *chain, from events.Seq) view {
	j.mu.RLock()
	defer j.mu.RUnlock()
	i, _ := slices.BinarySearchFunc(c.at, from, func(p place, s events.Seq) int { return cmp.Compare(p.seq, s) })
	return view{c.copy, c.at[i:len(c.at):len(c.at)], c.grown, j.shut}
}

// yieldAll reads and yields the entries of a view; false when the reader has had
// enough, the context ended or an entry could not be read.
func (l *incidentLog) yieldAll(ctx context.Context, v view, yield func(events.Recorded, error) bool) bool {
	w := window{file: v.file}
	for i, p := range v.at {
		if err := ctx.Err(); err != nil {
			yield(events.Recorded{}, err)
			return false
		}
		r, err := l.open(&w, p)
		if i > 0 && err == nil && p.fault == "" && r.Prev != w.hash {
			err = fmt.Errorf("journal: %s: entry %d or the one before it was changed on the disk since the start; run tankside verify", l.c.incident, p.seq)
		}
		w.hash = r.Hash
		if !yield(r, err) || err != nil {
			return false
		}
	}
	return true
}

// entry reads the entry at an index of the chain, and nothing beside it.
func (l *incidentLog) entry(i int) (events.Recorded, error) {
	p := l.c.at[i]
	if p.raw != nil {
		return l.decode(p.raw, p)
	}
	raw := make([]byte, p.span.size)
	if err := l.c.copy.readAt(raw, p.span.off); err != nil {
		return events.Recorded{}, l.unread(p, err)
	}
	return l.decode(raw, p)
}

// open reads and decodes one entry on the way through the log.
func (l *incidentLog) open(w *window, p place) (events.Recorded, error) {
	if p.raw != nil {
		return l.decode(p.raw, p)
	}
	raw, err := w.bytes(p.span)
	if err != nil {
		return events.Recorded{}, l.unread(p, err)
	}
	return l.decode(raw, p)
}

func (l *incidentLog) unread(p place, err error) error {
	return fmt.Errorf("journal: %s: read entry %d: %w", l.c.incident, p.seq, err)
}

// decode opens the bytes of the entry at p.
func (l *incidentLog) decode(raw []byte, p place) (events.Recorded, error) {
	r, err := l.j.cfg.Catalogue.Open(raw)
	if err != nil {
		return r, fmt.Errorf("journal: %s: entry %d was changed on the disk since the start; run tankside verify: %w", l.c.incident, p.seq, err)
	}
	if p.fault != "" {
		r.Faults = append(r.Faults, p.fault)
	}
	return r, nil
}

// window reads the second copy in large pieces, as it is nearly always read from
// one end to the other.
type window struct {
	file *copyFile
	off  int64
	buf  []byte
	hash events.Hash // of the entry read last
}

// bytes returns the bytes of a span. They are the reader's own: a window is never
// written again.
func (w *window) bytes(s span) ([]byte, error) {
	from := s.off - w.off
	if from < 0 || from+int64(s.size) > int64(len(w.buf)) {
		size := min(max(int64(s.size), windowSize), w.file.end()-s.off)
		w.buf, w.off, from = make([]byte, max(size, int64(s.size))), s.off, 0
		if err := w.file.readAt(w.buf, s.off); err != nil {
			w.buf = nil
			return nil, err
		}
	}
	to := from + int64(s.size)
	return w.buf[from:to:to], nil
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
