package journal

import (
	"context"
	"crypto/ed25519"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"tankside/events"
	"tankside/events/archive"
)

// ErrConflict says that the folder holds another log of the archive's incident.
const ErrConflict events.Error = "journal: another log of this incident is here"

// PublicKey is the key by which archives sealed and reports signed here are known.
func (j *Journal) PublicKey() (ed25519.PublicKey, error) {
	key, err := j.sealKey()
	if err != nil {
		return nil, wrap("seal key", err)
	}
	return key.Public().(ed25519.PublicKey), nil
}

// Sign signs a message with the folder's key, made at its first use.
func (j *Journal) Sign(message []byte) ([]byte, error) {
	key, err := j.sealKey()
	if err != nil {
		return nil, wrap("sign", err)
	}
	return ed25519.Sign(key, message), nil
}

// sealKey returns the folder's key, made at its first use.
func (j *Journal) sealKey() (ed25519.PrivateKey, error) {
	j.mu.Lock()
	defer j.mu.Unlock()
	name := filepath.Join(j.cfg.Dir, "key")
	text, err := os.ReadFile(name)
	if errors.Is(err, os.ErrNotExist) {
		seed := make([]byte, ed25519.SeedSize)
		_, _ = rand.Read(seed) // never fails
		return ed25519.NewKeyFromSeed(seed), writeDurably(name, fmt.Appendf(nil, "%x\n", seed), 0o600)
	}
	if err != nil {
		return nil, err
	}
	seed, err := hex.DecodeString(strings.TrimSpace(string(text)))
	if err != nil || len(seed) != ed25519.SeedSize {
		return nil, fmt.Errorf("%s is no key; put the right file back, or move it away and a new key is made", name)
	}
	return ed25519.NewKeyFromSeed(seed), nil
}

// Restore takes the log of a checked archive into the folder with the bytes, numbers
// and hashes it was sealed with, its photographs and papers before it. What is already here and the same is left as it is;
// another log of the same incident is never overlaid. It returns how many entries
// were added. The log goes on under the node that began it.
func (j *Journal) Restore(ctx context.Context, a *archive.Archive) (int, error) {
	l, err := j.Log(a.Manifest.Incident)
	if err != nil {
		return 0, err
	}
	il := l.(*incidentLog)
	if err := j.takeTurn(ctx); err != nil {
		return 0, err
	}
	defer j.giveTurn()
	defer func() {
		if il.c.end() == nil { // nothing was taken in: the log is still ours to begin
			il.c.node = j.node
		}
	}()
	for _, m := range a.More {
		if strings.HasPrefix(m.Name, PapersIn) {
			if _, err := KeepPaper(j.cfg.Dir, m.Data); err != nil {
				return 0, err
			}
		}
	}
	added := 0
	err = il.retry(ctx, len(a.Entries), func() error {
		if err := j.settle(ctx); err != nil {
			return err
		}
		rest, err := il.missingOf(a.Entries)
		if err != nil {
			return err
		}
		added += len(rest)
		il.c.node = a.Manifest.Node
		if err := il.saveAll(ctx, rest); err != nil {
			added -= len(rest)
			return err
		}
		return nil
	})
	if err == nil && len(a.Manifest.Faults) > 0 {
		_, err = j.reload(ctx, il.c)
	}
	return added, wrap("restore", err)
}

// missingOf returns the entries of an archive that the log lacks at its end.
func (l *incidentLog) missingOf(rs []events.Recorded) ([]events.Recorded, error) {
	if l.c.refuse != nil {
		return nil, l.c.refuse
	}
	w := window{file: l.c.copy}
	for i := range min(len(l.c.at), len(rs)) {
		r, err := l.open(&w, l.c.at[i])
		if err != nil {
			return nil, err
		}
		if r.Hash != rs[i].Hash {
			return nil, fmt.Errorf("%w: %s: entry %d differs from the archive's; restore into another folder with --dir", ErrConflict, l.c.incident, r.Seq)
		}
	}
	return rs[min(len(l.c.at), len(rs)):], nil
}
