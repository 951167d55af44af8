// Package intake turns what comes from outside into drafts: tables of rows (CSV)
// and lines of entries (JSON Lines).
//
// Nothing is lost on the way. A key or a column that no field takes is kept as
// said in the draft's Extra, and every draft carries the line it came from. A line
// that cannot become a draft is a Fault that says where, what and the way out; the
// other lines stay importable.
//
// The same content always gets the same id, so taking in a file a second time
// adds nothing, and a file with one line repaired adds that line alone.
package intake

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"time"
	"unicode/utf8"

	"tankside/events"
)

// MaxSize is the largest file taken in at once, in bytes. A long incident is some
// hundred kilobytes; what is larger than this is the wrong file.
const MaxSize = 64 << 20

// MaxLine is the longest row or line taken in, in bytes. A draft holds what it says
// and the line it came from; a log takes entries of some megabytes, so even a line
// that has to be written with an escape for every byte fits.
const MaxLine = 256 << 10

// ErrTooLarge is returned for a file of more than MaxSize bytes.
const ErrTooLarge events.Error = "intake: the file is larger than 64 MB; split it, or check that it is the right file"

// Options say what a file cannot say of itself.
type Options struct {
	Catalogue  *events.Catalogue
	Incident   string         // the incident the entries belong to
	Name       string         // of the file, for sources and faults
	RecordedBy string         // whoever brings the file in
	Mode       events.Mode    // an incident, an exercise or a test
	Zone       *time.Location // for days without a zone; UTC when nil
}

// Result is what a file gave.
type Result struct {
	Rows   int // lines that were not blank, the header apart
	Drafts []events.Draft
	Faults []Fault // in the order of the lines; a line may have several
}

// Bad returns how many lines have a fault and gave no draft.
func (r Result) Bad() int { return r.Rows - len(r.Drafts) }

// Fault says what is wrong with a line and what to do about it.
type Fault struct {
	Name   string // file
	Line   int    // 1-based
	Byte   int    // 1-based place in the line; 0 when it is not known
	Column string // of a table, "" when the line as a whole is meant
	Key    string // in the column, "" when the column as a whole is meant
	What   string // what is wrong, and the way out
}

// Error writes the fault in one line: "name:line: column: key: what; way out".
func (f Fault) Error() string {
	where := fmt.Sprintf("%s:%d", f.Name, f.Line)
	if f.Byte > 0 {
		where += fmt.Sprintf(":%d", f.Byte)
	}
	parts := []string{where}
	for _, p := range []string{f.Column, f.Key, f.What} {
		if p != "" {
			parts = append(parts, p)
		}
	}
	return strings.Join(parts, ": ")
}

// ways out that several faults share.
const (
	saveAsUTF8 = "save the file as UTF-8 and bring it in again"
	useWords   = "correct it, or move what was said to the words"
)

// slurp reads a file whole, without the byte order mark that some programs write.
func slurp(r io.Reader) ([]byte, error) {
	b, err := io.ReadAll(io.LimitReader(r, MaxSize+1))
	if err != nil {
		return nil, fmt.Errorf("intake: read: %w", err)
	}
	if len(b) > MaxSize {
		return nil, ErrTooLarge
	}
	if len(b) >= 3 && string(b[:3]) == "\ufeff" {
		b = b[3:]
	}
	return b, nil
}

// lengthFault says that a line is too long, "" when it is not.
func lengthFault(raw string) string {
	if len(raw) <= MaxLine {
		return ""
	}
	return fmt.Sprintf("is %d bytes long, the longest is %d; put the bulk into a file of its own and say where it is", len(raw), MaxLine)
}

// textFault says why s cannot be kept as text, "" when it can.
func textFault(s string) string {
	if !utf8.ValidString(s) {
		return fmt.Sprintf("%q is not UTF-8 text; %s", clip(s), saveAsUTF8)
	}
	if strings.ContainsRune(s, 0) {
		return "holds a NUL byte, as a UTF-16 file or a damaged one does; " + saveAsUTF8
	}
	return ""
}

// clip keeps a message to one readable line.
func clip(s string) string {
	const most = 60
	if len(s) <= most {
		return s
	}
	return s[:most] + "…"
}

// oneLine writes joined errors on one line.
func oneLine(err error) string {
	return strings.ReplaceAll(err.Error(), "\n", "; ")
}

// unknownKind says that name is no kind, which kind may have been meant, and the
// way out.
func (o Options) unknownKind(name string) string {
	if name == "" {
		return `no kind is given; "note" takes anything that was said`
	}
	what := fmt.Sprintf("%q is not a kind of entry; ", clip(name))
	if near := o.Catalogue.Suggest(name); len(near) > 0 {
		var names []string
		for _, k := range near {
			names = append(names, string(k))
		}
		return what + "did you mean " + strings.Join(names, " or ") + `? "note" takes anything else`
	}
	return what + `"note" takes anything that was said`
}

// invalid takes the general part off an error that says a draft is invalid.
func invalid(err error) string {
	text := oneLine(err)
	for _, general := range []error{events.ErrInvalid, events.ErrNotAnEntry} {
		if errors.Is(err, general) {
			text = strings.TrimPrefix(text, general.Error()+": ")
		}
	}
	return text
}
