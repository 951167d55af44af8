package console

import (
	"crypto/subtle"
	"io/fs"
	"net/http"
	"net/url"
	"slices"

	"tankside/templates"
)

// maxBody is the longest post in bytes: a notebook page is below 20 KB.
const maxBody = 64 << 10

// tokenHeader carries the token of the page with every post.
const tokenHeader = "Tankside-Token"

// policy lets a page load what this server has, and nothing inline: what somebody typed
// can never run.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; " +
	"form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// guard refuses what no page of ours would send: another host's name, as a site that
// points its name at this machine would use; a post from elsewhere; a long one.
func (c *Console) guard(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin") // under no-referrer a browser posts a form as from nowhere
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		r.Body = http.MaxBytesReader(w, r.Body, maxBody) // first of all: what follows may read it
		if !slices.Contains(c.cfg.Hosts, r.Host) {
			http.Error(w, "This console is not served under the name "+r.Host+".", http.StatusMisdirectedRequest)
			return
		}
		if site := r.Header.Get("Sec-Fetch-Site"); site == "cross-site" || site == "same-site" {
			if r.Method != http.MethodGet || r.Header.Get("Sec-Fetch-Mode") != "navigate" {
				http.Error(w, "This was asked by a page of another site.", http.StatusForbidden)
				return
			}
		}
		if r.Method == http.MethodPost && !c.fromPage(r) {
			http.Error(w, "This did not come from a page of this console; load the page again.", http.StatusForbidden)
			return
		}
		if !c.admits(w, r) {
			return
		}
		next.ServeHTTP(w, r)
	})
}

// fromPage reports whether a post comes from one of our pages.
func (c *Console) fromPage(r *http.Request) bool {
	if origin := r.Header.Get("Origin"); origin != "" {
		u, err := url.Parse(origin)
		if err != nil || u.Host != r.Host {
			return false
		}
	}
	given := r.Header.Get(tokenHeader)
	if given == "" && r.URL.Path == "/pair" {
		given = r.PostFormValue("token")
	}
	return subtle.ConstantTimeCompare([]byte(given), []byte(c.token)) == 1
}

// staticFiles serves style and scripts. They are built in and change only with the
// program.
func staticFiles() http.Handler {
	sub, err := fs.Sub(templates.Static, "static")
	if err != nil {
		panic(err) // the folder is built in
	}
	return http.StripPrefix("/static/", http.FileServerFS(sub))
}
