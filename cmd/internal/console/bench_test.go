package console_test

import (
	"bufio"
	"context"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"tankside/events"
)

// longPost serves a console over a log of n entries: Quarry Bend over and over, each
// time three days later.
func longPost(tb testing.TB, n int) *post {
	tb.Helper()
	short := script(tb, "quarry-bend")
	p := newPost(tb, "Quarry Bend", short[0].Reported)
	for round, done := 0, 0; done < n; round++ {
		shift := time.Duration(round) * 72 * time.Hour
		var batch []events.Draft
		for _, d := range short[:min(len(short), n-done)] {
			d.Occurred, d.Reported, d.Source = d.Occurred.Shift(shift), d.Reported.Add(shift), events.Source{}
			d.ID = events.ContentID(d.Occurred.At, string(d.ID), fmt.Sprint(round))
			batch = append(batch, d)
		}
		if _, err := p.log.AppendAll(tb.Context(), batch); err != nil {
			tb.Fatal(err)
		}
		done += len(batch)
		hour := batch[len(batch)-1].Reported.Add(time.Minute)
		p.hour.Store(&hour)
	}
	p.settle(tb)
	return p
}

// last is the number of the newest entry.
func (p *post) last() events.Seq {
	news := p.live.News()
	return news.Last()
}

// seen opens a feed and returns what waits until it has shown an entry among the latest.
func (p *post) seen(tb testing.TB) func(context.Context, events.Seq) error {
	tb.Helper()
	r, err := http.NewRequestWithContext(tb.Context(), http.MethodGet, p.URL+"/feed?page=board", http.NoBody)
	if err != nil {
		tb.Fatal(err)
	}
	res, err := p.Client().Do(r)
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() { res.Body.Close() })
	feed := bufio.NewScanner(res.Body)
	feed.Buffer(nil, 1<<20)
	return func(_ context.Context, seq events.Seq) error {
		for feed.Scan() {
			if strings.Contains(feed.Text(), fmt.Sprintf(`id="n%d"`, seq)) {
				return nil
			}
		}
		return feed.Err()
	}
}

// BenchmarkEnter times, from the post of a line to what the feed sends, how long a page
// waits for the line among the latest, for the state to hold it, for the board, and for
// all the rules to be held against it.
func BenchmarkEnter(b *testing.B) {
	for _, n := range []int{213, 1_000, 10_000} {
		p := longPost(b, n)
		token := p.token(b)
		for _, what := range []struct {
			name string
			wait func(context.Context, events.Seq) error
		}{{"line", p.seen(b)}, {"fold", p.live.Await}, {"board", p.live.AwaitBoard}, {"rules", p.live.AwaitScene}} {
			b.Run(fmt.Sprintf("%s/%d", what.name, n), func(b *testing.B) {
				var took []time.Duration
				for b.Loop() {
					b.StopTimer() // a scribe types more slowly than a board is worked out
					if err := p.live.AwaitScene(b.Context(), p.last()); err != nil {
						b.Fatal(err)
					}
					b.StartTimer()
					began := time.Now()
					r := p.post(b, "/say", token, line(events.NewID(began), "wind w 3", 0))
					if status, body := p.do(b, r); status != http.StatusOK {
						b.Fatal(status, body)
					}
					if err := what.wait(b.Context(), p.last()); err != nil {
						b.Fatal(err)
					}
					took = append(took, time.Since(began))
				}
				slices.Sort(took)
				b.ReportMetric(float64(took[len(took)*95/100].Microseconds())/1000, "ms-p95")
			})
		}
	}
}

// BenchmarkPreview times the preview of a line.
func BenchmarkPreview(b *testing.B) {
	for _, n := range []int{1_000, 10_000} {
		p := longPost(b, n)
		token := p.token(b)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				r := p.post(b, "/preview", token, url.Values{"line": {"pair 1 in 2980 3010"}, "caret": {"19"}}.Encode())
				r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
				if status, body := p.do(b, r); status != http.StatusOK || !strings.Contains(body, "reading clear") {
					b.Fatal(status, body)
				}
			}
		})
	}
}
