package journal

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

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

// BenchmarkImport saves entries by batches of 1000.
func BenchmarkImport(b *testing.B) {
	for _, n := range []int{1_000, 10_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				imported(b, n).Close()
			}
			b.ReportMetric(float64(n)*float64(b.N)/b.Elapsed().Seconds(), "entries/s")
		})
	}
}

// BenchmarkRead reads a log from one end to the other.
func BenchmarkRead(b *testing.B) {
	for _, n := range []int{1_000, 10_000, 100_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			j := imported(b, n)
			defer j.Close()
			l, err := j.Log(logtest.Incident)
			if err != nil {
				b.Fatal(err)
			}
			for b.Loop() {
				read := 0
				for _, err := range l.Read(b.Context(), 1) {
					if err != nil {
						b.Fatal(err)
					}
					read++
				}
				if read != n {
					b.Fatalf("read %d entries, want %d", read, n)
				}
			}
			b.ReportMetric(float64(n)*float64(b.N)/b.Elapsed().Seconds(), "entries/s")
		})
	}
}

// BenchmarkOpen starts a journal, with the comparison of both copies, and saves one
// entry.
func BenchmarkOpen(b *testing.B) {
	for _, n := range []int{0, 1_000, 10_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			j := imported(b, n)
			dir := j.Dir()
			if err := j.Close(); err != nil {
				b.Fatal(err)
			}
			for i := 0; b.Loop(); i++ {
				openAndSave(b, dir, n+i+1)
			}
		})
	}
}

func openAndSave(b *testing.B, dir string, n int) {
	j, err := Open(b.Context(), testConfig(dir))
	if err != nil {
		b.Fatal(err)
	}
	if _, err := j.Post(b.Context(), logtest.Draft(n)); err != nil {
		b.Fatal(err)
	}
	if err := j.Close(); err != nil {
		b.Fatal(err)
	}
}

// imported is a journal with a log of n entries.
func imported(b *testing.B, n int) *Journal {
	b.Helper()
	j, err := Open(b.Context(), testConfig(b.TempDir()))
	if err != nil {
		b.Fatal(err)
	}
	l, err := j.Log(logtest.Incident)
	if err != nil {
		b.Fatal(err)
	}
	if _, err := l.AppendAll(b.Context(), logtest.Drafts(1, n)); err != nil {
		b.Fatal(err)
	}
	return j
}

func median(ds []time.Duration) time.Duration {
	s := slices.Sorted(slices.Values(ds))
	return s[len(s)/2]
}
