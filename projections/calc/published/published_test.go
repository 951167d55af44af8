package published

import (
	"fmt"
	"strings"
	"testing"
)

// witness counts the faults of a row instead of failing.
type witness struct {
	testing.TB
	faults []string
}

func (w *witness) Helper()                      {}
func (w *witness) Errorf(f string, args ...any) { w.faults = append(w.faults, fmt.Sprintf(f, args...)) }

// A row must be able to fail: with a value that is off, with a negative row's value
// that does come out, with a NaN.
func TestRowsBite(t *testing.T) {
	table := `id,quantity,check,inputs,want,tolerance,mark,source,left_out
a,q,c,x=1; y=two words; z=1 2,2.5 3,0.1,seen,"a book, page 1",
b,q,c,,2.5,0.1,negative,an old book,
c,q,c,,,,memory,a book,not ours
`
	r := rows(t, "test", table)
	nan := func() float64 { var zero float64; return zero / zero }()
	for _, tt := range []struct {
		row  int
		got  []float64
		want string // "" for no fault
	}{
		{0, []float64{2.5, 3}, ""},
		{0, []float64{2.55, 2.95}, ""},
		{0, []float64{2.7, 3}, "c = 2.7; a book, page 1 gives 2.5 ± 0.1"},
		{0, []float64{2.5, nan}, "c = NaN"},
		{1, []float64{2.55}, "the wrong value 2.5 of an old book"},
		{1, []float64{2.7}, ""},
	} {
		w := &witness{TB: t}
		r[tt.row].t = w
		r[tt.row].hold(tt.got)
		if said := strings.Join(w.faults, "; "); (said == "") != (tt.want == "") || !strings.Contains(said, tt.want) {
			t.Errorf("row %s with %g: %q, want %q", r[tt.row].id, tt.got, said, tt.want)
		}
	}
	r[0].t = t
	if r[0].Num("x") != 1 || r[0].Text("y") != "two words" || len(r[0].List("z")) != 2 || r[0].Or("q", 7) != 7 || !r[0].Has("x", "1") || r[0].Has("q", "1") {
		t.Errorf("inputs = %v", r[0].inputs)
	}
	if r[2].leftOut != "not ours" {
		t.Errorf("the row left out says %q", r[2].leftOut)
	}
}
