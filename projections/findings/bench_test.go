package findings

import (
	"testing"
	"time"

	"os"
	"path/filepath"
	"tankside/events"
	"tankside/events/intake"
	"tankside/events/kinds"
	"tankside/projections"
)

// long is an incident of n entries: the same night over and over, each ten hours
// after the one before, in one log.
func long(b *testing.B, n int) []events.Recorded {
	b.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "incidents", "quarry-bend.csv"))
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	got, err := intake.CSV(f, intake.Options{Catalogue: kinds.Catalogue(), Incident: "Long", Name: "quarry-bend.csv"})
	if err != nil {
		b.Fatal(err)
	}
	var drafts []events.Draft
	for night := 0; len(drafts) < n; night++ {
		for _, d := range got.Drafts {
			shift := time.Duration(night) * 10 * time.Hour
			d.Occurred.At, d.Reported = d.Occurred.At.Add(shift), d.Reported.Add(shift)
			d.ID = events.ContentID(d.Occurred.At, string(d.ID), "night", "", "")
			drafts = append(drafts, d)
		}
	}
	return sealed(b, drafts[:n])
}

// BenchmarkJudge10000 times the rules over a long incident, each time over a copy that
// has nothing worked out yet: all of them, those of time alone, and all of them with the
// state that a board shows after them.
func BenchmarkJudge10000(b *testing.B) {
	entries := long(b, 10_000)
	c, book := kinds.Catalogue(), Defaults()
	tl := c.NewTimeline(entries, events.View{})
	inc := projections.Fold(c, tl)
	b.Run("all", func(b *testing.B) {
		for b.Loop() {
			fresh := *inc
			Judge(&fresh, tl, book)
			if len(fresh.Findings) == 0 {
				b.Fatal("nothing found")
			}
		}
	})
	b.Run("time", func(b *testing.B) {
		for b.Loop() {
			fresh := *inc
			Time(&fresh, tl, book)
		}
	})
	b.Run("scene", func(b *testing.B) {
		for b.Loop() {
			fresh := *inc
			Judge(&fresh, tl, book)
			if s := fresh.State(); len(s.Findings) == 0 {
				b.Fatal("nothing found")
			}
		}
	})
}
