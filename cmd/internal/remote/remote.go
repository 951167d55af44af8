// Package remote lets a command work on a data folder that another process of this
// machine has open. The process that holds the folder serves it on a port of its own
// on loopback and leaves an address file in the folder; a command that finds the
// folder locked reads that file and asks there instead. Both sides are a Folder, so
// a command does not know the difference.
//
// The port is not the console's and is never opened to the network. A request has to
// carry the token of the address file, which only the user who owns the folder can
// read; one that comes from a page in a browser is refused.
package remote

import (
	"context"
	"crypto/ed25519"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"

	"tankside/events"
	"tankside/events/journal"
)

// Folder is what can be done with a data folder while it is served. *journal.Journal
// is one, and so is *Client. Repair and restore are not here: they change what lies
// under those who follow a log, so they need the folder for themselves.
type Folder interface {
	// Dir is the data folder.
	Dir() string
	// Incidents returns the identifiers of the incidents that have entries.
	Incidents() []string
	// Log returns the log of an incident by its name or identifier.
	Log(incident string) (events.Log, error)
	// Findings is what differed between the copies when the folder was opened.
	Findings() []journal.Finding
	// Verify looks at both copies of every log.
	Verify(ctx context.Context) (journal.Report, error)
	// PublicKey is the key by which archives sealed here are known.
	PublicKey() (ed25519.PublicKey, error)
	// Sign signs a message with that key.
	Sign(message []byte) ([]byte, error)
	// Close lets go of the folder.
	Close() error
}

var _, _ Folder = (*journal.Journal)(nil), (*Client)(nil)

// ErrNotServed says that the process that holds the folder does not serve it, as one
// that only writes an entry.
const ErrNotServed events.Error = "remote: the folder is not served"

// address is what the file in the folder says.
type address struct {
	PID   int    `json:"pid"`
	Host  string `json:"host"`  // address and port on loopback
	Token string `json:"token"` // has to be shown with every request
}

// fileName is the address file of a data folder.
func fileName(dir string) string { return filepath.Join(dir, "served.json") }

// write leaves the address in the folder, readable by its owner only. It need not
// outlive a power cut.
func (a address) write(dir string) error {
	data, err := json.Marshal(a)
	if err != nil {
		return err
	}
	tmp := fileName(dir) + ".new"
	if err := os.WriteFile(tmp, append(data, '\n'), 0o600); err != nil {
		return err
	}
	return os.Rename(tmp, fileName(dir))
}

// readAddress reads the address that the holder of the folder left there. One left by
// a process that has gone, and so no longer holds the folder, does not count.
func readAddress(dir string) (address, error) {
	data, err := os.ReadFile(fileName(dir))
	if errors.Is(err, fs.ErrNotExist) {
		return address{}, ErrNotServed
	}
	var a address
	if err == nil {
		err = json.Unmarshal(data, &a)
	}
	if err != nil {
		return a, fmt.Errorf("remote: %s: %w", fileName(dir), err)
	}
	if holder := journal.Holder(dir); a.PID != holder {
		return a, fmt.Errorf("%w: %s is left over from process %d, which has gone", ErrNotServed, fileName(dir), a.PID)
	}
	return a, nil
}

// refusedHeader carries the name of a refusal, in the header of an answer or, where
// part of it has gone out, in its trailer.
const refusedHeader = "Tankside-Refused"

// refusals are the errors that a sender can tell apart.
var refusals = []struct {
	name   string
	sort   events.Error
	status int
}{
	{"asked", ErrAsked, http.StatusUnprocessableEntity},
	{"invalid", events.ErrInvalid, http.StatusUnprocessableEntity},
	{"not-an-entry", events.ErrNotAnEntry, http.StatusUnprocessableEntity},
	{"moved-on", events.ErrMovedOn, http.StatusConflict},
	{"id-reused", events.ErrIDReused, http.StatusConflict},
	{"damaged", journal.ErrDamaged, http.StatusInternalServerError},
	{"no-log", journal.ErrNoLog, http.StatusNotFound},
	{"closed", events.ErrClosed, http.StatusServiceUnavailable},
	{"not-saved", events.ErrNotSaved, http.StatusServiceUnavailable},
}

// nameOf is the name of a refusal and its status.
func nameOf(err error) (string, int) {
	for _, r := range refusals {
		if errors.Is(err, r.sort) {
			return r.name, r.status
		}
	}
	return "other", http.StatusInternalServerError
}

// refusal is an error that came back.
type refusal struct {
	text string
	sort error
}

// refused makes the error of its name and text again.
func refused(name, text string) error {
	for _, r := range refusals {
		if r.name == name {
			return refusal{text, r.sort}
		}
	}
	return errors.New(text)
}

// Error returns the text of the other side.
func (r refusal) Error() string { return r.text }

// Unwrap returns the sort of refusal.
func (r refusal) Unwrap() error { return r.sort }
