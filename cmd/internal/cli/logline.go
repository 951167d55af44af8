package cli

import (
	"bufio"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"tankside/cmd/internal/scene"
	"tankside/events"
	speech "tankside/events/intake/lines"
	"tankside/projections"
)

// typing is how a line is written from the shell.
type typing struct {
	dry    bool
	answer string
	scribe string
}

func (t *typing) flags(cmd *cobra.Command) {
	cmd.Flags().BoolVar(&t.dry, "dry-run", false, "show what a line would become, and save nothing")
	cmd.Flags().StringVar(&t.answer, "answer", "", "`key` that answers the question a line may raise; without, it is kept as typed and marked")
	cmd.Flags().StringVar(&t.scribe, "scribe", "", "`role` of whoever types")
}

// isLine reports whether arguments are a line and no mistyped kind: several words.
func isLine(args []string) bool { return strings.Contains(strings.Join(args, " "), " ") }

// logLine reads a line against the incident and saves what it becomes.
func (a *App) logLine(cmd *cobra.Command, s *settings, t typing, line string) error {
	return a.with(cmd.Context(), s, false, func(ss *session) error {
		inc, err := ss.pick(cmd.Context(), s)
		if err != nil {
			return err
		}
		ctx := inc.scene(a, t.scribe)
		if ctx.Others, err = ss.others(cmd.Context(), inc); err != nil {
			return err
		}
		r := speech.Parse(ctx, line)
		if t.dry {
			return a.showReading(cmd, inc, r)
		}
		if r.Move != nil {
			return ss.moveID(cmd, inc, r.Move.Entry, r.Move.To, t.scribe, line)
		}
		drafts, err := a.answered(r, t.answer)
		if err != nil {
			return err
		}
		now := a.Now().Truncate(time.Second)
		for i := range drafts {
			drafts[i].Incident, drafts[i].Reported = inc.name, now.In(inc.zone(now))
		}
		speech.Number(drafts, func() events.ID { return events.NewID(now) })
		return ss.saveLine(cmd, inc, r, drafts)
	})
}

// scene is what the incident has taught by now.
func (inc *incident) scene(a *App, scribe string) speech.Context {
	now := a.Now().Truncate(time.Second)
	tl := a.catalogue.NewTimeline(inc.entries, events.View{})
	ctx := scene.At(projections.Fold(a.catalogue, tl), a.catalogue, tl, now.In(inc.zone(now)), scribe)
	ctx.Incident = cmp.Or(ctx.Incident, inc.name)
	return ctx
}

// answered is what the line becomes by the answer given, or asked for on a terminal.
// Where nobody answers it is kept as typed, with its doubt.
func (a *App) answered(r speech.Reading, key string) ([]events.Draft, error) {
	if r.Ask == nil {
		if key != "" {
			return nil, usage("--answer %s: the line raises no question; leave it out", key)
		}
		return r.Drafts, nil
	}
	given := key != ""
	if !given && a.asks() {
		fmt.Fprint(a.Err, legible(r.Ask.Text)+" ")
		text, _ := bufio.NewReader(a.In).ReadString('\n') // no answer keeps the line
		key = strings.TrimSpace(text)
	}
	var keys []string
	for _, c := range r.Ask.Choices {
		if strings.EqualFold(c.Key, cmp.Or(key, speech.EnterKey)) {
			return c.Drafts, nil
		}
		keys = append(keys, c.Key)
	}
	if given {
		return nil, usage("--answer %s: the answers are %s; %s", key, strings.Join(keys, ", "), r.Ask.Text)
	}
	return r.Ask.Choices[0].Drafts, nil
}

// asks reports whether somebody sits at the terminal to be asked.
func (a *App) asks() bool {
	in, ok := a.In.(*os.File)
	return ok && a.Terminal && isTerminal(in)
}

// saveLine appends what a line became, all or nothing, and says so.
func (ss *session) saveLine(cmd *cobra.Command, inc *incident, r speech.Reading, drafts []events.Draft) error {
	if len(drafts) == 0 {
		return usage("the line is empty; say what happened, or see tankside log --help")
	}
	a := ss.app
	for _, h := range r.Hints {
		fmt.Fprintln(a.Err, "tankside: "+legible(h))
	}
	if len(drafts) == 1 {
		return ss.save(cmd, inc, drafts[0])
	}
	rs, err := inc.log.AppendAll(cmd.Context(), drafts)
	if errors.Is(err, events.ErrNotSaved) {
		return fmt.Errorf("the line is not saved: %w; write it on paper: %s", err, r.Raw)
	}
	if err != nil {
		return err
	}
	for _, e := range rs {
		if asJSON(cmd) {
			_, err = fmt.Fprintf(a.Out, "%s\n", e.Raw)
		} else {
			_, err = fmt.Fprintf(a.Out, "saved %d in 2 places, id %s\n%s\n", e.Seq, e.ID, inc.numbered(a, e.Draft))
		}
	}
	inc.idle(a, rs)
	return err
}

// showReading prints what a line would become.
func (a *App) showReading(cmd *cobra.Command, inc *incident, r speech.Reading) error {
	if asJSON(cmd) {
		data, err := a.readingJSON(r)
		if err != nil {
			return err
		}
		return a.printJSON(data)
	}
	fmt.Fprintf(a.Out, "not saved (--dry-run); %s: %s\n", r.Certainty, legible(r.Says))
	for _, d := range r.Drafts {
		fmt.Fprintln(a.Out, inc.numbered(a, d))
	}
	for _, b := range r.Board {
		fmt.Fprintln(a.Out, "board: "+legible(b))
	}
	for _, h := range r.Hints {
		fmt.Fprintln(a.Out, "note: "+legible(h))
	}
	if r.Ask != nil {
		fmt.Fprintln(a.Out, "asks: "+legible(r.Ask.Text))
	}
	return nil
}

// readingJSON is a reading as data: lists never null, drafts as JSON Lines intake takes
// them but for their ids.
func (a *App) readingJSON(r speech.Reading) (map[string]any, error) {
	drafts, err := a.draftsJSON(r.Drafts)
	if err != nil {
		return nil, err
	}
	assumed := make([]map[string]any, len(r.Assumed))
	for i, m := range r.Assumed {
		assumed[i] = map[string]any{"from": m.From, "to": m.To, "what": m.What}
	}
	out := map[string]any{
		"line": r.Raw, "grammar": r.Grammar, "certainty": r.Certainty, "says": r.Says, "drafts": drafts, "assumed": assumed,
		"hints": append([]string{}, r.Hints...), "board": append([]string{}, r.Board...), "question": nil,
	}
	if r.Ask != nil {
		choices := make([]map[string]any, len(r.Ask.Choices))
		for i, c := range r.Ask.Choices {
			ds, err := a.draftsJSON(c.Drafts)
			if err != nil {
				return nil, err
			}
			choices[i] = map[string]any{"key": c.Key, "label": c.Label, "says": c.Says, "drafts": ds}
		}
		out["question"] = map[string]any{"text": r.Ask.Text, "choices": choices}
	}
	return out, nil
}

func (a *App) draftsJSON(ds []events.Draft) ([]json.RawMessage, error) {
	out := make([]json.RawMessage, len(ds))
	for i, d := range ds {
		raw, err := a.catalogue.EncodeDraft(d)
		if err != nil {
			return nil, err
		}
		out[i] = raw
	}
	return out, nil
}
