package cli

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"tankside"
	"tankside/events"
	"tankside/events/intake"
	"tankside/events/journal"
	"tankside/projections/findings"
	"tankside/report"
)

// demoCommand plays an invented incident into a real log.
func (a *App) demoCommand(s *settings) *cobra.Command {
	var out, scenario string
	var o demoServing
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "Play an invented incident into a real log, and write its report",
		Long: `Play an invented incident, entry by entry, into a real log in a folder of its own;
show how the state grows; write report.md and report.html; check the log. No other
log is touched.

--serve plays it onto a console instead, at a pace, and goes on serving after the last
word. The clock is that of the night it plays: at --pace 60 a minute of it passes each
second. Type into it; ask it from another shell.`,
		Example: `  tankside demo --out demo-out
  tankside demo --scenario harrow-mill
  tankside demo --serve --pace 60`,
		Args:        noArgs,
		Annotations: map[string]string{noData: "yes"},
		RunE: func(cmd *cobra.Command, _ []string) error {
			name, err := scenarioOf(cmp.Or(scenario, s.v.GetString(flagIncident), "quarry-bend"))
			if err != nil {
				return err
			}
			if out == "" {
				if out, err = os.MkdirTemp("", "tankside-demo-"); err != nil {
					return err
				}
			}
			s.v.Set(flagDir, filepath.Join(out, "log")) // never the user's own log
			s.v.Set(flagIncident, title(name))
			if o.on {
				return a.serveDemo(cmd.Context(), s, name, &o)
			}
			if cmd.Flags().Changed("pace") || cmd.Flags().Changed("listen") {
				return usage("--pace and --listen are for tankside demo --serve")
			}
			return a.demo(cmd.Context(), s, name, out)
		},
	}
	cmd.Flags().StringVar(&out, "out", "", "`folder` for the log and the report; a temporary one when left out")
	o.flags(cmd)
	cmd.Flags().StringVar(&scenario, "scenario", "", "`name` of the incident: "+strings.Join(scenarios(), " or "))
	return cmd
}

// scenarios are the names of the incidents that the program carries.
func scenarios() (out []string) {
	files, _ := fs.Glob(tankside.Incidents, "testdata/incidents/*.csv")
	for _, f := range files {
		out = append(out, strings.TrimSuffix(path.Base(f), ".csv"))
	}
	return out
}

func scenarioOf(name string) (string, error) {
	for _, s := range scenarios() {
		if s == events.IncidentID(name) {
			return s, nil
		}
	}
	return "", usage("%q is not an incident of the demonstration; %s", name, here(scenarios()))
}

// title makes "Quarry Bend" of "quarry-bend".
func title(name string) string {
	words := strings.Split(name, "-")
	for i, w := range words {
		words[i] = strings.ToUpper(w[:1]) + w[1:]
	}
	return strings.Join(words, " ")
}

// demo plays the incident, prints what it has become and says where everything is.
func (a *App) demo(ctx context.Context, s *settings, name, out string) error {
	drafts, err := a.script(name)
	if err != nil {
		return err
	}
	var inc *incident
	err = a.with(ctx, s, true, func(ss *session) error {
		if err := ss.play(ctx, title(name), drafts); err != nil {
			return err
		}
		inc, err = ss.load(ctx, title(name))
		return err
	})
	if err != nil {
		return err
	}
	tl, folded := a.fold(inc, events.View{}, findings.Defaults())
	fmt.Fprintln(a.Out)
	err = printState(a.Out, folded.State())
	for _, format := range []string{"md", "html"} {
		err = errors.Join(err, a.reportFile(filepath.Join(out, "report."+format), folded, tl, format, report.Options{}))
	}
	if err != nil {
		return err
	}
	return a.closing(ctx, out, drafts[len(drafts)/2].Reported)
}

// script reads the incident's entries.
func (a *App) script(name string) ([]events.Draft, error) {
	f, err := tankside.Incidents.Open("testdata/incidents/" + name + ".csv")
	if err != nil {
		return nil, err
	}
	defer f.Close()
	res, err := intake.CSV(f, intake.Options{Catalogue: a.catalogue, Incident: title(name), Name: name + ".csv", Mode: events.Exercise})
	if err == nil && len(res.Faults) > 0 {
		err = res.Faults[0]
	}
	return res.Drafts, err
}

// play appends the entries one by one, as a scribe would have, and prints how
// things stood at every full hour.
func (ss *session) play(ctx context.Context, name string, drafts []events.Draft) error {
	a := ss.app
	inc, err := ss.load(ctx, name)
	if err != nil {
		return err
	}
	fmt.Fprintf(a.Out, "%s, invented: %d entries into the log in %s\n\n", name, len(drafts), ss.Dir())
	if len(inc.entries) > 0 {
		fmt.Fprintf(a.Out, "%d entries are there already from an earlier run; they stay as they are\n", len(inc.entries))
		inc.entries = nil // filled again as they are played
	}
	bar := a.progress("playing", len(drafts))
	defer bar.end()
	hour := drafts[0].Reported.Truncate(time.Hour)
	for i, d := range drafts {
		if next := d.Reported.Truncate(time.Hour); next.After(hour) {
			bar.end()
			fmt.Fprintln(a.Out, a.stood(inc, next))
			hour = next
		}
		r, err := inc.log.Append(ctx, d)
		if err != nil {
			return err
		}
		inc.entries = append(inc.entries, r)
		bar.at(i + 1)
	}
	return nil
}

// stood is a line on how things stood at a moment, as known then.
func (a *App) stood(inc *incident, at time.Time) string {
	_, folded := a.fold(inc, events.View{AsOf: at, KnownAt: at}, findings.Defaults())
	s := folded.State()
	in := "nobody in"
	if n := len(s.Accountability.In); n > 0 {
		in = "in: " + strings.Join(s.Accountability.In, " ")
	}
	load := s.Volume.Load
	if s.Volume.Delivered.Known {
		load = load.Minus(s.Volume.Delivered)
	}
	return fmt.Sprintf("  %s  %3d entries  out %10s of %s gal  foam %d times  %s", at.Format("2 Jan 15:04"), s.Entries,
		value(s.Volume.Transferred), value(load), len(s.Foam.Applications), in)
}

// closing checks the log and says where everything is, and how to look at it as it
// was known at some moment.
func (a *App) closing(ctx context.Context, out string, moment time.Time) error {
	dir := filepath.Join(out, "log")
	r, err := journal.Verify(ctx, journal.Config{Dir: dir, Now: a.Now, Catalogue: a.catalogue})
	if err != nil {
		return err
	}
	fmt.Fprintln(a.Out, "\nCHECKED")
	if err := a.printVerdict(r); err != nil {
		return err
	}
	fmt.Fprintf(a.Out, `
The report is in %[1]s, the log in %[2]s. Look further:
  tankside state --dir %[3]s --known-at %[4]s
  tankside report --dir %[3]s --format html --out report.html
  tankside log note --dir %[3]s --words "what I saw"
  tankside export --dir %[3]s
`, filepath.Join(out, "report.html"), dir, quoted(dir), moment.Format("15:04"))
	if !r.OK() {
		return errTold{1}
	}
	return nil
}
