package console

import (
	"crypto/rand"
	"crypto/subtle"
	"encoding/binary"
	"fmt"
	"net"
	"net/http"
	"strings"
	"sync"
	"time"
)

// pairCookie carries what a paired machine shows with every request.
const pairCookie = "tankside-paired"

// wrongCodes is how many wrong codes are taken before a new one is made and none is
// taken for the time shutFor. With a million codes, whoever guesses all day without a
// rest, 7200 times, gets in on one day of 139.
const (
	wrongCodes = 5
	shutFor    = time.Minute
)

// pairedFor is how long a paired machine stays paired: an operation and a relief.
const pairedFor = 24 * time.Hour

// Pairing lets other machines of the scene in. One that is not known has to show the
// code that stands on the scribe's screen; this machine itself needs none.
type Pairing struct {
	mu    sync.Mutex
	code  string
	wrong int
	shut  time.Time         // no code is taken before that
	keys  map[string]paired // by what the machine shows
}

// paired is another machine that was let in.
type paired struct {
	role  string // it writes under
	until time.Time
}

// NewPairing returns a pairing that knows no machine yet.
func NewPairing() *Pairing { return &Pairing{code: newCode(), keys: map[string]paired{}} }

// newCode makes six digits by chance.
func newCode() string {
	var b [8]byte
	_, _ = rand.Read(b[:]) // never fails
	return fmt.Sprintf("%06d", binary.BigEndian.Uint64(b[:])%1_000_000)
}

// Code is what another machine has to show. It is used up by the one that shows it.
func (p *Pairing) Code() string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.code
}

// pair takes a code at the hour now and returns what the machine shows from then on, or
// why it is not let in. Every code that was used or guessed at too often is replaced.
func (p *Pairing) pair(code, role string, now time.Time) (key, why string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if now.Before(p.shut) {
		return "", "Five wrong codes have come. Wait a minute, then type the code that stands on the scribe's screen."
	}
	if subtle.ConstantTimeCompare([]byte(code), []byte(p.code)) != 1 {
		if p.wrong++; p.wrong >= wrongCodes {
			p.code, p.wrong, p.shut = newCode(), 0, now.Add(shutFor)
		}
		return "", "That is not the code on the scribe's screen now. After five wrong ones it changes."
	}
	p.code, p.wrong = newCode(), 0
	key = rand.Text()
	p.keys[key] = paired{role, now.Add(pairedFor)}
	return key, ""
}

// role is under which role the machine that shows key writes at the hour now, "" where it
// is not paired.
func (p *Pairing) role(key string, now time.Time) string {
	p.mu.Lock()
	defer p.mu.Unlock()
	if k := p.keys[key]; now.Before(k.until) {
		return k.role
	}
	return ""
}

// key is what a machine shows to say that it was let into this incident, "" where it
// shows nothing.
func (c *Console) key(r *http.Request) string {
	shown, err := r.Cookie(c.cookie(pairCookie))
	if err != nil {
		return ""
	}
	return shown.Value
}

// role is under which role a paired machine writes, "" for any other.
func (c *Console) role(r *http.Request) string {
	if c.cfg.Pairing == nil {
		return ""
	}
	return c.cfg.Pairing.role(c.key(r), c.cfg.Wall())
}

// code is the code for the scribe's screen, and for no other.
func (c *Console) code(r *http.Request) string {
	if c.cfg.Pairing == nil || !fromHere(r) {
		return ""
	}
	return c.cfg.Pairing.Code()
}

// fromHere reports whether a request comes from this machine.
func fromHere(r *http.Request) bool {
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	ip := net.ParseIP(host)
	return err == nil && ip != nil && ip.IsLoopback()
}

// admits lets a request pass that comes from this machine or from a paired one. Another
// is shown where to pair; it gets to see nothing of the incident.
func (c *Console) admits(w http.ResponseWriter, r *http.Request) bool {
	if fromHere(r) {
		return true
	}
	p := c.cfg.Pairing
	switch {
	case p == nil:
		http.Error(w, "This console is open to its own machine only.", http.StatusForbidden)
		return false
	case c.role(r) != "" || r.URL.Path == "/pair" || strings.HasPrefix(r.URL.Path, "/static/"):
		return true
	case r.Method == http.MethodGet:
		http.Redirect(w, r, "/pair", http.StatusSeeOther)
	default:
		http.Error(w, "This machine is not paired; open /pair.", http.StatusForbidden)
	}
	return false
}

// pairing is what the pairing page shows.
type pairing struct{ Token, Why string }

func (c *Console) pairPage(w http.ResponseWriter, _ *http.Request) { c.showPairing(w, "") }

func (c *Console) showPairing(w http.ResponseWriter, why string) {
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	if why != "" {
		w.WriteHeader(http.StatusForbidden)
	}
	if err := c.pages.ExecuteTemplate(w, "pair", pairing{c.token, why}); err != nil {
		c.cfg.Program.Error("pairing page", "err", err)
	}
}

// pair takes the code that somebody typed on another machine.
func (c *Console) pair(w http.ResponseWriter, r *http.Request) {
	role := strings.TrimSpace(r.PostFormValue("role"))
	if role == "" || len(role) > 60 {
		c.showPairing(w, "Say under which role you write, in a few words: Monitoring leader.")
		return
	}
	code := strings.ReplaceAll(r.PostFormValue("code"), " ", "") // "123 456" is read out so
	key, why := c.cfg.Pairing.pair(code, role, c.cfg.Wall())
	if why != "" {
		c.showPairing(w, why)
		return
	}
	http.SetCookie(w, &http.Cookie{
		Name: c.cookie(pairCookie), Value: key, Path: "/", MaxAge: int(pairedFor.Seconds()), HttpOnly: true, Secure: true, SameSite: http.SameSiteStrictMode,
	})
	c.cfg.Program.Info("machine paired", "role", role, "from", r.RemoteAddr)
	http.Redirect(w, r, "/", http.StatusSeeOther)
}
