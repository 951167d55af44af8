package console

import (
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tankside/cmd/internal/desk"
	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections"
)

// TestDeskSignsWhatWasShown: a page that was shown another log of the same length signs
// nothing, and a signed report of another incident is not given out here.
func TestDeskSignsWhatWasShown(t *testing.T) {
	c := lanConsole(NewPairing())
	c.cfg.Signed = t.TempDir()
	c.cfg.Desk = desk.Room{Incident: c.cfg.Name, Catalogue: c.cfg.Catalogue, Now: c.cfg.Now,
		Fold: func(tl *events.Timeline) *projections.Incident { return projections.Fold(c.cfg.Catalogue, tl) }}
	now := c.cfg.Now()
	saved, err := c.cfg.Log.Append(t.Context(), events.Draft{ID: events.NewID(now), Incident: c.cfg.Name, Occurred: events.At(now), Reported: now, Channel: events.Typed, Payload: kinds.Note{Text: "on scene"}})
	if err != nil {
		t.Fatal(err)
	}
	ask := func(method, path string, body any) *httptest.ResponseRecorder {
		text, err := json.Marshal(body)
		if err != nil {
			t.Fatal(err)
		}
		r := httptest.NewRequest(method, path, strings.NewReader(string(text)))
		r.RemoteAddr, r.Host = "127.0.0.1:5000", "127.0.0.1:80"
		r.Header.Set(tokenHeader, c.token)
		w := httptest.NewRecorder()
		c.Handler().ServeHTTP(w, r)
		return w
	}
	if w := ask(http.MethodPost, "/desk/sign", signAsk{Name: "J. Rivera", Role: "IC", After: saved.Seq, Head: strings.Repeat("0", 64)}); w.Code != http.StatusConflict {
		t.Errorf("signing what was not shown: %d %s, want %d", w.Code, w.Body, http.StatusConflict)
	}
	for name, want := range map[string]int{"mill-hill-ab12-cd34.md": http.StatusNotFound, "quarry-bend-ab12-cd34.md": http.StatusOK} {
		if err := os.WriteFile(filepath.Join(c.cfg.Signed, name), []byte("x"), 0o600); err != nil {
			t.Fatal(err)
		}
		if w := ask(http.MethodGet, "/desk/signed/"+name, nil); w.Code != want {
			t.Errorf("%s: %d, want %d", name, w.Code, want)
		}
	}
}
