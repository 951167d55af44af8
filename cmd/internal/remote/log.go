package remote

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"iter"
	"net/http"
	"strconv"
	"time"

	"tankside/events"
	"tankside/events/journal"
)

// incidentLog is the log of one incident in the other process.
type incidentLog struct {
	c  *Client
	id string
}

var _ events.Log = (*incidentLog)(nil)

// Append saves one entry.
func (l *incidentLog) Append(ctx context.Context, d events.Draft) (events.Recorded, error) {
	rs, err := l.AppendAll(ctx, []events.Draft{d})
	if err != nil {
		return events.Recorded{}, err
	}
	return rs[0], nil
}

// AppendAll saves all of ds or none. The other process goes on trying until they are
// saved or ctx ends; an answer that was lost leaves ErrNotSaved, and the same ids can
// be sent again.
func (l *incidentLog) AppendAll(ctx context.Context, ds []events.Draft) ([]events.Recorded, error) {
	return l.save(ctx, "", ds)
}

// AppendAfter saves one entry while last is the newest.
func (l *incidentLog) AppendAfter(ctx context.Context, last events.Seq, d events.Draft) (events.Recorded, error) {
	rs, err := l.save(ctx, "?after="+strconv.FormatUint(uint64(last), 10), []events.Draft{d})
	if err != nil {
		return events.Recorded{}, err
	}
	return rs[0], nil
}

// save sends drafts to be saved all or none, on the terms in query.
func (l *incidentLog) save(ctx context.Context, query string, ds []events.Draft) ([]events.Recorded, error) {
	if len(ds) == 0 {
		return nil, nil
	}
	body, err := l.encode(ds)
	if err != nil {
		return nil, err
	}
	waiting := time.AfterFunc(patience, func() { l.tell(len(ds)) })
	defer waiting.Stop()
	out, err := l.post(ctx, query, body, len(ds))
	if sort := (refusal{}); err == nil || errors.As(err, &sort) && sort.sort != events.ErrClosed {
		return out, err
	}
	return nil, fmt.Errorf("%w: %s: %w", events.ErrNotSaved, l.id, err)
}

// encode writes drafts a line each; what is invalid is refused here already.
func (l *incidentLog) encode(ds []events.Draft) ([]byte, error) {
	var b bytes.Buffer
	for _, d := range ds {
		if err := l.c.catalogue.Validate(d); err != nil {
			return nil, err
		}
		line, err := l.c.catalogue.EncodeDraft(d)
		if err != nil {
			return nil, err
		}
		b.Write(line)
		b.WriteByte('\n')
	}
	return b.Bytes(), nil
}

// post sends drafts and reads what they were recorded as.
func (l *incidentLog) post(ctx context.Context, query string, body []byte, want int) ([]events.Recorded, error) {
	resp, err := l.c.ask(ctx, http.MethodPost, "/log/"+l.id+query, body)
	if err != nil {
		return nil, err
	}
	defer resp.Body.Close()
	in := bufio.NewReader(resp.Body)
	out := make([]events.Recorded, want)
	for i := range out {
		if out[i], err = readEntry(in, l.c.catalogue); err != nil {
			return nil, fmt.Errorf("answer %d of %d: %w", i+1, want, err)
		}
	}
	return out, nil
}

// tell says that nothing is saved yet.
func (l *incidentLog) tell(n int) {
	if l.c.onTrouble != nil {
		l.c.onTrouble(journal.Trouble{Incident: l.id, Entries: n, Try: 1,
			Err: fmt.Errorf("process %d, which has the folder open, has not answered yet", l.c.addr.PID)})
	}
}

// Read yields the entries from seq on.
func (l *incidentLog) Read(ctx context.Context, from events.Seq) iter.Seq2[events.Recorded, error] {
	return func(yield func(events.Recorded, error) bool) { l.stream(ctx, from, "", yield) }
}

// Follow yields what Read yields and then every new entry, until ctx ends.
func (l *incidentLog) Follow(ctx context.Context, from events.Seq) iter.Seq2[events.Recorded, error] {
	return func(yield func(events.Recorded, error) bool) {
		l.stream(ctx, from, "&follow=yes", func(r events.Recorded, err error) bool {
			return ctx.Err() == nil && yield(r, err)
		})
	}
}

// stream reads entries until the other side has no more, which for a follower it says
// as an error.
func (l *incidentLog) stream(ctx context.Context, from events.Seq, more string, yield func(events.Recorded, error) bool) {
	fail := func(err error) { yield(events.Recorded{}, fmt.Errorf("remote: %s: %w", l.id, err)) }
	resp, err := l.c.ask(ctx, http.MethodGet, "/log/"+l.id+"?from="+strconv.FormatUint(uint64(from), 10)+more, nil)
	if err != nil {
		fail(err)
		return
	}
	defer resp.Body.Close()
	in := bufio.NewReader(resp.Body)
	for {
		r, err := readEntry(in, l.c.catalogue)
		switch {
		case errors.Is(err, io.EOF):
			if err := ending(resp.Trailer); err != nil {
				fail(err)
			}
			return
		case err != nil:
			fail(err)
			return
		}
		if ctx.Err() != nil {
			fail(ctx.Err())
			return
		}
		if !yield(r, nil) {
			return
		}
	}
}

// ending is what went wrong on the way, by the trailer of an answer.
func ending(trailer http.Header) error {
	name := trailer.Get(refusedHeader)
	if name == "" {
		return nil
	}
	text, err := strconv.Unquote(trailer.Get(textTrailer))
	if err != nil {
		text = "the process that had the folder open has stopped"
	}
	return refused(name, text)
}
