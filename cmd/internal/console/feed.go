package console

import (
	"bytes"
	"fmt"
	"net/http"
	"strings"
	"time"

	"tankside/events"
	"tankside/projections/live"
)

// beat is how often a feed says that it is alive and brings the board up to the hour.
// A page that hears nothing for three of them says so.
const beat = 2 * time.Second

// writeTime is how long a feed waits for a reader that takes nothing.
const writeTime = 10 * time.Second

// feed sends a page what has changed on it, for as long as the page is open: at first
// everything, so a page that was away misses nothing. A new entry is sent at once, the
// board when it is worked out.
func (c *Console) feed(w http.ResponseWriter, r *http.Request) {
	p, ok := pageOf(r.URL.Query().Get("page"))
	if !ok {
		http.Error(w, "There is no such page.", http.StatusNotFound)
		return
	}
	w.Header().Set("Content-Type", "text/event-stream")
	f := &feeder{console: c, page: p, query: r.URL.Query().Get("q"), out: w, flush: http.NewResponseController(w), sent: map[string]string{}}
	tick := time.NewTicker(beat)
	defer tick.Stop()
	for due := true; ; {
		news := c.cfg.Live.News()
		if err := f.send(&news, due, c.code(r), c.others(r)); err != nil {
			return // the page is gone
		}
		if p.Line && fromHere(r) {
			c.See(news.Last())
		}
		select {
		case <-r.Context().Done():
			return
		case <-news.Changed:
			due = false
		case <-tick.C:
			due = true
		}
	}
}

// feeder sends to one page.
type feeder struct {
	console *Console
	page    page
	query   string // words that the story is narrowed to
	out     http.ResponseWriter
	flush   *http.ResponseController
	sent    map[string]string // by the part's id
	scene   *live.Scene       // the one that the board was made of
}

// send sends what differs from what was sent before, and when due that the feed lives.
func (f *feeder) send(news *live.News, due bool, code string, others []Other) error {
	var buf bytes.Buffer
	f.parts(&buf, f.console.execute("code", code), f.console.execute("others", others))
	if f.page.Line {
		f.parts(&buf, f.console.latest(news))
	}
	if news.Scene != f.scene {
		f.scene = news.Scene
		v := f.console.view(news.Scene)
		v.Query = f.query
		f.parts(&buf, f.console.parts(f.page, v)...)
	}
	pulse := ""
	if due || buf.Len() > 0 {
		pulse = f.console.pulse(news)
	}
	return f.write(news.Last(), buf.String(), pulse)
}

// parts writes those parts that are not on the page as they are. At first that is every
// one, an empty one too: the page may show what was there before it was cut off.
func (f *feeder) parts(buf *bytes.Buffer, parts ...part) {
	for _, p := range parts {
		if was, sent := f.sent[p.id]; !sent || was != p.html {
			f.sent[p.id] = p.html
			fmt.Fprintf(buf, `<hx-partial hx-target="#%s" hx-swap="innerMorph">%s</hx-partial>`, p.id, p.html)
		}
	}
}

// write sends one message and, where there is one, the pulse.
func (f *feeder) write(seq events.Seq, html, pulse string) error {
	if err := f.flush.SetWriteDeadline(f.console.cfg.Wall().Add(writeTime)); err != nil {
		return err
	}
	if html == "" && pulse == "" {
		return nil
	}
	var b strings.Builder
	if html != "" {
		fmt.Fprintf(&b, "id: %d\n", seq)
		for line := range strings.Lines(strings.ReplaceAll(html, "\r", " ")) {
			b.WriteString("data: " + strings.TrimSuffix(line, "\n") + "\n")
		}
		b.WriteString("\n")
	}
	if pulse != "" {
		b.WriteString("event: pulse\ndata: " + pulse + "\n\n")
	}
	if _, err := f.out.Write([]byte(b.String())); err != nil {
		return err
	}
	return f.flush.Flush()
}
