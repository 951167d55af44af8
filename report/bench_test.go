package report

import (
	"fmt"
	"io"
	"slices"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections"
)

// repeated is a log of n entries: the Quarry Bend incident again and again, each
// time twelve hours later.
func repeated(t testing.TB, n int) []events.Recorded {
	t.Helper()
	once := incident(t, "quarry-bend.csv", "Quarry Bend")
	var drafts []events.Draft
	for round := 0; len(drafts) < n; round++ {
		shift := time.Duration(round) * 12 * time.Hour
		for _, r := range once[:min(len(once), n-len(drafts))] {
			d := r.Draft
			d.ID = events.ContentID(d.Occurred.At, fmt.Sprint(round), string(r.ID))
			d.Occurred, d.Reported = d.Occurred.Shift(shift), d.Reported.Add(shift)
			drafts = append(drafts, d)
		}
	}
	return sealed(t, drafts)
}

// BenchmarkReport makes the report of a long log: the document from the folded
// state, its Markdown, and its page.
func BenchmarkReport(b *testing.B) {
	for _, n := range []int{1000, 10_000} {
		recorded := slices.Clone(repeated(b, n))
		c := kinds.Catalogue()
		tl := c.NewTimeline(recorded, events.View{})
		inc := projections.Fold(c, tl)
		b.Run(fmt.Sprintf("entries=%d/build", n), func(b *testing.B) {
			for b.Loop() {
				Build(c, inc, tl, made)
			}
		})
		d := Build(c, inc, tl, made)
		b.Run(fmt.Sprintf("entries=%d/markdown", n), func(b *testing.B) {
			for b.Loop() {
				if err := d.Markdown(io.Discard); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(fmt.Sprintf("entries=%d/all", n), func(b *testing.B) {
			for b.Loop() {
				if err := HTML(io.Discard, Build(c, inc, tl, made)); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
