package report

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/intake"
	"tankside/events/kinds"
)

// published reads one of the published incidents, of which the sources say when things
// happened and seldom when they were told: then each was told a minute after the last.
func published(t *testing.T, name string) []events.Recorded {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "testdata", "incidents", "published", name+".csv"))
	if err != nil {
		t.Fatal(err)
	}
	zone := time.UTC
	if first := regexp.MustCompile(`\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d[+-]\d\d:\d\d`).Find(text); first != nil {
		at, err := time.Parse(time.RFC3339, string(first))
		if err != nil {
			t.Fatal(err)
		}
		zone = at.Location()
	}
	got, err := intake.CSV(strings.NewReader(string(text)), intake.Options{Catalogue: kinds.Catalogue(), Incident: name, Name: name, Zone: zone})
	if err != nil || len(got.Faults) > 0 {
		t.Fatalf("%s: %v, faults %v", name, err, got.Faults)
	}
	var out []events.Recorded
	var prev *events.Recorded
	for i, d := range got.Drafts {
		at := d.Reported
		if at.IsZero() {
			at = time.Date(2025, 11, 1, 12, i, 0, 0, time.UTC)
		}
		r, err := kinds.Catalogue().Seal(d, "node", prev, at)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, r)
		prev = &out[len(out)-1]
	}
	return out
}

// onePage is the one-page summary of a report.
func onePage(t *testing.T, d Document) string {
	t.Helper()
	_, rest, ok := strings.Cut(markdownOf(t, d), "## 1. The incident on one page")
	page, _, more := strings.Cut(rest, "\n## 2.")
	if !ok || !more {
		t.Fatal("the report has no summary, or nothing after it")
	}
	return page
}

// TestPublishedOnOnePage: of each published case the first page states the figures and
// what the sources say differently. Where a figure is from stands, with its source, in
// testdata/published/cases.csv.
func TestPublishedOnOnePage(t *testing.T) {
	for _, c := range []struct {
		name string
		want []string
		not  []string
	}{
		{"ohio-route-16-2001", []string{
			"| Load | 8,000 ± 40 gal", "| Let out of the tank | 5,100 gal", "| Taken up again | at least 1,200 gal", "| Should be aboard | 2,900",
			"| **Unaccounted for** | *not computable*; missing: dip", "Balance of what was let out: unaccounted: at most 3,900 gal", "time of day not said",
		}, []string{"6,800", "C1"}},
		{"lake-county-2011", []string{
			"| When | between 14:00 and 14:30", "| Load | 1,600", "| Moved to other trucks | 1,084", "| Let out of the tank | 700 gal",
			"at most 516 gal", "over-accounted by at least 184 gal",
		}, nil},
		{"chico-2008", []string{
			"| How long, call received to log closed | 380 min (6 h 20)", "| SR-99, northbound, closed | 220 min (215 to 225)", "| Skyway on-ramp, northbound, closed |", "| Load | 5,600",
		}, nil},
		{"des-moines", []string{
			"| Load | 6,000", "| Moved to other trucks | 4,500", "| Let out of the tank | 2,500 gal", "aboard | −1,000", "over-accounted by at least 1,000 gal",
		}, nil},
		{"highway-58-2012", []string{
			"| When | between 07:45 and 09:00", "| Load | 10,000", "| Let out of the tank | 4,200 gal (1,700 to 4,200)", "aboard | 5,800 ± 50 gal (5,800 to 8,300)",
			"**Said differently:** product and amount", "1,700 gal diesel and 2,500 gal gasoline", "; open",
		}, nil},
		{"bellevue-2011", []string{
			"| When | between 21:50 (27 Nov) and 22:20", "| Load | 7,000 ± 35 gal (6,350 to 7,000)", "aboard | 3,500", "**Said differently:** amount of total: 7,000 gal", "I-405, northbound, closed",
		}, nil},
		{"killeen-2022", []string{"| Load | 8,700", "| Let out of the tank | 2,000 gal", "aboard | 6,700"}, []string{"10,700", "3,500"}},
		{"newburyport-2009", []string{
			"| When | between 00:00 (2 Jul) and 09:05 (6 Jul)", "| Load | 10,000", "| Let out of the tank | 8,600 gal", "aboard | 1,400",
		}, nil},
	} {
		page := onePage(t, as(t, published(t, c.name), Options{}))
		for _, want := range c.want {
			if !strings.Contains(page, want) {
				t.Errorf("%s: the first page lacks %q", c.name, want)
			}
		}
		for _, not := range c.not {
			if strings.Contains(page, not) {
				t.Errorf("%s: the first page says %q", c.name, not)
			}
		}
	}
}
