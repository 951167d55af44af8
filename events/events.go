// Package events holds what an incident log is made of: the envelope that every
// entry wears, the declaration from which a kind of entry gets everything else,
// the catalogue of kinds, the strict codec, and the timeline that puts entries in
// the order in which things happened.
//
// Kinds are past-tense facts in trade words. They are declared in package kinds;
// nothing else has to be touched to add one.
package events

import (
	"encoding/hex"
	"time"
)

// Kind is the permanent name of a kind of entry, e.g. "foam_applied".
type Kind string

// Seq is an entry's place in its log, from 1.
type Seq uint64

// Payload is the fact an entry states. Payloads are values: they are never
// changed once made.
type Payload interface {
	// Kind returns the permanent name.
	Kind() Kind
}

// Pair is a key and its value as said, for what no declared field takes.
type Pair struct{ Key, Value string }

// Channel is the way by which an entry reached the post.
type Channel string

// The channels. A log may hold others; they are kept as they are.
const (
	Typed  Channel = "typed"
	Radio  Channel = "radio"
	Runner Channel = "runner"
	Phone  Channel = "phone"
	Device Channel = "device"
	File   Channel = "file"
)

// Trust says what an entry rests on.
type Trust string

// The grades of trust; the zero value is "not said".
const (
	Measured  Trust = "measured"
	Observed  Trust = "observed"
	Estimated Trust = "estimated"
	Hearsay   Trust = "said"
	WorkedOut Trust = "worked out"
)

// Mode tells a real incident from an exercise. The zero value is an actual incident.
type Mode string

// The modes.
const (
	Actual   Mode = ""
	Exercise Mode = "exercise"
	Test     Mode = "test"
)

// Source is where an entry was taken from when it was not typed for the log
// itself: a line of a file or of a relay, verbatim.
type Source struct {
	Name string // file or relay
	Line int    // 1-based; 0 when there are no lines
	Raw  string // the line as it stood
}

// Draft is what a sender knows of an entry before the log has taken it.
type Draft struct {
	ID         ID
	Incident   string
	Mode       Mode
	Occurred   When
	Reported   time.Time // told to the post; zero when not stated
	ObservedBy string    // role of whoever saw or measured it
	RelayedBy  string    // role of whoever passed it on
	RecordedBy string    // whoever wrote it down
	Channel    Channel
	Device     string // the clock that stamped it, when a device did
	Where      string
	Trust      Trust
	Words      string // as said
	Grammar    string // version of the grammar that read the words; "" when they are no line that was read
	Extra      []Pair // said, but not a field of the kind; kept in order
	Source     Source
	Payload    Payload
}

// Recorded is an entry as the log holds it.
type Recorded struct {
	Draft
	Node       string
	Seq        Seq
	Version    int       // version of the kind the entry was written with
	RecordedAt time.Time // when the log took it
	Prev       Hash      // hash of the entry before it in this log; zero for the first
	Hash       Hash      // SHA-256 of Raw
	Raw        []byte    // the stored bytes, one line of JSON
	Faults     []string  // what could not be understood on reading; Raw still has it
}

// KnownAt is when the post learned of the entry: when it was told, or when it was
// recorded if nobody said.
func (r *Recorded) KnownAt() time.Time {
	if !r.Reported.IsZero() {
		return r.Reported
	}
	return r.RecordedAt
}

// Hash is a SHA-256 sum.
type Hash [32]byte

// String returns the hash in hexadecimal.
func (h Hash) String() string { return hex.EncodeToString(h[:]) }

// IsZero reports whether h is the hash that stands before the first entry.
func (h Hash) IsZero() bool { return h == Hash{} }

// Unknown is the payload of a kind or version this program does not know. Its
// bytes are carried untouched.
type Unknown struct {
	Name Kind
	JSON string // the payload as stored
}

// Kind returns the name the entry was stored under.
func (u Unknown) Kind() Kind { return u.Name }
