package cli

import (
	"io"
	"strings"
	"testing"
	"time"
)

// TestNightOfTwoClocks opens a log in a zone whose clocks go back that night, on a machine
// of another zone: its times go by the zone of the incident, the hour that comes twice says
// which it is, and no time between two entries jumps.
func TestNightOfTwoClocks(t *testing.T) {
	dir := t.TempDir()
	now := time.Date(2025, 11, 2, 4, 0, 0, 0, time.UTC)
	run := func(args ...string) string {
		t.Helper()
		var out strings.Builder
		a := New()
		a.Out, a.Err, a.Now, a.Steady = &out, io.Discard, func() time.Time { return now.In(time.FixedZone("", 2*3600)) }, nil
		if code := a.Run(t.Context(), append(args, "--dir", dir)); code != 0 {
			t.Fatalf("tankside %q ends with %d", args, code)
		}
		return out.String()
	}
	run("open", "Night", "--no-console", "--zone", "America/Chicago")
	for _, h := range []time.Duration{150, 210, 250} { // minutes: 01:30 CDT, 01:30 CST, 02:10 CST
		now = time.Date(2025, 11, 2, 4, 0, 0, 0, time.UTC).Add(h * time.Minute)
		run("log", "note", "--words", "a word")
	}
	got := run("report", "--format", "md")
	for _, want := range []string{
		"the clocks went back on 2 Nov, from 01:59:59 CDT to 01:00:00 CST", "**23:00**", "**01:30 CDT**", "**01:30 CST**", "**02:10**",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("the report does not say %q", want)
		}
	}
	if strings.Contains(got, "entries made in") {
		t.Error("the report speaks of another zone; there is none")
	}
	if got := run("log", "--dry-run", "lel 6 at the lid 0130"); !strings.Contains(got, "01:30 comes twice tonight. D = first (CDT), S = second (CST)") {
		t.Errorf("a line of the hour that came twice: %s", got)
	}
}
