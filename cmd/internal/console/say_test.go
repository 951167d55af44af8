package console_test

import (
	"encoding/json"
	"io"
	"net/http"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"tankside/events"
)

// token is what a page shows with a post.
func (p *post) token(t testing.TB) string {
	t.Helper()
	res, err := p.Client().Get(p.URL)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	page, err := io.ReadAll(res.Body)
	if err != nil {
		t.Fatal(err)
	}
	m := regexp.MustCompile(`name="tankside-token" content="(\w+)"`).FindSubmatch(page)
	if m == nil {
		t.Fatalf("the page holds no token:\n%s", page)
	}
	return string(m[1])
}

// request makes a post as a page makes it.
func (p *post) request(t testing.TB, path, body string) *http.Request {
	t.Helper()
	return p.post(t, path, p.token(t), body)
}

// post makes a post with a token.
func (p *post) post(t testing.TB, path, token, body string) *http.Request {
	t.Helper()
	r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, p.URL+path, strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("Tankside-Token", token)
	return r
}

// do sends a request and returns status and body.
func (p *post) do(t testing.TB, r *http.Request) (int, string) {
	t.Helper()
	c := *p.Client()
	c.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	res, err := c.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	body, err := io.ReadAll(res.Body)
	if err != nil {
		t.Fatal(err)
	}
	return res.StatusCode, string(body)
}

// line is a line as a page posts it.
func line(id events.ID, text string, ago time.Duration) string {
	b, _ := json.Marshal(map[string]any{"id": id, "line": text, "ago": ago.Milliseconds(), "key": ""}) // strings and numbers
	return string(b)
}

func (p *post) entries(t testing.TB) (out []events.Recorded) {
	t.Helper()
	for r, err := range p.log.Read(t.Context(), 1) {
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, r)
	}
	return out
}

// TestSayTwice posts lines that were saved before, as a page does whose answer was
// lost, after other entries have changed what the line would be read as.
func TestSayTwice(t *testing.T) {
	p := quarryBend(t, "2025-10-14T23:41:20-05:00")
	before := len(p.entries(t))
	texts := []string{"pair 1 in 2980 3010", "p3 in at 2252, out 2306, from grounding", "a thing nobody has a word for", "r1 meter 338"}
	ids := make([]events.ID, len(texts))
	for i, text := range texts {
		ids[i] = events.NewID(time.Now())
		if status, body := p.do(t, p.request(t, "/say", line(ids[i], text, 0))); status != http.StatusOK {
			t.Fatalf("%q: %d %s", text, status, body)
		}
	}
	once := p.entries(t)
	for i, text := range texts {
		if status, body := p.do(t, p.request(t, "/say", line(ids[i], text, time.Minute))); status != http.StatusOK || !strings.Contains(body, "seqs") {
			t.Errorf("%q again: %d %s", text, status, body)
		}
	}
	if again := p.entries(t); len(again) != len(once) || len(once) < before+len(texts) {
		t.Errorf("%d entries before, %d after four lines, %d after the same again", before, len(once), len(again))
	}
	for i, text := range texts {
		if !slices.ContainsFunc(once, func(r events.Recorded) bool { return r.ID == ids[i] && r.Words == text && r.Grammar != "" }) {
			t.Errorf("no entry has the words %q, the id of the page and the version of the grammar", text)
		}
	}
}

// TestSayLater holds a line that a page kept while it was cut off to the time at which
// it was typed.
func TestSayLater(t *testing.T) {
	p := quarryBend(t, "2025-10-14T23:41:20-05:00")
	if status, body := p.do(t, p.request(t, "/say", line(events.NewID(time.Now()), "plugged c5", 12*time.Minute))); status != http.StatusOK {
		t.Fatalf("%d %s", status, body)
	}
	all := p.entries(t)
	want := p.hour.Load().Add(-12 * time.Minute)
	if got := all[len(all)-1]; !got.Occurred.At.Equal(want) || !got.Reported.Equal(want) {
		t.Errorf("happened %v, told %v, want %v", got.Occurred.At, got.Reported, want)
	}
}

func TestSayRefuses(t *testing.T) {
	p := busy(t)
	before := len(p.entries(t))
	used := p.entries(t)[0].ID
	for _, tt := range []struct {
		name, body string
		want       int
	}{
		{"no id", `{"line":"plugged c5"}`, http.StatusBadRequest},
		{"not JSON", `plugged c5`, http.StatusBadRequest},
		{"another field", `{"id":"` + string(used) + `","line":"x","seq":4}`, http.StatusBadRequest},
		{"nothing said", line(events.NewID(time.Now()), "  ", 0), http.StatusUnprocessableEntity},
		{"the id of another entry", line(used, "plugged c5", 0), http.StatusConflict},
		{"longer than any page", line(events.NewID(time.Now()), strings.Repeat("a", 100_000), 0), http.StatusBadRequest},
	} {
		status, body := p.do(t, p.request(t, "/say", tt.body))
		if status != tt.want || !strings.Contains(body, "why") {
			t.Errorf("%s: %d %s, want %d and why", tt.name, status, body, tt.want)
		}
	}
	if after := len(p.entries(t)); after != before {
		t.Errorf("%d entries, want %d as before", after, before)
	}
}
