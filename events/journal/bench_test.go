package journal

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/logtest"
)

// BenchmarkAppend saves entries in both places, with a raw write and flush of the
// same bytes measured between them in the same run. x-raw is the ratio of the
// medians; the limit that the project set itself is 3.
func BenchmarkAppend(b *testing.B) {
	j, err := Open(b.Context(), testConfig(b.TempDir()))
	if err != nil {
		b.Fatal(err)
	}
	defer j.Close()
	l, err := j.Log(logtest.Incident)
	if err != nil {
		b.Fatal(err)
	}
	f, err := os.Create(filepath.Join(b.TempDir(), "raw"))
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	var saved, raw []time.Duration
	for n := 0; b.Loop(); n++ {
		at := time.Now()
		r, err := l.Append(b.Context(), logtest.Draft(n))
		if err != nil {
			b.Fatal(err)
		}
		saved = append(saved, time.Since(at))
		line := append(bytes.Clone(r.Raw), '\n')
		at = time.Now()
		if _, err := f.Write(line); err != nil {
			b.Fatal(err)
		}
		if err := f.Sync(); err != nil {
			b.Fatal(err)
		}
		raw = append(raw, time.Since(at))
	}
	b.ReportMetric(float64(median(saved).Microseconds()), "µs-append-p50")
	b.ReportMetric(float64(median(raw).Microseconds()), "µs-raw-p50")
	b.ReportMetric(float64(median(saved))/float64(median(raw)), "x-raw")
}

// BenchmarkRawWriteFsync writes and flushes the bytes of one entry: the least that a
// durable log can cost.
func BenchmarkRawWriteFsync(b *testing.B) {
	r, err := logtest.Catalogue().Seal(logtest.Draft(1), "node", nil, logtest.Clock()())
	if err != nil {
		b.Fatal(err)
	}
	f, err := os.Create(filepath.Join(b.TempDir(), "raw"))
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	for b.Loop() {
		if _, err := f.Write(r.Raw); err != nil {
			b.Fatal(err)
		}
		if err := f.Sync(); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkImport saves entries by batches of 1000 and reads them back.
func BenchmarkImport(b *testing.B) {
	for _, n := range []int{1_000, 10_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			ds := logtest.Drafts(1, n)
			for b.Loop() {
				importAndRead(b, ds)
			}
			b.ReportMetric(float64(n)*float64(b.N)/b.Elapsed().Seconds(), "entries/s")
		})
	}
}

func importAndRead(b *testing.B, ds []events.Draft) {
	j, err := Open(b.Context(), testConfig(b.TempDir()))
	if err != nil {
		b.Fatal(err)
	}
	defer j.Close()
	l, err := j.Log(logtest.Incident)
	if err != nil {
		b.Fatal(err)
	}
	if _, err := l.AppendAll(b.Context(), ds); err != nil {
		b.Fatal(err)
	}
	if rs, err := logtest.Collect(l.Read(b.Context(), 1)); err != nil || len(rs) != len(ds) {
		b.Fatalf("read back %d of %d, %v", len(rs), len(ds), err)
	}
}

func median(ds []time.Duration) time.Duration {
	s := slices.Sorted(slices.Values(ds))
	return s[len(s)/2]
}
