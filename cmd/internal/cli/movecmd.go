package cli

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"tankside/cmd/internal/move"
	"tankside/events"
)

// moveCommand takes an entry that was typed into the wrong incident to the right one.
func (a *App) moveCommand(s *settings) *cobra.Command {
	var scribe string
	cmd := &cobra.Command{
		Use:   "move FROM N TO",
		Short: "Move an entry that was typed into the wrong incident",
		Long: `Move an entry that was typed into the wrong incident: entry N of the incident FROM is
entered in TO with its own times, teller and words, and struck in FROM. Each names the
other. Should it break off between the two, the entry stands in both; the same command
again does what is left.`,
		Example: `  tankside move "Mill Hill" 12 "Quarry Bend"`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) < 3 {
				return usage("%s needs the incident, the number of the entry and the other incident: tankside move \"Mill Hill\" 12 \"Quarry Bend\"", cmd.CommandPath())
			}
			return atMost(3)(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.with(cmd.Context(), s, false, func(ss *session) error { return ss.moveEntry(cmd, args[0], args[1], args[2], scribe) })
		},
	}
	cmd.Flags().StringVar(&scribe, "scribe", "", "`role` of whoever moves it")
	return cmd
}

// moveEntry moves the entry that is called number.
func (ss *session) moveEntry(cmd *cobra.Command, from, number, to, scribe string) error {
	for _, name := range []string{from, to} {
		if ids := ss.Incidents(); !slices.Contains(ids, events.IncidentID(name)) {
			return usage("no incident %q here; %s", name, here(ids))
		}
	}
	inc, err := ss.load(cmd.Context(), from)
	if err != nil {
		return err
	}
	id, err := inc.number(number)
	if err != nil {
		return userError{err}
	}
	return ss.moveID(cmd, inc, id, to, scribe, "")
}

// moveID moves an entry by its id; words are those that asked for it, where it was a line.
func (ss *session) moveID(cmd *cobra.Command, inc *incident, id events.ID, to, scribe, words string) error {
	a := ss.app
	e := a.catalogue.NewTimeline(inc.entries, events.View{}).Find(id)
	if e == nil {
		return usage("there is no entry %s in the log of %s", id, inc.name)
	}
	now := a.Now().Truncate(time.Second)
	now = now.In(inc.zone(now))
	strike := events.Draft{ID: events.NewID(now), Occurred: events.At(now), Reported: now, RecordedBy: scribe, Channel: events.Typed, Words: words}
	m, err := ss.move(cmd.Context(), e, inc, to, strike)
	if errors.As(err, new(move.Refused)) {
		return userError{err}
	}
	if err != nil {
		return err
	}
	other, err := ss.load(cmd.Context(), to)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(a.Out, "moved: entry %d of %s is entry %d of %s, saved in 2 places; struck here by %d\n%s\n",
		e.Seq, inc.name, m.There, other.name, m.Strike, other.numbered(a, other.entries[m.There-1].Draft))
	return err
}

// others are the names of the other incidents of the folder.
func (ss *session) others(ctx context.Context, inc *incident) (names []string, err error) {
	for _, id := range ss.Incidents() {
		if id == inc.id {
			continue
		}
		name, err := ss.nameOf(ctx, id)
		if err != nil {
			return nil, err
		}
		names = append(names, name)
	}
	return names, nil
}

// nameOf is the name of an incident by its identifier, as its first entry has it.
func (ss *session) nameOf(ctx context.Context, id string) (string, error) {
	log, err := ss.Log(id)
	if err != nil {
		return "", err
	}
	for r, err := range log.Read(ctx, 1) {
		return r.Incident, err
	}
	return id, nil
}
