package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"tankside/cmd/internal/desk"
	"tankside/events"
	"tankside/report"
)

// exporter is an incident on its way out, in whatever form.
type exporter struct {
	*session
	cmd *cobra.Command
	inc *incident
	doc report.Document
	tl  *events.Timeline
	d   *desk.Desk
}

// exportForms are what an incident can be written as.
var exportForms = map[string]struct {
	ending string
	report bool // nothing but the report, so that it may be any edition
	write  func(*exporter, string) error
}{
	"archive": {".zip", false, (*exporter).archive},
	"md":      {".md", true, (*exporter).markdown},
	"html":    {".html", true, (*exporter).html},
	"pdf":     {".pdf", true, (*exporter).pdf},
	"csv":     {"-csv", false, (*exporter).csv},
	"geojson": {".geojson", true, (*exporter).geojson},
	"bagit":   {"-bag", false, (*exporter).bag},
}

// exportAs writes an incident in a form.
func (ss *session) exportAs(cmd *cobra.Command, s *settings, inc *incident, form, out string, how editionFlags) error {
	f, known := exportForms[form]
	if !known {
		return usage("an incident is not written as %q; --format is archive, bagit, csv, geojson, html, md or pdf", form)
	}
	o, err := how.options()
	if err != nil {
		return err
	}
	if o.Edition != report.Full && !f.report {
		return usage("%s holds the whole incident and no one edition; leave out --edition, or use --format md, html or pdf", form)
	}
	if out == "" {
		out = o.Name(inc.id) + f.ending
	}
	d, err := ss.desk(s, inc)
	if err != nil {
		return err
	}
	tl := ss.app.catalogue.NewTimeline(inc.entries, events.View{})
	made := ss.app.Now()
	if n := len(inc.entries); n > 0 && (form == "archive" || form == "bagit") {
		made = inc.entries[n-1].RecordedAt // so that the same log gives the same bytes
	}
	o.Paper = papersIn(ss.Dir())
	doc, err := report.BuildAs(ss.app.catalogue, d.Folded, tl, made, o)
	if err != nil {
		return userError{err}
	}
	e := &exporter{ss, cmd, inc, doc, tl, d}
	if err := f.write(e, out); err != nil {
		return err
	}
	return e.tell(form, out)
}

// tell says what was written, and by which key it is known where it is sealed.
func (e *exporter) tell(form, out string) error {
	told := map[string]any{"file": out, "format": form, "incident": e.inc.id, "entries": len(e.inc.entries)}
	text := fmt.Sprintf("%s: %d entries of %s, as %s\n", out, len(e.inc.entries), e.inc.name, form)
	if form == "archive" {
		key, err := e.PublicKey()
		if err != nil {
			return err
		}
		told["key"] = fmt.Sprintf("%x", []byte(key))
		text = fmt.Sprintf("%s: %d entries of %s, sealed\n  key %x\n", out, len(e.inc.entries), e.inc.name, []byte(key))
	}
	if asJSON(e.cmd) {
		return e.app.printJSON(told)
	}
	_, err := fmt.Fprint(e.app.Out, text)
	return err
}

func (e *exporter) markdown(name string) error {
	var b bytes.Buffer
	if err := e.doc.Markdown(&b); err != nil {
		return err
	}
	return writeNew(newFile{name, b.Bytes()})
}

func (e *exporter) html(name string) error {
	var b bytes.Buffer
	if err := report.HTML(&b, e.doc); err != nil {
		return err
	}
	return writeNew(newFile{name, b.Bytes()})
}

// geojson writes what has coordinates, for a map.
func (e *exporter) geojson(name string) error {
	if !e.doc.Whole() {
		return usage("a map is of the full or the public edition; leave out --edition %s", e.doc.Edition)
	}
	data, err := report.GeoJSON(e.doc)
	if err != nil {
		return userError{err}
	}
	return writeNew(newFile{name, data})
}

// printers are the programs that print a page, Debian's name first.
var printers = []string{
	"chromium", "chromium-browser", "google-chrome-stable", "google-chrome",
	"/Applications/Chromium.app/Contents/MacOS/Chromium", "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
}

// pdf has an installed Chromium print the page. The page loads nothing and runs nothing.
func (e *exporter) pdf(name string) error {
	i := slices.IndexFunc(printers, func(p string) bool { _, err := exec.LookPath(p); return err == nil })
	if i < 0 {
		return usage("there is no Chromium or Chrome on this machine to print with; install one, or write --format html and print it from any browser")
	}
	dir, err := os.MkdirTemp("", "tankside-print-")
	if err != nil {
		return userError{err}
	}
	defer os.RemoveAll(dir)
	page, printed := filepath.Join(dir, "report.html"), filepath.Join(dir, "report.pdf")
	if err := e.html(page); err != nil {
		return err
	}
	ctx, stop := context.WithTimeout(e.cmd.Context(), 2*time.Minute)
	defer stop()
	args := []string{"--headless", "--disable-gpu", "--no-first-run", "--no-pdf-header-footer", "--user-data-dir=" + filepath.Join(dir, "profile"), "--print-to-pdf=" + printed}
	if os.Getuid() == 0 {
		args = append(args, "--no-sandbox") // Chromium refuses its sandbox to root
	}
	said, err := exec.CommandContext(ctx, printers[i], append(args, "file://"+filepath.ToSlash(page))...).CombinedOutput()
	data, readErr := os.ReadFile(printed)
	if readErr != nil || !bytes.HasPrefix(data, []byte("%PDF-")) {
		return fmt.Errorf("export: %s printed no PDF: %w; write --format html and print it from any browser (it said: %.200s)", printers[i], errors.Join(err, readErr), bytes.TrimSpace(said))
	}
	return writeNew(newFile{name, data})
}

// csv writes the set of tables into a folder.
func (e *exporter) csv(dir string) error {
	var files []newFile
	for _, t := range report.Tables(e.app.catalogue, e.tl, e.d.State) {
		files = append(files, newFile{t.Name, t.CSV})
	}
	return writeFolder(dir, files)
}

// writeFolder writes files into a new folder, all or none.
func writeFolder(dir string, files []newFile) error {
	if err := os.Mkdir(dir, 0o755); errors.Is(err, fs.ErrExist) {
		return usage("%s is there already; move it away, or name another folder with --out", dir)
	} else if err != nil {
		return userError{err}
	}
	for _, f := range files {
		f.name = filepath.Join(dir, filepath.FromSlash(f.name))
		if err := errors.Join(os.MkdirAll(filepath.Dir(f.name), 0o755), createWhole(f)); err != nil {
			return errors.Join(err, os.RemoveAll(dir))
		}
	}
	return nil
}
