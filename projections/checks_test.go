package projections

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/kinds"
)

// check is a row of a file of checks: an entry, or what has to come out of the
// entries of its case so far.
type check map[string]string

func checks(t *testing.T, elems ...string) map[string][]check {
	t.Helper()
	f, err := os.Open(filepath.Join(append([]string{"..", "testdata"}, elems...)...))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][]check{}
	for _, row := range rows[1:] {
		c := check{}
		for i, cell := range row {
			c[rows[0][i]] = cell
		}
		if c["source"] == "" {
			t.Fatalf("row %q has no source", row)
		}
		out[c["case"]] = append(out[c["case"]], c)
	}
	return out
}

// draft makes the entry of a row.
func (c check) draft(t *testing.T, n int) events.Draft {
	t.Helper()
	at := clockOf(t, c["at"])
	typ := kinds.Catalogue().Type(events.Kind(c["kind"]))
	if typ == nil {
		t.Fatalf("no kind %q", c["kind"])
	}
	p := typ.Empty()
	for _, kv := range strings.Split(c["values"], "; ") {
		key, value, ok := strings.Cut(kv, "=")
		if !ok {
			continue
		}
		next, err := typ.With(p, key, value)
		if err != nil {
			t.Fatalf("%s: %v", kv, err)
		}
		p = next
	}
	return events.Draft{
		ID: events.ContentID(at, c["case"], strconv.Itoa(n)), Incident: c["case"], Occurred: events.At(at), Reported: at,
		ObservedBy: c["by"], Channel: events.Typed, Where: c["where"], Payload: p,
	}
}

func clockOf(t *testing.T, s string) time.Time {
	t.Helper()
	c, err := time.Parse("15:04", s)
	if err != nil {
		t.Fatal(err)
	}
	return time.Date(2025, 3, 1, c.Hour(), c.Minute(), 0, 0, time.FixedZone("", -5*3600))
}

// bound reads a cell: a number, -inf or inf; "?" before it says that the figure is
// unknown but bounded.
func bound(t *testing.T, s string, open float64) float64 {
	t.Helper()
	s = strings.TrimPrefix(s, "?")
	if s == "" {
		return open
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func sameNumber(a, b float64) bool {
	return a == b || math.Abs(a-b) < 0.001*math.Max(1, math.Abs(b)/1000)
}

// figure finds what a row expects in the state.
func (c check) figure(t *testing.T, s VolumeState) Figure {
	t.Helper()
	what, name, _ := strings.Cut(c["expect"], " ")
	switch {
	case c["expect"] == "left over":
		return s.LeftOver
	case what == "leg" || what == "spread":
		i := slices.IndexFunc(s.Legs, func(l LegState) bool { return l.ID == name })
		if i < 0 {
			t.Fatalf("no leg %q", name)
		}
		if what == "spread" {
			return s.Legs[i].Spread
		}
		return s.Legs[i].Gross.Figure
	case what == "load" && name != "":
		product := strings.TrimPrefix(name, "of ")
		i := slices.IndexFunc(s.Balances, func(b Balance) bool { return b.Product == product })
		if i < 0 {
			t.Fatalf("no balance of %q", product)
		}
		return s.Balances[i].Terms[0].Figure
	}
	f, ok := map[string]Figure{
		"load": s.Load, "aboard": s.Aboard, "unaccounted": s.Unaccounted, "released": s.Released, "transferred": s.Transferred,
		"unrecovered": s.Balances[1].Unaccounted, "conflicts": Exact(float64(len(s.Conflicts)), "", ""),
	}[what]
	if !ok {
		t.Fatalf("nothing is called %q", c["expect"])
	}
	return f
}

func (c check) hold(t *testing.T, s VolumeState) {
	t.Helper()
	if text, ok := strings.CutPrefix(c["expect"], "verdict: "); ok {
		if !strings.Contains(s.Verdict, text) {
			t.Errorf("the verdict is %q, want %q in it (%s)", s.Verdict, text, c["source"])
		}
		return
	}
	f := c.figure(t, s)
	known := !strings.HasPrefix(c["best"], "?")
	low, high := bound(t, c["low"], math.Inf(-1)), bound(t, c["high"], math.Inf(1))
	good := f.Known == known && sameNumber(f.Low, low) && sameNumber(f.High, high)
	if known {
		good = good && sameNumber(f.Value, bound(t, c["best"], 0))
	}
	if !good {
		t.Errorf("%s = %+v, want %s..%s..%s (%s)", c["expect"], f, c["low"], c["best"], c["high"], c["source"])
	}
}

// Every published case, and every case worked by hand, comes out as its source has
// it: values that nobody knows stay unknown, bounds stay bounds, a later figure
// takes the place of an earlier one.
func TestVolumeChecks(t *testing.T) {
	for file, count := range map[string]int{"published/balances.csv": 24, "checks/volume.csv": 15} {
		cases := checks(t, strings.Split(file, "/")...)
		if len(cases) != count {
			t.Errorf("%s has %d cases, want %d", file, len(cases), count)
		}
		for name, rows := range cases {
			t.Run(name, func(t *testing.T) {
				var drafts []events.Draft
				for i, c := range rows {
					if c["kind"] != "" {
						drafts = append(drafts, c.draft(t, i))
						continue
					}
					tl := kinds.Catalogue().NewTimeline(recordAll(t, drafts), events.View{AsOf: clockOf(t, c["at"])})
					inc := Fold(kinds.Catalogue(), tl)
					c.hold(t, inc.Volume.State(inc.AsOf))
				}
			})
		}
	}
}
