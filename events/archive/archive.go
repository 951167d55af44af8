// Package archive is the long-term form of one incident's log: a zip file, signed,
// that can be checked without the program's store and, with any tool that unpacks a
// zip and sums a file, without the program.
//
// It holds events.jsonl (the exact bytes of each entry, a line each, in the order of
// the chain), whatever else belongs to the log (files/ are photographs and papers, each
// under its SHA-256), manifest.json (what there is, and its SHA-256 sums) and
// manifest.sig (an Ed25519 signature of the manifest's bytes, with the public key).
// Nothing in it depends on when or where it was made: the same content gives the same
// bytes.
//
// The signature says which key sealed the archive and that nothing changed since. It
// does not say that an entry was true, nor whose key it is: compare the key with the
// one the department has on paper.
package archive

import (
	"archive/zip"
	"bytes"
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"slices"
	"strings"
	"time"

	"tankside/events"
)

// Format is the name and version of the form of a log alone, FormatMore that of a log
// with more files.
const (
	Format     = "tankside-archive/1"
	FormatMore = "tankside-archive/2"
)

// ErrDiffers says that an archive is not what was sealed.
const ErrDiffers events.Error = "archive: not as it was sealed"

// The files of an archive, in the order in which they lie in it.
const (
	entriesFile   = "events.jsonl"
	manifestFile  = "manifest.json"
	signatureFile = "manifest.sig"
)

// stamp is the time of every file in an archive: the earliest that zip knows.
var stamp = time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)

// Manifest says what an archive holds.
type Manifest struct {
	Format   string   `json:"format"`
	Tool     string   `json:"tool"` // the program that sealed it, with its version
	Incident string   `json:"incident"`
	Node     string   `json:"node"`
	Entries  int      `json:"entries"`
	Head     string   `json:"head"` // hash of the last entry
	Faults   []string `json:"faults,omitempty"`
	Files    []File   `json:"files"`
}

// File is one file of an archive.
type File struct {
	Name   string `json:"name"`
	Bytes  int    `json:"bytes"`
	SHA256 string `json:"sha256"`
}

// Archive is a sealed log that was checked.
type Archive struct {
	Manifest Manifest
	Entries  []events.Recorded
	More     []Member          // what it holds besides, by name
	Key      ed25519.PublicKey // the key it was sealed with
}

// Member is a file in an archive: its name, with slashes, and its content.
type Member struct {
	Name string
	Data []byte
}

// Sealer signs for whoever seals an archive.
type Sealer interface {
	// PublicKey is the key by which what was sealed is known.
	PublicKey() (ed25519.PublicKey, error)
	// Sign signs a message with that key.
	Sign(message []byte) ([]byte, error)
}

// Write seals the entries of one log, which have to be in the order of its chain, with
// whatever else belongs to it, and writes the archive to w. Places where the chain is
// broken are named in the manifest. tool names the program and its version.
func Write(w io.Writer, entries []events.Recorded, more []Member, by Sealer, tool string) error {
	if len(entries) == 0 {
		return fmt.Errorf("archive: the log has no entries; there is nothing to seal")
	}
	var lines bytes.Buffer
	for _, r := range entries {
		lines.Write(r.Raw)
		lines.WriteByte('\n')
	}
	more = slices.SortedFunc(slices.Values(more), func(a, b Member) int { return strings.Compare(a.Name, b.Name) })
	members := append([]Member{{entriesFile, lines.Bytes()}}, more...)
	last := entries[len(entries)-1]
	m := Manifest{Format: formOf(more), Tool: tool, Incident: events.IncidentID(last.Incident), Node: last.Node,
		Entries: len(entries), Head: last.Hash.String(), Faults: faults(entries)}
	for i, f := range members {
		if !fs.ValidPath(f.Name) || i > 0 && reserved(f.Name) || i > 1 && f.Name == members[i-1].Name {
			return fmt.Errorf("archive: no file in it may be named %q", f.Name)
		}
		m.Files = append(m.Files, File{f.Name, len(f.Data), sum(f.Data)})
	}
	manifest, err := json.MarshalIndent(m, "", "  ")
	if err != nil {
		return fmt.Errorf("archive: manifest: %w", err)
	}
	manifest = append(manifest, '\n')
	signature, err := sign(manifest, by)
	if err != nil {
		return err
	}
	return pack(w, append(members, Member{manifestFile, manifest}, Member{signatureFile, signature}))
}

// formOf is the form of an archive that holds more besides the log.
func formOf(more []Member) string {
	if len(more) == 0 {
		return Format
	}
	return FormatMore
}

// reserved reports whether a name is one of the archive's own.
func reserved(name string) bool {
	return slices.Contains([]string{entriesFile, manifestFile, signatureFile}, name)
}

// pack writes a zip file of members, uncompressed, so that what is damaged in it stays
// readable.
func pack(w io.Writer, members []Member) error {
	z := zip.NewWriter(w)
	for _, m := range members {
		f, err := z.CreateHeader(&zip.FileHeader{Name: m.Name, Method: zip.Store, Modified: stamp})
		if err == nil {
			_, err = f.Write(m.Data)
		}
		if err != nil {
			return fmt.Errorf("archive: write %s: %w", m.Name, err)
		}
	}
	if err := z.Close(); err != nil {
		return fmt.Errorf("archive: write: %w", err)
	}
	return nil
}

// sign is the content of the signature file: the public key and the signature.
func sign(manifest []byte, by Sealer) ([]byte, error) {
	pub, err := by.PublicKey()
	if err != nil {
		return nil, fmt.Errorf("archive: key: %w", err)
	}
	signature, err := by.Sign(manifest)
	if err != nil {
		return nil, fmt.Errorf("archive: sign: %w", err)
	}
	return fmt.Appendf(nil, "ed25519 %x %x\n", []byte(pub), signature), nil
}

func sum(data []byte) string {
	s := sha256.Sum256(data)
	return hex.EncodeToString(s[:])
}

// faults names the places where entries do not follow each other.
func faults(entries []events.Recorded) []string {
	var out []string
	next, prev := events.Seq(1), events.Hash{}
	for _, r := range entries {
		switch {
		case r.Seq < next:
			out = append(out, fmt.Sprintf("entry %d stands behind entry %d", r.Seq, next-1))
		case r.Seq == next+1:
			out = append(out, fmt.Sprintf("entry %d is missing", next))
		case r.Seq > next:
			out = append(out, fmt.Sprintf("entries %d to %d are missing", next, r.Seq-1))
		case r.Prev != prev:
			out = append(out, fmt.Sprintf("entry %d is not the one that entry %d was written after", max(r.Seq, 2)-1, r.Seq))
		}
		next, prev = r.Seq+1, r.Hash
	}
	return out
}
