package kinds_test

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
)

// golden is the folder of one entry per kind and version, byte for byte as the
// program wrote it when the version was new. They are the promise that a log kept
// for thirty years can be read, so they are written once and never again.
var golden = filepath.Join("..", "..", "testdata", "golden", "kinds")

func goldenPath(k events.Kind, version int) string {
	return filepath.Join(golden, fmt.Sprintf("%s.v%d.json", k, version))
}

// full is the example with every other field filled in too.
func full(t *testing.T, typ *events.Type) events.Payload {
	t.Helper()
	p := typ.Example
	for _, f := range typ.Fields {
		key, value := sample(f)
		if next, err := typ.With(p, key, value); err == nil {
			p = next
		} else if !errors.Is(err, events.ErrTwice) {
			t.Fatal(err)
		}
	}
	return p
}

func TestGoldenEntries(t *testing.T) {
	s := entrySchema(t)
	wanted := map[string]bool{}
	for _, typ := range kinds.Catalogue().Types() {
		t.Run(string(typ.Kind), func(t *testing.T) {
			if *update {
				writeOnce(t, goldenPath(typ.Kind, typ.Version), append(seal(t, full(t, typ)).Raw, '\n'))
			}
			for v := 1; v <= typ.Version; v++ {
				wanted[goldenPath(typ.Kind, v)] = true
				r := openGolden(t, typ, v)
				taken(t, s, r.Raw)
				if v == typ.Version {
					sameBytes(t, r)
				}
			}
		})
	}
	found, err := filepath.Glob(filepath.Join(golden, "*"))
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range found {
		if !wanted[name] {
			t.Errorf("%s: no declared kind and version reads this entry; a kind is for ever", name)
		}
	}
}

// writeOnce writes a file that is not there; one that is there stays.
func writeOnce(t *testing.T, name string, raw []byte) {
	t.Helper()
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, fs.ErrExist) {
		return
	}
	if err == nil {
		_, err = f.Write(raw)
		err = errors.Join(err, f.Close())
	}
	if err != nil {
		t.Fatal(err)
	}
}

func openGolden(t *testing.T, typ *events.Type, version int) events.Recorded {
	t.Helper()
	name := goldenPath(typ.Kind, version)
	raw, err := os.ReadFile(name)
	if err != nil {
		t.Fatalf("%v: write it with go test ./events/kinds -update", err)
	}
	r, err := kinds.Catalogue().Open(bytes.TrimSuffix(raw, []byte("\n")))
	if err != nil || len(r.Faults) > 0 || r.Version != version || r.Payload.Kind() != typ.Kind {
		t.Fatalf("%s: read as %s version %d, faults %q, %v", name, r.Payload.Kind(), r.Version, r.Faults, err)
	}
	if line := typ.Line(r.Payload); !strings.HasSuffix(line, ".") {
		t.Errorf("%s: report line %q", name, line)
	}
	return r
}

// sameBytes seals what was read once more and wants the very same bytes: neither
// the envelope nor the data may change their form without a new version.
func sameBytes(t *testing.T, r events.Recorded) {
	t.Helper()
	got, err := kinds.Catalogue().Seal(r.Draft, r.Node, &events.Recorded{Seq: r.Seq - 1, Hash: r.Prev}, r.RecordedAt)
	if err != nil || !bytes.Equal(got.Raw, r.Raw) {
		t.Errorf("sealed again it is\n%s, %v; want\n%s", got.Raw, err, r.Raw)
	}
}
