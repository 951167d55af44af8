package cli

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"tankside/events/archive"
	"tankside/events/journal"
	"tankside/report"
)

// archive seals the log with all that belongs to it into one file.
func (e *exporter) archive(name string) error {
	files, err := e.whole()
	if err != nil {
		return err
	}
	var more []archive.Member
	for _, f := range files {
		more = append(more, archive.Member{Name: f.name, Data: f.data})
	}
	sealed, err := e.sealed(more)
	if err != nil {
		return err
	}
	return writeNew(newFile{name, sealed})
}

func (e *exporter) sealed(more []archive.Member) ([]byte, error) {
	var b bytes.Buffer
	if err := archive.Write(&b, e.inc.entries, more, e, e.agent()); err != nil {
		return nil, fmt.Errorf("export: %w", err)
	}
	return b.Bytes(), nil
}

// agent names this program.
func (e *exporter) agent() string { return "tankside " + version().Version }

// whole is all that belongs to the log: its photographs and papers, the state, the tables
// and the report.
func (e *exporter) whole() ([]newFile, error) {
	var text, page bytes.Buffer
	state, err := json.MarshalIndent(e.d.State, "", "  ")
	if err = errors.Join(err, e.doc.Markdown(&text), report.HTML(&page, e.doc)); err != nil {
		return nil, fmt.Errorf("export: %w", err)
	}
	files := append(e.papers(), newFile{"report.md", text.Bytes()}, newFile{"report.html", page.Bytes()}, newFile{"state.json", append(state, '\n')})
	for _, t := range report.Tables(e.app.catalogue, e.tl, e.d.State) {
		files = append(files, newFile{"csv/" + t.Name, t.CSV})
	}
	return files, nil
}

// papers are the photographs and papers of the log. One that is gone or was changed is
// told of: the rest must not wait for it.
func (e *exporter) papers() (files []newFile) {
	for _, r := range e.inc.entries {
		a, ok := r.Payload.(journal.Attacher)
		if !ok {
			continue
		}
		name, sum := a.Attached()
		if sum == "" || slices.ContainsFunc(files, func(f newFile) bool { return f.name == journal.PapersIn+sum }) {
			continue
		}
		data, fault := papersIn(e.Dir())(sum)
		if fault != "" {
			fmt.Fprintf(e.app.Err, "tankside: entry %d: the file %s %s; it is left out\n", r.Seq, legible(name), fault)
			continue
		}
		files = append(files, newFile{journal.PapersIn + sum, data})
	}
	return files
}

// bag writes a folder that holds everything, with a sum of every file (BagIt, RFC 8493):
// the sealed log with its photographs and papers, its entries as JSON Lines with their
// schemas, the state, the tables and the report.
func (e *exporter) bag(dir string) error {
	var lines bytes.Buffer
	for _, r := range e.inc.entries {
		lines.Write(append(slices.Clone(r.Raw), '\n'))
	}
	var more []archive.Member
	whole, err := e.whole()
	if err != nil {
		return err
	}
	files := []newFile{{"data/events.jsonl", lines.Bytes()}}
	for _, f := range whole {
		if strings.HasPrefix(f.name, journal.PapersIn) {
			more = append(more, archive.Member{Name: f.name, Data: f.data})
		}
		files = append(files, newFile{"data/" + f.name, f.data})
	}
	sealed, err := e.sealed(more)
	if err != nil {
		return err
	}
	files = append(files, newFile{bagLog, sealed})
	schemas, err := e.app.catalogue.Schemas()
	if err != nil {
		return err
	}
	for _, f := range schemas {
		files = append(files, newFile{"data/schema/" + f.Path, f.JSON})
	}
	size := 0
	for _, f := range files {
		size += len(f.data)
	}
	tags := []newFile{
		{"bagit.txt", []byte("BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n")},
		{"bag-info.txt", fmt.Appendf(nil, "External-Identifier: %s\nPayload-Oxum: %d.%d\nBag-Software-Agent: %s\n", e.inc.id, size, len(files), e.agent())},
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
		if errors.Is(err, fs.ErrNotExist) {
			return "", fmt.Errorf("%s: %s is not there, and %s names it; copy the bag again, whole", dir, name, bagSums)
		}
		if err != nil {
			return "", fmt.Errorf("%s: %w", dir, err)
		}
		if got := fmt.Sprintf("%x", sha256.Sum256(data)); got != want {
			return "", fmt.Errorf("%s: %s was changed: its SHA-256 is %s and %s says %s", dir, name, got, bagSums, want)
		}
	}
	return log, nil
}
