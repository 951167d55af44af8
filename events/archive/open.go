package archive

import (
	"archive/zip"
	"bytes"
	"crypto/ed25519"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"slices"
	"strings"

	"tankside/events"
)

// Open checks an archive and returns what is in it. trust is the key it has to be
// sealed with; nil takes any, and the caller shows Key. The error wraps ErrDiffers
// and names the file or the entry that is not as it was sealed.
func Open(data []byte, cat *events.Catalogue, trust ed25519.PublicKey) (*Archive, error) {
	files, err := unpack(data)
	if err != nil {
		return nil, err
	}
	a := &Archive{}
	if a.Key, err = checkSignature(files[manifestFile], files[signatureFile], trust); err != nil {
		return nil, err
	}
	if err := json.Unmarshal(files[manifestFile], &a.Manifest); err != nil {
		return nil, differs("%s: %v", manifestFile, err)
	}
	if f := a.Manifest.Format; f != Format && f != FormatMore {
		return nil, fmt.Errorf("archive: it has the form %q, this program reads %q and %q; use the program that sealed it: %s", f, Format, FormatMore, a.Manifest.Tool)
	}
	if a.Entries, err = a.Manifest.entries(files[entriesFile], cat); err != nil {
		return nil, err
	}
	if a.More, err = a.Manifest.more(files); err != nil {
		return nil, err
	}
	return a, a.Manifest.checkContainer(data, files)
}

// differs is an ErrDiffers with its place.
func differs(format string, v ...any) error {
	return fmt.Errorf("%w: %s", ErrDiffers, fmt.Sprintf(format, v...))
}

// unpack returns the files of an archive. It does not use the zip format's own
// checksums: they would say that something is wrong, but not what.
func unpack(data []byte) (map[string][]byte, error) {
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, differs("the file is no whole zip file: %v", err)
	}
	out := map[string][]byte{}
	for _, f := range z.File {
		if f.Method != zip.Store || out[f.Name] != nil || !fs.ValidPath(f.Name) {
			return nil, differs("%q does not belong in it", f.Name)
		}
		r, err := f.OpenRaw()
		if err != nil {
			return nil, differs("%s: %v", f.Name, err)
		}
		if out[f.Name], err = io.ReadAll(r); err != nil {
			return nil, differs("%s: %v", f.Name, err)
		}
	}
	for _, name := range []string{entriesFile, manifestFile, signatureFile} {
		if out[name] == nil {
			return nil, differs("%s is missing", name)
		}
	}
	return out, nil
}

// checkSignature checks the signature of the manifest and returns the key.
func checkSignature(manifest, signature []byte, trust ed25519.PublicKey) (ed25519.PublicKey, error) {
	parts := strings.Fields(string(signature))
	if len(parts) != 3 || parts[0] != "ed25519" {
		return nil, differs("%s is no Ed25519 signature", signatureFile)
	}
	key, err1 := hex.DecodeString(parts[1])
	sig, err2 := hex.DecodeString(parts[2])
	if err1 != nil || err2 != nil || len(key) != ed25519.PublicKeySize {
		return nil, differs("%s is no Ed25519 signature", signatureFile)
	}
	if !ed25519.Verify(key, manifest, sig) {
		return nil, differs("%s or %s was changed: the signature does not fit", manifestFile, signatureFile)
	}
	if trust != nil && !trust.Equal(ed25519.PublicKey(key)) {
		return nil, differs("it was sealed with the key %x, not with the trusted key %x", key, []byte(trust))
	}
	return key, nil
}

// entries reads the entries and holds them against the manifest.
func (m *Manifest) entries(data []byte, cat *events.Catalogue) ([]events.Recorded, error) {
	var out []events.Recorded
	for n, line := range bytes.Split(bytes.TrimSuffix(data, []byte("\n")), []byte("\n")) {
		r, err := cat.Open(line)
		if err != nil {
			return nil, differs("%s: line %d: %v", entriesFile, n+1, err)
		}
		if events.IncidentID(r.Incident) != m.Incident || r.Node != m.Node {
			return nil, differs("%s: line %d is an entry of incident %q on node %q", entriesFile, n+1, r.Incident, r.Node)
		}
		out = append(out, r)
	}
	if got := faults(out); !slices.Equal(got, m.Faults) {
		return nil, differs("%s: %s", entriesFile, firstNew(got, m.Faults))
	}
	if last := out[len(out)-1]; last.Hash.String() != m.Head || len(out) != m.Entries {
		return nil, differs("%s: it ends with entry %d, %v; it was sealed with %d entries and the end %s", entriesFile, last.Seq, last.Hash, m.Entries, m.Head)
	}
	if want := (File{entriesFile, len(data), sum(data)}); len(m.Files) == 0 || m.Files[0] != want {
		return nil, differs("%s: its bytes are not those in the manifest", entriesFile)
	}
	return out, nil
}

// more are the files besides the log, held against the manifest; one that it does not
// name does not belong in the archive.
func (m *Manifest) more(files map[string][]byte) (out []Member, err error) {
	for _, f := range m.Files[1:] {
		data, there := files[f.Name]
		switch {
		case !there || reserved(f.Name):
			return nil, differs("%s is missing", f.Name)
		case f != File{f.Name, len(data), sum(data)}:
			return nil, differs("%s: its bytes are not those in the manifest", f.Name)
		}
		out = append(out, Member{f.Name, data})
	}
	for name := range files {
		if !reserved(name) && !slices.ContainsFunc(m.Files, func(f File) bool { return f.Name == name }) {
			return nil, differs("%q does not belong in it", name)
		}
	}
	if m.Format != formOf(out) {
		return nil, differs("it has the form %q and %d files besides the log", m.Format, len(out))
	}
	return out, nil
}

// firstNew is the first fault that the manifest does not know of.
func firstNew(got, known []string) string {
	for _, f := range got {
		if !slices.Contains(known, f) {
			return f
		}
	}
	return "a fault that was there when it was sealed is gone: " + strings.Join(known, "; ")
}

// checkContainer makes the zip file anew: what differs then is neither an entry nor
// the manifest, but something was changed.
func (m *Manifest) checkContainer(data []byte, files map[string][]byte) error {
	var again bytes.Buffer
	var members []Member
	for _, f := range m.Files {
		members = append(members, Member{f.Name, files[f.Name]})
	}
	err := pack(&again, append(members, Member{manifestFile, files[manifestFile]}, Member{signatureFile, files[signatureFile]}))
	if err != nil {
		return err
	}
	if bytes.Equal(again.Bytes(), data) {
		return nil
	}
	n := 0
	for n < min(len(data), again.Len()) && data[n] == again.Bytes()[n] {
		n++
	}
	return differs("the zip file itself differs at byte %d; the entries, the manifest and the signature are whole", n)
}
