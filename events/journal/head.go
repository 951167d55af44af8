package journal

import (
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"tankside/events"
)

// head is the third witness: how far each incident had come when it was last
// written. The two copies say what the entries are; the head says that there were
// at least so many, so that a loss at the end of both cannot pass unseen. It is
// written at every clean stop and every headEvery entries, not at every entry,
// which would double the cost of saving one.
type head struct {
	Incidents map[string]mark `json:"incidents"`
}

// headEvery is the number of entries after which the head is written anew.
const headEvery = 64

// mark is the newest entry of one incident as the head knows it.
type mark struct {
	Seq  events.Seq `json:"seq"`
	Hash string     `json:"hash"`
	Lost []lost     `json:"lost,omitempty"`
}

// lost is a run of entries that a repair could not bring back. It is told for ever.
type lost struct {
	From events.Seq `json:"from"`
	To   events.Seq `json:"to"`
	Hash string     `json:"hash,omitempty"` // of the last of them, where known
}

// readHead reads the head of the data folder dir; a folder without one has an
// empty head.
func readHead(dir string) (head, error) {
	h := head{Incidents: map[string]mark{}}
	data, err := os.ReadFile(filepath.Join(dir, "head.json"))
	if errors.Is(err, os.ErrNotExist) {
		return h, nil
	}
	if err != nil {
		return h, err
	}
	if err := json.Unmarshal(data, &h); err != nil {
		return head{Incidents: map[string]mark{}}, fmt.Errorf("head.json: %w", err)
	}
	if h.Incidents == nil {
		h.Incidents = map[string]mark{}
	}
	return h, nil
}

// write replaces the head of dir.
func (h head) write(dir string) error {
	data, err := json.MarshalIndent(h, "", "  ")
	if err != nil {
		return err
	}
	return writeDurably(filepath.Join(dir, "head.json"), append(data, '\n'), 0o600)
}

// nodeID returns the name of this machine in subjects and entries: the one in the
// folder's node file, or want, or a new one, which is then kept there.
func nodeID(dir, want string) (string, error) {
	name := filepath.Join(dir, "node")
	data, err := os.ReadFile(name)
	if err == nil {
		have := strings.TrimSpace(string(data))
		if !token(have) {
			return "", fmt.Errorf("%s holds %q, which is no node name; put back the name that the entries carry", name, have)
		}
		if want != "" && want != have {
			return "", fmt.Errorf("this folder belongs to node %q, not %q; use another folder", have, want)
		}
		return have, nil
	}
	if !errors.Is(err, os.ErrNotExist) {
		return "", err
	}
	if want == "" {
		want = "n" + strings.ToLower(randomText())
	}
	if !token(want) {
		return "", fmt.Errorf("node %q: a node name is 1 to 64 of a-z, 0-9, hyphen and underscore", want)
	}
	return want, writeDurably(name, []byte(want+"\n"), 0o600)
}

// randomText is 8 random letters and digits.
func randomText() string { return rand.Text()[:8] }

// token reports whether s may stand in a subject and in a file name.
func token(s string) bool {
	for _, r := range s {
		if !(r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r == '-' || r == '_') {
			return false
		}
	}
	return len(s) >= 1 && len(s) <= 64
}
