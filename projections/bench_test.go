package projections

import (
	"fmt"
	"runtime"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/kinds"
)

// longLog is an incident of n entries: Quarry Bend over and over, each time three
// days later, as stored bytes.
func longLog(tb testing.TB, n int) [][]byte {
	tb.Helper()
	c := kinds.Catalogue()
	short := recorded(tb, "quarry-bend")
	out := make([][]byte, 0, n)
	var prev *events.Recorded
	for round := 0; len(out) < n; round++ {
		shift := time.Duration(round) * 72 * time.Hour
		for i := range short {
			if len(out) == n {
				break
			}
			d := short[i].Draft
			d.Occurred, d.Reported = d.Occurred.Shift(shift), d.Reported.Add(shift)
			d.ID = events.ContentID(d.Occurred.At, string(d.ID), fmt.Sprint(round))
			d.Source = events.Source{}
			r, err := c.Seal(d, "node", prev, d.Reported)
			if err != nil {
				tb.Fatal(err)
			}
			out, prev = append(out, r.Raw), &r
		}
	}
	return out
}

// replay opens stored bytes, puts the entries in order and folds them.
func replay(tb testing.TB, log [][]byte) *Incident {
	tb.Helper()
	c := kinds.Catalogue()
	entries := make([]events.Recorded, len(log))
	for i, raw := range log {
		r, err := c.Open(raw)
		if err != nil {
			tb.Fatal(err)
		}
		entries[i] = r
	}
	return Fold(c, c.NewTimeline(entries, events.View{}))
}

// BenchmarkReplayFold replays and folds logs of three lengths. It reports entries a
// second by the clock and by processor time, and the processor time of an entry as a
// multiple of the shortest log's: 1 is linear.
func BenchmarkReplayFold(b *testing.B) {
	shortest := 0.0
	for _, n := range []int{10_000, 100_000, 1_000_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			log := longLog(b, n)
			runtime.GC() // the making of the log is not what is measured
			before := cpuTime()
			for b.Loop() {
				if inc := replay(b, log); inc.Entries != n {
					b.Fatalf("%d entries folded, want %d", inc.Entries, n)
				}
			}
			entries := float64(b.N) * float64(n)
			each := (cpuTime() - before).Seconds() / entries
			if shortest == 0 {
				shortest = each
			}
			b.ReportMetric(entries/b.Elapsed().Seconds(), "entries/s")
			b.ReportMetric(1/each, "entries/cpu-s")
			b.ReportMetric(each/shortest, "x-shortest")
			b.ReportMetric(0, "ns/op")
		})
	}
}

// BenchmarkVolumeState works the product out of a long incident, its trucks
// reconciled one by one.
func BenchmarkVolumeState(b *testing.B) {
	for _, n := range []int{1_000, 10_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			inc := replay(b, longLog(b, n))
			for b.Loop() {
				if s := inc.Volume.State(inc.AsOf); len(s.Reconciled) == 0 {
					b.Fatal("nothing reconciled")
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/entry")
		})
	}
}
