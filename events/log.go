package events

import (
	"context"
	"iter"
)

// Error is a constant error of this package; wrap it and compare with errors.Is.
type Error string

// Error returns the text.
func (e Error) Error() string { return string(e) }

// The errors a log may return.
const (
	// ErrIDReused: the id is in the log with another content.
	ErrIDReused Error = "events: this id already stands for another entry; give the new entry an id of its own"
	// ErrNotSaved: the entry is not known to be in both places. Retry with the same id.
	ErrNotSaved Error = "events: NOT SAVED"
	// ErrMovedOn: the log does not end where it was said to; nothing is saved.
	ErrMovedOn Error = "events: the log has gone on meanwhile"
	// ErrClosed: the log was closed.
	ErrClosed Error = "events: the log is closed"
	// ErrNotAnEntry: the bytes are not an entry at all.
	ErrNotAnEntry Error = "events: not an entry"
	// ErrInvalid: the draft breaks the declaration of its kind.
	ErrInvalid Error = "events: invalid entry"
)

// Log is the entries of one incident as one node recorded them.
type Log interface {
	// Append makes d durable and returns it as recorded. The same id with the
	// same content again returns the first entry. Errors: ErrInvalid,
	// ErrIDReused, ErrNotSaved, ErrClosed, the context's.
	Append(ctx context.Context, d Draft) (Recorded, error)
	// AppendAll makes all of ds durable or none of them. Entries whose ids are
	// already there are returned as they stand.
	AppendAll(ctx context.Context, ds []Draft) ([]Recorded, error)
	// AppendAfter does what Append does, and only while the entry last is the newest,
	// 0 for a log that is empty. Errors: those of Append, and ErrMovedOn.
	AppendAfter(ctx context.Context, last Seq, d Draft) (Recorded, error)
	// Read yields the entries from place from to the present end, in order.
	Read(ctx context.Context, from Seq) iter.Seq2[Recorded, error]
	// Follow yields what Read yields and then every new entry until ctx ends,
	// without a gap and without a double.
	Follow(ctx context.Context, from Seq) iter.Seq2[Recorded, error]
}
