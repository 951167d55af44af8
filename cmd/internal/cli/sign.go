package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

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
afterwards asks for an addendum and a new signature.`,
		Example:     `  tankside sign --name "J. Rivera" --role "Incident Commander" --out quarry-bend`,
		Args:        noArgs,
		Annotations: map[string]string{usesRules: "yes", usesProducts: "yes"},
		RunE: func(cmd *cobra.Command, _ []string) error {
			if strings.TrimSpace(name) == "" || strings.TrimSpace(role) == "" {
				return usage("a signature has a name and a role; give both: --name \"J. Rivera\" --role \"Incident Commander\"")
			}
			return a.with(cmd.Context(), s, false, func(ss *session) error {
				inc, err := ss.pick(cmd.Context(), s)
				if err != nil {
					return err
				}
				if out == "" {
					out = inc.id
				}
				return ss.sign(cmd, s, inc, signer{name, role, strings.TrimSuffix(strings.TrimSuffix(out, ".html"), ".md")})
			})
		},
	}
	cmd.Flags().StringVar(&name, "name", "", "`name` of whoever signs")
	cmd.Flags().StringVar(&role, "role", "", "`role` in which it is signed")
	cmd.Flags().StringVar(&out, "out", "", "`file` to write, without its ending; the incident's name when left out")
	return cmd
}

// signer is who signs, and where the signed report goes.
type signer struct{ name, role, out string }

// sign makes the report, signs it, writes it and puts the signature into the log. The
// folder is ours meanwhile, so that nothing comes in between.
func (ss *session) sign(cmd *cobra.Command, s *settings, inc *incident, by signer) error {
	j, err := ss.own("signing")
	if err != nil {
		return err
	}
	if len(inc.entries) == 0 {
		return usage("%s has no entries; there is nothing to sign", inc.name)
	}
	signing, err := ss.signing(s, inc, by)
	if err != nil {
		return err
	}
	if signing.Key, err = j.PublicKey(); err != nil {
		return err
	}
	statement := signing.Statement()
	sig, err := j.Sign([]byte(statement))
	if err != nil {
		return err
	}
	files := []newFile{{by.out + ".md", report.Signed(signing.Text, statement, sig)}, {by.out + ".html", report.Signed(signing.Page, statement, sig)}}
	if err := writeNew(files...); err != nil {
		return err
	}
	k := kinds.ReportSigned{Name: by.name, Role: by.role, Code: report.Code(sig), Statement: statement, Signature: fmt.Sprintf("%x", sig)}
	r, err := inc.log.Append(cmd.Context(), inc.deskDraft(signing.At, by.role, k))
	if err != nil {
		return errors.Join(err, os.Remove(files[0].name), os.Remove(files[1].name))
	}
	if asJSON(cmd) {
		return ss.app.printJSON(map[string]any{"code": k.Code, "entry": r.Seq, "files": []string{files[0].name, files[1].name}, "key": fmt.Sprintf("%x", signing.Key)})
	}
	_, err = fmt.Fprintf(ss.app.Out, "signed: code %s, entry %d\n  %s\n  %s\n  key %x\n", k.Code, r.Seq, files[0].name, files[1].name, signing.Key)
	return err
}

// signing makes the report as it stands now.
func (ss *session) signing(s *settings, inc *incident, by signer) (report.Signing, error) {
	d, err := ss.app.desk(s, inc)
	if err != nil {
		return report.Signing{}, err
	}
	now := ss.app.Now().Truncate(time.Second)
	now = now.In(inc.zone(now))
	doc := report.Build(ss.app.catalogue, d.folded, ss.app.catalogue.NewTimeline(inc.entries, events.View{}), now)
	doc.Signer = by.name + ", " + by.role
	var text, page bytes.Buffer
	if err := errors.Join(doc.Markdown(&text), report.HTML(&page, doc)); err != nil {
		return report.Signing{}, err
	}
	last := inc.entries[len(inc.entries)-1]
	return report.Signing{Incident: inc.name, Entries: len(inc.entries), Head: last.Hash.String(), Text: text.Bytes(), Page: page.Bytes(),
		Rules: d.state.RuleBook, Program: "tankside " + version().Version, At: now, Name: by.name, Role: by.role}, nil
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
