package journal

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/archive"
	"tankside/events/kinds"
	"tankside/events/logtest"
	"tankside/events/quantity"
)

func TestPapers(t *testing.T) {
	dir := t.TempDir()
	data := []byte("as the camera wrote it")
	sum, err := KeepPaper(dir, data)
	if err != nil || len(sum) != 64 {
		t.Fatalf("KeepPaper = %q, %v", sum, err)
	}
	if again, err := KeepPaper(dir, data); err != nil || again != sum {
		t.Errorf("KeepPaper of the same = %q, %v; want %q", again, err, sum)
	}
	if got, err := ReadPaper(dir, sum); err != nil || !bytes.Equal(got, data) {
		t.Errorf("ReadPaper = %q, %v", got, err)
	}
	if all, err := os.ReadDir(filepath.Join(dir, "files")); err != nil || len(all) != 1 {
		t.Errorf("the folder holds %v, %v; want one file", all, err)
	}
	if _, err := KeepPaper(dir, make([]byte, MostPaper+1)); !errors.Is(err, events.ErrInvalid) {
		t.Errorf("KeepPaper of too much = %v, want ErrInvalid", err)
	}
	for _, s := range []string{"", "../node", strings.Repeat("0", 64), sum[:10]} {
		if _, err := ReadPaper(dir, s); !errors.Is(err, ErrNoPaper) {
			t.Errorf("ReadPaper(%q) = %v, want ErrNoPaper", s, err)
		}
	}
	if err := os.WriteFile(filepath.Join(dir, "files", sum), []byte("as somebody else would have it"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := ReadPaper(dir, sum); !errors.Is(err, ErrOtherPaper) {
		t.Errorf("ReadPaper of a changed file = %v, want ErrOtherPaper", err)
	}
	if again, err := KeepPaper(dir, data); err != nil || again != sum {
		t.Errorf("KeepPaper over a changed file = %q, %v", again, err)
	}
	if _, err := ReadPaper(dir, sum); err != nil {
		t.Errorf("ReadPaper after it was put back = %v", err)
	}
}

// A paper that an entry speaks of is checked with the log, and is no fault of the log; an
// archive brings it back.
func TestPapersOfALog(t *testing.T) {
	cfg := testConfig(t.TempDir())
	cfg.Catalogue = kinds.Catalogue()
	j := mustOpen(t, cfg)
	data := []byte("a lid")
	sum, err := KeepPaper(j.Dir(), data)
	if err != nil {
		t.Fatal(err)
	}
	l := mustLog(t, j)
	d := logtest.Drafts(1, 1)[0]
	d.Payload = kinds.Photo{File: "lid.jpg", SHA256: sum, Bytes: quantity.Of(quantity.Count(len(data)))}
	if _, err := l.Append(t.Context(), d); err != nil {
		t.Fatal(err)
	}
	if r, err := j.Verify(t.Context()); err != nil || !r.OK() {
		t.Fatalf("Verify = %+v, %v; want nothing found", r, err)
	}
	sealed, err := seal(t, j, archive.Member{Name: PapersIn + sum, Data: data})
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(paperName(j.Dir(), sum)); err != nil {
		t.Fatal(err)
	}
	r, err := j.Verify(t.Context())
	if err != nil || r.OK() || len(r.Findings) != 1 || r.Findings[0].Place != InFiles || r.Findings[0].From != 1 || !strings.Contains(r.Findings[0].What, "lid.jpg is not there") {
		t.Errorf("Verify = %+v, %v; want the file that is gone", r, err)
	}
	if hurt := Damaged(r.Findings); len(hurt) != 0 {
		t.Errorf("a file that is gone makes the log of %v damaged", hurt)
	}
	a, err := archive.Open(sealed, cfg.Catalogue, nil)
	if err != nil {
		t.Fatal(err)
	}
	to := cfg
	to.Dir = t.TempDir()
	back := mustOpen(t, to)
	if _, err := back.Restore(t.Context(), a); err != nil {
		t.Fatal(err)
	}
	if got, err := ReadPaper(back.Dir(), sum); err != nil || !bytes.Equal(got, data) {
		t.Errorf("after Restore ReadPaper = %q, %v", got, err)
	}
}
