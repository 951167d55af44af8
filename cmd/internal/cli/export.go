package cli

import "github.com/spf13/cobra"

// exportCommand seals an incident into an archive.
func (a *App) exportCommand(s *settings) *cobra.Command {
	var out, form string
	var how editionFlags
	cmd := &cobra.Command{
		Use:   "export",
		Short: "Seal the log of an incident into one file, or write it in an open form",
		Long: `Seal an incident into one file: the exact bytes of every entry, its photographs and
papers, the state, the tables and the report as the log makes them, their sums and a
signature. The same log always gives the same file. It is checked with tankside verify
FILE, anywhere and without a data folder, and tankside restore takes it back.

--format writes it otherwise: bagit, a folder with the sealed log, its entries as JSON
Lines with their schemas, the photographs and papers, the state, tables and the report, with the sum of each (RFC
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
				return ss.exportAs(cmd, s, inc, form, out, how)
			})
		},
	}
	cmd.Flags().StringVar(&out, "out", "", "`file` or folder to write; by default the incident's name and .zip, here")
	cmd.Flags().StringVar(&form, "format", "archive", "`form`: archive, bagit, csv, geojson, html, md or pdf")
	how.flags(cmd)
	return cmd
}
