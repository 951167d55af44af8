package report

import (
	"bytes"
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"html"
	"strings"
	"time"

	"tankside/events"
)

// ErrDiffers says that a report is not the one that was signed.
const ErrDiffers events.Error = "report: not the same as signed"

// statementForm is the first line of what is signed, the name and version of its form.
const statementForm = "tankside-report-signature/1"

// Signing is who signs what. Its Statement is what the key signs.
type Signing struct {
	Incident   string
	Entries    int
	Head       string // hash of the last entry: it speaks for all before it
	Text, Page []byte // the report as Markdown and as HTML, without a signature
	Rules      string // name of the rules in force
	Program    string // with its version
	At         time.Time
	Name, Role string
	Key        ed25519.PublicKey
}

// Statement writes what is signed, a line a fact.
func (s Signing) Statement() string {
	var b strings.Builder
	line := func(key, value string) { fmt.Fprintf(&b, "%s: %s\n", key, shown(value)) }
	fmt.Fprintln(&b, statementForm)
	line("incident", s.Incident)
	line("entries", fmt.Sprint(s.Entries))
	line("log", s.Head)
	line("markdown", sumOf(s.Text))
	line("html", sumOf(s.Page))
	line("rules", s.Rules)
	line("program", s.Program)
	line("signed", s.At.Format(time.RFC3339))
	line("name", s.Name)
	line("role", s.Role)
	line("key", hex.EncodeToString(s.Key))
	return b.String()
}

func sumOf(data []byte) string {
	s := sha256.Sum256(data)
	return hex.EncodeToString(s[:])
}

// Code is the short form of a signature, to be said aloud and written on paper.
func Code(signature []byte) string {
	s := sumOf(signature)
	return s[:4] + "-" + s[4:8]
}

// The frames of the signature in a page and in Markdown, and where it stands in a page.
const (
	pageStart = "<section id=\"signature\" aria-label=\"Signature\">\n<h2>Signature</h2>\n<pre>"
	pageEnd   = "</pre>\n</section>\n"
	pageAfter = "</main>\n</body>\n</html>\n"
	textStart = "\n## Signature\n\n```text\n"
	textEnd   = "```\n"
)

// Signed puts a signature into a report, Markdown or HTML.
func Signed(text []byte, statement string, signature []byte) []byte {
	body, tail := text, []byte(nil)
	if isPage(text) {
		body = bytes.TrimSuffix(text, []byte(pageAfter))
		tail = []byte(pageAfter)
	}
	return bytes.Join([][]byte{body, []byte(block(text, statement, signature)), tail}, nil)
}

func isPage(text []byte) bool { return bytes.HasPrefix(text, []byte("<!DOCTYPE html>")) }

func block(text []byte, statement string, signature []byte) string {
	words := fmt.Sprintf("%ssignature: %x\n", statement, signature)
	if isPage(text) {
		return pageStart + html.EscapeString(words) + pageEnd
	}
	return textStart + words + textEnd
}

// Signature is the signature of a report that was found to be the one signed.
type Signature struct {
	Statement string
	Signature []byte
	Key       ed25519.PublicKey
	Code      string
	Facts     map[string]string // the lines of the statement by their key
}

// HasSignature reports whether a file has, or had, a signature of a report in it. That a
// report tells of one in its log is none.
func HasSignature(file []byte) bool {
	return bytes.Contains(file, []byte(textStart+statementForm)) || bytes.Contains(file, []byte(pageStart+statementForm))
}

// CheckSignature holds a signed report against its own signature. It needs nothing but
// the file. It does not say whose key it is: compare it with the one the department has
// on paper. The error wraps ErrDiffers.
func CheckSignature(file []byte) (*Signature, error) {
	start, end, sumKey, tail := textStart, textEnd, "markdown", ""
	if isPage(file) {
		start, end, sumKey, tail = pageStart, pageEnd, "html", pageAfter
	}
	from := bytes.LastIndex(file, []byte(start))
	if from < 0 || !bytes.HasSuffix(file, []byte(end+tail)) {
		return nil, fmt.Errorf("%w: there is no whole signature at its end", ErrDiffers)
	}
	to := len(file) - len(tail)
	words := string(file[from+len(start) : to-len(end)])
	if isPage(file) {
		words = html.UnescapeString(words)
	}
	s, err := readSignature(words)
	if err != nil {
		return nil, err
	}
	body := bytes.Join([][]byte{file[:from], file[to:]}, nil)
	if string(file[from:to]) != block(file, s.Statement, s.Signature) {
		return nil, fmt.Errorf("%w: the signature is not written as it was", ErrDiffers)
	}
	if got := sumOf(body); got != s.Facts[sumKey] {
		return nil, fmt.Errorf("%w: the text was changed, its SHA-256 is %s and %s was signed", ErrDiffers, got, s.Facts[sumKey])
	}
	return s, nil
}

// readSignature reads a statement with its signature and checks the one by the other.
func readSignature(words string) (*Signature, error) {
	i := strings.LastIndex(words, "signature: ")
	if i < 0 || !strings.HasPrefix(words, statementForm+"\n") {
		return nil, fmt.Errorf("%w: the signature does not begin with %s", ErrDiffers, statementForm)
	}
	s := &Signature{Statement: words[:i], Facts: map[string]string{}}
	for line := range strings.Lines(s.Statement) {
		key, value, _ := strings.Cut(strings.TrimSuffix(line, "\n"), ": ")
		s.Facts[key] = value
	}
	sig, err := hex.DecodeString(strings.TrimSuffix(words[i+len("signature: "):], "\n"))
	key, keyErr := hex.DecodeString(s.Facts["key"])
	if err != nil || keyErr != nil || len(key) != ed25519.PublicKeySize || !ed25519.Verify(key, []byte(s.Statement), sig) {
		return nil, fmt.Errorf("%w: the signature does not fit what was signed", ErrDiffers)
	}
	s.Signature, s.Key, s.Code = sig, key, Code(sig)
	return s, nil
}
