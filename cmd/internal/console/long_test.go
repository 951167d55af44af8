package console_test

import (
	"io"
	"net/http"
	"strings"
	"testing"
)

// TestLongLog bounds what the pages of a long log weigh, and says what they leave out; each
// leads to all of it.
func TestLongLog(t *testing.T) {
	if testing.Short() {
		t.Skip("a log of 4,000 entries")
	}
	p := longPost(t, 4000)
	get := func(path string) string {
		t.Helper()
		r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, p.URL+path, http.NoBody)
		if err != nil {
			t.Fatal(err)
		}
		res, err := p.Client().Do(r)
		if err != nil {
			t.Fatal(err)
		}
		defer res.Body.Close()
		text, err := io.ReadAll(res.Body)
		if err != nil || res.StatusCode != http.StatusOK {
			t.Fatal(path, res.StatusCode, err)
		}
		return string(text)
	}
	const most = 400_000 // bytes, before it is packed
	for _, tt := range []struct{ path, all, says string }{
		{"/product", "/product?q=all", ">Show all<"},
		{"/people", "/people?q=all", ">Show all<"},
		{"/desk", "/desk?at=findings&all=yes", ">show all<"},
	} {
		page, all := get(tt.path), get(tt.all)
		if len(page) > most || len(page) >= len(all) {
			t.Errorf("%s has %d bytes, want at most %d and less than all of it, %d", tt.path, len(page), most, len(all))
		}
		if !strings.Contains(page, tt.says) || strings.Contains(all, tt.says) {
			t.Errorf("%s has to say that something is not shown, and %s has not", tt.path, tt.all)
		}
	}
	for _, path := range []string{"/", "/story", "/due", "/far"} {
		if n := len(get(path)); n > most {
			t.Errorf("%s has %d bytes, want at most %d", path, n, most)
		}
	}
}
