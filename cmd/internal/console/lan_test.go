package console

import (
	"crypto/x509"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/memlog"
	"tankside/projections"
	"tankside/projections/live"
)

const lanHost = "192.0.2.7:8443"

// lanConsole is a console that lets other machines in.
func lanConsole(p *Pairing) *Console {
	now := func() time.Time { return time.Date(2025, 10, 14, 23, 41, 20, 0, time.UTC) }
	c := kinds.Catalogue()
	log := memlog.New(c, "Quarry Bend", "node", now)
	f := live.New(live.Config{Log: log, Catalogue: c, Now: now, Wall: now, Fold: func(tl *events.Timeline) *projections.Incident { return projections.Fold(c, tl) }})
	return New(Config{Log: log, Name: "Quarry Bend", Live: f, Catalogue: c, Now: now, Wall: now, Hosts: []string{lanHost, "127.0.0.1:80"}, Scribe: "Scribe", Pairing: p})
}

// from asks as a machine at an address does, showing a cookie where it has one.
func from(address string, c *Console, method, path string, form url.Values, cookie *http.Cookie) *http.Response {
	r := httptest.NewRequest(method, path, strings.NewReader(form.Encode()))
	r.RemoteAddr, r.Host = address, lanHost
	if method == http.MethodPost {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	if cookie != nil {
		r.AddCookie(cookie)
	}
	w := httptest.NewRecorder()
	c.Handler().ServeHTTP(w, r)
	return w.Result()
}

func TestUnpairedSeesNothing(t *testing.T) {
	c := lanConsole(NewPairing())
	for _, path := range []string{"/", "/far", "/story", "/part?page=board", "/feed?page=board"} {
		if res := from("192.0.2.9:5000", c, http.MethodGet, path, nil, nil); res.StatusCode != http.StatusSeeOther || res.Header.Get("Location") != "/pair" {
			t.Errorf("GET %s unpaired: %s to %q, want to /pair", path, res.Status, res.Header.Get("Location"))
		}
	}
	for _, path := range []string{"/say", "/preview"} {
		if res := from("192.0.2.9:5000", c, http.MethodPost, path, url.Values{"token": {c.token}}, nil); res.StatusCode != http.StatusForbidden {
			t.Errorf("POST %s unpaired: %s", path, res.Status)
		}
	}
	if res := from("127.0.0.1:5000", c, http.MethodGet, "/", nil, nil); res.StatusCode != http.StatusOK {
		t.Errorf("this machine itself: %s", res.Status)
	}
	if res := from("192.0.2.9:5000", lanConsole(nil), http.MethodGet, "/", nil, nil); res.StatusCode != http.StatusForbidden {
		t.Errorf("another machine where none may come: %s", res.Status)
	}
}

func TestPairing(t *testing.T) {
	p := NewPairing()
	c := lanConsole(p)
	code := p.Code()
	pair := func(code string) *http.Response {
		return from("192.0.2.9:5000", c, http.MethodPost, "/pair", url.Values{"token": {c.token}, "code": {code}, "role": {"Monitoring leader"}}, nil)
	}
	if res := pair("no code"); res.StatusCode != http.StatusForbidden || len(res.Cookies()) > 0 {
		t.Errorf("a wrong code: %s, cookies %v", res.Status, res.Cookies())
	}
	res := pair(code)
	if res.StatusCode != http.StatusSeeOther || len(res.Cookies()) != 1 {
		t.Fatalf("the right code: %s, cookies %v", res.Status, res.Cookies())
	}
	key := res.Cookies()[0]
	if !key.Secure || !key.HttpOnly || key.SameSite != http.SameSiteStrictMode {
		t.Errorf("the cookie is %v", key)
	}
	if res := from("192.0.2.9:5001", c, http.MethodGet, "/", nil, key); res.StatusCode != http.StatusOK {
		t.Errorf("paired: %s", res.Status)
	}
	for address, want := range map[string]bool{"127.0.0.1:5000": true, "192.0.2.9:5001": false} {
		res := from(address, c, http.MethodGet, "/", nil, key)
		page, err := io.ReadAll(res.Body)
		if err != nil || strings.Contains(string(page), p.Code()) != want {
			t.Errorf("the page for %s shows the code: %v, want %v (%v)", address, !want, want, err)
		}
	}
	r := httptest.NewRequest(http.MethodPost, "/say", http.NoBody)
	r.AddCookie(key)
	if got := c.writer(r); got != "Monitoring leader" {
		t.Errorf("a paired machine writes as %q", got)
	}
	if res := pair(code); res.StatusCode != http.StatusForbidden {
		t.Errorf("a code used twice: %s", res.Status)
	}
}

// TestGuessedCode holds guessing to a few tries a code.
func TestGuessedCode(t *testing.T) {
	now := time.Date(2025, 10, 14, 23, 41, 20, 0, time.UTC)
	p := NewPairing()
	code := p.Code()
	for range wrongCodes {
		p.pair("wrong", "x", now)
	}
	fresh := p.Code()
	if key, _ := p.pair(code, "x", now.Add(shutFor)); fresh == code || key != "" {
		t.Errorf("after %d wrong codes the code still is %s", wrongCodes, code)
	}
	p = NewPairing()
	for range wrongCodes {
		p.pair("wrong", "x", now)
	}
	fresh = p.Code()
	if key, why := p.pair(fresh, "x", now.Add(shutFor-time.Second)); key != "" || !strings.Contains(why, "Wait") {
		t.Errorf("right after %d wrong codes a code is taken: %q", wrongCodes, why)
	}
	if key, why := p.pair(fresh, "x", now.Add(shutFor)); key == "" {
		t.Errorf("a minute after %d wrong codes: %s", wrongCodes, why)
	}
}

func TestCertificate(t *testing.T) {
	now := time.Date(2025, 10, 14, 23, 41, 20, 0, time.UTC)
	cert, print, err := Certificate(now, []net.IP{net.ParseIP("192.0.2.7")})
	if err != nil {
		t.Fatal(err)
	}
	x, err := x509.ParseCertificate(cert.Certificate[0])
	if err != nil {
		t.Fatal(err)
	}
	if err := x.VerifyHostname("192.0.2.7"); err != nil || len(print) < 20 || !now.After(x.NotBefore) || !now.Add(48*time.Hour).Before(x.NotAfter) || x.IsCA {
		t.Errorf("certificate for 192.0.2.7: %v; %q, %v to %v, authority %v", err, print, x.NotBefore, x.NotAfter, x.IsCA)
	}
}

// TestPairedWithOne: a machine that was let into one incident shows that to the other too,
// as a browser does with cookies of one host; it is not let in there.
func TestPairedWithOne(t *testing.T) {
	p := NewPairing()
	a, b := lanConsole(p), lanConsole(NewPairing())
	b.cfg.Name = "Mill Hill"
	res := from("192.0.2.9:5000", a, http.MethodPost, "/pair", url.Values{"token": {a.token}, "code": {p.Code()}, "role": {"Leader"}}, nil)
	if res.StatusCode != http.StatusSeeOther || len(res.Cookies()) != 1 {
		t.Fatalf("paired: %s", res.Status)
	}
	shown := res.Cookies()[0]
	if res := from("192.0.2.9:5000", a, http.MethodGet, "/", nil, shown); res.StatusCode != http.StatusOK {
		t.Errorf("into the one: %s", res.Status)
	}
	if res := from("192.0.2.9:5000", b, http.MethodGet, "/", nil, shown); res.StatusCode != http.StatusSeeOther {
		t.Errorf("into the other: %s, want it sent to pair", res.Status)
	}
	if res := from("192.0.2.9:5000", b, http.MethodGet, "/", nil, &http.Cookie{Name: b.cookie(pairCookie), Value: shown.Value}); res.StatusCode != http.StatusSeeOther {
		t.Errorf("into the other by the other's name: %s, want it sent to pair", res.Status)
	}
}
