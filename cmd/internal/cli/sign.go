package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"tankside/cmd/internal/desk"
	"tankside/events"
	"tankside/events/journal"
	"tankside/events/kinds"
	"tankside/report"
)

// signCommand signs the report of an incident.
func (a *App) signCommand(s *settings) *cobra.Command {
	var name, role, out string
	cmd := &cobra.Command{
		Use:   "sign --name NAME --role ROLE",
		Short: "Sign the report of an incident as it stands, and write it with its signature",
		Long: `Sign the report of an incident as it stands: the log up to its last entry, the text as
Markdown and as a page, the rules in force and this program's version. The key lies in
the data folder and is made at its first use. Two files are written, OUT.md and
OUT.html, each of which tankside verify checks anywhere. The signature is an entry of
the log; a second one right behind it stands beside it, and what comes into the log
afterwards asks for an addendum and a new signature. It may be signed while a console
is open: an entry that comes in meanwhile makes it sign nothing.`,
		Example:     `  tankside sign --name "J. Rivera" --role "Incident Commander" --out quarry-bend`,
		Args:        noArgs,
		Annotations: map[string]string{usesRules: "yes", usesProducts: "yes"},
		RunE: func(cmd *cobra.Command, _ []string) error {
			by := desk.Signer{Name: name, Role: role}
			if err := by.Check(); err != nil {
				return usage("%w: --name \"J. Rivera\" --role \"Incident Commander\"", err)
			}
			return a.with(cmd.Context(), s, false, func(ss *session) error {
				inc, err := ss.pick(cmd.Context(), s)
				if err != nil {
					return err
				}
				if out == "" {
					out = inc.id
				}
				return ss.sign(cmd, s, inc, by, strings.TrimSuffix(strings.TrimSuffix(out, ".html"), ".md"))
			})
		},
	}
	cmd.Flags().StringVar(&name, "name", "", "`name` of whoever signs")
	cmd.Flags().StringVar(&role, "role", "", "`role` in which it is signed")
	cmd.Flags().StringVar(&out, "out", "", "`file` to write, without its ending; the incident's name when left out")
	return cmd
}

// sign signs the report as it stands and writes it to out.
func (ss *session) sign(cmd *cobra.Command, s *settings, inc *incident, by desk.Signer, out string) error {
	d, err := ss.desk(s, inc)
	if err != nil {
		return err
	}
	text, page := out+".md", out+".html"
	signed, err := d.Sign(cmd.Context(), inc.log, by, func(r desk.Signed) (func() error, error) {
		undo := func() error { return errors.Join(os.Remove(text), os.Remove(page)) }
		return undo, writeNew(newFile{text, r.Text}, newFile{page, r.Page})
	})
	switch {
	case errors.Is(err, desk.ErrNothing):
		return userError{err}
	case errors.Is(err, events.ErrMovedOn):
		return fmt.Errorf("nothing is signed: %w; look at what came in, and sign again", err)
	case err != nil:
		return err
	}
	if asJSON(cmd) {
		return ss.app.printJSON(map[string]any{"code": signed.Code, "entry": signed.Entry, "files": []string{text, page}, "key": fmt.Sprintf("%x", signed.Key)})
	}
	_, err = fmt.Fprintf(ss.app.Out, "signed: code %s, entry %d\n  %s\n  %s\n  key %x\n", signed.Code, signed.Entry, text, page, signed.Key)
	return err
}

// newFile is a file to be written where there is none.
type newFile struct {
	name string
	data []byte
}

// writeNew writes files, all or none. What is there already is left alone.
func writeNew(files ...newFile) error {
	for i, f := range files {
		if err := createWhole(f); err != nil {
			for _, done := range files[:i] {
				err = errors.Join(err, os.Remove(done.name))
			}
			return err
		}
	}
	return nil
}

func createWhole(f newFile) error {
	out, err := os.OpenFile(f.name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	switch {
	case errors.Is(err, fs.ErrExist):
		return usage("%s is there already; move it away, or name another file with --out", f.name)
	case errors.Is(err, fs.ErrNotExist):
		return usage("no folder %s; make it, or name another file with --out", filepath.Dir(f.name))
	case err != nil:
		return userError{err}
	}
	_, err = out.Write(f.data)
	if err = errors.Join(err, out.Sync(), out.Close()); err != nil {
		return errors.Join(userError{err}, os.Remove(f.name))
	}
	return nil
}

// isReport reports whether a file is a report, signed or not, and no archive.
func isReport(name string, data []byte) bool {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".md", ".markdown", ".html", ".htm":
		return true
	}
	return report.HasSignature(data) && !bytes.HasPrefix(data, []byte("PK"))
}

// verifyReport holds a report against its signature, and against the log it was made
// from where that is here.
func (a *App) verifyReport(cmd *cobra.Command, s *settings, name string, data []byte, key string) error {
	trust, err := trusted(key)
	if err != nil {
		return err
	}
	if !report.HasSignature(data) {
		return fmt.Errorf("%s: there is no signature in it; tankside sign writes a report with one", name)
	}
	sig, err := report.CheckSignature(data)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	if trust != nil && !trust.Equal(sig.Key) {
		return fmt.Errorf("%s: signed with the key %x, not with the trusted key %x", name, []byte(sig.Key), []byte(trust))
	}
	against, err := a.againstLog(cmd, s, sig)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	if asJSON(cmd) {
		return a.printJSON(map[string]any{"ok": true, "signed": sig.Facts, "code": sig.Code, "key": fmt.Sprintf("%x", []byte(sig.Key)), "log": against})
	}
	f := sig.Facts
	_, err = fmt.Fprintf(a.Out, "%s: same as signed by %s, %s, at %s; code %s\n  report of %s after %s entries, by %s\n  key %x\n  %s\n",
		name, legible(f["name"]), legible(f["role"]), f["signed"], sig.Code, legible(f["incident"]), f["entries"], f["program"], []byte(sig.Key), against)
	return err
}

// againstLog says how a signed report stands to the log of its incident, where that is
// in the data folder.
func (a *App) againstLog(cmd *cobra.Command, s *settings, sig *report.Signature) (string, error) {
	dir, err := s.dir()
	if err != nil {
		return "", err
	}
	if _, err := os.Stat(filepath.Join(dir, "node")); errors.Is(err, fs.ErrNotExist) {
		return "the log is not here; the file alone was checked", nil
	}
	var inc *incident
	err = a.with(cmd.Context(), s, false, func(ss *session) (err error) {
		for _, id := range ss.Incidents() {
			if id == events.IncidentID(sig.Facts["incident"]) {
				inc, err = ss.load(cmd.Context(), id)
			}
		}
		return err
	})
	switch {
	case errors.Is(err, journal.ErrLocked):
		return "another process has the log open; the file alone was checked", nil
	case err != nil:
		return "", err
	case inc == nil:
		return "the log of this incident is not here; the file alone was checked", nil
	}
	return inc.holds(sig)
}

// holds says whether the log holds what was signed, and what came in since.
func (inc *incident) holds(sig *report.Signature) (string, error) {
	at := -1
	for i := range inc.entries {
		if inc.entries[i].Hash.String() == sig.Facts["log"] {
			at = i
		}
	}
	if at < 0 {
		return "", fmt.Errorf("%w: the log here has no entry %s, after which it was signed; it is another log", report.ErrDiffers, sig.Facts["log"])
	}
	known, since := false, []events.Seq(nil)
	for _, r := range inc.entries[at+1:] {
		k, signature := r.Payload.(kinds.ReportSigned)
		known = known || signature && k.Signature == fmt.Sprintf("%x", sig.Signature)
		if !signature {
			since = append(since, r.Seq)
		}
	}
	text := "the log here holds what was signed"
	if !known {
		text += ", but not the signature itself"
	}
	if len(since) > 0 {
		return fmt.Sprintf("%s; it asks for an addendum, for what came in since: %s", text, entriesText(since)), nil
	}
	return text + "; nothing came in since", nil
}
