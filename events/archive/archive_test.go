package archive_test

import (
	"bytes"
	"crypto/ed25519"
	"errors"
	"fmt"
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/archive"
	"tankside/events/logtest"
	"tankside/events/memlog"
)

// sealer signs with a key at hand.
type sealer struct{ ed25519.PrivateKey }

func (s sealer) PublicKey() (ed25519.PublicKey, error) { return s.Public().(ed25519.PublicKey), nil }

func (s sealer) Sign(message []byte) ([]byte, error) {
	return ed25519.Sign(s.PrivateKey, message), nil
}

// seal makes an archive of n entries and what belongs to them.
func seal(t *testing.T, n int, more ...archive.Member) ([]byte, ed25519.PrivateKey) {
	t.Helper()
	l := memlog.New(logtest.Catalogue(), logtest.Incident, "node", logtest.Clock())
	rs, err := l.AppendAll(t.Context(), logtest.Drafts(1, n))
	if err != nil {
		t.Fatal(err)
	}
	key := ed25519.NewKeyFromSeed(bytes.Repeat([]byte{7}, ed25519.SeedSize))
	var b bytes.Buffer
	if err := archive.Write(&b, rs, more, sealer{key}, "tankside test"); err != nil {
		t.Fatalf("Write = %v", err)
	}
	return b.Bytes(), key
}

func open(data []byte) (*archive.Archive, error) { return archive.Open(data, logtest.Catalogue(), nil) }

func TestRoundTrip(t *testing.T) {
	data, key := seal(t, 20)
	again, _ := seal(t, 20)
	if !bytes.Equal(data, again) {
		t.Error("the same log gave two archives that differ")
	}
	a, err := archive.Open(data, logtest.Catalogue(), key.Public().(ed25519.PublicKey))
	if err != nil || len(a.Entries) != 20 || a.Manifest.Incident != "ditch-road" {
		t.Fatalf("Open = %+v, %v", a, err)
	}
	logtest.CheckChain(t, a.Entries)
}

// What belongs to the log comes back with it, whichever came first; names that would lie
// outside, twice or over the archive's own are refused.
func TestMore(t *testing.T) {
	a, b := archive.Member{Name: "files/a", Data: []byte("first")}, archive.Member{Name: "report/b.md", Data: nil}
	data, _ := seal(t, 3, b, a)
	if again, _ := seal(t, 3, a, b); !bytes.Equal(data, again) {
		t.Error("the order in which files are given changes the archive")
	}
	got, err := open(data)
	if err != nil || len(got.More) != 2 || got.More[0].Name != a.Name || string(got.More[0].Data) != "first" || got.More[1].Name != b.Name || got.Manifest.Format != archive.FormatMore {
		t.Fatalf("Open = %+v, %v; want both files", got, err)
	}
	if alone, _ := seal(t, 3); !bytes.Contains(alone, []byte(archive.Format+`"`)) {
		t.Error("a log alone is not in the first form, which older programs read")
	}
	_, key := seal(t, 1)
	for _, name := range []string{"../a", "/a", "manifest.json", "events.jsonl", "files/a"} {
		err := archive.Write(&bytes.Buffer{}, got.Entries, []archive.Member{a, {Name: name}}, sealer{key}, "t")
		if err == nil || !strings.Contains(err.Error(), name) {
			t.Errorf("a file named %q: Write = %v, want it refused", name, err)
		}
	}
}

// Every single changed byte is noticed, wherever it lies.
func TestEveryByteCounts(t *testing.T) {
	data, _ := seal(t, 3, archive.Member{Name: "files/a", Data: []byte("first")}, archive.Member{Name: "files/b", Data: []byte("second")})
	for i := range data {
		spoilt := bytes.Clone(data)
		spoilt[i] ^= 1
		if _, err := open(spoilt); !errors.Is(err, archive.ErrDiffers) && !otherForm(err) {
			t.Fatalf("byte %d of %d changed: Open = %v, want ErrDiffers", i, len(data), err)
		}
	}
}

// otherForm reports an archive refused for the name of its form, which is a change
// noticed as well.
func otherForm(err error) bool { return err != nil && strings.Contains(err.Error(), "it has the form") }

func TestNamesWhatDiffers(t *testing.T) {
	data, _ := seal(t, 20)
	for _, tt := range []struct{ name, from, to, want string }{
		{"an entry in the middle", "remark 7 as said", "remark 8 as said", "entry 7 is not the one that entry 8 was written after"},
		{"the last entry", "remark 20 as said", "remark 21 as said", "events.jsonl: it ends with entry 20"},
		{"a number", `"n":5,`, `"n":6,`, "entry 5 is missing"},
		{"the manifest", `"entries": 20`, `"entries": 19`, "manifest.json"},
		{"the signature", "ed25519 ", "ed25518 ", "manifest.sig"},
	} {
		if bytes.Count(data, []byte(tt.from)) == 0 {
			t.Fatalf("%s: the archive has no %q", tt.name, tt.from)
		}
		_, err := open(bytes.Replace(data, []byte(tt.from), []byte(tt.to), 1))
		if !errors.Is(err, archive.ErrDiffers) || !strings.Contains(fmt.Sprint(err), tt.want) {
			t.Errorf("%s changed: Open = %v, want %q", tt.name, err, tt.want)
		}
	}
	for n := range 40 {
		if _, err := open(data[:len(data)-1-n*len(data)/40]); !errors.Is(err, archive.ErrDiffers) {
			t.Errorf("cut short: Open = %v, want ErrDiffers", err)
		}
	}
}

// Whoever changes an entry and seals anew has another key.
func TestForeignKey(t *testing.T) {
	data, _ := seal(t, 5)
	other := ed25519.NewKeyFromSeed(bytes.Repeat([]byte{8}, ed25519.SeedSize))
	_, err := archive.Open(data, logtest.Catalogue(), other.Public().(ed25519.PublicKey))
	if !errors.Is(err, archive.ErrDiffers) || !strings.Contains(fmt.Sprint(err), "not with the trusted key") {
		t.Errorf("Open with another trusted key = %v", err)
	}
}

func TestNothingToSeal(t *testing.T) {
	key := ed25519.NewKeyFromSeed(make([]byte, ed25519.SeedSize))
	if err := archive.Write(&bytes.Buffer{}, []events.Recorded{}, nil, sealer{key}, "t"); err == nil {
		t.Error("Write of no entries succeeded")
	}
}
