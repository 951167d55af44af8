package journal

import (
	"fmt"
	"strings"

	"tankside/events"
)

// Error constants of this package.
const (
	// ErrDamaged says that the end of an incident's log is not known for certain,
	// so that nothing can be put behind it before a repair.
	ErrDamaged events.Error = "journal: the log is damaged"
	// ErrLocked says that another process has the data folder open.
	ErrLocked events.Error = "journal: the data folder is in use"
	// ErrNoLog says that there is no log in the folder, or none of that name.
	ErrNoLog events.Error = "journal: no log here"
)

// Place is one of the places an entry is kept in.
type Place string

// The places.
const (
	InStore Place = "store"
	InCopy  Place = "second copy"
	InBoth  Place = "both copies"
	InHead  Place = "head record"
)

// Finding is one difference between what the log should hold and what is there.
type Finding struct {
	Incident string     // "" when it concerns the whole folder
	From, To events.Seq // the entries concerned; 0 when it is none in particular
	Place    Place      // where the fault lies
	What     string     // what is wrong there
	Fix      string     // the way out, or what was done
	Note     bool       // told for information: nothing was lost and nothing is to be done
}

// String says the finding in one line.
func (f Finding) String() string {
	var b strings.Builder
	if f.Incident != "" {
		b.WriteString(f.Incident + ": ")
	}
	if f.From > 0 {
		b.WriteString(entriesText(f.From, f.To) + ": ")
	}
	fmt.Fprintf(&b, "%s: %s", f.Place, f.What)
	if f.Fix != "" {
		b.WriteString("; " + f.Fix)
	}
	return b.String()
}

// entriesText names one entry or a run of them.
func entriesText(from, to events.Seq) string {
	if to <= from {
		return fmt.Sprintf("entry %d", from)
	}
	return fmt.Sprintf("entries %d to %d", from, to)
}

// repairHint names the command that repairs an incident.
func repairHint(incident string) string {
	return "run tankside verify --repair --incident " + incident
}

// damaged reports whether fs holds more than notes.
func damaged(fs []Finding) bool {
	for _, f := range fs {
		if !f.Note {
			return true
		}
	}
	return false
}

// runs joins findings that say the same of entries that follow each other.
func runs(fs []Finding) []Finding {
	var out []Finding
	for _, f := range fs {
		if n := len(out); n > 0 && f.From > 0 && out[n-1].To+1 == f.From {
			last := out[n-1]
			last.From, last.To = f.From, f.To
			if last == f {
				out[n-1].To = f.To
				continue
			}
		}
		out = append(out, f)
	}
	return out
}
