package console

import (
	"cmp"
	"context"
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"os"
	"sync"
	"time"

	"tankside/events"
)

// draftEvery is how often half-typed lines are written to the disk: a power cut costs
// what was typed since. The page's own store is quicker, but a browser may keep what it
// was told for some seconds before its disk has it.
const draftEvery = time.Second

// browserCookie tells one browser from another, for the line it was typing.
const browserCookie = "tankside-browser"

// cookie is the name of a cookie of this incident. A browser sends a cookie to every port
// of a machine: those of two incidents must not have one name.
func (c *Console) cookie(name string) string { return name + "-" + events.IncidentID(c.cfg.Name) }

// mostDrafts is how many browsers' lines are kept; the oldest goes first.
const mostDrafts = 50

// mostTexts is how many half-written texts of the desk are kept, of all browsers.
const mostTexts = 500

// browserOf is the browser that asks, "" where it shows no name yet.
func (c *Console) browserOf(r *http.Request) string {
	shown, err := r.Cookie(c.cookie(browserCookie))
	if err != nil {
		return ""
	}
	return shown.Value
}

// known gives a browser a name that it keeps, or finds the one it has.
func (c *Console) known(w http.ResponseWriter, r *http.Request) string {
	name := c.browserOf(r)
	if name == "" {
		name = rand.Text()
		http.SetCookie(w, &http.Cookie{
			Name: c.cookie(browserCookie), Value: name, Path: "/", MaxAge: int((30 * 24 * time.Hour).Seconds()), HttpOnly: true,
			Secure: r.TLS != nil, SameSite: http.SameSiteStrictMode,
		})
	}
	return name
}

// drafts are the lines that are being typed, by browser.
type drafts struct {
	mu    sync.Mutex
	lines map[string]draft
	most  int // the oldest beyond that goes; 0 stands for mostDrafts
	dirty bool
}

// draft is a half-typed line.
type draft struct {
	Line string    `json:"line"`
	At   time.Time `json:"at"`
}

// keep takes down how far a line has come.
func (d *drafts) keep(browser, line string, at time.Time) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if browser == "" || d.lines[browser].Line == line {
		return
	}
	d.dirty = true
	if line == "" {
		delete(d.lines, browser)
		return
	}
	d.lines[browser] = draft{line, at}
	if len(d.lines) > cmp.Or(d.most, mostDrafts) {
		oldest := browser
		for b, l := range d.lines {
			if l.At.Before(d.lines[oldest].At) {
				oldest = b
			}
		}
		delete(d.lines, oldest)
	}
}

// sent forgets a line that is saved: shown again it would be sent again.
func (d *drafts) sent(browser, line string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.lines[browser].Line == line {
		delete(d.lines, browser)
		d.dirty = true
	}
}

// of returns the line that was being typed in a browser.
func (d *drafts) of(browser string) draft {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.lines[browser]
}

// ReadDrafts takes up the half-typed lines that the last run left in a file. It is to be
// called before the first page is asked for.
func (c *Console) ReadDrafts(file string) error {
	return errors.Join(c.drafts.read(file), c.texts.read(textsFile(file)))
}

// textsFile is where the half-written texts of the desk lie, beside the lines.
func textsFile(lines string) string { return lines + "-desk" }

// KeepDrafts writes the half-typed lines to a file until ctx ends.
func (c *Console) KeepDrafts(ctx context.Context, file string) error {
	write := func() error { return errors.Join(c.drafts.write(file), c.texts.write(textsFile(file))) }
	tick := time.NewTicker(draftEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return write()
		case <-tick.C:
		}
		if err := write(); err != nil {
			c.cfg.Program.Warn("half-typed line", "err", err) // the page has it too
		}
	}
}

func (d *drafts) read(file string) error {
	text, err := os.ReadFile(file)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	if err == nil {
		if json.Unmarshal(text, &d.lines) != nil || d.lines == nil { // cut off by a power cut
			d.lines = map[string]draft{}
		}
		return nil
	}
	return fmt.Errorf("console: half-typed lines: %w", err)
}

// write writes what changed since the last time, beside the file and then in its place,
// so that a power cut leaves the one or the other. What could not be written is written
// the next time.
func (d *drafts) write(file string) error {
	d.mu.Lock()
	text, err := json.Marshal(d.lines)
	dirty := d.dirty
	d.dirty = false
	d.mu.Unlock()
	if !dirty || err != nil {
		return err
	}
	if err := replace(file, text); err != nil {
		d.mu.Lock()
		d.dirty = true
		d.mu.Unlock()
		return fmt.Errorf("console: half-typed lines: %w", err)
	}
	return nil
}

// replace puts text in the place of a file.
func replace(file string, text []byte) error {
	f, err := os.OpenFile(file+".new", os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o600)
	if err != nil {
		return err
	}
	_, err = f.Write(text)
	if err := errors.Join(err, f.Sync(), f.Close()); err != nil {
		return err
	}
	return os.Rename(file+".new", file)
}
