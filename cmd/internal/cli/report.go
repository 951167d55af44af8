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
	cmd := &cobra.Command{
		Use:   "report",
		Short: "Write the after-action report of an incident",
		Long: `Write the after-action report of an incident, as Markdown or as one page of HTML
that needs nothing beside it. Every number in it leads to the entries it came from;
what nobody logged is "not recorded". The chief signs it, not the program.`,
		Example: `  tankside report --format html --out report.html
  tankside report --known-at 23:20`,
		Args:        noArgs,
		Annotations: map[string]string{looksBack: "yes", usesRules: "yes", noData: "yes"},
		RunE: func(cmd *cobra.Command, _ []string) error {
			format, err := reportFormat(format, out)
			if err != nil {
				return err
			}
			tl, folded, err := a.look(cmd, s)
			if err != nil {
				return err
			}
			if out == "" {
				return a.writeReport(a.Out, folded, tl, format)
			}
			if err := a.reportFile(out, folded, tl, format); err != nil {
				return err
			}
			_, err = fmt.Fprintf(a.Out, "%s: report of %s, %d entries\n", out, folded.Name, len(tl.Entries))
			return err
		},
	}
	cmd.Flags().StringVar(&format, "format", "", "`format`: md or html; else by the name of --out, else md")
	cmd.Flags().StringVar(&out, "out", "", "`file` to write instead of standard output")
	return cmd
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

func (a *App) writeReport(w io.Writer, inc *projections.Incident, tl *events.Timeline, format string) error {
	doc := report.Build(a.catalogue, inc, tl, a.Now())
	if format == "md" {
		return doc.Markdown(w)
	}
	return report.HTML(w, doc)
}

// reportFile writes a report into a file, whole or not at all.
func (a *App) reportFile(name string, inc *projections.Incident, tl *events.Timeline, format string) error {
	var b bytes.Buffer
	if err := a.writeReport(&b, inc, tl, format); err != nil {
		return err
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
