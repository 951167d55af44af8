package desk_test

import (
	"context"
	"crypto/ed25519"
	"errors"
	"fmt"
	"testing"
	"time"

	"tankside/cmd/internal/desk"
	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/memlog"
	"tankside/projections"
)

// unanswered saves, and the answer is lost on the way.
type unanswered struct {
	events.Log
	answer func(events.Recorded, error) (events.Recorded, error)
}

func (u unanswered) AppendAfter(ctx context.Context, last events.Seq, d events.Draft) (events.Recorded, error) {
	return u.answer(u.Log.AppendAfter(ctx, last, d))
}

type key ed25519.PrivateKey

func (k key) PublicKey() (ed25519.PublicKey, error) {
	return ed25519.PrivateKey(k).Public().(ed25519.PublicKey), nil
}
func (k key) Sign(m []byte) ([]byte, error) { return ed25519.Sign(ed25519.PrivateKey(k), m), nil }

// TestSignedFilesOutliveALostAnswer: where it is not known whether a signature was saved,
// the report that it is over is kept; where nothing was signed it is taken away.
func TestSignedFilesOutliveALostAnswer(t *testing.T) {
	at := time.Date(2026, 5, 4, 9, 0, 0, 0, time.UTC)
	now := func() time.Time { return at }
	c := kinds.Catalogue()
	log := memlog.New(c, "Any", "node", now)
	first, err := log.Append(t.Context(), events.Draft{ID: events.NewID(at), Incident: "Any", Occurred: events.At(at), Reported: at, ObservedBy: "Scribe", Channel: events.Typed, Payload: kinds.Note{Text: "on scene"}})
	if err != nil {
		t.Fatal(err)
	}
	room := desk.Room{Incident: "Any", Catalogue: c, Now: now, Program: "test", Keys: key(ed25519.NewKeyFromSeed(make([]byte, 32))),
		Fold: func(tl *events.Timeline) *projections.Incident { return projections.Fold(c, tl) }}
	by := desk.Signer{Name: "J. Rivera", Role: "Incident Commander"}
	sign := func(log events.Log) (undone bool, err error) {
		_, err = room.At([]events.Recorded{first}).Sign(t.Context(), log, by, func(desk.Signed) (func() error, error) {
			return func() error { undone = true; return nil }, nil
		})
		return undone, err
	}
	lost := unanswered{log, func(_ events.Recorded, err error) (events.Recorded, error) {
		if err != nil {
			return events.Recorded{}, err
		}
		return events.Recorded{}, fmt.Errorf("%w: the answer was lost", events.ErrNotSaved)
	}}
	if undone, err := sign(lost); undone || !errors.Is(err, events.ErrNotSaved) {
		t.Errorf("answer lost: files taken away %t, %v; want kept and %v", undone, err, events.ErrNotSaved)
	}
	if undone, err := sign(log); !undone || !errors.Is(err, events.ErrMovedOn) {
		t.Errorf("log gone on: files taken away %t, %v; want taken away and %v", undone, err, events.ErrMovedOn)
	}
}
