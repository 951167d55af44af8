package journal

import (
	"testing"

	"tankside/events"
	"tankside/events/logtest"
)

// testConfig is a journal in dir with the suite's kinds and clock.
func testConfig(dir string) Config {
	return Config{Dir: dir, Now: logtest.Clock(), Catalogue: logtest.Catalogue()}
}

// mustOpen opens a journal that the test closes.
func mustOpen(t *testing.T, cfg Config) *Journal {
	t.Helper()
	j, err := Open(t.Context(), cfg)
	if err != nil {
		t.Fatalf("Open = %v", err)
	}
	t.Cleanup(func() { j.Close() })
	return j
}

// mustLog returns the log of the suite's incident.
func mustLog(t *testing.T, j *Journal) events.Log {
	t.Helper()
	l, err := j.Log(logtest.Incident)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func TestSuite(t *testing.T) {
	var last *Journal
	open := func(t *testing.T) events.Log {
		last = mustOpen(t, testConfig(t.TempDir()))
		return mustLog(t, last)
	}
	reopen := func(t *testing.T) events.Log {
		dir := last.Dir()
		if err := last.Close(); err != nil {
			t.Fatalf("Close = %v", err)
		}
		last = mustOpen(t, testConfig(dir))
		if fs := last.Findings(); len(fs) > 0 {
			t.Errorf("after a clean stop Open found %v", fs)
		}
		return mustLog(t, last)
	}
	logtest.Suite(t, open, reopen)
}
