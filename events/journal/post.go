package journal

import (
	"context"
	"errors"
	"fmt"
	"strconv"

	"github.com/nats-io/nats.go"

	"tankside/events"
)

// errHeader carries the sort of a refusal: an index in refusals.
const errHeader = "Tankside-Refused"

// refusals are the errors that a sender can tell apart.
var refusals = []events.Error{events.ErrInvalid, events.ErrIDReused, ErrDamaged, events.ErrNotSaved}

// refusal is an error that came back over a subject.
type refusal struct {
	text string
	sort error
}

// Error returns the text the journal answered with.
func (r refusal) Error() string { return r.text }

// Unwrap returns the sort of refusal.
func (r refusal) Unwrap() error { return r.sort }

// draftSubject is where drafts for an incident are sent.
func draftSubject(node, incident string) string { return "draft." + node + "." + incident }

// Post sends a draft to this machine's intake subject, as a crew's device does, and
// returns the entry once it is saved in both places. A lost answer is asked for again
// with the same id until ctx ends. Errors are those of Append.
func (j *Journal) Post(ctx context.Context, d events.Draft) (events.Recorded, error) {
	data, err := j.cfg.Catalogue.EncodeDraft(d)
	if err != nil {
		return events.Recorded{}, err
	}
	incident := events.IncidentID(d.Incident)
	if incident == "" {
		return events.Recorded{}, fmt.Errorf("%w: incident %q has no letter or digit to name it by", events.ErrInvalid, d.Incident)
	}
	for {
		r, err := j.ask(ctx, draftSubject(j.node, incident), data)
		var refused refusal
		if err == nil || errors.As(err, &refused) || errors.Is(err, events.ErrClosed) {
			return r, err
		}
		if stop := j.pause(ctx); stop != nil {
			return r, fmt.Errorf("%w: %s: %w (%w)", events.ErrNotSaved, incident, err, stop)
		}
	}
}

// ask sends a draft once and waits for the answer.
func (j *Journal) ask(ctx context.Context, subject string, data []byte) (events.Recorded, error) {
	conn := j.conn.Load()
	if conn == nil {
		return events.Recorded{}, errors.New("the store is being started anew")
	}
	ctx, cancel := context.WithTimeout(ctx, 2*j.cfg.Timeout)
	defer cancel()
	m, err := conn.RequestWithContext(ctx, subject, data)
	if err != nil {
		return events.Recorded{}, err
	}
	if sort := m.Header.Get(errHeader); sort != "" {
		n, err := strconv.Atoi(sort)
		if err != nil || n < 0 || n >= len(refusals) {
			return events.Recorded{}, errors.New(string(m.Data))
		}
		return events.Recorded{}, refusal{string(m.Data), refusals[n]}
	}
	return j.cfg.Catalogue.Open(m.Data)
}

// serve takes in drafts from the intake subjects of a store that was just started.
func (j *Journal) serve(s *store) error {
	_, err := s.conn.Subscribe(draftSubject(j.node, "*"), func(m *nats.Msg) {
		_ = m.RespondMsg(j.take(m.Data)) // a sender that is gone asks again
	})
	if err != nil {
		return fmt.Errorf("intake subject: %w", err)
	}
	j.conn.Store(s.conn)
	return nil
}

// take appends a draft and makes the answer.
func (j *Journal) take(data []byte) *nats.Msg {
	r, err := j.takeDraft(data)
	if err == nil {
		return &nats.Msg{Data: r.Raw}
	}
	answer := &nats.Msg{Data: []byte(err.Error()), Header: nats.Header{errHeader: {"other"}}}
	for i, sort := range refusals {
		if errors.Is(err, sort) {
			answer.Header.Set(errHeader, strconv.Itoa(i))
			break
		}
	}
	return answer
}

func (j *Journal) takeDraft(data []byte) (events.Recorded, error) {
	d, err := j.cfg.Catalogue.OpenDraft(data)
	if err != nil {
		return events.Recorded{}, err
	}
	l, err := j.Log(d.Incident)
	if err != nil {
		return events.Recorded{}, fmt.Errorf("%w: %w", events.ErrInvalid, err)
	}
	return l.Append(context.Background(), d) // ends with the journal
}
