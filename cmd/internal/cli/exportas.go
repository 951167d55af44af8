package cli

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
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

// exportForms are what an incident can be written as besides the sealed archive.
var exportForms = map[string]struct {
	ending string
	report bool // nothing but the report, so that it may be any edition
	write  func(*exporter, string) error
}{
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
	doc, err := report.BuildAs(ss.app.catalogue, d.Folded, tl, ss.app.Now(), o)
	if err != nil {
		return userError{err}
	}
	e := &exporter{ss, cmd, inc, doc, tl, d}
	if err := f.write(e, out); err != nil {
		return err
	}
	if asJSON(cmd) {
		return ss.app.printJSON(map[string]any{"file": out, "format": form, "incident": inc.id, "entries": len(inc.entries)})
	}
	_, err = fmt.Fprintf(ss.app.Out, "%s: %d entries of %s, as %s\n", out, len(inc.entries), inc.name, form)
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

// bag writes a folder that holds everything, with a sum of every file (BagIt, RFC 8493):
// the sealed log, its entries as JSON Lines with their schemas, the state, the tables
// and the report.
func (e *exporter) bag(dir string) error {
	var sealed, lines, text, page bytes.Buffer
	for _, r := range e.inc.entries {
		lines.Write(append(slices.Clone(r.Raw), '\n'))
	}
	state, err := json.MarshalIndent(e.d.State, "", "  ")
	agent := "tankside " + version().Version
	err = errors.Join(err, e.Export(e.cmd.Context(), e.inc.id, &sealed, agent), e.doc.Markdown(&text), report.HTML(&page, e.doc))
	if err != nil {
		return fmt.Errorf("export: %w", err)
	}
	files := []newFile{{bagLog, sealed.Bytes()}, {"data/events.jsonl", lines.Bytes()}, {"data/state.json", append(state, '\n')},
		{"data/report.md", text.Bytes()}, {"data/report.html", page.Bytes()}}
	schemas, err := e.app.catalogue.Schemas()
	if err != nil {
		return err
	}
	for _, f := range schemas {
		files = append(files, newFile{"data/schema/" + f.Path, f.JSON})
	}
	for _, t := range report.Tables(e.app.catalogue, e.tl, e.d.State) {
		files = append(files, newFile{"data/csv/" + t.Name, t.CSV})
	}
	size := 0
	for _, f := range files {
		size += len(f.data)
	}
	tags := []newFile{
		{"bagit.txt", []byte("BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n")},
		{"bag-info.txt", fmt.Appendf(nil, "External-Identifier: %s\nPayload-Oxum: %d.%d\nBag-Software-Agent: %s\n", e.inc.id, size, len(files), agent)},
		{bagSums, sums(files)},
	}
	tags = append(tags, newFile{"tagmanifest-sha256.txt", sums(tags)})
	return writeFolder(dir, append(files, tags...))
}

// Where a bag has its log and the sums of what it holds.
const (
	bagLog  = "data/log.zip"
	bagSums = "manifest-sha256.txt"
)

// sums is a manifest: the sum of each file and its name, a line each.
func sums(files []newFile) []byte {
	var b bytes.Buffer
	for _, f := range files {
		fmt.Fprintf(&b, "%x  %s\n", sha256.Sum256(f.data), f.name)
	}
	return b.Bytes()
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

// openBag checks the sum of every file that a bag holds and returns the name of its log.
func openBag(dir string) (string, error) {
	list, err := os.ReadFile(filepath.Join(dir, bagSums))
	if err != nil {
		return "", usage("%s is a folder without %s, so it is no export of tankside; name the archive file itself", dir, bagSums)
	}
	log := filepath.Join(dir, filepath.FromSlash(bagLog))
	for line := range strings.Lines(string(list)) {
		want, name, ok := strings.Cut(strings.TrimSuffix(line, "\n"), "  ")
		if !ok || !filepath.IsLocal(filepath.FromSlash(name)) {
			return "", fmt.Errorf("%s: %s has a line that names no file in it: %q", dir, bagSums, line)
		}
		data, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(name)))
		if err != nil {
			return "", fmt.Errorf("%s: %w", dir, err)
		}
		if got := fmt.Sprintf("%x", sha256.Sum256(data)); got != want {
			return "", fmt.Errorf("%s: %s was changed: its SHA-256 is %s and %s says %s", dir, name, got, bagSums, want)
		}
	}
	return log, nil
}
