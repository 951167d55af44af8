package report

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/intake"
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

// things are the names of legs, trucks and compartments.
var things = regexp.MustCompile(`\b([LRVC])(\d)`)

// tenfold is a demonstration ten times over, each time twelve hours later, with ten times
// its trucks, legs and compartments: the same truck filled ten times would be the work of
// finding out what is wrong with it.
func tenfold(t testing.TB, file, name string) []events.Recorded {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "testdata", "incidents", file))
	if err != nil {
		t.Fatal(err)
	}
	var drafts []events.Draft
	for round := range 10 {
		of := things.ReplaceAll(text, fmt.Appendf(nil, "${1}%d$2", round+1))
		got, err := intake.CSV(bytes.NewReader(of), intake.Options{Catalogue: kinds.Catalogue(), Incident: name, Name: file})
		if err != nil || len(got.Faults) > 0 {
			t.Fatalf("%s: %v, faults %v", file, err, got.Faults)
		}
		shift := time.Duration(round) * 12 * time.Hour
		for _, d := range got.Drafts {
			d.ID = events.ContentID(d.Occurred.At, fmt.Sprint(round), string(d.ID))
			d.Occurred, d.Reported = d.Occurred.Shift(shift), d.Reported.Add(shift)
			drafts = append(drafts, d)
		}
	}
	return sealed(t, drafts)
}

// BenchmarkTenfold makes the page of each demonstration at ten times its size, from the
// folded state; the pictures are in it, and are measured by themselves as well.
func BenchmarkTenfold(b *testing.B) {
	for _, tt := range pictured {
		c := kinds.Catalogue()
		tl := c.NewTimeline(tenfold(b, tt.file, tt.name), events.View{})
		inc := projections.Fold(c, tl)
		b.Run(tt.name+"/all", func(b *testing.B) {
			for b.Loop() {
				if err := HTML(io.Discard, Build(c, inc, tl, made)); err != nil {
					b.Fatal(err)
				}
			}
		})
		d := Build(c, inc, tl, made)
		b.Run(tt.name+"/pictures", func(b *testing.B) {
			for b.Loop() {
				d.pictures()
			}
		})
	}
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
