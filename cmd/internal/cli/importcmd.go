package cli

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
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
	dry          bool
	scribe       string
	written      string // when a page of notes was finished

	rows, bad, saved, there int
	fresh                   []events.Draft // what the log does not have yet
	added                   []events.Recorded
	faults                  []intake.Fault
	gone                    []events.Seq // came from a file of this name and are not in it now
}

// importCommand brings a file into the log.
func (a *App) importCommand(s *settings) *cobra.Command {
	var im importing
	cmd := &cobra.Command{
		Use:   "import FILE",
		Short: "Bring a table (CSV), a file of entries (JSON Lines) or a typed-up page into the log",
		Long: `Bring a file into the log: a table, one entry a row, or JSON Lines, one entry a
line. "-" reads standard input. The incident is begun when it is new.

A page of notes (a .txt file) is read line by line as tankside log reads a line, each
with the time it gives; one without happened between the line before it and the next
that has one. --dry-run shows what each would become.

A table's first line names its columns:
  n,occurred_at,reported_at,channel,who,event,where,values,words
occurred_at is a full time, a day, two times with / between, or "before #n";
values is key=value with ; between; entry=#n means the row with that n, so that a row
can strike, correct or join another. Keys and columns that no field takes are kept.

A row that cannot be taken in is named with its line, its column and the way out.
Nothing is brought in then, unless --keep-going brings in the other rows. Bringing
the same file in again adds nothing; with one row repaired it adds that row.`,
		Example: `  tankside import quarry-bend.csv --incident "Quarry Bend"
  tankside import notebook.txt --dry-run`,
		Args: exactly("a file"),
		RunE: func(cmd *cobra.Command, args []string) error {
			im.file = args[0]
			in, err := a.input(&im)
			if err != nil {
				return err
			}
			defer in.Close()
			return a.with(cmd.Context(), s, true, func(ss *session) error { return ss.bringIn(cmd, s, &im, in) })
		},
	}
	cmd.Flags().StringVar(&im.format, "format", "", "`format`: csv, jsonl or txt; else by the file's name")
	cmd.Flags().BoolVar(&im.keepGoing, "keep-going", false, "bring in the good rows although others have faults")
	cmd.Flags().BoolVar(&im.exercise, "exercise", false, "the incident, if it is new, is an exercise")
	cmd.Flags().BoolVar(&im.dry, "dry-run", false, "show what would be brought in, and save nothing")
	cmd.Flags().StringVar(&im.written, "written", "", "`time` by which a page of notes was finished: its clock times are the last before; now when left out")
	cmd.Flags().StringVar(&im.scribe, "scribe", "", "`role` of whoever brings the file in")
	return cmd
}

// bringIn reads the file, appends what is new in it and says what came of it.
func (ss *session) bringIn(cmd *cobra.Command, s *settings, im *importing, in io.Reader) error {
	a := ss.app
	name, err := ss.incidentOf(cmd.Context(), s, im)
	if err != nil {
		return err
	}
	if im.format == "txt" {
		return ss.bringInPage(cmd, name, im, in)
	}
	opts := intake.Options{Catalogue: a.catalogue, Incident: name, Name: filepath.Base(im.file), RecordedBy: im.scribe}
	if im.file == "-" {
		opts.Name = "standard input"
	}
	if im.exercise {
		opts.Mode = events.Exercise
	}
	read := intake.CSV
	if im.format == "jsonl" {
		read = intake.JSONLines
	}
	res, err := read(in, opts)
	if err != nil {
		return err
	}
	if name, err = oneIncident(name, res.Drafts); err != nil {
		return err
	}
	im.rows, im.bad, im.faults = res.Rows, res.Bad(), res.Faults
	switch {
	case name == "" && len(im.faults) > 0:
		return a.tellImport(cmd, im.file, im)
	case name == "":
		return usage("%s holds no entries; check that it is the right file", im.file)
	}
	inc, err := ss.load(cmd.Context(), name)
	if err != nil {
		return err
	}
	if n := len(inc.entries); im.exercise && n > 0 && inc.entries[0].Mode != events.Exercise {
		return usage("--exercise: the log of %q has %d entries and is not of an exercise; name another with --incident", inc.name, n)
	}
	im.compare(a.catalogue, inc, res.Drafts)
	im.missing(a.catalogue, inc, opts.Name, res.Drafts)
	if !im.dry && (len(im.faults) == 0 || im.keepGoing) {
		if err := ss.add(cmd.Context(), inc, im); err != nil {
			return err
		}
	}
	err = a.tellImport(cmd, inc.name, im)
	inc.idle(a, im.added)
	return err
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
	if im.format == "jsonl" {
		return "", nil
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

// input opens the file, before any data folder is made for it, and settles its form.
func (a *App) input(im *importing) (io.ReadCloser, error) {
	if im.format == "" {
		im.format = strings.ToLower(strings.TrimPrefix(filepath.Ext(im.file), "."))
	}
	switch im.format {
	case "csv", "jsonl", "txt":
	case "ndjson":
		im.format = "jsonl"
	default:
		return nil, usage("%s: is it a table, JSON Lines or a page of notes? say --format csv, jsonl or txt", im.file)
	}
	if im.file == "-" {
		return io.NopCloser(a.In), nil
	}
	f, err := os.Open(im.file)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, usage("no file %s; check the name", im.file)
	}
	if err != nil {
		return nil, userError{err}
	}
	return f, nil
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
	return name, nil
}

// compare sorts out what the log has already. An id that stands for another entry
// is a fault: left out in silence, what the line says would be lost.
func (im *importing) compare(c *events.Catalogue, inc *incident, ds []events.Draft) {
	have := make(map[events.ID]events.Recorded, len(inc.entries)+len(ds))
	for _, r := range inc.entries {
		have[r.ID] = r
	}
	mode := modeOf(inc, ds)
	for _, d := range ds {
		if len(inc.entries) > 0 {
			d.Incident = inc.name
		}
		said := d.Mode
		d.Mode = mode
		r, there := have[d.ID]
		switch {
		case said != "" && said != mode:
			im.bad++
			im.faults = append(im.faults, intake.Fault{Name: d.Source.Name, Line: d.Source.Line,
				What: fmt.Sprintf("the entry is marked %q and the log of %s is not; bring it into a log of its own with --incident NAME", said, cmp.Or(inc.name, d.Incident))})
		case there && sameFact(c, d, r):
			im.there++
		case there:
			im.bad++
			im.faults = append(im.faults, intake.Fault{Name: d.Source.Name, Line: d.Source.Line,
				What: fmt.Sprintf("the id %s stands for another entry; take the id out of the line to bring it in as an entry of its own", d.ID)})
		default:
			have[d.ID] = events.Recorded{Draft: d}
			im.fresh = append(im.fresh, d)
		}
	}
}

// modeOf tells whether the log is of an incident, an exercise or a test: that of its
// first entry. What was a drill must never come to stand among what happened.
func modeOf(inc *incident, ds []events.Draft) events.Mode {
	if len(inc.entries) > 0 {
		return inc.entries[0].Mode
	}
	if len(ds) > 0 {
		return ds[0].Mode
	}
	return events.Actual
}

// sameFact reports whether d says what r does. Where r was not told at a time of its
// own, a line from a log has the time of recording in its place.
func sameFact(c *events.Catalogue, d events.Draft, r events.Recorded) bool {
	if c.SameFact(d, r) {
		return true
	}
	r.Reported = r.KnownAt()
	return c.SameFact(d, r)
}

// missing finds the entries that count and came from a file of this name which does
// not hold them any more: a row that was changed since is a new entry beside its old
// self, and what both say would be summed.
func (im *importing) missing(c *events.Catalogue, inc *incident, name string, ds []events.Draft) {
	if len(im.fresh) == 0 || im.file == "-" {
		return
	}
	here := make(map[events.ID]bool, len(ds))
	for _, d := range ds {
		here[d.ID] = true
	}
	for e := range c.NewTimeline(inc.entries, events.View{}).Live() {
		if e.Source.Name == name && !here[e.ID] {
			im.gone = append(im.gone, e.Seq)
		}
	}
	slices.Sort(im.gone)
}

// batch is how many entries are appended between two looks at the progress: as
// many as the log takes all or none of.
const batch = 1000

// add appends what the log does not have yet.
func (ss *session) add(ctx context.Context, inc *incident, im *importing) error {
	bar := ss.app.progress("saving", len(im.fresh))
	defer bar.end()
	for ds := range slices.Chunk(im.fresh, batch) {
		rs, err := inc.log.AppendAll(ctx, ds)
		if err != nil {
			return fmt.Errorf("%s: %d of %d entries are saved; bring the file in again to add the rest: %w", im.file, im.saved, len(im.fresh), err)
		}
		im.added = append(im.added, rs...)
		im.saved += len(ds)
		bar.at(im.saved)
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
		fmt.Fprintln(a.Err, "tankside: "+legible(f.Error()))
	}
	if err := a.printImport(cmd, name, im); err != nil {
		return err
	}
	if n := len(im.gone); n > 0 && im.saved > 0 {
		fmt.Fprintf(a.Err, "tankside: %d entries came from a file of this name and are not in it now, the first is entry %d; "+
			"a changed row is a new entry: where both stand, strike the old one with tankside log struck --entry %[2]d\n", n, im.gone[0])
	}
	if len(im.faults) > 0 {
		return errTold{2}
	}
	return nil
}

func (a *App) printImport(cmd *cobra.Command, name string, im *importing) error {
	imported := im.saved + im.there
	if asJSON(cmd) {
		faults := make([]string, len(im.faults))
		for i, f := range im.faults {
			faults[i] = f.Error()
		}
		return a.printJSON(map[string]any{"incident": name, "rows": im.rows, "new": im.saved, "already_there": im.there, "faults": faults, "not_in_file": append([]events.Seq{}, im.gone...)})
	}
	text := fmt.Sprintf("%s: %d rows: %d new, %d already there", name, im.rows, im.saved, im.there)
	switch {
	case im.dry:
		text = fmt.Sprintf("%s: %d rows: %d would be new, %d already there, %d with faults; nothing is saved (--dry-run)", name, im.rows, len(im.fresh), im.there, im.bad)
	case len(im.faults) > 0 && !im.keepGoing:
		text = fmt.Sprintf("%s: %d rows: none imported, %d with faults; put them right, or bring in the others with --keep-going", name, im.rows, im.bad)
	case len(im.faults) > 0:
		text = fmt.Sprintf("%s: %d rows: %d imported (%d new, %d already there), %d not", name, im.rows, imported, im.saved, im.there, im.bad)
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
