package console_test

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"tankside/events"
)

// TestForeignPages tries what a page of another site, or a name that points at this
// machine, would try.
func TestForeignPages(t *testing.T) {
	p := busy(t)
	before := len(p.entries(t))
	for _, tt := range []struct {
		name   string
		change func(*http.Request)
		want   int
	}{
		{"no token", func(r *http.Request) { r.Header.Del("Tankside-Token") }, http.StatusForbidden},
		{"another token", func(r *http.Request) { r.Header.Set("Tankside-Token", "A") }, http.StatusForbidden},
		{"another origin", func(r *http.Request) { r.Header.Set("Origin", "https://elsewhere.example") }, http.StatusForbidden},
		{"an origin that hides", func(r *http.Request) { r.Header.Set("Origin", "null") }, http.StatusForbidden},
		{"sent by another site", func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "cross-site") }, http.StatusForbidden},
		{"another name for this machine", func(r *http.Request) { r.Host = "elsewhere.example" }, http.StatusMisdirectedRequest},
	} {
		r := p.request(t, "/say", line(events.NewID(time.Now()), "plugged c5", 0))
		tt.change(r)
		if status, body := p.do(t, r); status != tt.want {
			t.Errorf("%s: %d %s, want %d", tt.name, status, body, tt.want)
		}
	}
	for _, path := range []string{"/", "/feed?page=board", "/part?page=board", "/static/console.css"} {
		r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, p.URL+path, http.NoBody)
		if err != nil {
			t.Fatal(err)
		}
		r.Host = "elsewhere.example"
		if status, _ := p.do(t, r); status != http.StatusMisdirectedRequest {
			t.Errorf("GET %s under another name: %d, want %d", path, status, http.StatusMisdirectedRequest)
		}
	}
	if after := len(p.entries(t)); after != before {
		t.Errorf("%d entries, want %d as before", after, before)
	}
}

func TestPolicy(t *testing.T) {
	p := busy(t)
	for _, path := range append(addresses, "/static/line.js") {
		res, err := p.Client().Get(p.URL + path)
		if err != nil {
			t.Fatal(err)
		}
		res.Body.Close()
		policy := res.Header.Get("Content-Security-Policy")
		if !strings.Contains(policy, "default-src 'none'") || strings.Contains(policy, "unsafe") || strings.Contains(policy, "*") {
			t.Errorf("%s: policy %q", path, policy)
		}
		if res.StatusCode != http.StatusOK || res.Header.Get("X-Content-Type-Options") != "nosniff" || res.Header.Get("Cache-Control") != "no-store" {
			t.Errorf("%s: status %d, headers %v", path, res.StatusCode, res.Header)
		}
	}
}
