// Package desk is where the chief's part of a report is written and the report signed.
// The shell and the pages of the console both come here, so that what can be done from
// the one can be done from the other, and does the same. Whatever is written becomes an
// entry of the log; no number is ever written over.
package desk

import (
	"bytes"
	"context"
	"crypto/ed25519"
	"errors"
	"fmt"
	"strings"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections"
	"tankside/report"
)

// Room is what the desk of one incident is set up with.
type Room struct {
	Incident  string // its name
	Catalogue *events.Catalogue
	Now       func() time.Time // the hour at the incident
	Program   string           // that signs, with its version
	Keys      Keys             // of the data folder
	Paper     report.Paper     // reads a photograph or a paper of the log
	// Fit says why the log may not be signed as it lies in the folder; nil where it may.
	Fit func() error
	// Fold makes the state of a timeline with what the rules find in it.
	Fold func(*events.Timeline) *projections.Incident
}

// Keys signs for a data folder.
type Keys interface {
	// PublicKey is the key by which what was signed here is known.
	PublicKey() (ed25519.PublicKey, error)
	// Sign signs a message.
	Sign(message []byte) ([]byte, error)
}

// Desk is an incident as it stands after its last entry, for whoever writes over it.
type Desk struct {
	Room
	Entries  []events.Recorded
	Timeline *events.Timeline
	Folded   *projections.Incident
	State    projections.State
}

// At makes the desk as it is after some entries.
func (r Room) At(entries []events.Recorded) *Desk {
	tl := r.Catalogue.NewTimeline(entries, events.View{})
	folded := r.Fold(tl)
	return &Desk{r, entries, tl, folded, folded.State()}
}

// Last is the number of the newest entry, 0 where there is none.
func (d *Desk) Last() events.Seq {
	if len(d.Entries) == 0 {
		return 0
	}
	return d.Entries[len(d.Entries)-1].Seq
}

// Head is the hash of the newest entry, "" where there is none. It speaks for all of them.
func (d *Desk) Head() string {
	if len(d.Entries) == 0 {
		return ""
	}
	return d.Entries[len(d.Entries)-1].Hash.String()
}

// Draft is an entry that is written now by a scribe, "" where it is not said by whom.
func (d *Desk) Draft(now time.Time, scribe string, p events.Payload) events.Draft {
	now = d.local(now)
	e := events.Draft{ID: events.NewID(now), Incident: d.Incident, Occurred: events.At(now), Reported: now, RecordedBy: scribe, Channel: events.Typed, Payload: p}
	if len(d.Entries) > 0 {
		e.Mode = d.Entries[0].Mode
	}
	return e
}

// local is a moment to the second in the zone of the incident.
func (d *Desk) local(t time.Time) time.Time {
	t = t.Truncate(time.Second)
	if len(d.Entries) > 0 && !d.Entries[0].Occurred.At.IsZero() {
		return t.In(d.Entries[0].Occurred.At.Location())
	}
	return t
}

// document is the whole report, made at now.
func (d *Desk) document(now time.Time) (report.Document, error) {
	return report.BuildAs(d.Catalogue, d.Folded, d.Timeline, now, report.Options{Paper: d.Paper})
}

// Report writes the draft of the report as a page.
func (d *Desk) Report() ([]byte, error) {
	doc, err := d.document(d.local(d.Now()))
	var page bytes.Buffer
	if err == nil {
		err = report.HTML(&page, doc)
	}
	return page.Bytes(), err
}

// ErrNothing says that there is nothing to sign.
const ErrNothing events.Error = "desk: there are no entries; there is nothing to sign"

// ErrUnnamed says that a signature lacks who signs.
const ErrUnnamed events.Error = "a signature has a name and a role; give both"

// Signer is who signs.
type Signer struct{ Name, Role string }

// Check says what is missing of whoever signs.
func (s Signer) Check() error {
	if strings.TrimSpace(s.Name) == "" || strings.TrimSpace(s.Role) == "" {
		return ErrUnnamed
	}
	return nil
}

// Signed is a report with its signature.
type Signed struct {
	Code  string     // short enough to say aloud
	Entry events.Seq // that holds the signature
	Key   ed25519.PublicKey
	Text  []byte // as Markdown
	Page  []byte // as HTML
}

// Sign signs the report as it stands on the desk. The files are kept by keep, and the
// signature becomes the next entry of the log. Where the log has gone on since the desk
// was made, nothing is signed: the error is events.ErrMovedOn, and undo has taken away
// what keep kept. Where it is not known whether the signature was saved, the files stay:
// they are made at their minute and could not be made again.
func (d *Desk) Sign(ctx context.Context, log events.Log, by Signer, keep func(Signed) (undo func() error, err error)) (Signed, error) {
	if err := by.Check(); err != nil {
		return Signed{}, err
	}
	if len(d.Entries) == 0 {
		return Signed{}, ErrNothing
	}
	if d.Fit != nil {
		if err := d.Fit(); err != nil {
			return Signed{}, err
		}
	}
	signing, err := d.signing(by)
	if err != nil {
		return Signed{}, err
	}
	statement := signing.Statement()
	sig, err := d.Keys.Sign([]byte(statement))
	if err != nil {
		return Signed{}, err
	}
	out := Signed{Code: report.Code(sig), Key: signing.Key, Text: report.Signed(signing.Text, statement, sig), Page: report.Signed(signing.Page, statement, sig)}
	undo, err := keep(out)
	if err != nil {
		return Signed{}, err
	}
	r, err := log.AppendAfter(ctx, d.Last(), d.Draft(signing.At, by.Role,
		kinds.ReportSigned{Name: by.Name, Role: by.Role, Code: out.Code, Statement: statement, Signature: fmt.Sprintf("%x", sig)}))
	switch {
	case err == nil:
		out.Entry = r.Seq
		return out, nil
	case surelyNot(err):
		return Signed{}, errors.Join(err, undo())
	}
	return Signed{}, fmt.Errorf("%w; the signed report is kept, since the log may hold its signature yet: look for code %s in the log before signing again", err, out.Code)
}

// surelyNot reports whether an entry is known not to be in the log. Of any other error it
// is not known: the answer may have been lost after the entry was saved.
func surelyNot(err error) bool {
	return errors.Is(err, events.ErrMovedOn) || errors.Is(err, events.ErrInvalid) || errors.Is(err, events.ErrIDReused)
}

// signing makes the report that is signed.
func (d *Desk) signing(by Signer) (report.Signing, error) {
	now := d.local(d.Now())
	doc, err := d.document(now)
	if err != nil {
		return report.Signing{}, err
	}
	doc.Signer = by.Name + ", " + by.Role
	var text, page bytes.Buffer
	if err := errors.Join(doc.Markdown(&text), report.HTML(&page, doc)); err != nil {
		return report.Signing{}, err
	}
	key, err := d.Keys.PublicKey()
	if err != nil {
		return report.Signing{}, fmt.Errorf("key of the folder: %w", err)
	}
	return report.Signing{Incident: d.Incident, Entries: len(d.Entries), Head: d.Head(), Text: text.Bytes(), Page: page.Bytes(),
		Rules: d.State.RuleBook, Program: d.Program, At: now, Name: by.Name, Role: by.Role, Key: key}, nil
}
