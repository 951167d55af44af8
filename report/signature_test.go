package report

import (
	"bytes"
	"crypto/ed25519"
	"errors"
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections"
)

// signedReports is one report signed, as Markdown and as HTML, by a key of the test.
func signedReports(t *testing.T) map[string][]byte {
	t.Helper()
	d := built(incident(t, "quarry-bend.csv", "Quarry Bend"), events.View{})
	text, page := []byte(markdownOf(t, d)), []byte(htmlOf(t, d))
	key := ed25519.NewKeyFromSeed(bytes.Repeat([]byte{7}, ed25519.SeedSize))
	s := Signing{Incident: "Quarry Bend", Entries: d.State.Entries, Head: d.Logs[0].Hash, Text: text, Page: page, Rules: "rules 1", Program: "tankside test",
		At: made, Name: "Chief <1> & \"Co\"", Role: "Incident Commander", Key: key.Public().(ed25519.PublicKey)}.Statement()
	sig := ed25519.Sign(key, []byte(s))
	return map[string][]byte{"md": Signed(text, s, sig), "html": Signed(page, s, sig)}
}

func TestSignatureHolds(t *testing.T) {
	for form, file := range signedReports(t) {
		s, err := CheckSignature(file)
		if err != nil {
			t.Fatalf("%s: %v", form, err)
		}
		if s.Facts["incident"] != "Quarry Bend" || s.Facts["name"] != "Chief <1> & \"Co\"" || len(s.Code) != 9 {
			t.Errorf("%s: read as %+v", form, s)
		}
	}
}

// One byte altered anywhere is refused: each of the signature, and one in every 997 of
// the text, in each of several ways; and so is a byte more or less at either end.
func TestOneByteAltered(t *testing.T) {
	for form, file := range signedReports(t) {
		block := bytes.LastIndex(file, []byte("Signature"))
		for at := 0; at < len(file); at++ {
			if at < block-40 && at%997 != 0 {
				continue
			}
			for _, flip := range []byte{1, ' ', 0x80} {
				changed := bytes.Clone(file)
				changed[at] ^= flip
				refused(t, form, changed)
			}
		}
		refused(t, form, file[:len(file)-1])
		refused(t, form, file[1:])
		refused(t, form, append(bytes.Clone(file), '\n'))
		refused(t, form, append([]byte{' '}, file...))
	}
}

func refused(t *testing.T, form string, file []byte) {
	t.Helper()
	if s, err := CheckSignature(file); !errors.Is(err, ErrDiffers) {
		t.Fatalf("%s: a changed report was taken: %+v, %v", form, s, err)
	}
}

// A text signed by another key, or the signature of another report, does not pass.
func TestSignatureOfAnother(t *testing.T) {
	file := string(signedReports(t)["md"])
	i := strings.LastIndex(file, textStart)
	for _, changed := range []string{file[:i], "# Another report\n" + file[i:], file + file[i:]} {
		refused(t, "md", []byte(changed))
	}
}

// What a finding stands on may be somebody's breath or body: the public edition tells
// that a finding was taken, and no more.
func TestPublicEditionHoldsEvidenceBack(t *testing.T) {
	log := sealed(t, []events.Draft{
		said(0, "Staging", "", kinds.OnScene{Unit: []string{"Hazmat 2"}}),
		said(1, "", "", kinds.FindingTaken{Finding: "heat/p1a/3", Statement: "pulse told late", Stood: []string{"3: pulse 168 of him"}}),
		said(2, "", "", kinds.FindingWritten{Name: "own-1", Statement: "he was hot", Stood: []string{"3: pulse 168 of him"}}),
	})
	c := kinds.Catalogue()
	tl := c.NewTimeline(log, events.View{})
	for edition, held := range map[Edition]bool{Full: false, Public: true} {
		d, err := BuildAs(c, projections.Fold(c, tl), tl, made, Options{Edition: edition})
		if err != nil {
			t.Fatal(err)
		}
		if text := markdownOf(t, d); strings.Contains(text, "pulse") == held {
			t.Errorf("%s: speaks of the pulse: %v, want %v", edition, !held, held)
		}
	}
}
