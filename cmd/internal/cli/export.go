package cli

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"github.com/spf13/cobra"
)

// exportCommand seals an incident into an archive.
func (a *App) exportCommand(s *settings) *cobra.Command {
	var out, form string
	var how editionFlags
	cmd := &cobra.Command{
		Use:   "export",
		Short: "Seal the log of an incident into one file, or write it in an open form",
		Long: `Seal the log of an incident into one file: the exact bytes of every entry, their
sums and a signature. The same log always gives the same file. It is checked with
tankside verify FILE, anywhere and without a data folder.

--format writes it otherwise: bagit, a folder with the sealed log, its entries as JSON
Lines with their schemas, the state, tables and the report, with the sum of each (RFC
8493; tankside restore takes it); csv, a folder of tables for a spreadsheet; geojson,
the places that have coordinates and what happened there, for a map (RFC 7946); md,
html or pdf, the report, the last by an installed Chromium. --edition, --units and --rates
say which report, as with tankside report.`,
		Example: `  tankside export --out quarry-bend.zip
  tankside export --format bagit --out quarry-bend
  tankside export --format pdf --edition ics208hm --out plan.pdf`,
		Args: noArgs, Annotations: map[string]string{usesRules: "yes", usesProducts: "yes"},
		RunE: func(cmd *cobra.Command, _ []string) error {
			return a.with(cmd.Context(), s, false, func(ss *session) error {
				inc, err := ss.pick(cmd.Context(), s)
				if err != nil {
					return err
				}
				if form != "archive" {
					return ss.exportAs(cmd, s, inc, form, out, how)
				}
				return ss.export(cmd, inc, cmp.Or(out, inc.id+".zip"))
			})
		},
	}
	cmd.Flags().StringVar(&out, "out", "", "`file` or folder to write; by default the incident's name and .zip, here")
	cmd.Flags().StringVar(&form, "format", "archive", "`form`: archive, bagit, csv, geojson, html, md or pdf")
	how.flags(cmd)
	return cmd
}

// export writes the archive. A file that is there already is left alone: it may be
// the only other copy of a log.
func (ss *session) export(cmd *cobra.Command, inc *incident, name string) error {
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, fs.ErrExist) {
		return usage("%s is there already; move it away, or name another file with --out", name)
	}
	if err != nil {
		return userError{err}
	}
	tool := "tankside " + version().Version
	if err := errors.Join(ss.Export(cmd.Context(), inc.id, f, tool), f.Sync(), f.Close()); err != nil {
		return errors.Join(fmt.Errorf("export: %w", err), os.Remove(name))
	}
	key, err := ss.PublicKey()
	if err != nil {
		return err
	}
	if asJSON(cmd) {
		return ss.app.printJSON(map[string]any{"file": name, "incident": inc.id, "entries": len(inc.entries), "key": fmt.Sprintf("%x", []byte(key))})
	}
	_, err = fmt.Fprintf(ss.app.Out, "%s: %d entries of %s, sealed\n  key %x\n", name, len(inc.entries), inc.name, []byte(key))
	return err
}
