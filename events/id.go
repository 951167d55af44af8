package events

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"regexp"
	"strings"
	"time"

	"github.com/oklog/ulid/v2"
)

// ID names an entry for ever. It is a ULID (26 letters and digits), made by the
// sender before the first try, so that a retry can be told from a second entry.
type ID string

// NewID makes a fresh ID whose first ten letters carry the time at.
func NewID(at time.Time) ID {
	return ID(ulid.MustNew(stamp(at), rand.Reader).String())
}

// ContentID makes the ID that the same content always gets: the time at and a
// hash of parts. Importing a file twice gives the same IDs.
func ContentID(at time.Time, parts ...string) ID {
	sum := sha256.Sum256([]byte(strings.Join(parts, "\x00")))
	var u ulid.ULID
	_ = u.SetTime(stamp(at)) // cannot fail: stamp stays within range
	copy(u[6:], sum[:10])
	return ID(u.String())
}

// stamp is the ULID time of at, kept within what a ULID can hold.
func stamp(at time.Time) uint64 {
	ms := at.UnixMilli()
	if ms < 0 {
		return 0
	}
	return min(uint64(ms), ulid.MaxTime())
}

// ParseID checks that s is an ID.
func ParseID(s string) (ID, error) {
	u, err := ulid.ParseStrict(s)
	if err != nil {
		return "", fmt.Errorf("events: id %q: %w; an id is 26 letters and digits", s, err)
	}
	return ID(u.String()), nil
}

// Short returns the last four letters, enough to say over the radio.
func (id ID) Short() string { return string(id[max(0, len(id)-4):]) }

// mostOfID is how much of a name stands in its token; cutID is a token of a name that was
// longer.
const mostOfID = 48

var cutID = regexp.MustCompile(`^[a-z0-9-]{1,48}-[0-9a-f]{8}$`)

// IncidentID turns the name of an incident into the token that stands for it in
// subjects and file names: a-z, 0-9 and hyphens. Names that differ only in case,
// spaces or punctuation get the same token, so that "Quarry Bend" and
// "quarry-bend" are one incident. Letters outside a-z, and names that are long, are told
// apart by a hash. A token stands for itself.
func IncidentID(name string) string {
	var b strings.Builder
	lost := false
	for _, r := range strings.ToLower(strings.TrimSpace(name)) {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			b.WriteRune(r)
		case r > 127:
			lost = true
			fallthrough
		default:
			if s := b.String(); s != "" && !strings.HasSuffix(s, "-") {
				b.WriteByte('-')
			}
		}
	}
	id := strings.Trim(b.String(), "-")
	if len(id) > mostOfID && !(id == name && cutID.MatchString(id)) {
		id, lost = strings.TrimRight(id[:mostOfID], "-"), true
	}
	if lost {
		sum := sha256.Sum256([]byte(strings.ToLower(strings.TrimSpace(name))))
		id = strings.Trim(id+"-"+hex.EncodeToString(sum[:4]), "-")
	}
	return id
}
