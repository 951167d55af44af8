package console

import (
	"context"
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"tankside/cmd/internal/desk"
	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections"
)

// TestDeskOfGuests: a paired machine may comment, remark and add a finding of its own,
// under its own role; what decides, writes over, or signs is refused and leaves no entry,
// by the desk and by a typed line.
func TestDeskOfGuests(t *testing.T) {
	p := NewPairing()
	c := lanConsole(p)
	c.cfg.Signed = t.TempDir()
	c.cfg.Desk = desk.Room{Incident: c.cfg.Name, Catalogue: c.cfg.Catalogue, Now: c.cfg.Now,
		Fold: func(tl *events.Timeline) *projections.Incident { return projections.Fold(c.cfg.Catalogue, tl) }}
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	ended := make(chan error, 1)
	go func() { ended <- c.cfg.Live.Run(ctx) }()
	key, why := p.pair(p.Code(), "Monitoring leader", c.cfg.Wall())
	if why != "" {
		t.Fatal(why)
	}
	post := func(path string, body any) (int, deskAnswer) {
		text, err := json.Marshal(body)
		if err != nil {
			t.Fatal(err)
		}
		r := httptest.NewRequest(http.MethodPost, path, strings.NewReader(string(text)))
		r.RemoteAddr, r.Host = "192.0.2.9:5000", lanHost
		r.Header.Set(tokenHeader, c.token)
		r.AddCookie(&http.Cookie{Name: c.cookie(pairCookie), Value: key})
		w := httptest.NewRecorder()
		c.Handler().ServeHTTP(w, r)
		var a deskAnswer
		if err := json.Unmarshal(w.Body.Bytes(), &a); err != nil {
			t.Fatalf("%s answers %d %q", path, w.Code, w.Body)
		}
		return w.Code, a
	}
	id := func() string { return string(events.NewID(c.cfg.Now())) }
	for _, do := range []string{"take", "dismiss", "text", "action", "outcome", "state"} {
		if code, a := post("/desk/write", map[string]any{"do": do, "of": "cause", "text": "x", "why": "x", "id": id()}); code != http.StatusForbidden || a.Why == "" {
			t.Errorf("%s by a paired machine: %d, %+v", do, code, a)
		}
	}
	if code, _ := post("/desk/write", map[string]any{"do": "write", "name": "own-1", "text": "x", "id": id()}); code != http.StatusForbidden {
		t.Errorf("writing over a finding by a paired machine: %d", code)
	}
	if code, a := post("/desk/sign", signAsk{Name: "M", Role: "R"}); code != http.StatusForbidden || a.Why == "" {
		t.Errorf("signing by a paired machine: %d, %+v", code, a)
	}
	if code, a := post("/desk/write", map[string]any{"do": "comment", "role": "Chief", "text": "the deer is hearsay", "id": id()}); code != http.StatusOK || a.Seq != 1 {
		t.Errorf("a comment by a paired machine: %d, %+v", code, a)
	}
	entries, err := c.logged(t.Context())
	if err != nil || len(entries) != 1 {
		t.Fatalf("the log has %d entries, %v; want the comment alone", len(entries), err)
	}
	if k, ok := entries[0].Payload.(kinds.CommentMade); !ok || k.Role != "Monitoring leader" {
		t.Errorf("the comment is %+v, want it under the role that was paired", entries[0].Payload)
	}
	drafts := []events.Draft{{Payload: kinds.FindingDismissed{Finding: "x", Why: "y"}}, {Payload: kinds.ReportSigned{Name: "x"}}}
	if !adds(drafts) || drafts[0].Payload.Kind() != "note" || drafts[1].Payload.Kind() != "note" {
		t.Errorf("typed by a paired machine they become %+v, want notes", drafts)
	}
	stop()
	if err := <-ended; err != nil {
		t.Error(err)
	}
}
