package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"tankside/events"
	"tankside/projections"
	"tankside/projections/findings"
	"tankside/report"
)

// reportCommand writes the after-action report.
func (a *App) reportCommand(s *settings) *cobra.Command {
	var format, out string
	var how editionFlags
	cmd := &cobra.Command{
		Use:   "report",
		Short: "Write the after-action report of an incident",
		Long: `Write the after-action report of an incident, as Markdown or as one page of HTML
that needs nothing beside it. Every number in it leads to the entries it came from;
what nobody logged is "not recorded". The chief signs it, not the program.

Editions: full; public, with people coded and what is medical or personal left out;
person=NAME, one person's record of work and exposure; unit=NAME, one unit's activity
log; carrier, for the carrier's written report; fire, values for the fire report;
ics201, ics208hm, ics214=NAME, pages after the blocks of these forms.

A file of rates (CSV: resource,operating_usd_per_h,standby_usd_per_h,edition) turns
the hours of each unit into the cost record. No rate is built in.`,
		Example: `  tankside report --format html --out report.html
  tankside report --known-at 23:20
  tankside report --edition person=P1A --out p1a.html
  tankside report --edition public --units si --out public.md`,
		Args:        noArgs,
		Annotations: map[string]string{looksBack: "yes", usesRules: "yes", noData: "yes"},
		RunE: func(cmd *cobra.Command, _ []string) error {
			format, err := reportFormat(format, out)
			if err != nil {
				return err
			}
			options, err := how.options()
			if err != nil {
				return err
			}
			tl, folded, err := a.look(cmd, s)
			if err != nil {
				return err
			}
			if dir, err := s.dir(); err == nil {
				options.Paper = papersIn(dir)
			}
			if out == "" {
				return a.writeReport(a.Out, folded, tl, format, options)
			}
			if err := a.reportFile(out, folded, tl, format, options); err != nil {
				return err
			}
			_, err = fmt.Fprintf(a.Out, "%s: report of %s, %d entries\n", out, folded.Name, len(tl.Entries))
			return err
		},
	}
	cmd.Flags().StringVar(&format, "format", "", "`format`: md or html; else by the name of --out, else md")
	cmd.Flags().StringVar(&out, "out", "", "`file` to write instead of standard output")
	how.flags(cmd)
	return cmd
}

// editionFlags say which report is wanted.
type editionFlags struct{ edition, units, rates string }

// flags adds the flags to cmd.
func (f *editionFlags) flags(cmd *cobra.Command) {
	cmd.Flags().StringVar(&f.edition, "edition", "full", "`edition`: "+report.EditionNames)
	cmd.Flags().StringVar(&f.units, "units", "us", "`units` of the figures: us or si")
	cmd.Flags().StringVar(&f.rates, "rates", "", "`file` with what an hour of each unit costs")
}

// options reads the flags and the file of rates.
func (f editionFlags) options() (o report.Options, err error) {
	if o.Edition, o.Of, err = report.ParseEdition(f.edition); err != nil {
		return o, usage("%v", err)
	}
	switch o.Units = report.Units(strings.ToLower(f.units)); o.Units {
	case report.US, report.SI:
	default:
		return o, usage("a report has no units %q; use --units us or --units si", f.units)
	}
	if f.rates == "" {
		return o, nil
	}
	file, err := os.Open(f.rates)
	if errors.Is(err, fs.ErrNotExist) {
		return o, usage("--rates: no file %s; check the name", f.rates)
	}
	if err != nil {
		return o, userError{err}
	}
	defer file.Close()
	if o.Rates, err = report.ReadRates(file); err != nil {
		return o, userError{fmt.Errorf("%s: %w", f.rates, err)}
	}
	return o, nil
}

// reportFormat is md or html.
func reportFormat(format, out string) (string, error) {
	if format == "" {
		format = strings.TrimPrefix(strings.ToLower(filepath.Ext(out)), ".")
	}
	switch format {
	case "", "md", "markdown":
		return "md", nil
	case "html", "htm":
		return "html", nil
	}
	return "", usage("a report is not written as %q; use --format md or --format html", format)
}

// fold makes the timeline and the state of an incident at a view, with what the rules
// find in it.
func (a *App) fold(inc *incident, v events.View, b *findings.Book, options ...projections.Option) (*events.Timeline, *projections.Incident) {
	tl := a.catalogue.NewTimeline(inc.entries, v)
	folded := projections.Fold(a.catalogue, tl, options...)
	findings.Judge(folded, tl, b)
	return tl, folded
}

func (a *App) writeReport(w io.Writer, inc *projections.Incident, tl *events.Timeline, format string, o report.Options) error {
	doc, err := report.BuildAs(a.catalogue, inc, tl, a.Now(), o)
	if err != nil {
		return userError{err}
	}
	if format == "md" {
		return doc.Markdown(w)
	}
	return report.HTML(w, doc)
}

// reportFile writes a report into a file, whole or not at all.
func (a *App) reportFile(name string, inc *projections.Incident, tl *events.Timeline, format string, o report.Options) error {
	var b bytes.Buffer
	if err := a.writeReport(&b, inc, tl, format, o); err != nil {
		return err
	}
	if info, err := os.Stat(name); err == nil && info.IsDir() {
		return usage("%s is a folder; name a file with --out, as in --out %s", name, filepath.Join(name, "report."+format))
	}
	if _, err := os.Stat(filepath.Dir(name)); errors.Is(err, fs.ErrNotExist) {
		return usage("no folder %s; make it, or name another file with --out", filepath.Dir(name))
	}
	tmp := name + ".part"
	if err := os.WriteFile(tmp, b.Bytes(), 0o644); err != nil {
		return userError{err}
	}
	if err := os.Rename(tmp, name); err != nil {
		return userError{err}
	}
	return nil
}
