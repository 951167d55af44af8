package report

import (
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/logtest"
	"tankside/events/memlog"
	"tankside/events/quantity"
)

// photographed is a log of photographs and papers.
func photographed(t *testing.T, of ...kinds.Photo) []events.Recorded {
	t.Helper()
	l := memlog.New(kinds.Catalogue(), logtest.Incident, "node", logtest.Clock())
	drafts := logtest.Drafts(1, len(of))
	for i, p := range of {
		drafts[i].Payload = p
	}
	rs, err := l.AppendAll(t.Context(), drafts)
	if err != nil {
		t.Fatal(err)
	}
	return rs
}

// TestPhotos: what the page shows, and what it says of a file that it does not show.
func TestPhotos(t *testing.T) {
	sum := func(digit string) string { return strings.Repeat(digit, 64) }
	photo := func(file, digit, media, shows, privacy string, bytes quantity.Count) kinds.Photo {
		return kinds.Photo{File: file, SHA256: sum(digit), Media: media, Shows: shows, Privacy: privacy, Bytes: quantity.Of(bytes)}
	}
	log := photographed(t,
		photo("lid.png", "1", "image/png", `the lid" onerror="alert(1)`, "public", 3),
		photo("drawing.svg", "2", "image/svg+xml", "the cellars", "", 3),
		photo("hand.jpg", "3", "image/jpeg", "burnt palm of Smith", "medical", 3),
		photo("gone.jpg", "4", "image/jpeg", "the bank", "public", 3),
		photo("big.jpg", "5", "image/jpeg", "the road", "public", mostShown+1),
		kinds.Photo{File: "named.jpg", SHA256: sum("6"), Shows: "a name alone"},
	)
	read := func(s string) ([]byte, string) {
		switch s {
		case sum("4"):
			return nil, "is not there"
		case sum("5"):
			return make([]byte, mostShown+1), ""
		}
		return []byte("abc"), ""
	}
	page := htmlOf(t, as(t, log, Options{Paper: read}))
	p := readPage(t, page)
	p.resolve(t)
	for _, want := range []string{
		`<img src="data:image/png;base64,YWJj" alt="Photo 1. the lid&#34; onerror=&#34;alert(1)">`, "img-src data:",
		"The file is not there", "too large for a page", "no picture that a page shows", "the log has its name alone", "burnt palm", `src="data:image/jpeg;base64,YWJj"`,
	} {
		if !strings.Contains(page, want) {
			t.Errorf("the page has no %q", want)
		}
	}
	if n := strings.Count(page, "<img"); n != 2 {
		t.Errorf("the page shows %d photos, want 2: a drawing may run what it holds, and others are not there or too large", n)
	}
	public := htmlOf(t, as(t, log, Options{Edition: Public, Paper: read}))
	if n := strings.Count(public, "<img"); n != 1 {
		t.Errorf("the public edition shows %d photos, want the one", n)
	}
	for _, not := range []string{"palm", "Smith", "cellars", ".jpg", ".png", ".svg", "a name alone"} {
		if strings.Contains(public, not) {
			t.Errorf("the public edition has %q", not)
		}
	}
	if plain := htmlOf(t, as(t, log, Options{})); strings.Contains(plain, "img-src") || !strings.Contains(plain, "made without the files") {
		t.Error("a report made without the files shows some, or does not say so")
	}
}
