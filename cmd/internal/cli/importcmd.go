package cli

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"tankside/events"
	"tankside/events/intake"
)

// importing is what an import is told and what came of it.
type importing struct {
	file, format string
	keepGoing    bool
	exercise     bool
	scribe       string

	rows, bad, fresh, there int
	faults                  []intake.Fault
}

// importCommand brings a file into the log.
func (a *App) importCommand(s *settings) *cobra.Command {
	var im importing
	cmd := &cobra.Command{
		Use:   "import FILE",
		Short: "Bring a table (CSV) or a file of entries (JSON Lines) into the log",
		Long: `Bring a file into the log: a table, one entry a row, or JSON Lines, one entry a
line. "-" reads standard input. The incident is begun when it is new.

A table's first line names its columns:
  n,occurred_at,reported_at,channel,who,event,where,values,words
occurred_at is a full time, a day, two times with / between, or "before #n";
values is key=value with ; between. Keys and columns that no field takes are kept.

A row that cannot be taken in is named with its line, its column and the way out.
Nothing is brought in then, unless --keep-going brings in the other rows. Bringing
the same file in again adds nothing; with one row repaired it adds that row.`,
		Example: `  tankside import quarry-bend.csv --incident "Quarry Bend"`,
		Args:    exactly("a file"),
		RunE: func(cmd *cobra.Command, args []string) error {
			im.file = args[0]
			return a.with(cmd.Context(), s, true, func(ss *session) error { return ss.bringIn(cmd, s, &im) })
		},
	}
	cmd.Flags().StringVar(&im.format, "format", "", "`format`: csv or jsonl; else by the file's name")
	cmd.Flags().BoolVar(&im.keepGoing, "keep-going", false, "bring in the good rows although others have faults")
	cmd.Flags().BoolVar(&im.exercise, "exercise", false, "the incident, if it is new, is an exercise")
	cmd.Flags().StringVar(&im.scribe, "scribe", "", "`role` of whoever brings the file in")
	return cmd
}

// bringIn reads the file, appends what is new in it and says what came of it.
func (ss *session) bringIn(cmd *cobra.Command, s *settings, im *importing) error {
	a := ss.app
	name, err := ss.incidentOf(cmd.Context(), s, im)
	if err != nil {
		return err
	}
	opts := intake.Options{Catalogue: a.catalogue, Incident: name, Name: filepath.Base(im.file), RecordedBy: im.scribe}
	if im.exercise {
		opts.Mode = events.Exercise
	}
	res, err := a.readFile(im, opts)
	if err != nil {
		return err
	}
	if name, err = oneIncident(name, res.Drafts); err != nil {
		return err
	}
	im.rows, im.bad, im.faults = res.Rows, res.Bad(), res.Faults
	if len(res.Drafts) > 0 && (len(im.faults) == 0 || im.keepGoing) {
		inc, err := ss.load(cmd.Context(), name)
		if err != nil {
			return err
		}
		if err := ss.add(cmd.Context(), inc, im, res.Drafts); err != nil {
			return err
		}
	}
	return a.tellImport(cmd, name, im)
}

// incidentOf is the incident that the file belongs to: the one asked for, or the
// only one here, or "" when the lines of the file have to say.
func (ss *session) incidentOf(ctx context.Context, s *settings, im *importing) (string, error) {
	if name := s.v.GetString(flagIncident); name != "" {
		if events.IncidentID(name) == "" {
			return "", usage("--incident: %q has no letter or digit to name it by", name)
		}
		return name, nil
	}
	format, err := im.formatOf()
	if err != nil || format == "jsonl" {
		return "", err
	}
	if len(ss.Incidents()) == 0 {
		return "", usage("a table does not say its incident; name it with --incident NAME")
	}
	inc, err := ss.pick(ctx, s)
	if err != nil {
		return "", err
	}
	return inc.name, nil
}

// formatOf is csv or jsonl.
func (im *importing) formatOf() (string, error) {
	format := im.format
	if format == "" {
		format = strings.ToLower(strings.TrimPrefix(filepath.Ext(im.file), "."))
	}
	switch format {
	case "csv":
		return "csv", nil
	case "jsonl", "ndjson":
		return "jsonl", nil
	}
	return "", usage("%s: is it a table or JSON Lines? say --format csv or --format jsonl", im.file)
}

// readFile turns the file into drafts.
func (a *App) readFile(im *importing, o intake.Options) (intake.Result, error) {
	format, err := im.formatOf()
	if err != nil {
		return intake.Result{}, err
	}
	var in io.Reader = a.In
	if im.file == "-" {
		o.Name = "standard input"
	} else {
		f, err := os.Open(im.file)
		if errors.Is(err, fs.ErrNotExist) {
			return intake.Result{}, usage("no file %s; check the name", im.file)
		}
		if err != nil {
			return intake.Result{}, userError{err}
		}
		defer f.Close()
		in = f
	}
	if format == "csv" {
		return intake.CSV(in, o)
	}
	return intake.JSONLines(in, o)
}

// oneIncident is the incident that all drafts belong to.
func oneIncident(name string, ds []events.Draft) (string, error) {
	for _, d := range ds {
		if name == "" {
			name = d.Incident
		}
		if events.IncidentID(d.Incident) != events.IncidentID(name) {
			return "", usage("the file holds entries of %q and of %q; name one with --incident and bring in the rest afterwards", name, d.Incident)
		}
	}
	if name == "" {
		return "", usage("the file does not say its incident; name it with --incident NAME")
	}
	return name, nil
}

// batch is how many entries are appended between two looks at the progress: as
// many as the log takes all or none of.
const batch = 1000

// add appends the drafts that are not in the log yet.
func (ss *session) add(ctx context.Context, inc *incident, im *importing, ds []events.Draft) error {
	have := make(map[events.ID]bool, len(inc.entries))
	for i := range inc.entries {
		have[inc.entries[i].ID] = true
	}
	var fresh []events.Draft
	for _, d := range ds {
		if have[d.ID] {
			im.there++
			continue
		}
		have[d.ID] = true
		if len(inc.entries) > 0 {
			d.Incident, d.Mode = inc.name, inc.entries[0].Mode
		}
		fresh = append(fresh, d)
	}
	bar := ss.app.progress("saving", len(fresh))
	defer bar.end()
	for len(fresh) > 0 {
		n := min(batch, len(fresh))
		if _, err := inc.log.AppendAll(ctx, fresh[:n]); err != nil {
			return fmt.Errorf("%s: %d entries are saved, the rest is not; bring the file in again to add it: %w", im.file, im.fresh, err)
		}
		im.fresh += n
		fresh = fresh[n:]
		bar.at(im.fresh)
	}
	return nil
}

// most is how many faults are printed; a file with more has one cause, and the
// first lines show it.
const most = 50

// tellImport says what came of an import.
func (a *App) tellImport(cmd *cobra.Command, name string, im *importing) error {
	for i, f := range im.faults {
		if i == most {
			fmt.Fprintf(a.Err, "tankside: and %d faults more; put these right first\n", len(im.faults)-most)
			break
		}
		fmt.Fprintln(a.Err, "tankside: "+f.Error())
	}
	if err := a.printImport(cmd, name, im); err != nil {
		return err
	}
	if len(im.faults) > 0 {
		return errTold{2}
	}
	return nil
}

func (a *App) printImport(cmd *cobra.Command, name string, im *importing) error {
	imported := im.fresh + im.there
	if asJSON(cmd) {
		faults := make([]string, len(im.faults))
		for i, f := range im.faults {
			faults[i] = f.Error()
		}
		return a.printJSON(map[string]any{"incident": name, "rows": im.rows, "new": im.fresh, "already_there": im.there, "faults": faults})
	}
	text := fmt.Sprintf("%s: %d rows: %d new, %d already there", name, im.rows, im.fresh, im.there)
	switch {
	case len(im.faults) > 0 && !im.keepGoing:
		text = fmt.Sprintf("%s: %d rows: none imported, %d with faults; put them right, or bring in the others with --keep-going", name, im.rows, im.bad)
	case len(im.faults) > 0:
		text = fmt.Sprintf("%s: %d rows: %d imported (%d new, %d already there), %d not", name, im.rows, imported, im.fresh, im.there, im.bad)
	}
	_, err := fmt.Fprintln(a.Out, text)
	return err
}

// printJSON prints data as indented JSON.
func (a *App) printJSON(data any) error {
	enc := json.NewEncoder(a.Out)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(data)
}
