package console_test

import (
	"fmt"
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
