package lines

import (
	"strings"
	"testing"
	"time"
)

// TestLastOfABill: the last number of a bill is no time of day, though it could be one.
func TestLastOfABill(t *testing.T) {
	ctx := Context{Now: time.Date(2025, 10, 14, 23, 41, 20, 0, time.UTC), Zone: time.UTC, Scribe: "Scribe"}
	for line, want := range map[string]time.Time{
		"c1 2500 c2 1400 c4 1300":                {},
		"c1 2500 gal gasoline, c2 1400, c4 1300": {},
		"look at c4 1300":                        time.Date(2025, 10, 14, 13, 0, 0, 0, time.UTC),
	} {
		got := Parse(ctx, line).Drafts[0].Occurred.At
		if want.IsZero() {
			want = ctx.Now
		}
		if !got.Equal(want) {
			t.Errorf("%q happened at %v, want %v", line, got, want)
		}
	}
}

// TestOverABadRadio holds lines that once became something else, sure of it or not.
func TestOverABadRadio(t *testing.T) {
	ctx := Context{Now: time.Date(2025, 10, 14, 23, 41, 20, 0, time.UTC), Zone: time.UTC, Scribe: "Scribe"}
	for _, tt := range []struct{ line, has, hasNot string }{
		{"rehab pair 2 bp 150 over 90 pulse 118", "blood pressure 150", "150 per min"},
		{"rehab 2a bp 150/90 pulse 118", "blood pressure 150/90", "150 per min"},
		{"pump off, lel 18 at pump", "Pump off", "meter 18"},
		{"pump off 1012, lel 18 at pump", "meter 1012 gal", "meter 18"},
		{"dep notified at 0905 spoke with jones", "", "Zones"},
		{"r1 hooked up to c2", "", "Reference"},
		{"wrecker hooked up lifting 1110", "", "Reference"},
	} {
		if got := Parse(ctx, tt.line).Says; !strings.Contains(got, tt.has) || tt.hasNot != "" && strings.Contains(got, tt.hasNot) {
			t.Errorf("%q becomes %q, want %q and not %q", tt.line, got, tt.has, tt.hasNot)
		}
	}
}
