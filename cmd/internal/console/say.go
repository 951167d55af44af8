package console

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"tankside/cmd/internal/scene"
	"tankside/events"
	"tankside/events/intake/lines"
	"tankside/events/kinds"
	"tankside/projections"
)

// saveTime is how long a post waits for an entry to be saved before it says that it is
// not; the page tries again with the same id.
const saveTime = 8 * time.Second

// readTime is how long of that a line waits for the state that holds all before it.
const readTime = time.Second

// longAgo is how long ago a line may have been typed: a page that was cut off posts
// what it kept.
const longAgo = 14 * 24 * time.Hour

// said is a line as a page posts it. The page made the id, so that a line posted twice
// is one entry.
type said struct {
	ID   string `json:"id"`
	Line string `json:"line"`
	Ago  int64  `json:"ago"` // ms since it was typed, by one clock, the page's
	Key  string `json:"key"` // the answer to the question that was asked; "" keeps it as typed
}

// answer is what a page gets for a line.
type answer struct {
	Seqs []events.Seq `json:"seqs,omitempty"`
	Says string       `json:"says,omitempty"`
	Why  string       `json:"why,omitempty"` // it is not saved
}

// say saves a line. It answers once the entries are in both copies.
func (c *Console) say(w http.ResponseWriter, r *http.Request) {
	var s said
	d := json.NewDecoder(r.Body)
	d.DisallowUnknownFields()
	err := d.Decode(&s)
	var id events.ID
	if err == nil {
		id, err = events.ParseID(s.ID)
	}
	switch {
	case err != nil:
		reply(w, http.StatusBadRequest, answer{Why: "This page sent what cannot be read: " + err.Error() + ". Load the page again."})
		return
	case strings.TrimSpace(s.Line) == "":
		reply(w, http.StatusUnprocessableEntity, answer{Why: "The line is empty."})
		return
	}
	ctx, cancel := context.WithTimeout(context.WithoutCancel(r.Context()), saveTime) // a page that is left takes no line with it
	defer cancel()
	by := writer{role: c.writer(r), machine: c.machine(r)}
	status, a := c.take(ctx, id, s, by)
	if status == http.StatusOK {
		c.drafts.sent(c.browserOf(r), s.Line)
	}
	reply(w, status, a)
}

func reply(w http.ResponseWriter, status int, a answer) {
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	_ = json.NewEncoder(w).Encode(a) // a page that is gone asks again
}

// writer is who posts a line: under which role, and on which machine, "" being this one.
type writer struct{ role, machine string }

// take reads a line against the newest state and saves what it becomes.
func (c *Console) take(ctx context.Context, id events.ID, s said, by writer) (int, answer) {
	c.saying.Lock()
	defer c.saying.Unlock()
	if a, ok := c.saved(id, s.Line); ok {
		return http.StatusOK, a
	}
	behind := c.catchUp(ctx)
	reading := c.parse(c.context(c.typed(s.Ago), by.role), s.Line)
	if reading.Move != nil && by.machine == "" {
		return c.moves(ctx, id, s, reading, by.role)
	}
	drafts, says := chosen(reading, s.Key)
	if by.machine != "" && (adds(drafts) || reading.Move != nil) {
		says = "kept as a note; the scribe puts right what is logged"
	}
	drafts = c.finish(drafts, id, s, by.role)
	if behind != nil {
		c.cfg.Program.Warn("line read against an older state", "err", behind)
		drafts[0].Extra = append(drafts[0].Extra, events.Pair{Key: readWithout, Value: behind.Error()})
	}
	recorded, err := c.cfg.Log.AppendAll(ctx, drafts)
	if errors.Is(err, events.ErrIDReused) {
		if a, ok := c.inLog(ctx, id, s.Line); ok {
			return http.StatusOK, a
		}
	}
	if err != nil {
		return refusal(err)
	}
	a := answer{Says: says}
	for _, r := range recorded {
		a.Seqs = append(a.Seqs, r.Seq)
	}
	return http.StatusOK, a
}

// readWithout says in an entry which entries its line was read without.
const readWithout = "read without"

// await waits until the state holds the entry seq, but no longer than readTime: a state
// that is long in coming must leave time to save the line.
func (c *Console) await(ctx context.Context, seq events.Seq) error {
	ctx, cancel := context.WithTimeout(ctx, readTime)
	defer cancel()
	return c.cfg.Live.Await(ctx, seq)
}

// catchUp waits as await does for every entry that is saved by now. The error names the
// entries that the state does not hold.
func (c *Console) catchUp(ctx context.Context) error {
	news := c.cfg.Live.News()
	last := news.Last()
	for r, err := range c.cfg.Log.Read(ctx, last+1) { // what the follower has not heard of yet
		if err != nil {
			break
		}
		last = r.Seq
	}
	if c.await(ctx, last) == nil {
		return nil
	}
	news = c.cfg.Live.News()
	return fmt.Errorf("entries %d to %d, which were not worked out yet", news.Folded+1, max(last, news.Folded+1))
}

// parse reads a line. Should the grammar ever break on one, the words are kept as a
// note all the same: a fault of ours must not cost a line.
func (c *Console) parse(ctx lines.Context, line string) (r lines.Reading) {
	defer func() {
		if fault := recover(); fault != nil {
			c.cfg.Program.Error("the grammar broke on a line", "line", line, "fault", fault)
			r = lines.Reading{Raw: line, Grammar: lines.Grammar, Certainty: lines.Note, Says: "kept as a note",
				Drafts: []events.Draft{{Grammar: lines.Grammar, Payload: kinds.Note{}}}}
		}
	}()
	return lines.Parse(ctx, line)
}

// refusal says why a line is not saved, and whether it is worth trying again.
func refusal(err error) (int, answer) {
	switch {
	case errors.Is(err, events.ErrIDReused):
		return http.StatusConflict, answer{Why: "This line was sent under the id of another entry. Type it again."}
	case errors.Is(err, events.ErrInvalid):
		return http.StatusUnprocessableEntity, answer{Why: "The log did not take it: " + err.Error() + ". Put note in front to keep the words."}
	}
	return http.StatusServiceUnavailable, answer{Why: "NOT SAVED yet: " + err.Error()}
}

// saved finds the entries that a line became when it was posted before.
func (c *Console) saved(id events.ID, line string) (answer, bool) {
	return among(c.cfg.Live.News().Entries, id, line)
}

// inLog finds them in the log itself, which may have them before they are heard of.
func (c *Console) inLog(ctx context.Context, id events.ID, line string) (answer, bool) {
	var entries []events.Recorded
	for r, err := range c.cfg.Log.Read(ctx, 1) {
		if err != nil {
			return answer{}, false
		}
		entries = append(entries, r)
	}
	return among(entries, id, line)
}

func among(entries []events.Recorded, id events.ID, line string) (a answer, ok bool) {
	i := slices.IndexFunc(entries, func(r events.Recorded) bool { return r.ID == id })
	if i < 0 || entries[i].Words != line {
		return a, false
	}
	for ; i < len(entries) && entries[i].Words == line; i++ {
		a.Seqs = append(a.Seqs, entries[i].Seq)
	}
	return a, true
}

// typed is the hour at which a line was typed so many milliseconds ago.
func (c *Console) typed(ago int64) time.Time {
	back := time.Duration(min(max(ago, 0), longAgo.Milliseconds())) * time.Millisecond
	return c.cfg.Now().Add(-back).Truncate(time.Second)
}

// chosen is what a line becomes by the answer to its question: as typed unless another
// answer was given.
func chosen(r lines.Reading, key string) (drafts []events.Draft, says string) {
	if r.Ask != nil {
		key = cmp.Or(key, lines.EnterKey)
		for _, choice := range r.Ask.Choices {
			if strings.EqualFold(choice.Key, key) {
				return choice.Drafts, cmp.Or(choice.Says, r.Says)
			}
		}
	}
	return r.Drafts, r.Says
}

// adds leaves of drafts what another machine may say: it adds. What puts an entry of
// others right, settles or closes is the scribe's; from elsewhere it becomes a note, in
// its words. It reports whether there was any such.
func adds(drafts []events.Draft) (changed bool) {
	for i, d := range drafts {
		switch d.Payload.(type) {
		case kinds.Correction, kinds.Struck, kinds.Joined, kinds.DoubtSettled, kinds.LogClosed:
			drafts[i].Payload, changed = kinds.Note{}, true
		}
		if ofDesk(d.Payload) {
			drafts[i].Payload, changed = kinds.Note{}, true
		}
	}
	return changed
}

// finish gives drafts what only whoever saves them knows.
func (c *Console) finish(drafts []events.Draft, id events.ID, s said, by string) []events.Draft {
	now := c.typed(s.Ago).In(c.zone(c.cfg.Live.News().Entries))
	out := make([]events.Draft, len(drafts))
	for i, d := range drafts {
		d.ID = id
		if i > 0 {
			d.ID = events.ContentID(now, string(id), strconv.Itoa(i))
		}
		d.Incident, d.RecordedBy = c.cfg.Name, cmp.Or(d.RecordedBy, by)
		d.Mode = cmp.Or(d.Mode, c.cfg.Mode)
		d.Channel = cmp.Or(d.Channel, events.Typed)
		if d.Reported.IsZero() {
			d.Reported = now
		}
		if d.Occurred.IsZero() {
			d.Occurred = events.At(now)
		}
		d.Words = s.Line
		out[i] = d
	}
	lines.Tie(out)
	return out
}

// writer is the role of whoever posts.
func (c *Console) writer(r *http.Request) string { return cmp.Or(c.role(r), c.cfg.Scribe) }

// machine is what tells a paired machine from others; "" is this one.
func (c *Console) machine(r *http.Request) string {
	if c.role(r) == "" {
		return ""
	}
	return c.key(r)
}

// learn takes down what the incident has taught.
func (c *Console) learn(inc *projections.Incident, tl *events.Timeline) {
	now := c.cfg.Now()
	if !inc.AsOf.IsZero() {
		now = inc.AsOf.In(now.Location()) // the hour of the board, which goes by the same figures
	}
	ctx := scene.At(inc, c.cfg.Catalogue, tl, now, c.cfg.Scribe)
	c.taught.Lock()
	defer c.taught.Unlock()
	c.taught.ctx = ctx
}

// context is what the incident has taught, for a line typed at now.
func (c *Console) context(now time.Time, by string) lines.Context {
	c.taught.Lock()
	ctx := c.taught.ctx
	c.taught.Unlock()
	now = now.In(c.zone(c.cfg.Live.News().Entries))
	ctx.Now, ctx.Scribe = now, by
	ctx.Incident, ctx.Mode, ctx.Others = c.cfg.Name, c.cfg.Mode, c.cfg.Beside.Names()
	return ctx
}

// previewed is what stands below the line while it is typed.
type previewed struct {
	lines.Reading
	Line  string
	Here  string // the incident, where another is open too
	Spans []span1
	Ways  []lines.Completion
}

// span1 is a stretch of the line with what was taken for it, "" where nothing was.
type span1 struct{ Text, What string }

// preview answers with what the line would become.
func (c *Console) preview(w http.ResponseWriter, r *http.Request) {
	line := r.PostFormValue("line")
	caret, err := strconv.Atoi(r.PostFormValue("caret"))
	if err != nil || caret < 0 || caret > len(line) {
		caret = len(line)
	}
	// When it was typed, by the page's clock; a line of a page that was pasted is no draft.
	if ms, err := strconv.ParseInt(r.PostFormValue("typing"), 10, 64); err == nil {
		c.drafts.keep(c.browserOf(r), line, time.UnixMilli(ms))
	}
	ctx := c.context(c.cfg.Now().Truncate(time.Second), c.writer(r))
	p := previewed{Line: line, Here: c.incidentWord(r)}
	if strings.TrimSpace(line) != "" {
		p.Reading = c.parse(ctx, line)
		p.Spans = marked(line, p.Assumed)
		p.Board = append(p.Board, shortAhead(&ctx, p.Drafts)...)
	}
	p.Ways = lines.Complete(ctx, line, caret)
	if err := c.pages.ExecuteTemplate(w, "preview", p); err != nil {
		c.cfg.Program.Error("preview", "err", err)
	}
}

// marked cuts a line at its marks. What was filled in without a word of the line for it
// stands behind.
func marked(line string, marks []lines.Mark) (out []span1) {
	marks = slices.Clone(marks)
	slices.SortStableFunc(marks, func(a, b lines.Mark) int { return cmp.Compare(a.From, b.From) })
	at := 0
	for _, m := range marks {
		from, to := min(max(m.From, at), len(line)), min(max(m.To, at), len(line))
		if from > at {
			out = append(out, span1{Text: line[at:from]})
		}
		out = append(out, span1{line[from:max(from, to)], m.What})
		at = max(from, to)
	}
	if at < len(line) {
		out = append(out, span1{Text: line[at:]})
	}
	return out
}
