package journal

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"tankside/events"
)

// Papers are the photographs and documents that entries speak of. Each lies once in the
// data folder, in "files", under its SHA-256, written and flushed before the entry that
// names it is saved. A paper never changes, so it needs no lock: two processes that keep
// the same one write the same bytes.

// MostPaper is the size of the largest paper in bytes.
const MostPaper = 50 << 20

// Errors of papers.
const (
	// ErrNoPaper says that a paper an entry names is not in the folder.
	ErrNoPaper events.Error = "journal: file is not there"
	// ErrOtherPaper says that what lies under its sum is something else.
	ErrOtherPaper events.Error = "journal: file is not the same"
)

// InFiles is where papers lie.
const InFiles Place = "files"

// PapersIn begins the name of a paper in an archive; its SHA-256 follows.
const PapersIn = "files/"

// Attacher is an entry that speaks of a paper.
type Attacher interface {
	// Attached is the name of the paper and its SHA-256 in hexadecimal; the sum is empty
	// where the paper was not taken in.
	Attached() (name, sum string)
}

// KeepPaper takes a paper into a data folder and returns its SHA-256 in hexadecimal. When it
// returns, the paper survives a power cut.
func KeepPaper(dir string, data []byte) (string, error) {
	if len(data) > MostPaper {
		return "", fmt.Errorf("%w: the file has %s, and the most is %s; make it smaller", events.ErrInvalid, bytesText(uint64(len(data))), bytesText(MostPaper))
	}
	h := sha256.Sum256(data)
	sum := hex.EncodeToString(h[:])
	if _, err := ReadPaper(dir, sum); err == nil {
		return sum, nil
	}
	if err := makeDir(filepath.Join(dir, "files")); err != nil {
		return "", wrap("keep file", err)
	}
	return sum, wrap("keep file", writeDurably(paperName(dir, sum), data, 0o600))
}

// paperName is where a paper lies.
func paperName(dir, sum string) string { return filepath.Join(dir, "files", sum) }

// ReadPaper reads a paper by its sum and checks it. It returns ErrNoPaper where it is
// gone and ErrOtherPaper where it was changed.
func ReadPaper(dir, sum string) ([]byte, error) {
	if b, err := hex.DecodeString(sum); err != nil || len(b) != sha256.Size {
		return nil, fmt.Errorf("%w: %q is no SHA-256", ErrNoPaper, sum)
	}
	data, err := os.ReadFile(paperName(dir, sum))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%w: %s", ErrNoPaper, sum)
	}
	if err != nil {
		return nil, wrap("read file", err)
	}
	if h := sha256.Sum256(data); hex.EncodeToString(h[:]) != sum {
		return nil, fmt.Errorf("%w: %s", ErrOtherPaper, sum)
	}
	return data, nil
}

// PaperFault says in words what the error of ReadPaper is about, "" for none.
func PaperFault(err error) string {
	switch {
	case err == nil:
		return ""
	case errors.Is(err, ErrNoPaper):
		return "is not there"
	case errors.Is(err, ErrOtherPaper):
		return "is not the same"
	}
	return "cannot be read: " + err.Error()
}

// papers adds what is wrong with the papers that the entries of each log speak of.
func (r *Report) papers(dir string, c *events.Catalogue) {
	for _, l := range r.Logs {
		for _, e := range copied(dir, l.Incident, c) {
			a, ok := e.Payload.(Attacher)
			if !ok {
				continue
			}
			name, sum := a.Attached()
			if sum == "" {
				continue
			}
			_, err := ReadPaper(dir, sum)
			if what := PaperFault(err); what != "" {
				r.Findings = append(r.Findings, Finding{Incident: l.Incident, From: e.Seq, To: e.Seq, Place: InFiles,
					What: fmt.Sprintf("%s %s", name, what), Fix: fmt.Sprintf("put the file with the SHA-256 %s back as %s", sum, paperName(dir, sum))})
			}
		}
	}
}

// copied are the entries of the second copy of a log that can be read: what is wrong with
// the others is said elsewhere.
func copied(dir, incident string, c *events.Catalogue) (out []events.Recorded) {
	data, err := os.ReadFile(filepath.Join(dir, "copy", incident+".jsonl"))
	if err != nil {
		return nil
	}
	lines := bufio.NewScanner(bytes.NewReader(data))
	lines.Buffer(nil, len(data)+1)
	for lines.Scan() {
		if r, err := c.Open(lines.Bytes()); err == nil {
			out = append(out, r)
		}
	}
	return out
}
