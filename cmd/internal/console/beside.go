package console

import (
	"context"
	"errors"
	"net/http"
	"strings"

	"tankside/events"
	"tankside/events/intake/lines"
)

// House is what a console knows of the other incidents of its data folder.
type House interface {
	// Open lists the other incidents whose consoles are served.
	Open() []Other
	// Names are those of all other incidents, whether they are served or not.
	Names() []string
	// Move takes an entry into the log of another incident and strikes it in this one;
	// strike is the envelope of the strike.
	Move(ctx context.Context, e *events.Entry, to string, strike events.Draft) (here, there events.Seq, err error)
}

// Other is another incident that is open at the same time.
type Other struct {
	Name string
	Page string // its address
	New  int    // entries since somebody at this machine looked at it
}

// nobody is the house of a console that has no other beside it.
type nobody struct{}

// Open lists none.
func (nobody) Open() []Other { return nil }

// Names are none.
func (nobody) Names() []string { return nil }

// Move moves nothing.
func (nobody) Move(context.Context, *events.Entry, string, events.Draft) (here, there events.Seq, err error) {
	return 0, 0, errors.New("console: there is no other incident here")
}

// others are the other open incidents, for this machine: a paired one was let into the
// incident whose code it had, and hears of no other.
func (c *Console) others(r *http.Request) []Other {
	if !fromHere(r) {
		return nil
	}
	return c.cfg.Beside.Open()
}

// incidentWord is the name of the incident where another is open, so that a line is seen
// to be typed into the wrong one; "" where none is.
func (c *Console) incidentWord(r *http.Request) string {
	if len(c.others(r)) == 0 {
		return ""
	}
	return c.cfg.Name
}

// See notes that somebody at this machine has seen the entries up to last.
func (c *Console) See(last events.Seq) {
	for {
		was := c.seen.Load()
		if was >= uint64(last) || c.seen.CompareAndSwap(was, uint64(last)) {
			return
		}
	}
}

// New is how many entries came since somebody at this machine looked.
func (c *Console) New() int {
	news := c.cfg.Live.News()
	return int(uint64(news.Last()) - min(c.seen.Load(), uint64(news.Last())))
}

// moves moves the entry that a line names to another incident. The strike has the line's
// id, so that a line posted twice strikes once.
func (c *Console) moves(ctx context.Context, id events.ID, s said, r lines.Reading, by string) (int, answer) {
	news := c.cfg.Live.News()
	e := news.Order.Find(r.Move.Entry)
	if e == nil {
		return http.StatusServiceUnavailable, answer{Why: "NOT MOVED yet: the entry is not worked out."}
	}
	strike := c.finish(r.Drafts, id, s, by)[0]
	here, _, err := c.cfg.Beside.Move(ctx, e, r.Move.To, strike)
	switch {
	case errors.Is(err, events.ErrIDReused), errors.Is(err, events.ErrInvalid):
		return refusal(err)
	case errors.Is(err, events.ErrNotSaved), errors.Is(err, context.DeadlineExceeded):
		return http.StatusServiceUnavailable, answer{Why: "NOT MOVED yet: " + err.Error()}
	case err != nil:
		text := err.Error()
		return http.StatusUnprocessableEntity, answer{Why: "Not moved: " + strings.TrimSuffix(text, ".") + "."}
	}
	return http.StatusOK, answer{Seqs: []events.Seq{here}, Says: r.Says}
}
