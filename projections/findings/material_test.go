package findings

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tankside/events"
	"tankside/projections"
)

// expected is a row of testdata/findings: what an incident must have reported, may
// have (true and looked at), or must not.
type expected struct {
	rule, subject, when, value, want, why string
}

func expectedOf(t testing.TB, name string) (out []expected) {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "findings", name+".csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rows[1:] {
		e := expected{r[0], r[1], r[2], r[3], r[4], r[5]}
		if !slices.Contains([]string{"must", "may", "must not"}, e.want) || e.why == "" {
			t.Fatalf("%s: %v: want is must, may or must not, with why", name, r)
		}
		out = append(out, e)
	}
	return out
}

// meets reports whether a finding is the one of a row: rule, subject, minute of the
// start, and its number to half of the last digit the row has.
func (e expected) meets(f projections.Finding) bool {
	if e.rule != f.Rule || e.subject != "" && !strings.EqualFold(e.subject, f.Subject) || e.when != "" && e.when != f.Start.Best.Format("15:04") {
		return false
	}
	if e.value == "" {
		return true
	}
	v, err := strconv.ParseFloat(e.value, 64)
	_, decimals, _ := strings.Cut(e.value, ".")
	return err == nil && math.Abs(v-f.Observed.Value) <= 0.5000001*math.Pow10(-len(decimals))
}

// TestMaterial holds what the demonstration incidents report against tables: all that
// happened, nothing that did not, and nothing that nobody has looked at.
func TestMaterial(t *testing.T) {
	for _, name := range []string{"quarry-bend", "harrow-mill"} {
		table := expectedOf(t, name)
		inc := judged(incident(t, name), events.View{}, Defaults())
		known := make([]bool, len(inc.Findings))
		for _, e := range table {
			n := 0
			for i, f := range inc.Findings {
				if e.meets(f) {
					n++
					known[i] = known[i] || e.want != "must not"
				}
			}
			switch {
			case e.want == "must" && n != 1:
				t.Errorf("%s: %+v: found %d times, want once", name, e, n)
			case e.want == "must not" && n != 0:
				t.Errorf("%s: %+v: found %d times, want none", name, e, n)
			}
		}
		for i, f := range inc.Findings {
			if !known[i] {
				t.Errorf("%s: beyond the table: %s", name, row(f))
			}
		}
	}
}

// row is a finding as its row in the table would be.
func row(f projections.Finding) string {
	value := ""
	if f.Observed.Known {
		value = strconv.FormatFloat(math.Round(f.Observed.Value*100)/100, 'f', -1, 64)
	}
	return fmt.Sprintf("%s,%q,%s,%s,may,%q", f.Rule, f.Subject, f.Start.Best.Format("15:04"), value, f.Statement)
}
