package cli

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"tankside/cmd/internal/remote"
	"tankside/events"
	"tankside/events/journal"
)

// session is the open data folder: our own, or that of the process which serves it.
type session struct {
	remote.Folder
	app *App
}

// open opens the data folder of the settings. It is made when create is set;
// without, a folder that is not there is the user's fault, as a mistyped name
// would otherwise look like an empty log. Where another process has it open and
// serves it, the work is done through that one.
func (a *App) open(ctx context.Context, s *settings, create bool) (*session, error) {
	dir, err := s.dir()
	if err != nil {
		return nil, err
	}
	if _, err := os.Stat(filepath.Join(dir, "node")); errors.Is(err, fs.ErrNotExist) && !create {
		return nil, usage("no log in %s; begin one with tankside open NAME, name another folder with --dir, or see tankside demo", dir)
	}
	j, err := journal.Open(ctx, journal.Config{Dir: dir, Now: a.Now, Catalogue: a.catalogue, OnTrouble: a.trouble, Log: a.log(s)})
	if errors.Is(err, journal.ErrLocked) {
		return a.reach(ctx, dir, err)
	}
	if err != nil {
		return nil, err
	}
	for _, f := range j.Findings() {
		fmt.Fprintln(a.Err, "tankside: "+f.String())
	}
	return &session{j, a}, nil
}

// reach goes to the process that has the folder open; locked is what is said where
// that one cannot be reached. Its notes it has told itself: damage is told again.
func (a *App) reach(ctx context.Context, dir string, locked error) (*session, error) {
	c, err := remote.Dial(ctx, dir, a.catalogue, a.trouble)
	if errors.Is(err, remote.ErrNotServed) {
		return nil, locked
	}
	if err != nil {
		return nil, fmt.Errorf("%w; %w", locked, err)
	}
	for _, f := range c.Findings() {
		if !f.Note {
			fmt.Fprintln(a.Err, "tankside: "+f.String())
		}
	}
	if d := c.Now().Sub(a.Now()); d.Abs() > sameClock {
		wall := a.Now
		a.Now = func() time.Time { return wall().Add(d).In(c.Now().Location()) }
	}
	return &session{c, a}, nil
}

// sameClock is how far two looks at one clock may lie apart. Where the other process is
// further off it plays a demonstration, and what is said now is said in that night.
const sameClock = time.Minute

// own is the folder for a command that needs it for itself.
func (ss *session) own(what string) (*journal.Journal, error) {
	if j, ok := ss.Folder.(*journal.Journal); ok {
		return j, nil
	}
	return nil, usage("%s needs %s for itself, and another process has it open; stop that one and try again", what, ss.Dir())
}

// trouble says that an entry is not saved yet, or is after all: at the first try and
// then every tenth, so that the words stay readable.
func (a *App) trouble(t journal.Trouble) {
	a.cannot.set(t)
	if t.Saved || t.Try == 1 || t.Try%10 == 0 {
		fmt.Fprintln(a.Err, t)
	}
}

// log is the program's own log; it is not the incident's.
func (a *App) log(s *settings) *slog.Logger {
	if !s.v.GetBool(flagVerbose) {
		return slog.New(slog.DiscardHandler)
	}
	return slog.New(slog.NewTextHandler(a.Err, &slog.HandlerOptions{Level: slog.LevelDebug}))
}

// with opens the data folder, runs do and closes the folder again.
func (a *App) with(ctx context.Context, s *settings, create bool, do func(*session) error) error {
	ss, err := a.open(ctx, s, create)
	if err != nil {
		return err
	}
	return errors.Join(do(ss), ss.Close())
}

// incident is one incident's log with its entries.
type incident struct {
	id      string
	name    string
	log     events.Log
	entries []events.Recorded
}

// pick returns the incident that is asked for, or the only one there is.
func (ss *session) pick(ctx context.Context, s *settings) (*incident, error) {
	name, ids := s.v.GetString(flagIncident), ss.Incidents()
	switch {
	case name != "":
		if !slices.Contains(ids, events.IncidentID(name)) {
			return nil, usage("no incident %q here; %s; begin it with tankside open %q", name, here(ids), name)
		}
		return ss.load(ctx, name)
	case len(ids) == 1:
		return ss.load(ctx, ids[0])
	case len(ids) == 0:
		return nil, usage("no incident in %s yet; begin one with tankside open NAME", ss.Dir())
	}
	return nil, usage("%s; say which with --incident NAME", here(ids))
}

func here(ids []string) string {
	switch len(ids) {
	case 0:
		return "there is none yet"
	case 1:
		return "there is only " + ids[0]
	}
	return "there are " + strings.Join(ids[:len(ids)-1], ", ") + " and " + ids[len(ids)-1]
}

// load reads an incident's entries; a new one has none.
func (ss *session) load(ctx context.Context, name string) (*incident, error) {
	log, err := ss.Log(name)
	if err != nil {
		return nil, userError{err}
	}
	inc := &incident{id: events.IncidentID(name), name: name, log: log}
	for r, err := range log.Read(ctx, 1) {
		if err != nil {
			return nil, err
		}
		inc.entries = append(inc.entries, r)
	}
	if len(inc.entries) > 0 {
		inc.name = inc.entries[0].Incident
	}
	if z := openedIn(inc.entries); z != nil {
		inc.log = zonedLog{log, z}
		for i, r := range inc.entries {
			inc.entries[i] = zoned(r, z)
		}
	}
	return inc, nil
}

// read opens the data folder, reads the incident that is asked for and closes the
// folder again.
func (a *App) read(cmd *cobra.Command, s *settings) (inc *incident, err error) {
	err = a.with(cmd.Context(), s, false, func(ss *session) error {
		inc, err = ss.pick(cmd.Context(), s)
		return err
	})
	return inc, err
}

// zone is the zone of the incident: that of its first entry, or like's.
func (inc *incident) zone(like time.Time) *time.Location {
	if len(inc.entries) > 0 {
		if first := inc.entries[0]; !first.Occurred.At.IsZero() {
			return first.Occurred.At.Location()
		}
	}
	return like.Location()
}

// span is when the incident began and when the last of it happened or was told.
func (inc *incident) span() (first, last time.Time) {
	for i := range inc.entries {
		r := &inc.entries[i]
		for _, t := range []time.Time{r.Occurred.At, r.Reported} {
			if t.IsZero() {
				continue
			}
			if first.IsZero() || t.Before(first) {
				first = t
			}
			if t.After(last) {
				last = t
			}
		}
	}
	zone := inc.zone(first)
	return first.In(zone), last.In(zone)
}

// view is the two clocks that were asked for.
func (inc *incident) view(cmd *cobra.Command) (v events.View, err error) {
	for flag, to := range map[string]*time.Time{flagAsOf: &v.AsOf, flagKnownAt: &v.KnownAt} {
		text, _ := cmd.Flags().GetString(flag)
		if text == "" {
			continue
		}
		at, fault := inc.moment(text)
		if fault != nil {
			err = cmp.Or(err, usage("--%s: %w", flag, fault))
		}
		*to = at
	}
	return v, err
}

// moment reads a time at which to look at the incident. A clock time is the first
// such time after the incident began, so that 01:50 is found behind midnight.
func (inc *incident) moment(text string) (time.Time, error) {
	first, last := inc.span()
	if at, ok := events.Clock(text).After(first); ok {
		if at.After(last) {
			return at, fmt.Errorf("%s is not within the incident, which runs from %s to %s; give the full time",
				text, first.Format(dayTime), last.Format(dayTime))
		}
		return at, nil
	}
	w, err := events.ParseWhen(text, first)
	switch {
	case err != nil:
		return time.Time{}, err
	case w.Form == events.Day:
		return w.Latest(), nil
	case w.Form != events.Instant:
		return time.Time{}, fmt.Errorf("%q is not one moment; give one time", text)
	}
	return w.At.In(inc.zone(w.At)), nil
}

// dayTime is how a moment is printed where its day matters.
const dayTime = "2 Jan 2006 15:04"

// number finds the entry that text names: by number (181 or #181) or by id.
func (inc *incident) number(text string) (events.ID, error) {
	var n events.Seq
	if _, err := fmt.Sscanf(strings.TrimPrefix(text, "#")+"\n", "%d\n", &n); err != nil {
		return events.ParseID(text)
	}
	for i := range inc.entries {
		if inc.entries[i].Seq == n {
			return inc.entries[i].ID, nil
		}
	}
	return "", fmt.Errorf("there is no entry %d; the log of %s has %d", n, inc.name, len(inc.entries))
}

// completeIncidents offers the incidents of the folder to the shell.
func (a *App) completeIncidents(cmd *cobra.Command, _ []string, _ string) ([]string, cobra.ShellCompDirective) {
	dir, _ := cmd.Flags().GetString(flagDir)
	files, _ := filepath.Glob(filepath.Join(cmp.Or(dir, os.Getenv("TANKSIDE_DIR")), "copy", "*.jsonl"))
	var out []string
	for _, f := range files {
		out = append(out, strings.TrimSuffix(filepath.Base(f), ".jsonl"))
	}
	return out, cobra.ShellCompDirectiveNoFileComp
}
